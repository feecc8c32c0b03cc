"""Words for figures of an assessment, the same on paper, terminal and page."""

import math

from pathproof.calc.mobile import Interval
from pathproof.terms import Technology


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
