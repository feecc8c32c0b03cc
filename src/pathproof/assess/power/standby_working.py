"""The working of the standby link, line by line, so that it can be followed with a pencil."""

from pathproof.assess.context import Context, cite
from pathproof.assess.power.battery_life import BatteryLife
from pathproof.assess.power.loads import LoadSchedule, write_loads
from pathproof.assess.power.standby_asked import Asked
from pathproof.assess.power.standby_figures import StandbyFigures
from pathproof.assess.power.standby_tests import Measured, Taken
from pathproof.assess.sheet import Sheet
from pathproof.calc.power import STANDARD_SIZES_AH, Endurance, SeparateFactors, taken_charge_ah
from pathproof.calc.power.sources import (
    AGEING,
    IEEE_485_SPAN,
    IEEE_485_TEMPERATURE,
    NO_CREDIT_FOR_WARMTH,
    PEUKERT,
    PEUKERT_CAP,
    STANDARD_SIZES,
    STANDBY_FORM,
)
from pathproof.terms import LimitName

__all__ = ["write_currents", "write_dates", "write_figures", "write_volts"]


def write_currents(sheet: Sheet, schedule: LoadSchedule, found: Measured) -> tuple[str, str]:
    """The schedule, and what was measured beside it; returns the lines that go into the charge."""
    standby, alarm = write_loads(sheet, schedule)
    draws = schedule.draws
    standby_a = None if any(d.standby_a is None for d in draws) else schedule.standby_a
    alarm_a = None if any(d.alarm_a is None for d in draws) else schedule.alarm_a
    return (
        _measured(sheet, "Standby", found.standby_a, standby_a, standby),
        _measured(sheet, "Alarm", found.alarm_a, alarm_a, alarm),
    )


def _measured(
    sheet: Sheet, what: str, taken: Taken | None, scheduled_a: float | None, scheduled_line: str
) -> str:
    if taken is None:
        return scheduled_line
    line = sheet.add(
        f"{what} current as measured ({taken.told}), which counts instead of the sum",
        taken.value,
        "A",
    )
    if scheduled_a:
        sheet.add(
            f"{what} current: measured against the sum of the parts",
            100.0 * (taken.value / scheduled_a - 1.0),
            "%",
            formula="100 (measured / sum - 1)",
            inputs={"measured": (taken.value, "A"), "sum": (scheduled_a, "A")},
            needs=(line, scheduled_line),
        )
    return line


def write_figures(
    sheet: Sheet, ctx: Context, asked: Asked, found: StandbyFigures, currents: tuple[str, str]
) -> None:
    """From the hours asked for to the hours that the battery has over."""
    times = _write_times(sheet, ctx, asked)
    charge = _write_charge(sheet, found, (*currents, *times))
    needed = _write_needed(sheet, ctx, found, charge)
    if found.part.chemistry == "lead_acid":
        _write_size(sheet, found, needed)
    fitted = _write_fitted(sheet, found)
    _write_lasting(sheet, found, (fitted, *currents, *times))


def write_volts(sheet: Sheet, found: Measured, needed_v: float | None) -> None:
    """The volts that tell, against the need."""
    if found.loaded_v is None or needed_v is None:
        return
    sheet.add(
        f"Battery volts under alarm load ({found.loaded_v.told}) over what it has to hold",
        found.loaded_v.value - needed_v,
        "V",
        formula="measured - needed",
        inputs={
            "measured": (found.loaded_v.value, "V"),
            "needed": (needed_v, "V"),
            "after": (found.loaded_v.entry.values.loaded_minutes or 0.0, "min"),
        },
    )


def write_dates(sheet: Sheet, life: BatteryLife) -> None:
    """Until when the battery is counted on."""
    due = life.due
    sheet.add(
        f"Battery counted on until: {life.why}",
        "not known" if due is None else due.isoformat(),
        sources=tuple(dict.fromkeys(s for line in life.working for s in line.sources)),
    )


