"""A cable, what it feeds and what is asked of it, in words and as JSON."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from pathproof.calc.power import (
    ALLOWED_DROP_RATIO,
    END_OF_DISCHARGE_V,
    CableLoad,
    Conductor,
    cable_drop_v,
    conductors,
    loop_resistance_ohm,
    lumped,
    resistance_ohm_per_m,
    smallest_conductor,
)
from pathproof.calc.power.conductors import COPPER_CLAD_RATIO, COPPER_ZERO_DEGC, KFT_M, KM_M
from pathproof.calc.power.sources import (
    ALLOWED_DROP,
    AWG_GEOMETRY,
    CABLE_DROP,
    END_OF_DISCHARGE,
)
from pathproof.calc.sources import Source
from pathproof.cli._screen import Screen

COMPARED_DEGC: Final = (20.0, 75.0)


@dataclass(frozen=True, kw_only=True)
class Unit:
    """In what lengths are said."""

    name: str
    long_name: str
    metres: float
    """Of one of it. [m]"""
    longest: float
    """The longest run taken, in this unit."""

    @property
    def long_m(self) -> float:
        """Of a thousand of it. [m]"""
        return 1000.0 * self.metres


METRES: Final = Unit(name="m", long_name="km", metres=1.0, longest=5000.0)
FEET: Final = Unit(name="ft", long_name="kft", metres=0.3048, longest=16_000.0)


@dataclass(frozen=True, kw_only=True)
class Run:
    """A cable, what it feeds, and what is asked of it."""

    wire: Conductor
    length_m: float
    unit: Unit
    loads: tuple[CableLoad, ...]
    """The one at the far end last."""
    temperature_degc: float
    supply_v: float | None
    allowed_v: float | None
    allowed_by_rule: bool
    """Whether that is the usual share of the supply's volts."""

    @property
    def drop_v(self) -> float:
        return self.drop_at_v(self.temperature_degc)

    @property
    def lumped_v(self) -> float:
        return cable_drop_v(self.wire, [lumped(self.loads)], self.temperature_degc)

    @property
    def resistance_ohm(self) -> float:
        return loop_resistance_ohm(self.wire, self.length_m, self.temperature_degc)

    @property
    def drop_percent(self) -> float | None:
        return None if self.supply_v is None else 100.0 * self.drop_v / self.supply_v

    @property
    def left_v(self) -> float | None:
        """At the load; None where nothing is left, or the supply's volts are not known. [V]"""
        return self._left_of(self.supply_v)

    @property
    def end_v(self) -> float | None:
        """Of the supply, a lead-acid battery, at the end of its discharge. [V]"""
        return None if self.supply_v is None else END_OF_DISCHARGE_V.get(self.supply_v)

    @property
    def left_at_end_v(self) -> float | None:
        """At the load, by then. [V]"""
        return self._left_of(self.end_v)

    @property
    def smallest(self) -> Conductor | None:
        """Of copper, made up alike; None where none holds or nothing was asked."""
        if self.allowed_v is None:
            return None
        alike = conductors(self.wire.stranding)
        return smallest_conductor(alike, self.loads, self.allowed_v, self.temperature_degc)

    @property
    def holds(self) -> bool | None:
        if self.allowed_v is None:
            return None
        asked = (self.loads, self.allowed_v, self.temperature_degc)
        return smallest_conductor([self.wire], *asked) is not None

    def drop_at_v(self, temperature_degc: float) -> float:
        return cable_drop_v(self.wire, self.loads, temperature_degc)

    def drop_of_v(self, wire: Conductor) -> float:
        return cable_drop_v(wire, self.loads, self.temperature_degc)

    def _left_of(self, source_v: float | None) -> float | None:
        left = None if source_v is None else source_v - self.drop_v
        return left if left is not None and left > 0.0 else None


