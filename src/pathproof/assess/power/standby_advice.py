"""What to do about the standby of a panel: remedies, what to ask for, and the test that proves."""

from collections.abc import Iterator
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.loads import load_schedule
from pathproof.assess.power.standby import held_volts
from pathproof.assess.power.standby_tests import measured
from pathproof.assess.types import Link
from pathproof.terms import LimitName, Severity

__all__ = ["standby_findings", "standby_proof"]

_USUAL_MIN: Final = 5.0
"""Time under load to name where the profile gives none (common practice, no source). [min]"""
_FAR_RATIO: Final = 2.0
"""Measured and stated further apart than this are worth a second look. House value. [ratio]"""

_Draft = tuple[Severity, str, str, str]


def standby_findings(ctx: Context) -> Iterator[_Draft]:
    """Severity, what it is about, text and what to do, of each finding."""
    schedule = load_schedule(ctx.job)
    if schedule.unknown:
        return
    found = measured(ctx, None, None)
    for what, taken, stated_a in (
        ("standby", found.standby_a, schedule.standby_a),
        ("alarm", found.alarm_a, schedule.alarm_a),
    ):
        if taken is not None and not stated_a / _FAR_RATIO <= taken.value <= stated_a * _FAR_RATIO:
            yield (
                Severity.ADVICE,
                "panel",
                f"The {what} current was measured as {taken.value:.3g} A ({taken.told}), and the "
                f"parts state {stated_a:.3g} A together.",
                "Look for a slip of the pen, a part that was not connected or not in alarm then, "
                "one that is not in the job, or a wrong figure in the catalogue; measure again.",
            )


def standby_proof(ctx: Context, link: Link) -> str:
    """The test that proves a standby, for a person on site."""
    limit = ctx.limits.get(LimitName.LOADED_TEST_MIN)
    minutes = _USUAL_MIN if limit is None else limit.value
    needed_v = held_volts(ctx.job)
    at_least = "" if needed_v is None else f" ({needed_v:g} V or more)"
    missing = f" {link.missing}." if link.missing else ""
    return (
        "Put the account on test. Measure standby and alarm current at the battery with the mains "
        f"off at its own switch; keep it in alarm for {minutes:g} minutes and read the battery's "
        f"volts{at_least}; read the date on the battery. Record all of it as a supply test. Mains "
        f"back on, nothing left in alarm, and the account off test.{missing}"
    )
