"""The currents that the supply is held against: scheduled, or measured where they were."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.loads import Draws, LoadSchedule, write_loads
from pathproof.assess.power.standby_tests import Taken, taken_currents, write_doubtful
from pathproof.assess.sheet import Sheet
from pathproof.job import CommunicatorPart
from pathproof.job.record import SupplyTestEntry
from pathproof.terms import SupplyKind

__all__ = ["LONGEST_LENT_S", "Currents", "burst_unknown", "currents"]

LONGEST_LENT_S: Final = 1.0
"""A connected battery lends bursts up to this long. House value, no source. [s]"""


@dataclass(frozen=True, kw_only=True)
class Currents:
    """What everything takes together."""

    standby_a: float
    """As far as known. [A]"""
    alarm_a: float
    """As far as known. [A]"""
    burst_a: float | None
    """What a burst of one module adds to the alarm current, where no battery lends it; none where
    nobody says. [A]"""
    burst_lent: bool
    """Whether the battery lends a burst."""
    standby_unknown: str
    """What nobody says of the standby current, in words; empty where it is known."""
    alarm_unknown: str
    """The same of the alarm current."""
    burst_unknown: str
    """The same of a module's bursts that no battery lends."""
    cable_ratio: float
    """What the scheduled currents of cables are multiplied by: above 1 where more was measured."""
    standby_line: str
    alarm_line: str
    alarm_measured_a: float | None
    """As a test has it; none where none does, or it looks like a slip. [A]"""
    missing: tuple[str, ...]
    """What is missing of the currents to prove the supply, in words."""
    slip: str
    """Which current is taken for a slip, in words; empty where none is."""


def currents(
    ctx: Context,
    sheet: Sheet,
    schedule: LoadSchedule,
    tests: Sequence[SupplyTestEntry],
    *,
    slips_count: bool = True,
) -> Currents:
    """Currents by the schedule, or as the newest test that measured them has them.

    A measured one speaks for the whole site, so it also stands in for what the catalogue does not
    say. It does not tell which thing takes it: on cables the schedule counts, and more where more
    was measured. A burst comes on top of what the scheduled alarm current holds of its module; of a
    measured one nobody tells whether the module was sending then, so it counts as idle. A battery
    that the supply recharges lends the bursts of 1 s or less: its own volts in them are looked at
    by :func:`burst_check`. Of a measured one in doubt the larger of measured and scheduled counts;
    one taken for a slip only where `slips_count`.
    """
    not_lent = [d for d in schedule.draws if not _lends(ctx, d)]
    bursts = replace(schedule, draws=tuple(not_lent))
    standby, alarm = taken_currents(ctx, tests, schedule, slips_count=slips_count)
    read = alarm is not None and alarm.value == alarm.measured
    standby_line, alarm_line = write_loads(sheet, schedule)
    return Currents(
        standby_a=schedule.standby_a if standby is None else standby.value,
        alarm_a=schedule.alarm_a if alarm is None else alarm.value,
        burst_a=bursts.burst_a if read else _burst_over_alarm_a(bursts),
        burst_lent=len(not_lent) < len(schedule.draws),
        standby_unknown="" if standby else _unknown(schedule, "standby"),
        alarm_unknown="" if alarm else _unknown(schedule, "alarm"),
        burst_unknown=next((burst_unknown(d) for d in not_lent if burst_unknown(d)), ""),
        cable_ratio=_ratio(schedule, alarm),
        standby_line=_measured(sheet, "Standby", schedule.standby_a, standby, standby_line),
        alarm_line=_measured(sheet, "Alarm", schedule.alarm_a, alarm, alarm_line),
        alarm_measured_a=None if alarm is None or alarm.slip else alarm.measured,
        missing=_missing(standby, alarm),
        slip="; ".join(t.doubt for t in (standby, alarm) if t is not None and t.slip),
    )


def _missing(standby: Taken | None, alarm: Taken | None) -> tuple[str, ...]:
    """Both currents have to be measured; and what was, again where it is in doubt."""
    missing = []
    for what, taken in (("standby", standby), ("alarm", alarm)):
        if taken is None:
            missing.append(f"the {what} current")
        elif taken.doubt:
            missing.append(f"the {what} current again: {taken.doubt}")
    return tuple(missing)


def _lends(ctx: Context, draws: Draws) -> bool:
    """Whether a battery that the supply recharges lends the bursts of a module."""
    supply, part = ctx.site.supply, ctx.job.part(draws.part)
    if ctx.site.battery is None or supply is None or supply.kind is not SupplyKind.MAINS_RECHARGED:
        return False
    if not isinstance(part, CommunicatorPart) or part.burst_s is None:
        return False
    return part.burst_s <= LONGEST_LENT_S


def burst_unknown(draws: Draws) -> str:
    """That nobody says what a module takes in a burst; empty where it is known."""
    if not draws.is_module or draws.peak_a is not None:
        return ""
    return f"the current in a burst of {draws.label} is not known"


def _burst_over_alarm_a(schedule: LoadSchedule) -> float | None:
    """The most that a burst adds to the scheduled alarm current; none where nobody says. [A]"""
    if schedule.burst_a is None:
        return None
    modules = [d for d in schedule.draws if d.is_module and d.peak_a is not None]
    return max((max(0.0, (d.peak_a or 0.0) - (d.alarm_a or 0.0)) for d in modules), default=0.0)


def _ratio(schedule: LoadSchedule, alarm: Taken | None) -> float:
    if alarm is None or schedule.alarm_a <= 0.0 or _unknown(schedule, "alarm"):
        return 1.0
    return max(1.0, alarm.value / schedule.alarm_a)


def _unknown(schedule: LoadSchedule, which: str) -> str:
    """What nobody says of the standby or the alarm current."""
    names = [
        d.label
        for d in schedule.draws
        if (d.standby_a if which == "standby" else d.alarm_a) is None
    ]
    return f"the {which} current of {', '.join(names)} is not known" if names else ""


def _measured(sheet: Sheet, which: str, scheduled_a: float, taken: Taken | None, line: str) -> str:
    """The line of a measured current beside the scheduled one, which is there in any case."""
    if taken is None:
        return line
    if taken.doubt:
        return write_doubtful(sheet, which, taken, scheduled_a, line)
    return sheet.add(
        f"{which} current as measured (entry {taken.told})",
        taken.value,
        "A",
        formula="measured; it counts in place of the scheduled one",
        inputs={
            "scheduled": (scheduled_a, "A"),
            "measured less scheduled": (taken.value - scheduled_a, "A"),
        },
        needs=(line,),
    )
