"""Cable runs as they feed: which conductor, which loads on it, and what it takes on the way."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.check import Check, open_check
from pathproof.assess.power.loads import Draws, LoadSchedule, draws_of
from pathproof.calc.power import (
    AWG_SIZES,
    MM2_SIZES,
    CableLoad,
    Conductor,
    Stranding,
    awg_conductor,
    cable_drop_v,
    conductors,
    loop_resistance_ohm,
    mm2_conductor,
    smallest_conductor,
)
from pathproof.job import PANEL_ID, CablePart
from pathproof.job.site import CableRun
from pathproof.terms import InvalidInputError

__all__ = ["FedRun", "RunLoad", "WireAsTaken", "fed_runs", "wire_of"]

_BY_GAUGE: Final = {"solid": Stranding.SOLID, "7": Stranding.SEVEN}
_BY_AREA: Final = {
    "solid": Stranding.CLASS_1,
    "7": Stranding.CLASS_2,
    "class_5": Stranding.CLASS_5,
}
_TAKEN_AS_7: Final = "the tables of gauges have no fine strands; counted as 7 strands"
_TAKEN_AS_5: Final = (
    "the tables have this size in fine strands only, which are never less; counted as class 5"
)


@dataclass(frozen=True, kw_only=True)
class WireAsTaken:
    """The conductor of a cable part."""

    conductor: Conductor
    note: str
    """Where it is counted as made up in another way than the catalogue says."""


@dataclass(frozen=True, kw_only=True)
class RunLoad:
    """Something that a run feeds."""

    thing: str
    at_m: float
    """Cable length up to it, one way. [m]"""
    current_a: float
    """What it takes in alarm. [A]"""
    draws: Draws


@dataclass(frozen=True, kw_only=True)
class FedRun:
    """A cable with all of its loads in alarm at once."""

    cable: CableRun
    part: CablePart
    wire: WireAsTaken
    loads: tuple[RunLoad, ...]
    """The one at its far end last."""
    ratio: float
    """What their scheduled currents are multiplied by, as more was measured in alarm."""

    @property
    def name(self) -> str:
        """The cable as people speak of it."""
        return f"cable {self.cable.id} ({self.part.name})"

    def drop_v(self, to: RunLoad) -> float:
        """What the cable takes on the way to one of its loads. [V]"""
        return self._drop_v(to.at_m, self.loads)

    def drop_of_others_v(self, to: RunLoad) -> float:
        """The same by the currents of its other loads alone. [V]"""
        return self._drop_v(to.at_m, [load for load in self.loads if load is not to])

    def lumped_drop_v(self) -> float:
        """The safe case: all of them at its far end. [V]"""
        end_m = self.cable.length_m
        current_a = math.fsum(load.current_a for load in self.loads)
        return current_a * loop_resistance_ohm(
            self.wire.conductor, end_m, self.cable.temperature_degc
        )

    def loop_ohm(self, to: RunLoad) -> float:
        """Resistance of the cable up to one of its loads, out and back. [ohm]"""
        return loop_resistance_ohm(self.wire.conductor, to.at_m, self.cable.temperature_degc)

    def smallest(self, allowed_v: Sequence[tuple[RunLoad, float]]) -> Conductor | None:
        """The thinnest of copper, made up alike, with which each load has its allowed drop."""
        alike = conductors(self.wire.conductor.stranding)
        needed = []
        for to, volts in allowed_v:
            seen = _seen(to.at_m, self.loads)
            if not seen:
                continue
            if volts <= 0.0:
                return None
            needed.append(smallest_conductor(alike, seen, volts, self.cable.temperature_degc))
        known = [wire for wire in needed if wire is not None]
        if len(known) < len(needed):
            return None
        return max(known, key=lambda wire: wire.area_mm2, default=alike[0])

    def _drop_v(self, up_to_m: float, loads: Sequence[RunLoad]) -> float:
        seen = _seen(up_to_m, loads)
        if not seen:
            return 0.0
        return cable_drop_v(self.wire.conductor, seen, self.cable.temperature_degc)


def _seen(up_to_m: float, loads: Sequence[RunLoad]) -> list[CableLoad]:
    """Loads as the stretch up to a length carries them."""
    return [
        CableLoad(distance_m=min(load.at_m, up_to_m), current_a=load.current_a)
        for load in loads
        if load.current_a > 0.0
    ]


def fed_runs(ctx: Context, schedule: LoadSchedule, ratio: float) -> Iterator[FedRun | Check]:
    """Every cable of the site, or what is missing to work it out.

    Parameters
    ----------
    ctx : Context
        The site.
    schedule : LoadSchedule
        What everything takes; a cable to the panel carries all that does not hang on it elsewhere.
    ratio : float
        What the scheduled currents are multiplied by.
    """
    for cable in ctx.site.cables:
        part = ctx.job.part(cable.part)
        assert isinstance(part, CablePart)  # a job is refused where parts are of other kinds
        wire, loads = wire_of(part), _loads(ctx, schedule, cable, ratio)
        if isinstance(wire, Check):
            yield wire
        elif isinstance(loads, Check):
            yield loads
        else:
            yield FedRun(cable=cable, part=part, wire=wire, loads=loads, ratio=ratio)


def wire_of(part: CablePart) -> WireAsTaken | Check:
    """The conductor of a cable by its size and stranding, or that the tables do not have it."""
    try:
        taken = _by_gauge(part, part.awg) if part.awg is not None else _by_area(part)
    except InvalidInputError:
        sizes = AWG_SIZES if part.awg is not None else MM2_SIZES
        given = f"{part.awg} AWG" if part.awg is not None else f"{part.area_mm2:g} mm²"
        unit = "AWG" if part.awg is not None else "mm²"
        return open_check(
            f"{part.name} ({part.id}) has {given}, and the tables have "
            f"{', '.join(f'{size:g}' for size in sizes)} {unit} only",
            f"Enter the next thinner of these sizes for {part.id}, to be on the safe side, or work "
            "this cable out by the resistance in its papers.",
        )
    return taken


def _by_gauge(part: CablePart, awg: int) -> WireAsTaken:
    conductor = awg_conductor(awg, _BY_GAUGE.get(part.strands, Stranding.SEVEN))
    note = "" if part.strands in _BY_GAUGE else _TAKEN_AS_7
    return WireAsTaken(conductor=_clad(part, conductor), note=note)


def _by_area(part: CablePart) -> WireAsTaken:
    assert part.area_mm2 is not None  # the model asks for one of the two
    stranding = _BY_AREA[part.strands]
    small = all(part.area_mm2 != c.area_mm2 for c in conductors(stranding))
    conductor = mm2_conductor(part.area_mm2, Stranding.CLASS_5 if small else stranding)
    return WireAsTaken(conductor=_clad(part, conductor), note=_TAKEN_AS_5 if small else "")


def _clad(part: CablePart, conductor: Conductor) -> Conductor:
    return replace(conductor, copper_clad=part.copper_clad)


def _loads(
    ctx: Context, schedule: LoadSchedule, cable: CableRun, ratio: float
) -> tuple[RunLoad, ...] | Check:
    places = [
        *((tap.to, tap.at_m) for tap in sorted(cable.on_the_way, key=lambda t: t.at_m)),
        (cable.to, cable.length_m),
    ]
    found = []
    for thing, at_m in places:
        others = {other for other, _ in places if other != thing}
        current_a = _alarm_a(ctx, schedule, thing, others)
        if isinstance(current_a, Check):
            return current_a
        found.append(
            RunLoad(
                thing=thing,
                at_m=at_m,
                current_a=ratio * current_a,
                draws=draws_of(ctx.job, thing),
            )
        )
    return tuple(found)


def _alarm_a(ctx: Context, schedule: LoadSchedule, thing: str, others: set[str]) -> float | Check:
    """What a thing takes in alarm; for the panel, with all that hangs on it."""
    if thing != PANEL_ID:
        return _known_a(draws_of(ctx.job, thing))
    taken = []
    for draws in schedule.draws:
        each_a = _known_a(draws)
        if isinstance(each_a, Check):
            return each_a
        taken += [each_a for fed in draws.things if fed not in others]
    return math.fsum(taken)


def _known_a(draws: Draws) -> float | Check:
    if draws.alarm_a is None:
        return open_check(
            f"the alarm current of {draws.label} is not known",
            f"Enter alarm_current_a of {draws.part} in the catalogue, from its papers.",
        )
    return max(draws.alarm_a, draws.standby_a or 0.0)
