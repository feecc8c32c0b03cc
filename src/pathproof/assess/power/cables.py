"""Whether every load has its volts at the end of discharge, over the cable that feeds it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.check import (
    Check,
    allowed_drop_v,
    amount,
    first_causes,
    told_check,
    unless_ends_low,
    weakest,
)
from pathproof.assess.power.loads import draws_of
from pathproof.assess.power.runs import FedRun, RunLoad
from pathproof.assess.power.volts import Volts, needed_volts
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Margin
from pathproof.calc.power import Conductor, resistance_ohm_per_m
from pathproof.calc.power.conductors import COPPER_CLAD_RATIO, COPPER_ZERO_DEGC, KFT_M, KM_M
from pathproof.calc.power.sources import CABLE_DROP
from pathproof.job import PANEL_ID
from pathproof.terms import Word

__all__ = [
    "NeedOfLoad",
    "Start",
    "battery_start",
    "cable_check",
    "panel_check",
    "panel_start",
    "start_of",
]

_AT_THE_END: Final = "at the end of the battery's discharge"


@dataclass(frozen=True, kw_only=True)
class Start:
    """Where cables start: the volts there at the end of discharge, and the way up to it."""

    value_v: float
    line: str
    drop_v: float = 0.0
    """What cables to the panel have taken by then. [V]"""
    loop_ohm: float = 0.0
    """Their resistance, out and back. [ohm]"""


@dataclass(frozen=True, kw_only=True)
class NeedOfLoad:
    """What a load asks of the battery: its least volts and the drop on the way to it."""

    what: str
    value_v: float
    drop_v: float

    @property
    def at_battery_v(self) -> float:
        return self.value_v + self.drop_v


def battery_start(sheet: Sheet, end: Volts) -> Start:
    """The volts of the battery at the end of its discharge."""
    line = sheet.add(
        "Volts of the battery at the end of its discharge",
        end.value_v,
        "V",
        formula=end.said_by,
        sources=end.sources,
    )
    return Start(value_v=end.value_v, line=line)


def panel_start(sheet: Sheet, battery: Start, runs: Sequence[FedRun]) -> Start:
    """The volts at the panel, from where cables start: less where one leads to it."""
    feeds = [(run, load) for run in runs for load in run.loads if load.thing == PANEL_ID]
    if not feeds:
        return battery
    run, load = max(feeds, key=lambda feed: feed[0].drop_v(feed[1]))
    drop_v = run.drop_v(load)
    line = sheet.add(
        f"Volts at the panel {_AT_THE_END}",
        battery.value_v - drop_v,
        "V",
        formula=f"battery - drop of cable {run.cable.id}",
        inputs={
            "battery": (battery.value_v, "V"),
            f"drop of cable {run.cable.id}": (drop_v, "V"),
        },
        sources=(CABLE_DROP,),
        needs=(battery.line,),
    )
    return Start(
        value_v=battery.value_v - drop_v, line=line, drop_v=drop_v, loop_ohm=run.loop_ohm(load)
    )


def start_of(run: FedRun, battery: Start, panel: Start) -> Start:
    """Where a cable starts: at the battery if it leads to the panel, any other at the panel."""
    leads_there = any(load.thing == PANEL_ID for load in run.loads)
    return battery if leads_there else panel


def panel_check(ctx: Context, sheet: Sheet, start: Start) -> tuple[Check, NeedOfLoad | None]:
    """The panel itself, with what it asks of the battery where that is known."""
    needed = needed_volts(ctx, draws_of(ctx.job, PANEL_ID))
    if isinstance(needed, Check):
        return needed, None
    margin_v = start.value_v - needed.value_v
    _write_margin(sheet, "the panel", start.value_v, needed, start.line)
    check = told_check(
        f"the panel has {amount(start.value_v, 'V')} {_AT_THE_END} and needs "
        f"{amount(needed.value_v, 'V')}",
        Margin(value=margin_v, unit="V"),
        allowed_drop_v(start.value_v + start.drop_v, needed.value_v),
        "Choose a battery that ends at more volts, or a thicker cable from it to the panel.",
    )
    check = unless_ends_low(check, start.value_v + start.drop_v, needed.value_v)
    return check, NeedOfLoad(what="the panel", value_v=needed.value_v, drop_v=start.drop_v)


def cable_check(
    ctx: Context, sheet: Sheet, run: FedRun, start: Start
) -> tuple[Check, tuple[NeedOfLoad, ...]]:
    """A cable by the load that has the least margin, and what its loads ask of the battery."""
    wire = _write_wire(sheet, run)
    needs = [(load, needed_volts(ctx, load.draws)) for load in run.loads]
    known = [(load, need) for load, need in needs if isinstance(need, Volts)]
    unknown = [need for _, need in needs if isinstance(need, Check)]
    checks = [_load_check(sheet, run, load, start, need, wire) for load, need in known]
    if len(run.loads) > 1:
        _write_lumped(sheet, run, wire)
    remedy = _remedy(sheet, run, start, known) if known else ""
    lacking = [check for check in checks if check.word is Word.LACKING]
    worst = weakest(first_causes(lacking) or unknown or checks)
    decides = replace(worst, do=remedy) if lacking and worst.end_above_v is None else worst
    return decides, tuple(
        NeedOfLoad(what=load.thing, value_v=need.value_v, drop_v=start.drop_v + run.drop_v(load))
        for load, need in known
    )


def _load_check(
    sheet: Sheet, run: FedRun, load: RunLoad, start: Start, needed: Volts, wire: str
) -> Check:
    volts = start.value_v - run.drop_v(load)
    line = _write_load(sheet, run, load, start, wire)
    _write_margin(sheet, f"{load.thing} on cable {run.cable.id}", volts, needed, line)
    check = told_check(
        f"{run.name}: {load.draws.label} has {amount(volts, 'V')} {_AT_THE_END} and needs "
        f"{amount(needed.value_v, 'V')}",
        Margin(value=volts - needed.value_v, unit="V"),
        allowed_drop_v(start.value_v, needed.value_v),
        "",
    )
    return unless_ends_low(check, start.value_v + start.drop_v, needed.value_v)


def _remedy(sheet: Sheet, run: FedRun, start: Start, needs: Sequence[tuple[RunLoad, Volts]]) -> str:
    """Which size holds; the working says it for every run."""
    allowed = [(load, start.value_v - need.value_v) for load, need in needs]
    smallest = run.smallest(allowed)
    sheet.add(
        f"Cable {run.cable.id}: smallest conductor that holds, by drop alone",
        "none" if smallest is None else smallest.name,
        formula="thinnest of copper, made up alike, with which each load has its volts",
        inputs={f"drop allowed to {load.thing}": (volts, "V") for load, volts in allowed},
        sources=() if smallest is None else smallest.sources,
        needs=(start.line,),
    )
    nearer = "a supply of its own nearer to it"
    if smallest is None:
        return f"No size of cable holds here: feed it from {nearer}, or split its loads over more."
    copper = "copper of " if run.wire.conductor.copper_clad else ""
    size = f"{copper}{smallest.name} or thicker"
    return f"Take {size} for cable {run.cable.id}, or feed it from {nearer}."


def _write_wire(sheet: Sheet, run: FedRun) -> str:
    """The resistance of a metre of the conductor, from the rows of the tables."""
    wire, degc = run.wire.conductor, run.cable.temperature_degc
    return sheet.add(
        f"Cable {run.cable.id}: resistance of {_described(wire)} at {degc:g} °C, one wire",
        1000.0 * resistance_ohm_per_m(wire, degc),
        "ohm/km",
        formula=_formula(run),
        inputs=_rows(wire),
        sources=wire.sources,
    )


def _described(wire: Conductor) -> str:
    return f"{wire.name}{' of copper-clad aluminium' if wire.copper_clad else ''}"


def _formula(run: FedRun) -> str:
    wire = run.wire.conductor
    zero = -COPPER_ZERO_DEGC
    if len(wire.rows) > 1:
        by_table = "on the straight line through both rows"
    else:
        by_table = f"row * ({zero:g} + T) / ({zero:g} + {wire.rows[0].at_degc:g})"
    strands = f" * {wire.strand_ratio:g} for 7 strands" if wire.strand_ratio != 1.0 else ""
    clad = f" * {COPPER_CLAD_RATIO:g} for copper-clad aluminium" if wire.copper_clad else ""
    to_km = f", 1 kft = {KFT_M / KM_M:g} km" if wire.rows[0].per_m == KFT_M else ""
    note = f"; {run.wire.note}" if run.wire.note else ""
    return f"{by_table}{strands}{clad}{to_km}{note}"


def _rows(wire: Conductor) -> dict[str, tuple[float | str, str]]:
    unit = {KM_M: "ohm/km", KFT_M: "ohm/kft"}
    return {f"row at {row.at_degc:g} °C": (row.printed_ohm, unit[row.per_m]) for row in wire.rows}


def _write_load(sheet: Sheet, run: FedRun, load: RunLoad, start: Start, wire: str) -> str:
    inputs: dict[str, tuple[float | str, str]] = {
        "start": (start.value_v, "V"),
        "r": (run.loop_ohm(load) / (2.0 * load.at_m), "ohm/m"),
    }
    for other in run.loads:
        inputs[f"l of {other.thing}"] = (min(other.at_m, load.at_m), "m")
        inputs[f"I of {other.thing}"] = (other.current_a, "A")
    return sheet.add(
        f"Cable {run.cable.id}: volts at {load.thing} in alarm, {_AT_THE_END}",
        start.value_v - run.drop_v(load),
        "V",
        formula=f"start - 2 r * sum of l I, l as far as both share the cable{_more(run)}",
        inputs=inputs,
        sources=(CABLE_DROP, *load.draws.sources),
        needs=(start.line, wire),
    )


def _more(run: FedRun) -> str:
    """What the currents of a run are, where they are not as scheduled."""
    if run.ratio == 1.0:
        return ""
    return f", I {run.ratio:.4g} times the scheduled one, as so much more was measured in alarm"


def _write_margin(sheet: Sheet, what: str, volts: float, needed: Volts, line: str) -> None:
    sheet.add(
        f"Margin of {what}",
        volts - needed.value_v,
        "V",
        formula=f"volts - {needed.said_by}",
        inputs={"volts": (volts, "V"), needed.said_by: (needed.value_v, "V")},
        sources=needed.sources,
        needs=(line,),
    )


def _write_lumped(sheet: Sheet, run: FedRun, wire: str) -> None:
    sheet.add(
        f"For comparison, cable {run.cable.id} with all its loads at the far end, the safe case: "
        "drop",
        run.lumped_drop_v(),
        "V",
        formula="2 r * length * sum of I",
        inputs={
            "length": (run.cable.length_m, "m"),
            "sum of I": (sum(load.current_a for load in run.loads), "A"),
        },
        sources=(CABLE_DROP,),
        needs=(wire,),
    )
