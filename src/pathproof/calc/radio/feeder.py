"""Loss of coaxial feeders and their connectors, and how long a feeder pays. Scalar code."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from pathproof.calc._arrays import require_finite, require_not_negative, require_positive
from pathproof.calc.radio.sources import COAX_FACTORS
from pathproof.calc.sources import Source
from pathproof.terms import OutOfRangeError

# Source: sources.CONNECTORS. A guide plans 0.25 dB at 150 MHz, 0.5 at 450, 0.6 at 850 MHz.
CONNECTOR_PLANNING_DB = 0.5
"""Loss of a mated pair to plan with: fitted in the field, some years old. [dB]"""
CONNECTOR_GOOD_DB = 0.1
"""Loss of a good mated pair, clean and tight. [dB]"""

COAX_LOWEST_HZ = 10e6
COAX_HIGHEST_HZ = 6e9
"""No cable's figures are stretched further than this: house rule, no source. [Hz]"""


@dataclass(frozen=True, kw_only=True)
class CoaxType:
    """A class of coaxial cable: nominal loss per 100 m = k1 sqrt(f) + k2 f, f in MHz."""

    name: str
    k1_db_per_100m: float
    """Factor of the root of the frequency in MHz. [dB/100 m]"""
    k2_db_per_100m: float
    """Factor of the frequency in MHz. [dB/100 m]"""
    tolerance_ratio: float
    """How far public tables of this class lie from the nominal loss. [ratio]"""
    low_hz: float = 100e6
    """Lowest frequency that the factors were fitted to. [Hz]"""
    high_hz: float = 1000e6
    """Highest frequency that the factors were fitted to. [Hz]"""
    source: Source = COAX_FACTORS
    """Of the factors."""


# Factors: sources.COAX_FACTORS; tolerances: sources.COAX_SPREAD.
COAX_TYPES: Mapping[str, CoaxType] = MappingProxyType(
    {
        "rg174": CoaxType(
            name="RG-174 class",
            k1_db_per_100m=2.3991,
            k2_db_per_100m=0.03568,
            tolerance_ratio=0.4,  # one table says 98 dB/100 m at 1 GHz, another 154
        ),
        "rg58": CoaxType(
            name="RG-58C class",
            k1_db_per_100m=1.3195,
            k2_db_per_100m=0.02881,
            tolerance_ratio=0.15,
        ),
        "rg213": CoaxType(
            name="RG-213 class",
            k1_db_per_100m=0.5278,
            k2_db_per_100m=0.00956,
            tolerance_ratio=0.15,
        ),
    }
)
"""Classes of cable by their plain names."""


@dataclass(frozen=True, kw_only=True)
class CoaxLoss:
    """Loss of a length of cable of a class, and what is not known of it."""

    loss_db: float
    """Nominal loss. [dB]"""
    low_db: float
    """The least that public tables of this class would give. [dB]"""
    high_db: float
    """The most that public tables of this class would give. [dB]"""
    extrapolated: bool
    """Whether the frequency lies outside what the factors were fitted to."""


def feeder_loss_db(
    k1_db_per_100m: float, k2_db_per_100m: float, frequency_hz: float, length_m: float
) -> float:
    r"""Loss of a length of coaxial cable without its connectors.

    .. math:: L = (K_1 \sqrt{f} + K_2 f) \, l / 100 \quad (f \text{ in MHz})

    Parameters
    ----------
    k1_db_per_100m : float
        Factor of the root of the frequency in MHz, 0 or above: conductor loss. [dB/100 m]
    k2_db_per_100m : float
        Factor of the frequency in MHz, 0 or above: dielectric loss. [dB/100 m]
    frequency_hz : float
        10 MHz to 6 GHz. [Hz]
    length_m : float
        0 or above. [m]

    Returns
    -------
    loss_db : float
        Loss as a positive number. [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign.
    OutOfRangeError
        The frequency is outside 10 MHz to 6 GHz.

    Notes
    -----
    Limits: nominal values at 20 degC; tables of the same cable differ by 15 % and more. Loss before
    a receiver raises its noise figure by as much, so it counts dB for dB both ways.

    Examples
    --------
    >>> f"{feeder_loss_db(1.3195, 0.02881, 900e6, 100.0):.1f}"
    '65.5'

    References
    ----------
    .. [1] Form of the attenuation tables of MIL-C-17; restated.
    """
    k1 = float(require_not_negative(k1_db_per_100m, "k1_db_per_100m"))
    k2 = float(require_not_negative(k2_db_per_100m, "k2_db_per_100m"))
    frequency = float(require_positive(frequency_hz, "frequency_hz"))
    if not COAX_LOWEST_HZ <= frequency <= COAX_HIGHEST_HZ:
        raise OutOfRangeError(
            "frequency_hz", frequency, COAX_LOWEST_HZ, COAX_HIGHEST_HZ, "Hz", "this form of loss"
        )
    f_mhz = frequency / 1e6
    length = float(require_not_negative(length_m, "length_m"))
    return (k1 * math.sqrt(f_mhz) + k2 * f_mhz) * length / 100.0


