"""Words for figures of an assessment, the same on paper, terminal and page."""

import math
from typing import Final

from pathproof.assess.choice import Ranked
from pathproof.calc.mobile import Interval
from pathproof.terms import Technology

_DECIMALS: Final = {"A": 6, "ohm": 4, "ohm/m": 4, "F": 4, "Ah": 4, "V": 3}
_DECIMALS_BELOW_1: Final = {"h": 4}
_USUAL_DECIMALS: Final = 2


def decimals(value: float, unit: str) -> int:
    """Most decimals of a figure: so many that sums come out with the figures that are shown."""
    if abs(value) < 1.0 and unit in _DECIMALS_BELOW_1:
        return _DECIMALS_BELOW_1[unit]
    return _DECIMALS.get(unit, _USUAL_DECIMALS)


def odds_text(ratio: float) -> str:
    """Odds as people say them, such as "95 in 100"; never rounded up to certainty or down to none.

    Parameters
    ----------
    ratio : float
        Odds, 0 to 1. Not even 1 is said to be certain: it is a rounded figure, or the house rule
        that proven links count as working.
    """
    if ratio >= 0.995:
        return "more than 99 in 100"
    return f"{ratio * 100:.0f} in 100" if ratio > 0.005 else "less than 1 in 100"


def years_text(years: float) -> str:
    """How long something lasts, in tenths of a year and never rounded up, such as "4.6 years"."""
    tenths = math.floor(years * 10.0 + 1e-9) / 10.0
    return f"{tenths:g} year{'' if tenths == 1.0 else 's'}"


def yearly_text(ranked: Ranked, currency: str) -> str:
    """What an offer costs, such as "84.00 EUR a year"; beside a second path what each one does."""
    own = _yearly(ranked.yearly_cost, currency)
    if ranked.second is None:
        return own
    other, both = ranked.second.yearly_cost, ranked.pair_yearly_cost
    if both is None:
        return f"main path {own}, second path {_yearly(other, currency)}"
    return f"{ranked.yearly_cost:,.2f} and {other:,.2f}, together {_yearly(both, currency)}"


def _yearly(cost: float | None, currency: str) -> str:
    return "not known" if cost is None else f"{cost:,.2f} {currency} a year"


def technology_text(technology: Technology) -> str:
    """A mobile technology as people write it, such as "LTE-M"."""
    return technology.upper().replace("_", "-").replace("IOT", "IoT")


def level_text(level_dbm: Interval) -> str:
    """A level in the middle of its bin, such as "-85.5 dBm", "-109 dBm or less"."""
    if math.isinf(level_dbm.low) and math.isinf(level_dbm.high):
        return "beyond what the instrument shows"
    if math.isinf(level_dbm.low):
        return f"{level_dbm.high:g} dBm or less"
    if math.isinf(level_dbm.high):
        return f"{level_dbm.low:g} dBm or more"
    return f"{round((level_dbm.low + level_dbm.high) / 2.0, 1):g} dBm"
