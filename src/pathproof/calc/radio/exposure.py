"""How far people should keep from a sending antenna. Scalar code.

Far-field distances by 47 CFR 1.1310 and ICNIRP 2020, the near field where they do not hold, and the
distance that a module's maker states, which comes first.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from pathproof.calc._arrays import require_finite, require_positive
from pathproof.calc._constants import SPEED_OF_LIGHT_M_PER_S
from pathproof.calc.radio.sources import CFR_1_1310, ICNIRP_LOCAL, ICNIRP_WHOLE_BODY
from pathproof.calc.sources import Source
from pathproof.terms import InvalidInputError, OutOfRangeError

STATED_DISTANCE_M = 0.20
"""What module papers usually state (practice); taken where a module's own is not known. [m]"""
GROUND_REFLECTION_RATIO = 2.56  # of the power density: 1.6 times the field (GROUND_REFLECTION)
MOST_EIRP_DBM = 100.0
"""10 MW; more is a slip of the pen. [dBm]"""


class DistanceRule(StrEnum):
    """What sets the distance to keep."""

    STATED = "stated distance"
    NEAR_FIELD = "near-field limit"
    CFR_GENERAL = "47 CFR 1.1310, general population"
    CFR_OCCUPATIONAL = "47 CFR 1.1310, occupational"
    ICNIRP_PUBLIC = "ICNIRP 2020, general public, whole body"
    ICNIRP_PUBLIC_LOCAL = "ICNIRP 2020, general public, local"


PUBLIC_RULES = (DistanceRule.CFR_GENERAL, DistanceRule.ICNIRP_PUBLIC)
"""For everybody. ICNIRP's local levels are at least four times as high as those for the whole body
and never ask for more distance."""


@dataclass(frozen=True, kw_only=True)
class ExposureLimit:
    """A limit of power density by frequency, averaged over some time."""

    spans: tuple[tuple[float, float, Callable[[float], float]], ...]
    """From, to [Hz], and the limit [W/m2] by the frequency in MHz."""
    averaged_min: float
    """Over how long power may be averaged. [min]"""
    source: Source

    @property
    def low_hz(self) -> float:
        """Lowest frequency covered. [Hz]"""
        return self.spans[0][0]

    @property
    def high_hz(self) -> float:
        """Highest frequency covered. [Hz]"""
        return self.spans[-1][1]


# 1 mW/cm2 is 10 W/m2. What 47 CFR 1.1310 asks of occupational exposure below 300 MHz was not seen.
EXPOSURE_LIMITS: Mapping[DistanceRule, ExposureLimit] = MappingProxyType(
    {
        DistanceRule.CFR_GENERAL: ExposureLimit(
            spans=(
                (30e6, 300e6, lambda f_mhz: 2.0),  # 0.2 mW/cm2
                (300e6, 1500e6, lambda f_mhz: f_mhz / 150.0),  # f/1500 mW/cm2
                (1500e6, 100e9, lambda f_mhz: 10.0),  # 1.0 mW/cm2
            ),
            averaged_min=30.0,
            source=CFR_1_1310,
        ),
        DistanceRule.CFR_OCCUPATIONAL: ExposureLimit(
            spans=(
                (300e6, 1500e6, lambda f_mhz: f_mhz / 30.0),  # f/300 mW/cm2
                (1500e6, 100e9, lambda f_mhz: 50.0),  # 5.0 mW/cm2
            ),
            averaged_min=6.0,
            source=CFR_1_1310,
        ),
        DistanceRule.ICNIRP_PUBLIC: ExposureLimit(
            spans=(
                (30e6, 400e6, lambda f_mhz: 2.0),
                (400e6, 2000e6, lambda f_mhz: f_mhz / 200.0),
                (2000e6, 300e9, lambda f_mhz: 10.0),
            ),
            averaged_min=30.0,
            source=ICNIRP_WHOLE_BODY,
        ),
        DistanceRule.ICNIRP_PUBLIC_LOCAL: ExposureLimit(
            spans=(
                (30e6, 400e6, lambda f_mhz: 10.0),
                (400e6, 2000e6, lambda f_mhz: 0.058 * f_mhz**0.86),
                (2000e6, 6e9, lambda f_mhz: 40.0),
            ),
            averaged_min=6.0,
            source=ICNIRP_LOCAL,
        ),
    }
)


