"""The years of cells on paper: one table, as the sums of all parts are alike."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pathproof.assess.types import Line, Replacement
from pathproof.papers._text import figure, ranges, unit_sign
from pathproof.papers.working import SourceBook, arithmetic, signs

_FIGURES = ("I0", "I", "t", "N", "T", "C")
"""What catalogue and profile tell, as the formulas of the terms name it."""
_TERMS = ("asleep", "events", "supervision", "lost")
"""What takes the charge in a year, as the line that divides by it names them."""
_CONSTANTS = ("u", "s")


@dataclass(frozen=True, kw_only=True)
class CellRow:
    """The sum of one part's cells."""

    name: str
    figures: tuple[str, ...]
    terms: tuple[str, ...]
    by_charge: str
    years: str


@dataclass(frozen=True, kw_only=True)
class CellTable:
    """The sums of all cells, and the formulas that they share."""

    formulas: str
    figures: tuple[str, ...]
    """Headings of the figures, with their units."""
    terms: tuple[str, ...]
    """Headings of the terms."""
    rows: tuple[CellRow, ...]


def cell_table(sums_of: Mapping[str, Replacement], book: SourceBook) -> CellTable | None:
    """The table.

    Parameters
    ----------
    sums_of : mapping
        A replacement of cells with its working, by the name of the part.
    book : SourceBook
        Takes up their sources.
    """
    sums = [_Sum(name, item.working) for name, item in sums_of.items() if item.working]
    if not sums:
        return None
    units = {name: unit for x in sums for name, (_, unit) in x.inputs.items()}
    notes = [book.note(s).number for x in sums for line in x.lines for s in line.sources]
    return CellTable(
        formulas=" ".join((*_formulas(sums), f"(Sources {ranges(notes)})")),
        figures=tuple(f"{name} {unit_sign(units.get(name, ''))}".rstrip() for name in _FIGURES),
        terms=_TERMS,
        rows=tuple(x.row() for x in sums),
    )


class _Sum:
    """The lines of one part by what they are for."""

    def __init__(self, name: str, lines: Sequence[Line]) -> None:
        self.lines = lines
        self.inputs = {name: told for line in lines for name, told in line.inputs.items()}
        self._name = name
        self._by_charge = next(x for x in lines if _TERMS[0] in x.inputs)
        self._years = next(x for x in lines if self._by_charge.id in x.needs)

    @property
    def formulas(self) -> dict[str, str]:
        """The formula of each figure that is worked out, where it has one."""
        by_id = {line.id: line for line in self.lines}
        terms = zip(_TERMS, (by_id[i] for i in self._by_charge.needs), strict=True)
        named = {name: line.formula for name, line in (*terms, ("by charge", self._by_charge))}
        named["years"] = arithmetic(self._years)
        return {name: formula for name, formula in named.items() if formula}

    def row(self) -> CellRow:
        """Figures as the table shows them."""
        return CellRow(
            name=self._name,
            figures=tuple(_plain_figure(self.inputs.get(name)) for name in _FIGURES),
            terms=tuple(figure(float(self.inputs[name][0]), "mAh") for name in _TERMS),
            by_charge=figure(float(self._by_charge.value), "years"),
            years=figure(float(self._years.value), "years"),
        )


def _plain_figure(told: tuple[float | str, str] | None) -> str:
    """An input as it was told, without noughts behind; nothing where the part has none."""
    return "" if told is None else f"{float(told[0]):g}"


def _formulas(sums: Sequence[_Sum]) -> Iterator[str]:
    """The formulas as the lines have them; what one part does without, another tells."""
    told: dict[str, str] = {}
    for x in sums:
        told = x.formulas | told
    yield "; ".join(f"{name} = {signs(formula)}" for name, formula in told.items()) + ";"
    shared = {k: v for x in sums for k, v in x.inputs.items()}
    yield ", ".join(f"{name} = {_plain_figure(shared[name])}" for name in _CONSTANTS) + "."