def run_as_json(run: Run, working: list[str]) -> dict[str, object]:
    """The answer and its working, under the names of `--json`."""
    smallest = run.smallest
    return {
        "drop_v": run.drop_v,
        "drop_percent": run.drop_percent,
        "resistance_ohm": run.resistance_ohm,
        "lumped_v": run.lumped_v,
        "left_v": run.left_v,
        "left_at_end_v": run.left_at_end_v,
        "allowed_v": run.allowed_v,
        "holds": run.holds,
        "smallest": None
        if smallest is None
        else {
            "awg": smallest.awg,
            "area_mm2": smallest.area_mm2,
            "stranding": str(smallest.stranding),
            "drop_v": run.drop_of_v(smallest),
        },
        "copper_clad": run.wire.copper_clad,
        "working": working,
        "sources": [
            {"ref": s.ref, "edition": s.edition, "clause": s.clause, "evidence": str(s.evidence)}
            for s in sources_of(run)
        ],
    }


def show(screen: Screen, run: Run) -> None:
    """The answer, without its working."""
    share = "" if run.supply_v is None else f", {run.drop_percent:.3g} % of {run.supply_v:g} V"
    way = ", out and back" if len(run.loads) == 1 else " on the way to its far end"
    screen.paragraph((f"The cable takes {_volts(run.drop_v)}{way}{share}.", "bold"))
    if run.supply_v is not None:
        screen.paragraph(_left(run))
    if run.allowed_v is not None:
        screen.paragraph(_judged(run, run.allowed_v))
    if run.wire.copper_clad:
        screen.paragraph(
            "Copper-clad aluminium: reject it on a survey. It takes about "
            f"{COPPER_CLAD_RATIO:g} times as much as copper, breaks at terminals, and no size of "
            "it is suggested here."
        )


def _left(run: Run) -> str:
    if run.left_v is None:
        return "That is all there is: the load would not run."
    left = f"{_volts(run.left_v)} are left at the load"
    if run.end_v is None:
        return f"{left}."
    at_end = "nothing" if run.left_at_end_v is None else _volts(run.left_at_end_v)
    return f"{left}; on a lead-acid battery at its end, {run.end_v:g} V, {at_end}."


def _judged(run: Run, allowed_v: float) -> str:
    smallest = run.smallest
    start = (
        f"That is {'within' if run.holds else 'more than'} the {_volts(allowed_v)} "
        f"{'to plan with' if run.allowed_by_rule else 'allowed'}"
    )
    if smallest is None:
        return (
            f"{start}, and no size here holds that. Split the loads over cables, feed them from "
            "nearer, or at more volts."
        )
    if smallest == run.wire:
        return f"{start}, and the smallest that holds it."
    drop = _volts(run.drop_of_v(smallest))
    return f"{start}; {smallest.name} is the smallest that holds it: {drop}."


def _volts(value_v: float) -> str:
    return f"{value_v:.4g} V"


def working_lines(run: Run) -> Iterator[str]:
    """From the table to the volts, line by line."""
    yield from _resistance_lines(run)
    yield from _drop_lines(run)
    if run.supply_v is not None:
        yield f"{_volts(run.drop_v)} / {run.supply_v:g} V = {run.drop_percent:.3g} %."
    if run.end_v is not None:
        yield (
            f"A lead-acid battery of {run.supply_v:g} V counts as empty at {run.end_v:g} V: "
            f"{run.end_v:g} V - {_volts(run.drop_v)} = {_volts(run.end_v - run.drop_v)}"
            f"{', so nothing is left' if run.left_at_end_v is None else ''}."
        )
    if run.allowed_v is not None and run.allowed_by_rule:
        yield (
            f"To plan with: {ALLOWED_DROP_RATIO * 100:g} % of {run.supply_v:g} V, "
            f"{_volts(run.allowed_v)}; the load's papers may ask for less."
        )
    cold, hot = (run.drop_at_v(degc) for degc in COMPARED_DEGC)
    yield (
        f"The same cable takes {_volts(cold)} at {COMPARED_DEGC[0]:g} °C and {_volts(hot)} at "
        f"{COMPARED_DEGC[1]:g} °C; tables at {COMPARED_DEGC[1]:g} °C are for hot runs, indoors the "
        f"figure at {COMPARED_DEGC[0]:g} °C is nearer."
    )


