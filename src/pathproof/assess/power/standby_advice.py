"""What to do about the standby of a panel: remedies, what to ask for, and the test that proves."""

from collections.abc import Iterator
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.loads import load_schedule
from pathproof.assess.power.standby import held_volts
from pathproof.assess.power.standby_tests import measured
from pathproof.assess.types import Link
from pathproof.terms import LimitName, Severity

__all__ = [
    "standby_ask",
    "standby_confirm",
    "standby_findings",
    "standby_proof",
    "standby_remedy",
]

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


def standby_remedy(link: Link) -> str:
    """What a technician can do about a standby that lacks."""
    if link.margin is None:
        return (
            "Check terminals, fuse and charger, fit a new battery of the type that the panel is "
            "made for, let it charge, and test it again."
        )
    return (
        "Fit the size that is named, of a type that panel and charger are made for, or take load "
        "off the supply; record the date and test again."
    )


def standby_ask(ctx: Context) -> str:
    """What to supply where an input of it is missing."""
    if ctx.site.battery is None:
        return "Choose the battery."
    if ctx.site.supply is None:
        return "Choose the supply, and say of which kind it is."
    if ctx.site.panel is None:
        return "Choose the panel."
    if load_schedule(ctx.job).unknown:
        return (
            "Give the currents in the catalogue, from the papers of these parts; or measure "
            "standby and alarm current at the panel and record them as a supply test."
        )
    return "Mend what is named there, in the job or at the site; then assess again."


def standby_confirm(link: Link) -> str:
    """What to do where a limit leaves it open."""
    if link.why.endswith("not confirmed"):
        return f"Confirm the limit from your own copy: {link.why}."
    return f"{link.why[0].upper()}{link.why[1:]}."


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
