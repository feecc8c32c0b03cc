"""`pathproof cable`: what a cable takes from direct current, and the smallest that holds."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Final

import typer

from pathproof.assess.power import care
from pathproof.calc.power import (
    ALLOWED_DROP_RATIO,
    AWG_SIZES,
    MM2_SIZES,
    CableLoad,
    Conductor,
    Stranding,
    awg_conductor,
    mm2_conductor,
)
from pathproof.cli._cable_run import (
    FEET,
    METRES,
    Run,
    Unit,
    run_as_json,
    show,
    sources_of,
    working_lines,
)
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
LEAST_V: Final = 1.0
MOST_V: Final = 60.0
USUAL_DEGC: Final = 20.0
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
    care.ISOLATE,
)

app = command_app()


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
    if supply_v is not None and not LEAST_V <= supply_v <= MOST_V:
        raise wrong_use(
            f"given {supply_v:g}; allowed: {LEAST_V:g} to {MOST_V:g}, direct current; mains are "
            "for a licensed person.",
            "--supply-v",
        )
    if allowed_v is not None:
        _check_above_0("--allowed-v", allowed_v, supply_v or MOST_V)
    far_end = CableLoad(distance_m=length * unit.metres, current_a=current_a)
    run = Run(
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
        working = list(working_lines(run))
    except (InvalidInputError, OutOfRangeError) as error:
        raise wrong_value(error) from error
    if as_json:
        print_json(run_as_json(run, working))
        return
    screen = Screen(ascii_only=ascii_only)
    show(screen, run)
    screen.steps("How this comes about", working)
    screen.line()
    screen.paragraph(f"Sources: {'; '.join(map(cited, sources_of(run)))}.")
    screen.points("Mind", CAUTIONS)


def _check_above_0(option: str, value: float, high: float) -> None:
    if not 0.0 < value <= high:
        raise wrong_use(f"given {value:g}; allowed: above 0, {high:g} at most.", option)


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


def _length(length_m: float | None, length_ft: float | None) -> tuple[float, Unit, str]:
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


def _on_the_way(text: str, length: float, unit: Unit, option: str) -> CableLoad:
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