@dataclass(frozen=True, kw_only=True)
class DistanceToKeep:
    """The distance to keep from an antenna, and what set it."""

    keep_m: float
    """[m]"""
    rule: DistanceRule
    """What asks for the most distance."""
    far_field_m: Mapping[DistanceRule, float]
    """Far-field distance by each limit. [m]"""
    near_field_m: float
    """Nearer than this the far-field formula does not hold. [m]"""
    stated_m: float
    """What the module's maker states. [m]"""


def exposure_limit_w_per_m2(rule: DistanceRule, frequency_hz: float) -> float:
    """The power density that a rule allows at a frequency.

    Parameters
    ----------
    rule : DistanceRule
        One that sets a limit, a key of ``EXPOSURE_LIMITS``.
    frequency_hz : float
        Within what the rule covers. [Hz]

    Returns
    -------
    limit_w_per_m2 : float
        10 W/m2 is 1 mW/cm2. [W/m2]

    Raises
    ------
    InvalidInputError
        The rule sets no limit, or the frequency is not finite or not above 0.
    OutOfRangeError
        The rule does not cover the frequency.

    Notes
    -----
    Limits: averaged over the rule's time. A sender that is silent most of the time reaches less.
    Where two spans of a rule meet, the lower span's limit counts.

    Examples
    --------
    >>> f"{exposure_limit_w_per_m2(DistanceRule.CFR_GENERAL, 824e6):.4f}"
    '5.4933'

    References
    ----------
    .. [1] 47 CFR 1.1310, as a regulator's page restates it.
    .. [2] ICNIRP guidelines 2020: local levels as restated in a textbook, whole-body levels from
       memory.
    """
    if rule not in EXPOSURE_LIMITS:
        raise InvalidInputError(
            f"rule was {rule!r}; it must be one of {'; '.join(sorted(EXPOSURE_LIMITS))}."
        )
    limit = EXPOSURE_LIMITS[rule]
    frequency = float(require_positive(frequency_hz, "frequency_hz"))
    for low_hz, high_hz, w_per_m2 in limit.spans:
        if low_hz <= frequency <= high_hz:
            return w_per_m2(frequency / 1e6)
    raise OutOfRangeError(
        "frequency_hz", frequency, limit.low_hz, limit.high_hz, "Hz", DistanceRule(rule)
    )


def far_field_distance_m(
    rule: DistanceRule, eirp_dbm: float, frequency_hz: float, ground_reflection: bool = False
) -> float:
    r"""The distance at which a sender reaches the power density that a rule allows.

    .. math:: R = \sqrt{EIRP / (4 \pi S)}

    Parameters
    ----------
    rule : DistanceRule
        One that sets a limit, a key of ``EXPOSURE_LIMITS``.
    eirp_dbm : float
        Power into the antenna plus its gain over isotropic, 100 dBm at most. [dBm]
    frequency_hz : float
        Within what the rule covers. [Hz]
    ground_reflection : bool
        Whether a full reflection from the ground counts: 2.56 times the power density.

    Returns
    -------
    distance_m : float
        [m]

    Raises
    ------
    InvalidInputError
        The rule sets no limit, or a value is not finite or makes no sense.
    OutOfRangeError
        The rule does not cover the frequency.

    Notes
    -----
    Limits: far field, in the direction of the main beam, sending all the time. Nearer than
    :func:`near_field_limit_m` the formula does not hold.

    Examples
    --------
    >>> f"{far_field_distance_m(DistanceRule.CFR_GENERAL, 26.01, 824e6):.4f}"
    '0.0760'

    References
    ----------
    .. [1] Power density over a sphere in free space; computed in two independent ways.
    .. [2] OET Bulletin 65, factor for full ground reflection; from memory.
    """
    limit_w_per_m2 = exposure_limit_w_per_m2(rule, frequency_hz)
    eirp = float(require_finite(eirp_dbm, "eirp_dbm"))
    if eirp > MOST_EIRP_DBM:
        raise InvalidInputError(
            f"eirp_dbm was {eirp:g}; it must be {MOST_EIRP_DBM:g} or below (26 is 0.4 W)."
        )
    eirp_w = 10.0 ** ((eirp - 30.0) / 10.0) * (
        GROUND_REFLECTION_RATIO if ground_reflection else 1.0
    )
    return math.sqrt(eirp_w / (4.0 * math.pi * limit_w_per_m2))


