"""The working of the standby link, line by line, so that it can be followed with a pencil."""

from pathproof.assess.context import Context, cite
from pathproof.assess.power.battery_life import BatteryLife
from pathproof.assess.power.loads import LoadSchedule, write_loads
from pathproof.assess.power.standby_asked import Asked
from pathproof.assess.power.standby_figures import StandbyFigures
from pathproof.assess.power.standby_tests import Measured, Taken, write_doubtful
from pathproof.assess.sheet import Sheet
from pathproof.calc.power import (
    STANDARD_SIZES_AH,
    Allowance,
    BatterySize,
    Endurance,
    RequiredCapacity,
    SeparateFactors,
    StandbyDemand,
    taken_charge_ah,
)
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

__all__ = ["write_asked", "write_currents", "write_dates", "write_figures", "write_volts"]


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
    if taken.doubt:
        return write_doubtful(sheet, what, taken, scheduled_a, scheduled_line)
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
    charge = _write_charge(sheet, found.demand, (*currents, *times))
    if found.battery.peukert != 1.0:
        charge = _write_peukert(sheet, found, charge)
    cold = _write_cold(sheet, found)
    needed = _write_needed(sheet, ctx, found.needed, charge, cold)
    if found.part.chemistry == "lead_acid":
        _write_size(sheet, found.next_size, needed)
    fitted = _write_fitted(sheet, found)
    _write_lasting(sheet, found, currents, (*times, fitted, cold))


def write_asked(
    sheet: Sheet,
    ctx: Context,
    asked: Asked,
    needed: RequiredCapacity,
    size: BatterySize | None,
    currents: tuple[str, str],
) -> None:
    """What is asked of a battery that is not chosen yet, as far as that can be told without it."""
    times = _write_times(sheet, ctx, asked)
    charge = _write_charge(sheet, needed.demand, (*currents, *times))
    cold = sheet.add(
        "Factor for the cold: not counted, and no Peukert either, as no battery is chosen; both "
        "ask for more",
        needed.temperature_factor,
    )
    _write_size(sheet, size, _write_needed(sheet, ctx, needed, charge, cold))


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