def _resistance_lines(run: Run) -> Iterator[str]:
    """From the row of the table to the ohms of this length."""
    wire, degc = run.wire, run.temperature_degc
    per_m = wire.rows[0].per_m
    unit = {KM_M: "ohm/km", KFT_M: "ohm/kft"}[per_m]
    value = resistance_ohm_per_m(replace(wire, strand_ratio=1.0, copper_clad=False), degc) * per_m
    area = "" if wire.awg is None else f" ({wire.area_mm2:.3g} mm²)"
    yield f"{wire.name}{area}: {_by_table(wire, degc, value, unit)}. {wire.note}".rstrip()
    if wire.strand_ratio != 1.0:
        value *= wire.strand_ratio
        yield (
            "That is solid wire: the table of 7 strands has no row for this gauge. Strands × "
            f"{wire.strand_ratio:g}: {value:.4g} {unit}."
        )
    if wire.copper_clad:
        value *= COPPER_CLAD_RATIO
        yield f"Copper-clad aluminium × {COPPER_CLAD_RATIO:g}: {value:.4g} {unit}."
    if per_m != run.unit.long_m:
        value *= run.unit.long_m / per_m
        yield f"1 kft is {KFT_M / KM_M:g} km: that is {value:.4g} ohm/{run.unit.long_name}."
    yield (
        f"Out and back: 2 × {_distance(run, run.length_m)} × {value:.4g} "
        f"ohm/{run.unit.long_name} / 1000 = {run.resistance_ohm:.4g} ohm."
    )


def _by_table(wire: Conductor, degc: float, value: float, unit: str) -> str:
    """How the table's row or rows give the value at that temperature."""
    rows = [f"{row.printed_ohm:g} {unit} at {row.at_degc:g} °C" for row in wire.rows]
    fits = [row for row in wire.rows if row.at_degc == degc]
    if fits:
        return f"{fits[0].printed_ohm:g} {unit} at {degc:g} °C, as the table has it"
    if len(rows) == 1:
        zero = -COPPER_ZERO_DEGC
        return (
            f"{rows[0]} × ({zero:g} + {degc:g}) / ({zero:g} + {wire.rows[0].at_degc:g}) = "
            f"{value:.4g} {unit} at {degc:g} °C"
        )
    return f"{' and '.join(rows)}; on the line through both {value:.4g} {unit} at {degc:g} °C"


def _drop_lines(run: Run) -> Iterator[str]:
    *on_the_way, far_end = run.loads
    if not on_the_way:
        yield f"{run.resistance_ohm:.4g} ohm × {far_end.current_a:g} A = {_volts(run.drop_v)}."
        return
    for load in run.loads:
        share_ohm = run.resistance_ohm * load.distance_m / run.length_m
        yield (
            f"Load at {_distance(run, load.distance_m)}: its {load.current_a:g} A flow through "
            f"{share_ohm:.4g} ohm and take {_volts(share_ohm * load.current_a)}."
        )
    yield (
        f"Together {_volts(run.drop_v)} at the far end; with all of them there, the safe case, "
        f"{_volts(run.lumped_v)}."
    )


def _distance(run: Run, length_m: float) -> str:
    return f"{length_m / run.unit.metres:g} {run.unit.name}"


def sources_of(run: Run) -> tuple[Source, ...]:
    """What the figures stand on, each once; the size that is suggested has sources too."""
    wires = [run.wire] if run.smallest is None else [run.wire, run.smallest]
    found = [source for wire in wires for source in wire.sources]
    if run.wire.awg is not None:
        found.append(AWG_GEOMETRY)
    found.append(CABLE_DROP)
    if run.end_v is not None:
        found.append(END_OF_DISCHARGE)
    if run.allowed_v is not None and run.allowed_by_rule:
        found.append(ALLOWED_DROP)
    return tuple(dict.fromkeys(found))