def near_field_limit_m(frequency_hz: float) -> float:
    r"""Where the reactive near field of a small antenna ends.

    .. math:: r = \lambda / 2 \pi

    Parameters
    ----------
    frequency_hz : float
        Above 0. [Hz]

    Returns
    -------
    distance_m : float
        [m]

    Raises
    ------
    InvalidInputError
        The frequency is not finite, or not above 0.

    Notes
    -----
    Limits: a soft edge, for antennas smaller than about half a wavelength; before a large antenna
    the far field begins further out.

    Examples
    --------
    >>> f"{near_field_limit_m(824e6):.3f}"
    '0.058'

    References
    ----------
    .. [1] Common practice, no source.
    """
    frequency = float(require_positive(frequency_hz, "frequency_hz"))
    return SPEED_OF_LIGHT_M_PER_S / (2.0 * math.pi * frequency)


def distance_to_keep(
    eirp_dbm: float,
    frequency_hz: float,
    stated_m: float = STATED_DISTANCE_M,
    rules: tuple[DistanceRule, ...] = PUBLIC_RULES,
    ground_reflection: bool = False,
) -> DistanceToKeep:
    """The distance to keep people from an antenna, and what asks for it.

    Parameters
    ----------
    eirp_dbm : float
        Power into the antenna plus its gain over isotropic, 100 dBm at most. [dBm]
    frequency_hz : float
        Within what every rule covers. [Hz]
    stated_m : float
        Distance that the module's papers state, above 0; 0.20 m is usual. [m]
    rules : tuple of DistanceRule
        Limits to meet, all of them.
    ground_reflection : bool
        Whether a full reflection from the ground counts.

    Returns
    -------
    distance : DistanceToKeep
        The largest of the stated distance, the near-field limit and the far-field distances [m],
        and which of them it is.

    Raises
    ------
    InvalidInputError
        A rule sets no limit, or a value is not finite or makes no sense.
    OutOfRangeError
        A rule does not cover the frequency.

    Notes
    -----
    Limits: a caution, no assessment of a site; the maker's papers and local rules come first.

    Examples
    --------
    >>> distance = distance_to_keep(26.0, 824e6)
    >>> distance.keep_m, str(distance.rule)
    (0.2, 'stated distance')

    References
    ----------
    .. [1] Sources of :func:`far_field_distance_m` and :func:`near_field_limit_m`; that the stated
       distance comes first is the house's rule.
    """
    stated = float(require_positive(stated_m, "stated_m"))
    near = near_field_limit_m(frequency_hz)
    far = {r: far_field_distance_m(r, eirp_dbm, frequency_hz, ground_reflection) for r in rules}
    asked = {DistanceRule.STATED: stated, DistanceRule.NEAR_FIELD: near, **far}
    binding = max(asked, key=lambda rule: asked[rule])
    return DistanceToKeep(
        keep_m=asked[binding], rule=binding, far_field_m=far, near_field_m=near, stated_m=stated
    )
