"""When to replace a standby battery: by its life in the warmth, or by a rule. Scalar code."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from pathproof.calc._arrays import require_finite, require_positive
from pathproof.calc.power.sources import REPLACEMENT_2022, REPLACEMENT_BEFORE_2022
from pathproof.calc.sources import Source
from pathproof.terms import OutOfRangeError

HALVES_PER_K = 10.0
"""Warmth that halves the life (sources.LIFE_BY_TEMPERATURE; 8 to 10 is said). [K]"""
COLDEST_DEGC = -40.0
WARMEST_DEGC = 60.0
"""Where the rule is used: house rule, no source. [degC]"""


@dataclass(frozen=True, kw_only=True)
class ReplacementRule:
    """How long after its making a battery is replaced at the latest, whatever its life."""

    years: float
    """[years]"""
    source: Source


REPLACEMENT_RULES: Mapping[str, ReplacementRule] = MappingProxyType(
    {
        "nfpa_72_before_2022": ReplacementRule(years=5.0, source=REPLACEMENT_BEFORE_2022),
        "nfpa_72_2022": ReplacementRule(years=4.0, source=REPLACEMENT_2022),
    }
)
"""By rule and edition: which of them is adopted, the place decides."""


def service_life_years(
    design_life_years: float, temperature_degc: float, stated_at_degc: float = 20.0
) -> float:
    r"""Life of a lead-acid battery where it stands.

    .. math:: L = L_0 \, 2^{-(T - T_0) / 10}

    Parameters
    ----------
    design_life_years : float
        L0, as its maker states it, above 0. [years]
    temperature_degc : float
        T, average over the year, -40 to 60. [degC]
    stated_at_degc : float
        T0, temperature that the maker states it for, -40 to 60. [degC]

    Returns
    -------
    life_years : float
        Never longer than the maker states, however cold. [years]

    Raises
    ------
    InvalidInputError
        A value is not finite, or the life is not above 0.
    OutOfRangeError
        A temperature is outside -40 to 60 degC.

    Notes
    -----
    Limits: a rule of thumb; 8 to 10 K are said to halve the life, and 10 K fit a handbook's 8, 6
    and 4 years of AGM at 20, 25 and 30 degC to half a year.

    Examples
    --------
    >>> service_life_years(8.0, 30.0)
    4.0

    References
    ----------
    .. [1] Life halves for each 10 K; from memory. Years of AGM: a public handbook's table.
    """
    life = float(require_positive(design_life_years, "design_life_years"))
    above_k = _checked(temperature_degc, "temperature_degc") - _checked(
        stated_at_degc, "stated_at_degc"
    )
    return life * float(2.0 ** (-max(0.0, above_k) / HALVES_PER_K))


def _checked(temperature_degc: float, name: str) -> float:
    value = float(require_finite(temperature_degc, name))
    if not COLDEST_DEGC <= value <= WARMEST_DEGC:
        raise OutOfRangeError(
            name, value, COLDEST_DEGC, WARMEST_DEGC, "degC", "the rule for the life of batteries"
        )
    return value


def replace_after_years(life_years: float, rule: ReplacementRule | None = None) -> float:
    """How long after its making a battery is to be replaced.

    Parameters
    ----------
    life_years : float
        Its life where it stands, above 0. [years]
    rule : ReplacementRule or None
        One of ``REPLACEMENT_RULES``, or none where no rule is in force.

    Returns
    -------
    years : float
        The sooner of both. [years]

    Raises
    ------
    InvalidInputError
        The life is not finite, or not above 0.

    Notes
    -----
    A battery that fails its load test is replaced then, whatever its date.

    Examples
    --------
    >>> replace_after_years(service_life_years(8.0, 25.0), REPLACEMENT_RULES["nfpa_72_2022"])
    4.0
    """
    life = float(require_positive(life_years, "life_years"))
    return life if rule is None else min(life, rule.years)