def _write_times(sheet: Sheet, ctx: Context, asked: Asked) -> tuple[str, str]:
    hours, alarm = ctx.limit(asked.hours), ctx.limit(LimitName.ALARM_MIN)
    alarm_line = sheet.add(
        "Time in alarm",
        asked.alarm_h,
        "h",
        formula="minutes / 60",
        inputs={"minutes": (alarm.value, "min")},
        sources=(cite(alarm.source),),
    )
    within = " - time in alarm" if asked.within else ", time in alarm after it"
    standby_line = sheet.add(
        f"Time idle before it: {hours.text[0].lower()}{hours.text[1:]}",
        asked.standby_h,
        "h",
        formula=f"{asked.hours}{within}",
        inputs={str(asked.hours): (hours.value, "h")}
        | ({"time in alarm": (asked.alarm_h, "h")} if asked.within else {}),
        sources=(cite(hours.source),),
        needs=(alarm_line,),
    )
    return standby_line, alarm_line


def _write_charge(sheet: Sheet, found: StandbyFigures, needs: tuple[str, ...]) -> str:
    demand = found.demand
    if demand.alarm_a == demand.standby_a:
        counted = sheet.add(
            "Alarm current that counts: at least that of standby", demand.alarm_a, "A"
        )
        needs = (*needs, counted)
    charge = sheet.add(
        "Charge taken",
        demand.charge_ah,
        "Ah",
        formula="standby current * time idle + alarm current * time in alarm",
        inputs={
            "standby current": (demand.standby_a, "A"),
            "time idle": (demand.standby_h, "h"),
            "alarm current": (demand.alarm_a, "A"),
            "time in alarm": (demand.alarm_h, "h"),
        },
        sources=(STANDBY_FORM,),
        needs=needs,
    )
    if found.battery.peukert == 1.0:
        return charge
    return sheet.add(
        "Charge taken, a load above the rated current counted by Peukert",
        found.needed.taken_ah,
        "Ah",
        formula="idle * max(1, standby current * H / C)^(k - 1) "
        "+ in alarm * max(1, alarm current * H / C)^(k - 1), C being this sum",
        inputs={
            "idle": (demand.standby_ah, "Ah"),
            "in alarm": (demand.alarm_ah, "Ah"),
            "standby current": (demand.standby_a, "A"),
            "alarm current": (demand.alarm_a, "A"),
            "H": (found.battery.hour_rate_h, "h"),
            "C": (found.needed.taken_ah, "Ah"),
            "k": (found.battery.peukert, ""),
        },
        sources=(PEUKERT, PEUKERT_CAP, cite(found.part.sources.get("peukert", found.part.source))),
        needs=(charge,),
    )


def _write_needed(sheet: Sheet, ctx: Context, found: StandbyFigures, charge: str) -> str:
    cold = _write_cold(sheet, found)
    allowance, line = _write_allowance(sheet, ctx, found)
    return sheet.add(
        "Capacity asked for",
        found.needed.capacity_ah,
        "Ah",
        formula="charge taken * factor for the cold * " + " * ".join(allowance),
        inputs={
            "charge taken": (found.needed.taken_ah, "Ah"),
            "factor for the cold": (found.needed.temperature_factor, ""),
            **{name: (value, "") for name, value in allowance.items()},
        },
        sources=(STANDBY_FORM,),
        needs=(charge, cold, *line),
    )


def _write_cold(sheet: Sheet, found: StandbyFigures) -> str:
    if found.temperature_degc is None:
        return sheet.add(
            "Factor for the cold: none, as the table is for lead-acid only; in the cold this one "
            "gives less too",
            found.needed.temperature_factor,
        )
    return sheet.add(
        "Factor for the cold, lead-acid, from memory: it only ever asks for more",
        found.needed.temperature_factor,
        formula="table by temperature, 1 at 25 degC and above",
        inputs={"lowest usual temperature": (found.temperature_degc, "degC")},
        sources=(IEEE_485_TEMPERATURE, IEEE_485_SPAN, NO_CREDIT_FOR_WARMTH),
    )


