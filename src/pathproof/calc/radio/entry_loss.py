"""Building entry loss by Rec. ITU-R P.2109: why one spot hears the mast and another does not.

For comparing and explaining spots only; a verdict rests on readings. Scalar code.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist
from types import MappingProxyType

from pathproof.calc._arrays import require_finite, require_positive
from pathproof.terms import InvalidInputError, OutOfRangeError

P2109_EDITION = "P.2109-2"
P2109_LOWEST_HZ = 0.08e9
P2109_HIGHEST_HZ = 100e9


class BuildingType(StrEnum):
    """The two kinds of building that the Recommendation tells apart."""

    TRADITIONAL = "traditional"
    THERMALLY_EFFICIENT = "thermally_efficient"  # metallised glass, foil-backed panels


@dataclass(frozen=True)
class _Row:
    r: float
    s: float
    t: float
    u: float
    v: float
    w: float
    x: float
    y: float
    z: float


# Source: sources.P2109, as three independent open codes carry it (restated).
_ROWS: Mapping[BuildingType, _Row] = MappingProxyType(
    {
        BuildingType.TRADITIONAL: _Row(12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0),
        BuildingType.THERMALLY_EFFICIENT: _Row(
            28.19, -3.00, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1
        ),
    }
)
_PER_DEGREE_DB = 0.212  # the same source
_C_DB = -3.0  # the same source
_RAREST_PLACE = 1e-6


def building_entry_loss_db(
    building: BuildingType,
    frequency_hz: float,
    probability_ratio: float = 0.5,
    elevation_deg: float = 0.0,
) -> float:
    r"""Loss into a building that is not exceeded at a share of places in such buildings.

    .. math:: L = 10 \log_{10} (10^{0.1 A} + 10^{0.1 B} + 10^{0.1 C})

    Parameters
    ----------
    building : BuildingType
        Traditional or thermally efficient.
    frequency_hz : float
        80 MHz to 100 GHz. [Hz]
    probability_ratio : float
        Share of places, above 0 and below 1; one half is the median. [ratio]
    elevation_deg : float
        Angle at which the wave comes in at the facade, 0 is level, -90 to 90. [deg]

    Returns
    -------
    loss_db : float
        Loss beyond that just outside, as a positive number; a small share of places gains. [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite, a share not between 0 and 1, or an angle beyond 90 degrees.
    OutOfRangeError
        The frequency is outside 80 MHz to 100 GHz.

    Notes
    -----
    Limits: from outside to a random place inside, over many buildings: right for whether a module
    hears the mast, wrong for a detector and its panel. Its spread holds that of places already; add
    no further shadowing.

    Examples
    --------
    >>> f"{building_entry_loss_db(BuildingType.TRADITIONAL, 800e6, 0.9):.4f}"
    '24.8722'

    References
    ----------
    .. [1] Rec. ITU-R P.2109-2, "Prediction of building entry loss", Annex 1, section 3; as restated
       by three independent open codes.
    """
    f_ghz = _checked_ghz(frequency_hz)
    quantile = NormalDist().inv_cdf(_checked_share(probability_ratio))
    elevation = float(require_finite(elevation_deg, "elevation_deg"))
    if abs(elevation) > 90.0:
        raise InvalidInputError(f"elevation_deg was {elevation:g}; it must be -90 to 90.")
    row, log_f = _ROWS[BuildingType(building)], math.log10(f_ghz)
    horizontal_db = row.r + row.s * log_f + row.t * log_f**2
    mean_db = horizontal_db + _PER_DEGREE_DB * abs(elevation)
    a_db = quantile * (row.u + row.v * log_f) + mean_db
    b_db = quantile * (row.y + row.z * log_f) + row.w + row.x * log_f
    return 10.0 * math.log10(sum(10.0 ** (0.1 * part) for part in (a_db, b_db, _C_DB)))


def share_losing_less_ratio(
    building: BuildingType, frequency_hz: float, loss_db: float, elevation_deg: float = 0.0
) -> float:
    """Share of places in such buildings that lose less than this on the way in.

    Parameters
    ----------
    building : BuildingType
        Traditional or thermally efficient.
    frequency_hz : float
        80 MHz to 100 GHz. [Hz]
    loss_db : float
        Loss beyond that just outside; negative for a gain. [dB]
    elevation_deg : float
        Angle at which the wave comes in at the facade, 0 is level, -90 to 90. [deg]

    Returns
    -------
    share_ratio : float
        Where :func:`building_entry_loss_db` gives this loss; never below one in a million places or
        above all but one in a million. [ratio]

    Raises
    ------
    InvalidInputError
        A value is not finite, or an angle beyond 90 degrees.
    OutOfRangeError
        The frequency is outside 80 MHz to 100 GHz.

    Notes
    -----
    By bisection: the loss grows with the share. Limits: as for the loss; the form was compared with
    validation values for 0.1 to 99.9 % of places, so say "more than 99 %" rather than more digits.

    Examples
    --------
    >>> f"{share_losing_less_ratio(BuildingType.TRADITIONAL, 800e6, 24.8722):.3f}"
    '0.900'

    References
    ----------
    .. [1] Rec. ITU-R P.2109-2, "Prediction of building entry loss", Annex 1, section 3; as restated
       by three independent open codes.
    """
    loss = float(require_finite(loss_db, "loss_db"))
    low, high = _RAREST_PLACE, 1.0 - _RAREST_PLACE
    while high - low > _RAREST_PLACE / 10.0:
        middle = (low + high) / 2.0
        if building_entry_loss_db(building, frequency_hz, middle, elevation_deg) < loss:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _checked_ghz(frequency_hz: float) -> float:
    frequency = float(require_positive(frequency_hz, "frequency_hz"))
    if not P2109_LOWEST_HZ <= frequency <= P2109_HIGHEST_HZ:
        raise OutOfRangeError(
            "frequency_hz",
            frequency,
            P2109_LOWEST_HZ,
            P2109_HIGHEST_HZ,
            "Hz",
            f"Rec. ITU-R {P2109_EDITION}",
        )
    return frequency / 1e9


def _checked_share(probability_ratio: float) -> float:
    share = float(require_finite(probability_ratio, "probability_ratio"))
    if not 0.0 < share < 1.0:
        raise InvalidInputError(
            f"probability_ratio was {share:g}; it must be above 0 and below 1 (90 % is 0.9)."
        )
    return share