def coax_loss(cable: CoaxType, frequency_hz: float, length_m: float) -> CoaxLoss:
    """Loss of a length of cable of a class, with the range that public tables span.

    Parameters
    ----------
    cable : CoaxType
        One of ``COAX_TYPES``, or a class of one's own.
    frequency_hz : float
        10 MHz to 6 GHz. [Hz]
    length_m : float
        0 or above. [m]

    Returns
    -------
    loss : CoaxLoss
        Nominal, least and greatest loss [dB], and whether the frequency is extrapolated to.

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign.
    OutOfRangeError
        The frequency is outside 10 MHz to 6 GHz.

    Notes
    -----
    Limits: as :func:`feeder_loss_db`. The range is what tables of the same class were seen to
    differ by; it says nothing of kinks, water or a connector half on.

    Examples
    --------
    >>> loss = coax_loss(COAX_TYPES["rg58"], 1800e6, 5.0)
    >>> f"{loss.loss_db:.2f} ({loss.low_db:.2f} to {loss.high_db:.2f})", loss.extrapolated
    ('5.39 (4.58 to 6.20)', True)

    References
    ----------
    .. [1] Form of the attenuation tables of MIL-C-17, restated; factors fitted to handbook points
       that are from memory.
    """
    loss_db = feeder_loss_db(cable.k1_db_per_100m, cable.k2_db_per_100m, frequency_hz, length_m)
    return CoaxLoss(
        loss_db=loss_db,
        low_db=loss_db * (1.0 - cable.tolerance_ratio),
        high_db=loss_db * (1.0 + cable.tolerance_ratio),
        extrapolated=not cable.low_hz <= frequency_hz <= cable.high_hz,
    )


def break_even_length_m(gain_db: float, other_loss_db: float, loss_db_per_100m: float) -> float:
    r"""The feeder length at which a better antenna stops helping.

    .. math:: l = 100 \, (\Delta G - L_o) / L_{100}

    Parameters
    ----------
    gain_db : float
        What the antenna has more gain than the one that it replaces. [dB]
    other_loss_db : float
        What connectors and mismatch lose beyond the old antenna's own, 0 or above. [dB]
    loss_db_per_100m : float
        Loss of 100 m of the feeder at the frequency in question, above 0. [dB/100 m]

    Returns
    -------
    length_m : float
        Gain is spent at this length; 0 where the connectors and the mismatch alone spend it. [m]

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign.

    Notes
    -----
    Limits: both antennas at the same place. A feeder is mostly there to reach a better place, and
    what that brings is measured, not worked out.

    Examples
    --------
    >>> f"{break_even_length_m(4.0, 1.0, 107.8):.2f}"
    '2.78'

    References
    ----------
    .. [1] The gain is spent where gain = feeder + connectors + mismatch; solved exactly.
    """
    gain = float(require_finite(gain_db, "gain_db"))
    other = float(require_not_negative(other_loss_db, "other_loss_db"))
    per_100m = float(require_positive(loss_db_per_100m, "loss_db_per_100m"))
    return 100.0 * max(0.0, gain - other) / per_100m
