"""What supply tests on record have measured of the standby battery and its loads."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.volts import battery_fitted, lead_acid_cells
from pathproof.calc.power.charging import FLOAT_LOW_V
from pathproof.job import links as names
from pathproof.job.record import SupplyTestEntry, SupplyTestValues
from pathproof.terms import LimitName

__all__ = ["Measured", "Taken", "measured", "same_battery", "telling_v"]

_SAME_LOAD_RATIO: Final = 0.9
"""Volts tell of the alarm current that counts if the test had this share of it. House value."""


@dataclass(frozen=True, kw_only=True)
class Taken:
    """One figure with the entry that tells it."""

    value: float
    entry: SupplyTestEntry

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


def measured(ctx: Context, needed_v: float | None, dated: date | None) -> Measured:
    """What was measured of standby, by tests that still fit.

    Parameters
    ----------
    ctx : Context
        Record and limits.
    needed_v : float or None
        Volts that the battery has to hold under alarm load; none where nobody says. [V]
    dated : date or None
        The battery's date; volts of another one, by its date or from before, do not count.
    """
    fitting = ctx.fitting(ctx.entries, names.STANDBY)
    tests = tuple(e for e in fitting if isinstance(e, SupplyTestEntry))
    limit = ctx.limits.get(LimitName.LOADED_TEST_MIN)
    asked_min = limit.value if limit is not None and limit.usable else None
    of_this_one = [e for e in tests if same_battery(e, dated)]
    alarm = _newest(tests, lambda v: v.alarm_current_a or None)
    alarm_a = None if alarm is None else alarm.value
    loaded = _newest(of_this_one, lambda v: telling_v(ctx, v, needed_v, asked_min, alarm_a))
    fail = loaded is not None and needed_v is not None and loaded.value < needed_v
    return Measured(
        tests=tests,
        standby_a=_newest(tests, lambda v: v.standby_current_a or None),
        alarm_a=alarm,
        loaded_v=loaded,
        volts_fail=fail,
        missing_of_volts="" if loaded is not None else _volts_missing(needed_v, asked_min),
    )


def same_battery(entry: SupplyTestEntry, dated: date | None) -> bool:
    """Whether a test was made with the battery of that date, as far as anybody tells."""
    if dated is None:
        return True
    return entry.values.battery_date in (None, dated) and entry.at.date() >= dated


def _newest(
    tests: Sequence[SupplyTestEntry], figure: Callable[[SupplyTestValues], float | None]
) -> Taken | None:
    for entry in reversed(tests):
        value = figure(entry.values)
        if value is not None:
            return Taken(value=value, entry=entry)
    return None


def telling_v(
    ctx: Context,
    values: SupplyTestValues,
    needed_v: float | None,
    asked_min: float | None,
    alarm_a: float | None,
) -> float | None:
    """The volts of a test where they tell: too low at any time, or held for long enough. [V]

    By the alarm current that counts: a test that says it had less than that tells no more than a
    miss.
    """
    volts = _volts_of_battery(ctx, values)
    if volts is None or needed_v is None:
        return None
    if volts < needed_v:
        return volts
    long_enough = asked_min is not None and (values.loaded_minutes or 0.0) >= asked_min
    had_a = values.alarm_current_a or alarm_a or 0.0
    return volts if long_enough and had_a >= _SAME_LOAD_RATIO * (alarm_a or 0.0) else None


def _volts_of_battery(ctx: Context, values: SupplyTestValues) -> float | None:
    """Volts under load of a test; none where a charger held them, the mains being on. [V]

    No lead-acid battery that gives current has the volts at which a charger holds a full one.
    """
    fitted, volts = battery_fitted(ctx), values.loaded_v
    if fitted is None or volts is None or fitted[0].chemistry != "lead_acid":
        return volts
    return volts if volts < FLOAT_LOW_V * lead_acid_cells(fitted[0]) else None


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
