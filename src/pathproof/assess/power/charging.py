"""Whether a supply carries load, charging and bursts, and charges the battery in time."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from pathproof.assess.context import Context, cite
from pathproof.assess.power.check import (
    CHOOSE_BATTERY,
    Check,
    amount,
    limit_in_force,
    open_check,
    told_check,
)
from pathproof.assess.power.currents import LONGEST_LENT_S, Currents
from pathproof.assess.power.volts import battery_fitted
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Margin
from pathproof.calc.power import (
    CHARGE_LIMIT_PER_H,
    charging_current_a,
    recharge_time_h,
    supply_rating,
)
from pathproof.calc.power.charging import CHARGE_EFFICIENCY_RATIO
from pathproof.calc.power.sources import RECHARGE, SUPPLY_RATING
from pathproof.calc.sources import Source
from pathproof.job import Limit, SupplyPart
from pathproof.job.site import Supply
from pathproof.terms import LimitName, Reason, SupplyKind, Word

__all__ = ["charging_checks"]

_KINDS: Final = {
    SupplyKind.MAINS_RECHARGED: "mains with a battery that it recharges",
    SupplyKind.MAINS_NOT_RECHARGED: "mains with a battery that it does not recharge",
    SupplyKind.BATTERY_ONLY: "a battery without mains",
}


@dataclass(frozen=True, kw_only=True)
class _Rating:
    """One of the two ratings of a supply."""

    field: str
    of: Callable[[SupplyPart], float]
    when: str
    why: str


_ALL_DAY: Final = _Rating(
    field="average_a",
    of=lambda part: part.average_a,
    when="all day",
    why="for what is idle and for charging",
)
_SHORT_TIME: Final = _Rating(
    field="peak_a",
    of=lambda part: part.peak_a,
    when="for a short time",
    why="in alarm with a module's burst while the battery is charged",
)

_LENT: Final = "in alarm while the battery is charged, which lends a module's burst"


def _kept_for_charging_a(supply: Supply, part: SupplyPart) -> float | None:
    """What a supply keeps for charging: none where that is not said, 0 where it charges nothing."""
    if supply.kind is not SupplyKind.MAINS_RECHARGED:
        return 0.0
    return part.charge_a or None


def charging_checks(
    ctx: Context, sheet: Sheet, supply: Supply, part: SupplyPart, taken: Currents
) -> Iterator[Check]:
    """Use, rating all day and for a short time, and recharging."""
    if supply.kind not in part.types:
        made_for = " or ".join(_KINDS[kind] for kind in part.types)
        yield Check(
            word=Word.LACKING,
            why=f"{part.name} ({part.id}) is made for {made_for}, not for {_KINDS[supply.kind]}",
            do="Choose a supply that is made for this use, or correct its kind in the job.",
        )
    charging_a = _kept_for_charging_a(supply, part)
    yield _all_day(sheet, part, taken, charging_a)
    yield _short_time(sheet, part, taken, charging_a)
    if supply.kind is SupplyKind.MAINS_RECHARGED:
        yield _recharge(ctx, sheet, part, charging_a)


def _charging_unknown(part: SupplyPart) -> str:
    return f"what {part.name} ({part.id}) keeps for charging is not known"


def _all_day(sheet: Sheet, part: SupplyPart, taken: Currents, charging_a: float | None) -> Check:
    need_a = supply_rating(taken.standby_a, taken.alarm_a, charging_a or 0.0).average_a
    line = sheet.add(
        "What the supply has to give all day",
        need_a,
        "A",
        formula="standby + charging",
        inputs={
            "standby": (taken.standby_a, "A"),
            "charging": _said(charging_a),
        },
        sources=(SUPPLY_RATING, *_of(part, "charge_a")),
        needs=(taken.standby_line,),
    )
    unknown = _unknown(part, taken.standby_unknown, charging_a)
    return _rated(sheet, part, _ALL_DAY, need_a, unknown, line)


def _short_time(sheet: Sheet, part: SupplyPart, taken: Currents, charging_a: float | None) -> Check:
    lent = f"; the battery lends one of {LONGEST_LENT_S:g} s or less" if taken.burst_lent else ""
    need_a = supply_rating(
        taken.standby_a, taken.alarm_a, charging_a or 0.0, taken.burst_a or 0.0
    ).peak_a
    line = sheet.add(
        "What the supply has to give for a short time",
        need_a,
        "A",
        formula=f"max(alarm, standby) + charging + burst{lent}",
        inputs={
            "alarm": (taken.alarm_a, "A"),
            "standby": (taken.standby_a, "A"),
            "charging": _said(charging_a),
            "burst": _said(taken.burst_a),
        },
        sources=(SUPPLY_RATING, *_of(part, "charge_a")),
        needs=(taken.alarm_line, taken.standby_line),
    )
    unknown = _unknown(part, taken.alarm_unknown or taken.burst_unknown, charging_a)
    rating = (
        replace(_SHORT_TIME, why=_LENT) if taken.burst_lent and not taken.burst_a else _SHORT_TIME
    )
    return _rated(sheet, part, rating, need_a, unknown, line)


def _said(current_a: float | None) -> tuple[float | str, str]:
    """A current as an input of a line."""
    return ("not known", "") if current_a is None else (current_a, "A")


def _unknown(part: SupplyPart, of_the_loads: str, charging_a: float | None) -> str:
    return of_the_loads or ("" if charging_a is not None else _charging_unknown(part))


def _rated(
    sheet: Sheet, part: SupplyPart, rating: _Rating, need_a: float, unknown: str, line: str
) -> Check:
    """A rating of the supply against what is needed, as far as that is known."""
    rated_a = rating.of(part)
    margin_a = rated_a - need_a
    sheet.add(
        f"Margin of the supply's rating {rating.when}",
        margin_a,
        "A",
        formula="rated - needed",
        inputs={"rated": (rated_a, "A"), "needed": (need_a, "A")},
        sources=_of(part, rating.field),
        needs=(line,),
    )
    if margin_a >= 0.0 and unknown:
        return open_check(unknown, "Enter it in the catalogue, from the papers of the part.")
    asked = amount(need_a, "A")
    return told_check(
        f"{part.name} gives {amount(rated_a, 'A')} and has to give {asked} {rating.when}, "
        f"{rating.why}",
        Margin(value=margin_a, unit="A"),
        need_a or rated_a,
        f"Choose a supply that gives {asked} or more {rating.when}, or feed some of the loads from "
        "a supply of their own.",
    )


def _recharge(ctx: Context, sheet: Sheet, part: SupplyPart, charging_a: float | None) -> Check:
    """The time in which the battery gets 80 % back."""
    limit, fitted = limit_in_force(ctx, LimitName.RECHARGE_H), battery_fitted(ctx)
    if fitted is None:
        return open_check("no battery is given", CHOOSE_BATTERY)
    if charging_a is None:
        return open_check(
            _charging_unknown(part),
            f"Enter charge_a of {part.id} in the catalogue, from its papers.",
        )
    battery, count = fitted
    times = _times(sheet, part, battery.capacity_ah * count, charging_a)
    return limit if isinstance(limit, Check) else _timed(sheet, times, limit)


@dataclass(frozen=True, kw_only=True)
class _Times:
    """Times to recharge a battery to 80 %, with their lines."""

    capacity_ah: float
    usual_h: float
    usual_line: str
    least_h: float
    """Without any loss. [h]"""
    least_line: str


def _times(sheet: Sheet, part: SupplyPart, capacity_ah: float, charging_a: float) -> _Times:
    """As usual and at the least, whatever is allowed."""
    usual_a = min(charging_a, CHARGE_LIMIT_PER_H * capacity_ah)
    usual_h = recharge_time_h(capacity_ah, usual_a)
    least_h = recharge_time_h(capacity_ah, charging_a, efficiency_ratio=1.0)
    inputs = {"C": (capacity_ah, "Ah"), "kept for charging": (charging_a, "A")}
    usual = sheet.add(
        "Time to recharge the battery to 80 %, as lead-acid usually does",
        usual_h,
        "h",
        formula="0.8 C / (efficiency * min(kept for charging, 0.25 C))",
        inputs={**inputs, "efficiency": (CHARGE_EFFICIENCY_RATIO, "")},
        sources=(RECHARGE, *_of(part, "charge_a")),
    )
    least = sheet.add(
        "The same without any loss, as nothing does it sooner",
        least_h,
        "h",
        formula="0.8 C / kept for charging",
        inputs=inputs,
        sources=_of(part, "charge_a"),
    )
    return _Times(
        capacity_ah=capacity_ah,
        usual_h=usual_h,
        usual_line=usual,
        least_h=least_h,
        least_line=least,
    )


def _timed(sheet: Sheet, times: _Times, limit: Limit) -> Check:
    """By the usual efficiency and current; since these are from memory, a miss takes more.

    It lacks only where the battery is not charged in time even without any loss.
    """
    lacks, capacity_ah = times.least_h > limit.value, times.capacity_ah
    time_h = times.least_h if lacks else times.usual_h
    margin_h = limit.value - time_h
    sheet.add(
        "Margin of the time to recharge",
        margin_h,
        "h",
        formula="allowed - time without any loss" if lacks else "allowed - time",
        inputs={"allowed": (limit.value, "h"), "time": (time_h, "h")},
        sources=(cite(limit.source),),
        needs=(times.least_line if lacks else times.usual_line,),
    )
    why = (
        f"{amount(time_h, 'h')}{' without any loss' * lacks} to recharge "
        f"{amount(capacity_ah, 'Ah')} to 80 %, where {amount(limit.value, 'h')} are allowed"
    )
    do = _faster(capacity_ah, limit.value)
    if margin_h < 0.0 and not lacks:
        return open_check(f"{why}, by figures from memory, which decide nothing", do, Reason.LIMIT)
    margin = Margin(value=margin_h, unit="h")
    return told_check(why, margin, limit.value or 1.0, do, short="too long")


def _faster(capacity_ah: float, allowed_h: float) -> str:
    """What recharges a battery in time, where any current that it takes does."""
    if allowed_h <= 0.0:
        return "Correct the profile: no battery is recharged in no time."
    needed_a = charging_current_a(capacity_ah, allowed_h)
    if needed_a > CHARGE_LIMIT_PER_H * capacity_ah:
        return "Choose a battery whose papers allow a larger charging current."
    return (
        f"Choose a supply that keeps {amount(needed_a, 'A')} for charging, or a smaller battery if "
        "its hours of standby allow it."
    )


def _of(part: SupplyPart, field: str) -> tuple[Source, ...]:
    """The source of a figure of the supply."""
    return (cite(part.sources.get(field, part.source)),)