def _write_charge(sheet: Sheet, demand: StandbyDemand, needs: tuple[str, ...]) -> str:
    if demand.alarm_a == demand.standby_a:
        counted = sheet.add(
            "Alarm current that counts: at least that of standby", demand.alarm_a, "A"
        )
        needs = (*needs, counted)
    return sheet.add(
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


def _write_peukert(sheet: Sheet, found: StandbyFigures, charge: str) -> str:
    demand = found.demand
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


def _write_needed(
    sheet: Sheet, ctx: Context, needed: RequiredCapacity, charge: str, cold: str
) -> str:
    allowance, line = _write_allowance(sheet, ctx, needed.allowance)
    return sheet.add(
        "Capacity asked for",
        needed.capacity_ah,
        "Ah",
        formula="charge taken * factor for the cold * " + " * ".join(allowance),
        inputs={
            "charge taken": (needed.taken_ah, "Ah"),
            "factor for the cold": (needed.temperature_factor, ""),
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
    sheet: Sheet, ctx: Context, allowance: Allowance
) -> tuple[dict[str, float], tuple[str, ...]]:
    """The factors by name, and their lines."""
    margin = ctx.limit(LimitName.STANDBY_MARGIN_RATIO)
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


def _write_size(sheet: Sheet, size: BatterySize | None, needed: str) -> None:
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


def _write_lasting(
    sheet: Sheet, found: StandbyFigures, currents: tuple[str, str], needs: tuple[str, ...]
) -> None:
    write = _Hours(sheet, found, currents, needs)
    write.lines("when new", found.new, 1.0)
    ratio = found.end_of_life_ratio
    kept = write.lines(
        f"at the end of its life, {100 * ratio:g} % of its rating", found.end_of_life, ratio
    )
    if abs(found.kept_ratio - ratio) > 1e-9:
        label = "with all that the profile adds taken off"
        kept = write.lines(label, found.kept, found.kept_ratio)
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
    if found.needed.temperature_factor > 1.0:
        label = "with the margin, without the factor for the cold"
        warm = write.lines(label, found.kept_warm, found.kept_ratio, warm=True)
        sheet.add(
            "Hours over what is asked for, without the factor for the cold",
            found.margin_warm_h,
            "h",
            formula="hours it lasts - time idle",
            inputs={
                "hours it lasts": (found.kept_warm.standby_h, "h"),
                "time idle": (found.demand.standby_h, "h"),
            },
            needs=(warm,),
        )


class _Hours:
    """Writes how long the battery lasts in one state: what is left, what takes from it, hours."""

    def __init__(
        self,
        sheet: Sheet,
        found: StandbyFigures,
        currents: tuple[str, str],
        needs: tuple[str, ...],
    ) -> None:
        self._sheet, self._found = sheet, found
        self._standby_line, self._alarm_line = currents
        self._needs = needs

    def lines(self, state: str, held: Endurance, ratio: float, *, warm: bool = False) -> str:
        """The lines of one state; returns the id of the last."""
        battery, demand = self._found.battery, self._found.demand
        cold = 1.0 if warm else self._found.needed.temperature_factor
        left_ah = battery.capacity_ah * ratio / cold
        left = self._left(state, left_ah, ratio, cold)
        # of an hour at this current by Peukert, which is the same figure in A
        counted_a = taken_charge_ah(
            demand.standby_a, 1.0, left_ah, battery.hour_rate_h, battery.peukert
        )
        alarm_ah = taken_charge_ah(
            demand.alarm_a, demand.alarm_h, left_ah, battery.hour_rate_h, battery.peukert
        )
        alarm = self._alarm(state, alarm_ah, left_ah, left)
        standby = self._standby(state, counted_a, left_ah, left)
        label = f"Hours it lasts {state}"
        return self._sheet.add(
            label if held.alarm_held else f"{label}: not even the alarm",
            held.standby_h,
            "h",
            formula="(capacity left - alarm takes) / standby takes",
            inputs={
                "capacity left": (left_ah, "Ah"),
                "alarm takes": (alarm_ah, "Ah"),
                "standby takes": (counted_a, "A"),
            },
            needs=(left, alarm, standby),
        )

    def _left(self, state: str, left_ah: float, ratio: float, cold: float) -> str:
        fitted_ah = self._found.battery.capacity_ah
        shares: dict[str, tuple[float | str, str]] = {"fitted": (fitted_ah, "Ah")}
        formula = "fitted"
        if ratio != 1.0:
            formula += " * share"
            shares["share"] = (ratio, "")
        if cold != 1.0:
            formula += " / cold"
            shares["cold"] = (cold, "")
        return self._sheet.add(
            f"Capacity left {state}",
            left_ah,
            "Ah",
            formula=formula,
            inputs=shares,
            sources=(AGEING,) if ratio < 1.0 else (),
            needs=self._needs,
        )

    def _alarm(self, state: str, alarm_ah: float, left_ah: float, left: str) -> str:
        demand = self._found.demand
        return self._by_peukert(
            f"The alarm takes of it {state}",
            (alarm_ah, "Ah"),
            "alarm current * time in alarm",
            {"alarm current": (demand.alarm_a, "A"), "time in alarm": (demand.alarm_h, "h")},
            left_ah,
            (self._alarm_line, left),
        )

    def _standby(self, state: str, counted_a: float, left_ah: float, left: str) -> str:
        if self._found.battery.peukert == 1.0 or counted_a == self._found.demand.standby_a:
            return self._standby_line
        return self._by_peukert(
            f"Standby takes of it {state}",
            (counted_a, "A"),
            "standby current",
            {"standby current": (self._found.demand.standby_a, "A")},
            left_ah,
            (self._standby_line, left),
        )

    def _by_peukert(
        self,
        label: str,
        told: tuple[float, str],
        formula: str,
        inputs: dict[str, tuple[float | str, str]],
        left_ah: float,
        needs: tuple[str, ...],
    ) -> str:
        """A line with what is counted above the rated current, where the exponent is known."""
        battery = self._found.battery
        if battery.peukert == 1.0:
            return self._sheet.add(label, *told, formula=formula, inputs=inputs, needs=needs)
        current = next(iter(inputs))
        return self._sheet.add(
            label,
            *told,
            formula=f"{formula} * max(1, {current} * H / C)^(k - 1)",
            inputs={
                **inputs,
                "H": (battery.hour_rate_h, "h"),
                "C": (left_ah, "Ah"),
                "k": (battery.peukert, ""),
            },
            sources=(PEUKERT, PEUKERT_CAP),
            needs=needs,
        )