def _write_allowance(
    sheet: Sheet, ctx: Context, found: StandbyFigures
) -> tuple[dict[str, float], tuple[str, ...]]:
    """The factors by name, and their lines."""
    margin = ctx.limit(LimitName.STANDBY_MARGIN_RATIO)
    allowance = found.needed.allowance
    if not isinstance(allowance, SeparateFactors):
        line = sheet.add("Margin, ageing in it", allowance.ratio, sources=(cite(margin.source),))
        return {"margin": allowance.ratio}, (line,)
    ageing = ctx.limit(LimitName.AGEING_RATIO)
    ageing_line = sheet.add(
        "Factor for ageing",
        1.0 / allowance.ageing_ratio,
        formula="1 / what is left at the end of its life",
        inputs={"what is left at the end of its life": (allowance.ageing_ratio, "")},
        sources=(cite(ageing.source),),
    )
    margin_line = sheet.add(
        "Design margin, ageing not in it", allowance.design_ratio, sources=(cite(margin.source),)
    )
    factors = {"ageing": 1.0 / allowance.ageing_ratio, "design margin": allowance.design_ratio}
    return factors, (ageing_line, margin_line)


def _write_size(sheet: Sheet, found: StandbyFigures, needed: str) -> None:
    size = found.next_size
    sheet.add(
        "Next usual size that holds it",
        "none" if size is None else size.size_ah,
        "" if size is None else "Ah",
        formula=f"usual are {', '.join(f'{x:g}' for x in STANDARD_SIZES_AH)} Ah, or several",
        inputs={} if size is None else {"blocks": (float(size.blocks), "")},
        sources=(STANDARD_SIZES,),
        needs=(needed,),
    )


def _write_fitted(sheet: Sheet, found: StandbyFigures) -> str:
    part = found.part
    return sheet.add(
        f"Capacity of what is fitted, {part.name}",
        found.battery.capacity_ah,
        "Ah",
        formula="capacity of a block * blocks",
        inputs={
            "capacity of a block": (part.capacity_ah, "Ah"),
            "blocks": (found.battery.capacity_ah / part.capacity_ah, ""),
        },
        sources=(cite(part.sources.get("capacity_ah", part.source)),),
    )


def _write_lasting(sheet: Sheet, found: StandbyFigures, needs: tuple[str, ...]) -> None:
    cold = found.needed.temperature_factor
    _write_hours(sheet, found, "Hours it lasts when new", found.new, 1.0, needs)
    ratio = found.end_of_life_ratio
    label = f"Hours it lasts at the end of its life, {100 * ratio:g} % of its rating"
    kept = _write_hours(sheet, found, label, found.end_of_life, ratio, needs)
    if abs(found.kept_ratio - ratio) > 1e-9:
        label = "Hours it lasts with all that the profile adds taken off"
        kept = _write_hours(sheet, found, label, found.kept, found.kept_ratio, needs)
    sheet.add(
        "Hours over what is asked for",
        found.margin_h,
        "h",
        formula="hours it lasts - time idle",
        inputs={
            "hours it lasts": (found.kept.standby_h, "h"),
            "time idle": (found.demand.standby_h, "h"),
        },
        needs=(kept,),
    )
    if cold > 1.0:
        sheet.add(
            "The same without the factor for the cold",
            found.margin_warm_h,
            "h",
            formula="hours it lasts - time idle",
            inputs={
                "hours it lasts": (found.kept_warm.standby_h, "h"),
                "time idle": (found.demand.standby_h, "h"),
            },
        )


def _write_hours(
    sheet: Sheet,
    found: StandbyFigures,
    label: str,
    held: Endurance,
    ratio: float,
    needs: tuple[str, ...],
) -> str:
    battery, demand = found.battery, found.demand
    left_ah = battery.capacity_ah * ratio / found.needed.temperature_factor

    def takes_ah(current_a: float, time_h: float) -> float:
        return taken_charge_ah(current_a, time_h, left_ah, battery.hour_rate_h, battery.peukert)

    by_peukert = battery.peukert > 1.0
    return sheet.add(
        label if held.alarm_held else f"{label}: not even the alarm",
        held.standby_h,
        "h",
        formula="(capacity left - alarm takes) / an hour of standby takes",
        inputs={
            "capacity left": (left_ah, "Ah"),
            "alarm takes": (takes_ah(demand.alarm_a, demand.alarm_h), "Ah"),
            "an hour of standby takes": (takes_ah(demand.standby_a, 1.0), "Ah"),
        },
        sources=(
            *((AGEING,) if ratio < 1.0 else ()),
            *((PEUKERT, PEUKERT_CAP) if by_peukert else ()),
        ),
        needs=needs,
    )
