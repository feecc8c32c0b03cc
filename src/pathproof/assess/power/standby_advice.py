"""What to do about the standby of a panel: remedies, what to ask for, and the test that proves."""

from collections.abc import Iterable, Iterator
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.loads import load_schedule
from pathproof.assess.power.standby import held_volts
from pathproof.assess.power.standby_tests import date_not_come, not_of_battery, taken_currents
from pathproof.assess.types import Link
from pathproof.job import links as names
from pathproof.job.record import Entry, SupplyTestEntry
from pathproof.terms import LimitName, Severity

__all__ = ["standby_findings", "standby_proof"]

_USUAL_MIN: Final = 5.0
"""Time under load to name where the profile gives none (common practice, no source). [min]"""

_Draft = tuple[Severity, str, str, str]


def standby_findings(ctx: Context) -> Iterator[_Draft]:
    """Severity, what it is about, text and what to do, of each finding."""
    for said in dict.fromkeys([*_slips(ctx, names.SUPPLY), *_slips(ctx, names.STANDBY)]):
        yield (
            Severity.GAP,
            "panel",
            f"{said}. It proves nothing until it is measured again.",
            "Look for a slip of the pen, a part that was not connected or not in alarm then, one "
            "that is not in the job, or a wrong figure in the catalogue; measure again, and buy "
            "nothing for it before.",
        )
    yield from _volts(ctx)
    for entry in _tests(ctx.entries):
        if date_not_come(entry):
            yield (
                Severity.GAP,
                "battery",
                f"{entry.id} of {entry.at:%Y-%m-%d} tells {entry.values.battery_date} as the date "
                "on the battery, a date in the future then. It does not count.",
                "Read the date on the battery again, and correct the entry.",
            )


def _tests(entries: Iterable[Entry]) -> list[SupplyTestEntry]:
    return [e for e in entries if isinstance(e, SupplyTestEntry)]


def _slips(ctx: Context, link: str) -> Iterator[str]:
    tests = _tests(ctx.fitting(ctx.entries, link))
    both = taken_currents(ctx, tests, load_schedule(ctx.job))
    for what, taken in zip(("standby", "alarm"), both, strict=True):
        if taken is not None and taken.slip:
            yield f"The {what} current was measured as {taken.doubt}"


def _volts(ctx: Context) -> Iterator[_Draft]:
    """The newest volts under load, where no battery under load has them."""
    told = [e for e in _tests(ctx.fitting(ctx.entries, names.STANDBY)) if e.values.loaded_v]
    why = not_of_battery(ctx, told[-1].values) if told else ""
    if why:
        yield (
            Severity.GAP,
            "battery",
            f"{told[-1].id} of {told[-1].at:%Y-%m-%d} has {why}. It proves nothing.",
            "Test again with the mains off at its own switch, as long as asked in alarm, and read "
            "the volts at the battery itself.",
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
