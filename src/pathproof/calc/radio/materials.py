"""Electrical properties of building materials by Rec. ITU-R P.2040, Table 3. Array code.

Most rows begin at 1 GHz, above the bands that alarm devices use. Every result tells how a row was
taken outside its range; nothing is extrapolated without being asked to.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from pathproof.calc._arrays import ComplexArray, FloatArray, require_positive
from pathproof.calc._constants import VACUUM_PERMITTIVITY_F_PER_M
from pathproof.terms import InvalidInputError, Material, OutOfRangeError

P2040_EDITION = "P.2040-3/-4 Table 3"
# The ends of the whole table: no row is stretched further than another one reaches.
LOWEST_FREQUENCY_HZ = 1e6
HIGHEST_FREQUENCY_HZ = 450e9


class BelowRange(StrEnum):
    """How a row's conductivity is taken below (or above) the frequencies it covers."""

    EXTRAPOLATE = "extrapolate"  # the row's own power law goes on
    HOLD = "hold"  # it stays at the row's nearest end; below the range this loses more


@dataclass(frozen=True)
class MaterialRow:
    """One row of the table: eta' = a f^b and sigma = c f^d, with f in GHz and sigma in S/m."""

    low_ghz: float
    high_ghz: float
    a: float
    b: float
    c: float
    d: float


# Rec. ITU-R P.2040-3/-4, Table 3, as carried by an open ray-tracing library that cites it
# (restated; sources.P2040_TABLE). Air is the row for vacuum. Order: from, to [GHz], a, b, c, d.
P2040_ROWS: Mapping[Material, tuple[MaterialRow, ...]] = {
    Material.AIR: (MaterialRow(0.001, 100, 1, 0, 0, 0),),
    Material.CONCRETE: (MaterialRow(1, 100, 5.24, 0, 0.0462, 0.7822),),
    Material.BRICK: (MaterialRow(1, 40, 3.91, 0, 0.0238, 0.16),),
    Material.PLASTERBOARD: (MaterialRow(1, 100, 2.73, 0, 0.0085, 0.9395),),
    Material.WOOD: (MaterialRow(0.001, 100, 1.99, 0, 0.0047, 1.0718),),
    Material.GLASS: (
        MaterialRow(0.1, 100, 6.31, 0, 0.0036, 1.3394),
        MaterialRow(220, 450, 5.79, 0, 0.0004, 1.658),
    ),
    Material.CEILING_BOARD: (
        MaterialRow(1, 100, 1.48, 0, 0.0011, 1.075),
        MaterialRow(220, 450, 1.52, 0, 0.0029, 1.029),
    ),
    Material.CHIPBOARD: (MaterialRow(1, 100, 2.58, 0, 0.0217, 0.78),),
    Material.PLYWOOD: (MaterialRow(1, 40, 2.71, 0, 0.33, 0),),
    Material.MARBLE: (MaterialRow(1, 60, 7.074, 0, 0.0055, 0.9262),),
    Material.FLOORBOARD: (MaterialRow(50, 100, 3.66, 0, 0.0044, 1.3515),),
    Material.VINYL_TILE: (MaterialRow(1, 40, 3.62, 0, 0.0051, 0.8422),),
    Material.CARPET_TILE: (MaterialRow(1, 40, 2.08, 0, 0.0009, 0.82),),
    Material.ASPHALT_CONCRETE: (MaterialRow(1, 40, 4.83, 0, 0.0108, 1.3969),),
    Material.METAL: (MaterialRow(1, 100, 1, 0, 1e7, 0),),
    Material.VERY_DRY_GROUND: (MaterialRow(1, 10, 3, 0, 0.00015, 2.52),),
    Material.MEDIUM_DRY_GROUND: (MaterialRow(1, 10, 15, -0.1, 0.035, 1.63),),
    Material.WET_GROUND: (MaterialRow(1, 10, 30, -0.4, 0.15, 1.3),),
}


HOLD_AT_GHZ = 1.0
"""Conductivity is held at its value there (house rule for links below 1 GHz). [GHz]"""


def rows_of(material: Material) -> tuple[MaterialRow, ...]:
    """The table's rows for a material; refuses one that it does not have."""
    if material not in P2040_ROWS:
        raise InvalidInputError(
            f"material was {material!r}; it must be one of {', '.join(sorted(P2040_ROWS))}."
        )
    return P2040_ROWS[material]


