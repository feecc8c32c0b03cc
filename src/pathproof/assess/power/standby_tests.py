"""What supply tests on record have measured of the standby battery and its loads."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.check import amount
from pathproof.assess.power.loads import LoadSchedule, load_schedule
from pathproof.assess.power.volts import battery_fitted, full_v
from pathproof.assess.sheet import Sheet
from pathproof.job import links as names
from pathproof.job.record import SupplyTestEntry, SupplyTestValues
from pathproof.terms import LimitName

__all__ = [
    "MEASURE_AGAIN",
    "Measured",
    "Taken",
    "date_not_come",
    "measured",
    "not_of_battery",
    "same_battery",
    "taken_currents",
    "telling_v",
    "too_old",
    "untold_volts",
    "write_doubtful",
]

MEASURE_AGAIN: Final = (
    "Measure standby and alarm current at the panel again before anything is bought for it, and "
    "record them as a supply test."
)
_SAME_LOAD_RATIO: Final = 0.9
"""Volts tell of the alarm current that counts if the test had this share of it. House value."""
_STANDBY_RATIO: Final = 1.5
_ALARM_RATIO: Final = 2.0
"""A current further from what the parts state together is taken for a slip. House values."""
_SAME: Final = 1e-9


@dataclass(frozen=True, kw_only=True)
class Taken:
    """One figure with the entry that tells it."""

    value: float
    """What counts: as measured, or where that is in doubt the larger of measured and stated."""
    measured: float
    entry: SupplyTestEntry
    doubt: str = ""
    """Why it proves nothing, in words; empty where it does."""
    slip: bool = False
    """Whether it is so unlikely that it makes nothing lack."""

    @property
    def told(self) -> str:
        """By which entry, and when."""
        return f"{self.entry.id}, {self.entry.at:%Y-%m-%d}"


@dataclass(frozen=True, kw_only=True)
class Measured:
    """Each figure from the newest test that tells it, of tests that fit what is there."""

    tests: tuple[SupplyTestEntry, ...]
    """All that fit, oldest first."""
    standby_a: Taken | None
    alarm_a: Taken | None
    loaded_v: Taken | None
    """Volts under alarm load that tell: below the need, or long enough at or above it."""
    volts_fail: bool
    """Whether these volts are below the need."""
    missing_of_volts: str
    """What is missing for the volts to prove anything, in words; empty where they do."""

    @property
    def in_part(self) -> bool:
        """Whether somebody began to test."""
        return bool(self.tests)

    @property
    def missing_of_currents(self) -> tuple[str, ...]:
        """What is missing for the currents to prove anything, in words."""
        return tuple(
            f"the {what} current, measured{'' if taken is None else f' again: {taken.doubt}'}"
            for what, taken in (("standby", self.standby_a), ("alarm", self.alarm_a))
            if taken is None or taken.doubt
        )

    @property
    def slip(self) -> str:
        """Which current is taken for a slip, in words; empty where none is."""
        both = (self.standby_a, self.alarm_a)
        return "; ".join(t.doubt for t in both if t is not None and t.slip)


def measured(
    ctx: Context, needed_v: float | None, dated: date | None, *, slips_count: bool = True
) -> Measured:
    """What was measured of standby, by tests that still fit.

    Parameters
    ----------
    ctx : Context
        Record and limits.
    needed_v : float or None
        Volts that the battery has to hold under alarm load; none where nobody says. [V]
    dated : date or None
        The battery's date; volts of another one, by its date or from before, do not count.
    slips_count : bool
        Whether a current taken for a slip counts where it is more than what the parts state.
    """
    fitting = ctx.fitting(ctx.entries, names.STANDBY)
    tests = tuple(e for e in fitting if isinstance(e, SupplyTestEntry))
    limit = ctx.limits.get(LimitName.LOADED_TEST_MIN)
    asked_min = limit.value if limit is not None and limit.usable else None
    of_this_one = [e for e in tests if same_battery(e, dated)]
    standby, alarm = taken_currents(ctx, tests, load_schedule(ctx.job), slips_count=slips_count)
    alarm_a = None if alarm is None or alarm.slip else alarm.measured
    loaded = _newest(of_this_one, lambda e: telling_v(ctx, e, needed_v, asked_min, alarm_a))
    fail = loaded is not None and needed_v is not None and loaded.value < needed_v
    missing = "" if loaded is not None else _volts_missing(needed_v, asked_min)
    return Measured(
        tests=tests,
        standby_a=standby,
        alarm_a=alarm,
        loaded_v=loaded,
        volts_fail=fail,
        missing_of_volts=f"{missing}{untold_volts(ctx, of_this_one)}" if missing else "",
    )


def taken_currents(
    ctx: Context,
    tests: Sequence[SupplyTestEntry],
    schedule: LoadSchedule,
    *,
    slips_count: bool = True,
) -> tuple[Taken | None, Taken | None]:
    """Standby and alarm current by the newest tests that measured them; 0 is not measured.

    One in doubt proves nothing until it is measured again; until then the larger of measured and
    stated counts. In doubt is a current of an old test, and what looks like a slip: standby beyond
    1.5 times, alarm beyond twice what the parts state or as far below it, or alarm below standby.
    """
    standby = _newest(tests, lambda e: e.values.standby_current_a or None)
    alarm = _newest(tests, lambda e: e.values.alarm_current_a or None)
    standby_slip, alarm_slip = _slips(schedule, standby, alarm)
    slips_count = slips_count or bool(schedule.unknown)
    return (
        _judged(ctx, standby, schedule.standby_a, standby_slip, slips_count),
        _judged(ctx, alarm, schedule.alarm_a, alarm_slip, slips_count),
    )


def _slips(schedule: LoadSchedule, standby: Taken | None, alarm: Taken | None) -> tuple[str, str]:
    """Why the currents look like slips, in words; empty where they do not."""
    draws = schedule.draws
    standby_a = None if any(d.standby_a is None for d in draws) else schedule.standby_a
    alarm_a = None if any(d.alarm_a is None for d in draws) else schedule.alarm_a
    standby_slip = _far_from(standby, standby_a, _STANDBY_RATIO)
    alarm_slip = _far_from(alarm, alarm_a, _ALARM_RATIO)
    if alarm_slip or standby_slip or standby is None or alarm is None:
        return standby_slip, alarm_slip
    so_stated = alarm_a is not None and standby_a is not None and alarm_a < standby_a
    if alarm.measured < standby.measured and not so_stated:
        alarm_slip = (
            f"{amount(alarm.measured, 'A')} in alarm ({alarm.told}), less than the "
            f"{amount(standby.measured, 'A')} in standby ({standby.told})"
        )
    return "", alarm_slip


def _far_from(taken: Taken | None, stated_a: float | None, ratio: float) -> str:
    if taken is None or not stated_a:
        return ""
    low_a, high_a = stated_a / ratio * (1.0 - _SAME), stated_a * ratio * (1.0 + _SAME)
    if low_a <= taken.measured <= high_a:
        return ""
    return (
        f"{amount(taken.measured, 'A')} ({taken.told}), where the parts state "
        f"{amount(stated_a, 'A')} together"
    )


def _judged(
    ctx: Context, taken: Taken | None, stated_a: float, slip: str, slips_count: bool
) -> Taken | None:
    if taken is None:
        return None
    doubt = slip or too_old(ctx, taken.entry)
    if not doubt:
        return taken
    counts = slips_count or not slip
    value = max(taken.measured, stated_a) if counts else stated_a
    return replace(taken, value=value, doubt=doubt, slip=bool(slip))


def write_doubtful(
    sheet: Sheet, which: str, taken: Taken, stated_a: float | None, stated_line: str
) -> str:
    """The line of the current that counts where the measured one is in doubt."""
    counts = "max(measured, sum of the parts)"
    return sheet.add(
        f"{which} current that counts, the measured one ({taken.told}) being in doubt",
        taken.value,
        "A",
        formula=counts if taken.value >= taken.measured else "sum of the parts",
        inputs={
            "measured": (taken.measured, "A"),
            "sum of the parts": ("not known", "") if stated_a is None else (stated_a, "A"),
        },
        needs=(stated_line,),
    )


def too_old(ctx: Context, entry: SupplyTestEntry) -> str:
    """Why a test proves nothing by its age, in words; empty where it does."""
    limit = ctx.limits.get(LimitName.SUPPLY_TEST_MAX_AGE_DAYS)
    if limit is None or not limit.usable:
        return f"a limit {LimitName.SUPPLY_TEST_MAX_AGE_DAYS} has to be given and confirmed"
    if ctx.as_of - entry.at <= timedelta(days=limit.value):
        return ""
    return f"{entry.id} is of {entry.at:%Y-%m-%d}, more than {limit.value:g} days ago"


def date_not_come(entry: SupplyTestEntry) -> bool:
    """Whether a test tells a date of the battery that had not come on its own day."""
    return entry.values.battery_date is not None and entry.values.battery_date > entry.at.date()


def same_battery(entry: SupplyTestEntry, dated: date | None) -> bool:
    """Whether a test was made with the battery of that date, as far as anybody tells."""
    if dated is None:
        return True
    read = None if date_not_come(entry) else entry.values.battery_date
    return read in (None, dated) and entry.at.date() >= dated


def _newest(
    tests: Sequence[SupplyTestEntry], figure: Callable[[SupplyTestEntry], float | None]
) -> Taken | None:
    for entry in reversed(tests):
        value = figure(entry)
        if value is not None:
            return Taken(value=value, measured=value, entry=entry)
    return None


def telling_v(
    ctx: Context,
    entry: SupplyTestEntry,
    needed_v: float | None,
    asked_min: float | None,
    alarm_a: float | None,
) -> float | None:
    """The volts of a test where they tell: too low at any time, or held for long enough. [V]

    By the alarm current that counts: a test that says it had less than that tells no more than a
    miss. So does one that is too old, or whose volts cannot be those of a battery under load.
    """
    values = entry.values
    volts = values.loaded_v
    if volts is None or needed_v is None or volts < needed_v:
        return None if needed_v is None else volts
    if not_of_battery(ctx, values) or too_old(ctx, entry):
        return None
    long_enough = asked_min is not None and (values.loaded_minutes or 0.0) >= asked_min
    had_a = values.alarm_current_a or alarm_a or 0.0
    return volts if long_enough and had_a >= _SAME_LOAD_RATIO * (alarm_a or 0.0) else None


def not_of_battery(ctx: Context, values: SupplyTestValues) -> str:
    """Why volts cannot be those of a battery under load, in words; empty where they can."""
    fitted, volts, charger_v = battery_fitted(ctx), values.loaded_v, values.charger_v
    if volts is None:
        return ""
    if charger_v is not None and volts >= charger_v:
        return (
            f"{volts:g} V under load, no less than the charger's {charger_v:g} V: the mains was "
            "on, or a slip"
        )
    if fitted is not None and volts > full_v(fitted[0]) + _SAME:
        return (
            f"{volts:g} V under load, more than the {full_v(fitted[0]):.4g} V of a full battery: "
            "the mains was on, or a slip"
        )
    return ""


def untold_volts(ctx: Context, tests: Sequence[SupplyTestEntry]) -> str:
    """Why the newest volts under load do not count, to be said in brackets; empty where nothing."""
    entry = next((e for e in reversed(tests) if e.values.loaded_v is not None), None)
    if entry is None:
        return ""
    why = not_of_battery(ctx, entry.values)
    told = f"{entry.id} has {why}" if why else too_old(ctx, entry)
    return f" ({told})" if told else ""


def _volts_missing(needed_v: float | None, asked_min: float | None) -> str:
    if needed_v is None:
        return (
            "the volts that the battery has to hold (end_v of the battery or minimum_v of the "
            "panel in the catalogue)"
        )
    if asked_min is None:
        return "a limit loaded_test_min that is given and confirmed"
    return (
        f"battery volts under alarm load after {asked_min:g} min with the mains off, "
        f"{needed_v:g} V or more"
    )
