"""Cables on paper: one table, as the sums of all loads are alike."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pathproof.assess.types import Line
from pathproof.papers._text import figure, ranges, with_unit
from pathproof.papers.names import Names
from pathproof.papers.working import SourceBook, arithmetic, signs

_WIRE = re.compile(r"Cable (\S+): resistance of (.+), one wire")
_VOLTS = re.compile(r"Cable (\S+): volts at (\S+) in alarm, .*")
_LUMPED = re.compile(r"For comparison, cable (\S+) with all its loads at the far end, .*")
_SMALLEST = re.compile(r"Cable (\S+): smallest conductor .*")


@dataclass(frozen=True, kw_only=True)
class CableRow:
    """A load of a cable with the volts that it has."""

    cable: str
    conductor: str
    resistance: str
    feeds: str
    length: str
    current: str
    has: str
    needs: str
    margin: str
    lumped: str
    """The drop if all loads of the cable hung at its end; empty where there is one."""
    smallest: str
    """The smallest conductor that holds for all loads of the cable."""
    lacks: bool


@dataclass(frozen=True, kw_only=True)
class CableTable:
    """All loads that hang on cables, and the formulas that their volts come from."""

    formulas: str
    rows: tuple[CableRow, ...]


@dataclass(frozen=True, kw_only=True)
class _Load:
    """The lines that speak of one load."""

    cable: str
    thing: str
    conductor: str
    wire: Line
    volts: Line
    margin: Line
    lumped: Line | None
    smallest: Line

    @property
    def lines(self) -> tuple[Line, ...]:
        lumped = () if self.lumped is None else (self.lumped,)
        return self.wire, self.volts, self.margin, *lumped, self.smallest


def cable_table(
    lines: Sequence[Line], names: Names, book: SourceBook
) -> tuple[CableTable | None, tuple[Line, ...]]:
    """The table of the cables that a working tells of, and the lines that are not in it."""
    loads = list(_loads(lines))
    if not loads:
        return None, tuple(lines)
    held = {x.id for load in loads for x in load.lines}
    notes = [book.note(s).number for x in lines if x.id in held for s in x.sources]
    table = CableTable(
        formulas=f"{' '.join(_formulas(loads))} (Sources {ranges(notes)})",
        rows=tuple(_row(load, names) for load in loads),
    )
    return table, tuple(x for x in lines if x.id not in held)


def _loads(lines: Sequence[Line]) -> Iterator[_Load]:
    """Loads of which all lines are there."""
    wires = {x.id: (x, m[2]) for x in lines if (m := _WIRE.fullmatch(x.label))}
    smallest = {m[1]: x for x in lines if (m := _SMALLEST.fullmatch(x.label))}
    lumped = {m[1]: x for x in lines if (m := _LUMPED.fullmatch(x.label))}
    margins = {x.needs: x for x in lines}
    for line in lines:
        said = _VOLTS.fullmatch(line.label)
        wire = next((wires[i] for i in line.needs if i in wires), None)
        margin = margins.get((line.id,))
        if said and wire and margin and said[1] in smallest:
            yield _Load(
                cable=said[1],
                thing=said[2],
                conductor=wire[1],
                wire=wire[0],
                volts=line,
                margin=margin,
                lumped=lumped.get(said[1]),
                smallest=smallest[said[1]],
            )


def _row(load: _Load, names: Names) -> CableRow:
    inputs = load.volts.inputs
    needs = next(told for name, told in load.margin.inputs.items() if name != "volts")
    margin = load.margin.value
    return CableRow(
        cable=load.cable,
        conductor=load.conductor,
        resistance=_figure(load.wire.value, load.wire.unit),
        feeds=names.named(load.thing),
        length=_figure(*inputs[f"l of {load.thing}"]),
        current=_figure(*inputs[f"I of {load.thing}"]),
        has=_figure(load.volts.value, load.volts.unit),
        needs=_figure(*needs),
        margin=_figure(margin, load.margin.unit),
        lumped="" if load.lumped is None else _figure(load.lumped.value, load.lumped.unit),
        smallest=str(load.smallest.value),
        lacks=isinstance(margin, float) and margin < 0.0,
    )


def _figure(value: float | str, unit: str) -> str:
    return value if isinstance(value, str) else figure(value, unit)


def _formulas(loads: Sequence[_Load]) -> Iterator[str]:
    """What the volts come from, and the resistance of each conductor, each once."""
    starts = dict.fromkeys(with_unit(*load.volts.inputs["start"]) for load in loads)
    yield f"Volts = {signs(loads[0].volts.formula)}; start = {' or '.join(starts)}."
    lumped = [x.lumped.formula for x in loads if x.lumped is not None]
    if lumped:
        yield f"Drop with all loads at the end, the safe case = {signs(lumped[0])}."
    resistances = dict.fromkeys(f"{x.conductor}: {arithmetic(x.wire)}." for x in loads)
    yield f"Resistance of one wire of {' '.join(resistances)}"