def relative_permittivity(
    material: Material, frequency_hz: FloatArray, below_range: BelowRange
) -> ComplexArray:
    r"""Complex relative permittivity of a building material.

    .. math:: \eta = a f^b - j \, c f^d / (2 \pi f \varepsilon_0)

    Parameters
    ----------
    material : Material
        A row of the table, or air.
    frequency_hz : float or ndarray, any shape
        Carrier frequency, 1 MHz to 450 GHz. [Hz]
    below_range : BelowRange
        How the conductivity is taken where the row does not cover the frequency.

    Returns
    -------
    relative_permittivity : complex or ndarray of complex, the shape of ``frequency_hz``
        Real part 1 or more, imaginary part 0 or below (time factor exp(+j omega t)). [1]

    Raises
    ------
    InvalidInputError
        The material is not in the table, or a frequency is not finite or not above 0.
    OutOfRangeError
        A frequency is outside 1 MHz to 450 GHz, the ends of the whole table.

    Notes
    -----
    A material with two rows uses the one that covers the frequency, else the nearer one. Holding
    keeps the conductivity, not the permittivity, at its value at 1 GHz below that, or at the row's
    end where that is lower.

    Examples
    --------
    >>> eta = relative_permittivity(Material.CONCRETE, 1.8e9, BelowRange.EXTRAPOLATE)
    >>> f"{eta.real:.2f} {eta.imag:.3f}"
    '5.24 -0.731'

    References
    ----------
    .. [1] Rec. ITU-R P.2040-3/-4, Table 3; as restated in an open ray-tracing library.
    """
    f_ghz = _checked_ghz(frequency_hz)
    low, high, a, b, c, d = _nearest_rows(material, f_ghz)
    f_sigma = (
        f_ghz
        if below_range == BelowRange.EXTRAPOLATE
        else np.clip(f_ghz, np.minimum(low, HOLD_AT_GHZ), high)
    )
    sigma_s_per_m = c * f_sigma**d
    omega_epsilon = 2.0 * np.pi * f_ghz * 1e9 * VACUUM_PERMITTIVITY_F_PER_M
    eta: NDArray[np.complex128] = a * f_ghz**b - 1j * (sigma_s_per_m / omega_epsilon)
    return complex(eta) if np.ndim(eta) == 0 else eta


def is_extrapolated(material: Material, frequency_hz: FloatArray) -> bool:
    """Whether any of the frequencies lies outside what the material's rows cover.

    Parameters
    ----------
    material : Material
        A row of the table, or air.
    frequency_hz : float or ndarray, any shape
        Carrier frequency, 1 MHz to 450 GHz. [Hz]

    Returns
    -------
    extrapolated : bool
        True when a result for these frequencies goes beyond the table.

    Raises
    ------
    InvalidInputError
        The material is not in the table, or a frequency is not finite or not above 0.
    OutOfRangeError
        A frequency is outside 1 MHz to 450 GHz, the ends of the whole table.

    Examples
    --------
    >>> is_extrapolated(Material.BRICK, 868.42e6), is_extrapolated(Material.GLASS, 868.42e6)
    (True, False)

    References
    ----------
    .. [1] Rec. ITU-R P.2040-3/-4, Table 3; as restated in an open ray-tracing library.
    """
    f_ghz = _checked_ghz(frequency_hz)
    low, high, *_ = _nearest_rows(material, f_ghz)
    return bool(np.any((f_ghz < low) | (f_ghz > high)))


def _checked_ghz(frequency_hz: FloatArray) -> NDArray[np.float64]:
    frequency = require_positive(frequency_hz, "frequency_hz")
    outside = (frequency < LOWEST_FREQUENCY_HZ) | (frequency > HIGHEST_FREQUENCY_HZ)
    if np.any(outside):
        raise OutOfRangeError(
            "frequency_hz",
            float(frequency[outside].flat[0]),
            LOWEST_FREQUENCY_HZ,
            HIGHEST_FREQUENCY_HZ,
            "Hz",
            f"Rec. ITU-R {P2040_EDITION}",
        )
    return frequency / 1e9


def _nearest_rows(material: Material, f_ghz: NDArray[np.float64]) -> NDArray[np.float64]:
    """The row for each frequency, as six arrays: low, high, a, b, c, d."""
    rows = rows_of(material)
    # how many decades each row is away from each frequency; 0 inside
    away = [
        np.maximum(0.0, np.maximum(np.log10(r.low_ghz / f_ghz), np.log10(f_ghz / r.high_ghz)))
        for r in rows
    ]
    table = np.array([(r.low_ghz, r.high_ghz, r.a, r.b, r.c, r.d) for r in rows])
    return np.moveaxis(table[np.argmin(away, axis=0)], -1, 0)
