"""`pathproof cable`: what a cable takes from direct current, and the smallest that holds."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Final

import typer

from pathproof.calc.power import (
    ALLOWED_DROP_RATIO,
    AWG_SIZES,
    END_OF_DISCHARGE_V,
    MM2_SIZES,
    CableLoad,
    Conductor,
    Stranding,
    awg_conductor,
    cable_drop_v,
    conductors,
    loop_resistance_ohm,
    lumped,
    mm2_conductor,
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
from pathproof.cli._options import (
    AsciiOnly,
    AsJson,
    as_number,
    as_whole_number,
    command_app,
    wrong_use,
    wrong_value,
)
from pathproof.cli._screen import Screen, print_json
from pathproof.cli._sources import cited
from pathproof.terms import InvalidInputError, OutOfRangeError

MOST_A: Final = 100.0
MOST_V: Final = 60.0
USUAL_DEGC: Final = 20.0
COMPARED_DEGC: Final = (20.0, 75.0)
STRANDS: Final[Mapping[str, Stranding]] = {"solid": Stranding.SOLID, "7": Stranding.SEVEN}
CLASSES: Final[Mapping[str, Stranding]] = {
    "1": Stranding.CLASS_1,
    "2": Stranding.CLASS_2,
    "5": Stranding.CLASS_5,
}
CAUTIONS: Final = (
    "The least volts that the load's own papers state come first. Count its current in alarm; one "
    "with a converter inside takes more as the volts fall.",
    "Drop alone: the current that a cable may carry, its fuse, its fire rating and where it may "
    "run are the local code's. Mains wiring is for a licensed person.",
    "Terminals, fuses and thin patch leads add to it, and cable on site is not always what its "
    "sheath says: prove it with the volts at the load, in alarm, on the battery alone.",
    "Insulate the battery's terminals and disconnect it before you work on what it feeds.",
)

app = command_app()


@dataclass(frozen=True, kw_only=True)
class _Unit:
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


METRES: Final = _Unit(name="m", long_name="km", metres=1.0, longest=5000.0)
FEET: Final = _Unit(name="ft", long_name="kft", metres=0.3048, longest=16_000.0)


@dataclass(frozen=True, kw_only=True)
class _Run:
    """A cable, what it feeds, and what is asked of it."""

    wire: Conductor
    length_m: float
    unit: _Unit
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


@app.command()
def cable(
    current_a: Annotated[
        float,
        typer.Option(
            parser=as_number,
            metavar="A",
            help="Current of the load at the far end, in alarm. [A]",
            show_default=False,
        ),
    ],
    awg: Annotated[
        int | None,
        typer.Option(
            parser=as_whole_number,
            metavar="N",
            help=f"American wire gauge: {', '.join(map(str, AWG_SIZES))}.",
        ),
    ] = None,
    strand: Annotated[
        str | None,
        typer.Option(metavar="KIND", help="Of a gauge: solid or 7; 7 if not given."),
    ] = None,
    mm2: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="MM2",
            help=f"Or its area: {', '.join(f'{x:g}' for x in MM2_SIZES)}. [mm2]",
        ),
    ] = None,
    conductor_class: Annotated[
        str | None,
        typer.Option(
            "--class",
            metavar="CLASS",
            help="Of an area, by IEC 60228: 1 (solid), 2 (strands) or 5 (fine strands); 5 if not "
            "given.",
        ),
    ] = None,
    length_m: Annotated[
        float | None,
        typer.Option(parser=as_number, metavar="M", help="Cable length, one way. [m]"),
    ] = None,
    length_ft: Annotated[
        float | None,
        typer.Option(parser=as_number, metavar="FT", help="Or in feet. [ft]"),
    ] = None,
    load: Annotated[
        list[str] | None,
        typer.Option(
            metavar="LENGTH:A",
            help="One more load on the way: how far from the supply, in the unit of the length, "
            "and its current; several times for several.",
        ),
    ] = None,
    temperature_degc: Annotated[
        float,
        typer.Option(parser=as_number, metavar="DEGC", help="Of the copper. [degC]"),
    ] = USUAL_DEGC,
    supply_v: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="V",
            help="Volts of the supply, as 12 or 24: gives the drop as a share of them. [V]",
        ),
    ] = None,
    allowed_v: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="V",
            help="Drop that the load allows; 10 % of --supply-v if not given. [V]",
        ),
    ] = None,
    copper_clad: Annotated[
        bool,
        typer.Option("--copper-clad", help="Copper-clad aluminium, found on a survey."),
    ] = False,
    as_json: AsJson = False,
    ascii_only: AsciiOnly = False,
) -> None:
    """Work out what a cable takes from direct current, and the smallest that holds.

    Two wires, out and back; the smallest by drop alone.
    """
    wire = replace(_conductor(awg, strand, mm2, conductor_class), copper_clad=copper_clad)
    length, unit, option = _length(length_m, length_ft)
    _check_above_0("--current-a", current_a, MOST_A)
    if supply_v is not None:
        _check_above_0(
            "--supply-v", supply_v, MOST_V, ", direct current; mains are for a licensed person"
        )
    if allowed_v is not None:
        _check_above_0("--allowed-v", allowed_v, supply_v or MOST_V)
    far_end = CableLoad(distance_m=length * unit.metres, current_a=current_a)
    run = _Run(
        wire=wire,
        length_m=far_end.distance_m,
        unit=unit,
        loads=(*(_on_the_way(text, length, unit, option) for text in load or ()), far_end),
        temperature_degc=temperature_degc,
        supply_v=supply_v,
        allowed_v=_allowed(allowed_v, supply_v),
        allowed_by_rule=allowed_v is None,
    )
    try:
        working = list(_working(run))
    except (InvalidInputError, OutOfRangeError) as error:
        raise wrong_value(error) from error
    if as_json:
        print_json(_as_json(run, working))
        return
    screen = Screen(ascii_only=ascii_only)
    _show(screen, run)
    screen.heading("How this comes about")
    for number, text in enumerate(working, start=1):
        screen.paragraph(text, first=f"{number}. ")
    screen.line()
    screen.paragraph(f"Sources: {'; '.join(map(cited, _sources(run)))}.")
    screen.heading("Mind")
    for text in CAUTIONS:
        screen.paragraph(text, first="- ")


def _check_above_0(option: str, value: float, high: float, note: str = "") -> None:
    if not 0.0 < value <= high:
        raise wrong_use(f"given {value:g}; allowed: above 0, {high:g} at most{note}.", option)


def _conductor(
    awg: int | None, strand: str | None, mm2: float | None, conductor_class: str | None
) -> Conductor:
    """The wire by gauge or by area, each with its own way to say how it is made up."""
    if (awg is None) == (mm2 is None):
        given = "neither was given" if awg is None else "both were given"
        raise wrong_use(f"{given}; give the gauge or the area, one of the two.", "--awg / --mm2")
    try:
        if awg is not None:
            _goes_with("--class", conductor_class, "--mm2; with --awg give --strand")
            return awg_conductor(awg, _made_up("--strand", strand or "7", STRANDS))
        _goes_with("--strand", strand, "--awg; with --mm2 give --class")
        return mm2_conductor(mm2 or 0.0, _made_up("--class", conductor_class or "5", CLASSES))
    except InvalidInputError as error:
        raise wrong_use(error, "--mm2" if awg is None else "--awg") from error


def _goes_with(option: str, value: str | None, other: str) -> None:
    if value is not None:
        raise wrong_use(f"goes with {other}.", option)


def _made_up(option: str, text: str, known: Mapping[str, Stranding]) -> Stranding:
    if text not in known:
        raise wrong_use(f"given {text!r}; allowed: {', '.join(known)}.", option)
    return known[text]


def _length(length_m: float | None, length_ft: float | None) -> tuple[float, _Unit, str]:
    """The length, its unit and the option it was given by."""
    if (length_m is None) == (length_ft is None):
        given = "neither was given" if length_m is None else "both were given"
        raise wrong_use(
            f"{given}; give the length in metres or in feet, one of the two.",
            "--length-m / --length-ft",
        )
    unit = FEET if length_m is None else METRES
    length = length_m if length_m is not None else length_ft or 0.0
    option = f"--length-{unit.name}"
    _check_above_0(option, length, unit.longest)
    return length, unit, option


def _on_the_way(text: str, length: float, unit: _Unit, option: str) -> CableLoad:
    distance_text, _, current_text = text.partition(":")
    try:
        distance, current_a = float(distance_text), float(current_text)
    except ValueError as error:
        raise wrong_use(
            f"given {text!r}; allowed: a length, a colon and a current, as 12.5:0.2.", "--load"
        ) from error
    if not 0.0 < distance <= length:
        raise wrong_use(
            f"given {text!r}; allowed: a length above 0 and at most {option}, {length:g}.", "--load"
        )
    if not 0.0 < current_a <= MOST_A:
        raise wrong_use(
            f"given {text!r}; allowed: a current above 0, {MOST_A:g} A at most.", "--load"
        )
    return CableLoad(distance_m=distance * unit.metres, current_a=current_a)


def _allowed(allowed_v: float | None, supply_v: float | None) -> float | None:
    if allowed_v is None and supply_v is not None:
        return ALLOWED_DROP_RATIO * supply_v
    return allowed_v


def _as_json(run: _Run, working: list[str]) -> dict[str, object]:
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
            for s in _sources(run)
        ],
    }


def _show(screen: Screen, run: _Run) -> None:
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


def _left(run: _Run) -> str:
    if run.left_v is None:
        return "That is all there is: the load would not run."
    left = f"{_volts(run.left_v)} are left at the load"
    if run.end_v is None:
        return f"{left}."
    at_end = "nothing" if run.left_at_end_v is None else _volts(run.left_at_end_v)
    return f"{left}; on a lead-acid battery at its end, {run.end_v:g} V, {at_end}."


def _judged(run: _Run, allowed_v: float) -> str:
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


def _working(run: _Run) -> Iterator[str]:
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
        f"{COMPARED_DEGC[1]:g} °C, which is too much for indoors."
    )


def _resistance_lines(run: _Run) -> Iterator[str]:
    """From the row of the table to the ohms of this length."""
    wire, degc = run.wire, run.temperature_degc
    per_m = wire.rows[0].per_m
    unit = {KM_M: "ohm/km", KFT_M: "ohm/kft"}[per_m]
    value = resistance_ohm_per_m(replace(wire, strand_ratio=1.0, copper_clad=False), degc) * per_m
    rows = [f"{row.printed_ohm:g} {unit} at {row.at_degc:g} °C" for row in wire.rows]
    fits = [row for row in wire.rows if row.at_degc == degc]
    if fits:
        how = f"{fits[0].printed_ohm:g} {unit} at {degc:g} °C, as the table has it"
    elif len(rows) == 1:
        zero = -COPPER_ZERO_DEGC
        how = (
            f"{rows[0]} × ({zero:g} + {degc:g}) / ({zero:g} + {wire.rows[0].at_degc:g}) = "
            f"{value:.4g} {unit} at {degc:g} °C"
        )
    else:
        how = f"{' and '.join(rows)}; on the line through both {value:.4g} {unit} at {degc:g} °C"
    area = "" if wire.awg is None else f" ({wire.area_mm2:.3g} mm²)"
    yield f"{wire.name}{area}: {how}. {wire.note}".rstrip()
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


def _drop_lines(run: _Run) -> Iterator[str]:
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


def _distance(run: _Run, length_m: float) -> str:
    return f"{length_m / run.unit.metres:g} {run.unit.name}"


def _sources(run: _Run) -> tuple[Source, ...]:
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
