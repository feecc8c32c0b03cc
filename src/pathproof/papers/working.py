"""The working on paper: numbered calculations, a table of the further ones, their sources."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from pathproof.assess.judge import in_use
from pathproof.assess.strip import caption
from pathproof.assess.types import Assessment, Line, Link
from pathproof.calc.sources import Source
from pathproof.papers._text import MINUS, figure, ranges, shorten, unit_sign, with_unit
from pathproof.terms import Evidence, LinkKind, Word

HOW_SURE = {
    Evidence.READ: "read",
    Evidence.RESTATED: "restated",
    Evidence.COMPUTED: "computed",
    Evidence.PRACTICE: "practice",
    Evidence.MEMORY: "from memory: check your own copy",
}

MOST = 45
"""With more calculations than these, some go into a table. House choice."""
MOST_FULL = 30
"""So many then stand in full, more only where they leave a signal open. House choice."""

_INTRODUCTION = (
    "Each calculation follows one link from its inputs to the last line. Lines that go into a "
    "later one are indented. Numbers at the right are sources, in the margin and in the list after "
    "the working. A wall, floor, door or window of known layers has three figures: its loss with "
    "the constants of its materials as they stand (extrapolated below 1 GHz), its loss with their "
    "conductivity held at the end of its range, and the least that any of them counts for; the "
    "largest counts. All is worked out with more digits than are printed, so a sum of printed "
    "figures may be off by one or two in the last digit."
)
_SHORTENED = (
    f"Shortened: with more than {MOST} calculations, those that stand in full are of links "
    "that leave a signal lacking or undecided, then of proven and predicted links as far as room "
    "allows. Each further link has a line here; the job file holds its whole working."
)
_SHORT = 40
_SURE = 0.9999
"""Odds that rounding made certain are told as a little less."""
_ARITHMETIC = re.compile(r"^(\w+\(.*\)|[^:,]*( [-+x*/] |\^|\w\()[^:,]*)$")
"""A formula with signs in it; otherwise it is a rule in words."""
_FOR_INFORMATION = "For information"
"""How the label of a line starts that nothing rests on."""
_BRACKET = re.compile(r"\([^()]*\)")
"""A comma in a bracket parts the arguments of a function and does not make a rule of it."""
_MARK = re.compile(rf"([+{MINUS}×/] )?\x00(\d+)\x00")


@dataclass(frozen=True, kw_only=True)
class SourceNote:
    """A source with its number; the same number in every calculation."""

    number: int
    text: str
    short: str
    """As the margin has room for; the list of sources has the whole."""
    how_sure: str


@dataclass(frozen=True, kw_only=True)
class WorkRow:
    """One line of a calculation.

    A figure is split at its decimal point so that points stand below each other; words instead of
    a figure are in `words`.
    """

    label: str
    indent: int
    arithmetic: str
    whole: str
    fraction: str
    unit: str
    words: str
    notes: tuple[int, ...]
    notes_said: str
    """The same with neighbours as ranges, such as "2–5, 9"."""
    result: bool


@dataclass(frozen=True, kw_only=True)
class Calculation:
    """The working of one link."""

    number: int
    link: str
    title: str
    word: Word
    why: str
    rows: tuple[WorkRow, ...]
    notes: tuple[SourceNote, ...]


@dataclass(frozen=True, kw_only=True)
class TableRow:
    """A radio link whose calculation is not printed in full."""

    title: str
    distance: str
    through: str
    margin: str
    odds: str
    word: Word
    evidence: str


@dataclass(frozen=True, kw_only=True)
class Working:
    """All working of the links that are drawn."""

    introduction: str
    calculations: tuple[Calculation, ...]
    shortened: str
    table: tuple[TableRow, ...]


@dataclass
class SourceBook:
    """Numbers sources in the order in which they first appear."""

    notes: dict[Source, SourceNote] = field(default_factory=dict)

    def note(self, source: Source) -> SourceNote:
        """The note of a source."""
        if source not in self.notes:
            parts = [source.ref, source.edition, source.clause]
            self.notes[source] = SourceNote(
                number=len(self.notes) + 1,
                text=", ".join(x for x in parts if x),
                short=shorten(source.edition or source.ref, _SHORT),
                how_sure=HOW_SURE[source.evidence],
            )
        return self.notes[source]


def working(
    assessment: Assessment, wanted: Iterable[str], names: Mapping[str, str], book: SourceBook
) -> Working:
    """The working of each wanted link that has some, in the assessment's order.

    Where there is much of it, a calculation stands in full for every link that is not by radio or
    that leaves a signal lacking or undecided; then for proven and predicted ones as far as
    `MOST_FULL` goes, and the others are lines of a table.
    """
    chosen = set(wanted)
    links = [x for x in assessment.links if x.id in chosen and x.working]
    full = _in_full(assessment, links)
    table = [x for x in links if x.id not in full]
    return Working(
        introduction=_INTRODUCTION,
        calculations=calculation_sheets(assessment, full, names, book),
        shortened=_SHORTENED if table else "",
        table=tuple(_table_row(link, names) for link in table),
    )


def calculation_sheets(
    assessment: Assessment, wanted: Iterable[str], names: Mapping[str, str], book: SourceBook
) -> tuple[Calculation, ...]:
    """A calculation for each wanted link that has working, in the assessment's order."""
    chosen = set(wanted)
    links = [x for x in assessment.links if x.id in chosen and x.working]
    return tuple(_calculation(i, link, names, book) for i, link in enumerate(links, start=1))


def work_rows(
    lines: tuple[Line, ...], book: SourceBook
) -> tuple[tuple[WorkRow, ...], tuple[SourceNote, ...]]:
    """The rows of a calculation and the notes for its margin."""
    depth = _depths(lines)
    notes = {book.note(s).number: book.note(s) for line in lines for s in line.sources}
    rows = tuple(
        _row(line, depth[line.id], tuple(book.note(s).number for s in line.sources))
        for line in lines
    )
    return rows, tuple(notes[n] for n in sorted(notes))


def _in_full(assessment: Assessment, links: list[Link]) -> set[str]:
    if len(links) <= MOST:
        return {x.id for x in links}
    by_id = {x.id: x for x in assessment.links}
    used = {i for path in {s.path for s in assessment.signals} for i in in_use(path, by_id)}
    open_words = (Word.LACKING, Word.UNDECIDED)
    full = {
        x.id
        for x in links
        if x.kind is not LinkKind.RADIO or (x.id in used and x.word in open_words)
    }
    rest = [x for x in links if x.id not in full]
    rest.sort(key=lambda x: (x.id not in used, x.word is not Word.PROVEN))
    return full | {x.id for x in rest[: max(MOST_FULL - len(full), 0)]}


def arithmetic(line: Line) -> str:
    """The formula of a line with its numbers put in.

    Names of inputs are replaced by their figures; inputs that the formula does not name follow in
    brackets, and so do all inputs of a rule that is put in words. What follows the formula after a
    comma is a remark and stays as it is.
    """
    said, remark = _without_remark(line.formula)
    figures = {name: with_unit(value, unit) for name, (value, unit) in line.inputs.items()}
    marks: dict[str, str] = {}
    if _ARITHMETIC.search(_BRACKET.sub(lambda m: m[0].replace(",", ""), said)) or said in figures:
        for name in sorted(figures, key=len, reverse=True):
            number = str(len(marks))
            mark = f"\x00{number}\x00"
            said, found = re.subn(rf"(?<![\w.]){re.escape(name)}(?![\w.])", mark, said)
            if found:
                marks[number] = name
    said = _MARK.sub(lambda m: _put(m[1] or "", figures[marks[m[2]]]), signs(said)) + signs(remark)
    left = [f"{name} {text}" for name, text in figures.items() if name not in marks.values()]
    if left:
        said = f"{said} ({', '.join(left)})" if said else ", ".join(left)
    return said


def _without_remark(formula: str) -> tuple[str, str]:
    """A formula and what follows it after its first comma outside brackets."""
    open_brackets = 0
    for i, character in enumerate(formula):
        open_brackets += (character == "(") - (character == ")")
        if character == "," and not open_brackets:
            return formula[:i], formula[i:]
    return formula, ""


def signs(formula: str) -> str:
    """Typed signs as printed ones; a times sign between factors that only a blank parts.

    Words before a figure are no factors.
    """
    said = re.sub(r"(?<= )-(?= )|^-(?=\d)|(?<=\()-(?=\w)", MINUS, formula)
    said = re.sub(r"(?<= )[x*](?= )", "×", said)
    said = re.sub(r"\bpi\b", "π", said).replace("sqrt(", "√(").replace("Phi(", "Φ(")
    return re.sub(r"(?:(?<=[\dπ\x00)])|(?<=\b[A-Za-z]))(?<!log10) (?=\x00\d)", " × ", said)


def _calculation(
    number: int, link: Link, names: Mapping[str, str], book: SourceBook
) -> Calculation:
    rows, notes = work_rows(link.working, book)
    return Calculation(
        number=number,
        link=link.id,
        title=_title(link, names),
        word=link.word,
        why=link.why,
        rows=rows,
        notes=notes,
    )


def _title(link: Link, names: Mapping[str, str]) -> str:
    return f"{names.get(link.start, link.start)} to {names.get(link.end, link.end)}"


def _table_row(link: Link, names: Mapping[str, str]) -> TableRow:
    inputs = {name: value for line in link.working for name, value in line.inputs.items()}
    return TableRow(
        title=_title(link, names),
        distance=_input(inputs, "d"),
        through=_input(inputs, "walls and floors"),
        margin=caption(link),
        odds="" if link.probability is None else figure(min(link.probability, _SURE), "ratio"),
        word=link.word,
        evidence=", ".join(link.evidence),
    )


def _input(inputs: Mapping[str, tuple[float | str, str]], name: str) -> str:
    return with_unit(*inputs[name]) if name in inputs else ""


def _row(line: Line, indent: int, notes: tuple[int, ...]) -> WorkRow:
    words, whole, fraction = "", "", ""
    if isinstance(line.value, str):
        words = line.value
    else:
        whole, point, decimals = figure(line.value, line.unit).partition(".")
        fraction = point + decimals
    return WorkRow(
        label=line.label,
        indent=indent,
        arithmetic=arithmetic(line),
        whole=whole,
        fraction=fraction,
        unit=unit_sign(line.unit),
        words=words,
        notes=notes,
        notes_said=ranges(notes),
        result=indent == 0 and not line.label.startswith(_FOR_INFORMATION),
    )


def _depths(lines: tuple[Line, ...]) -> dict[str, int]:
    """How far each line is from one that no other needs; a line stands after those it needs."""
    depth = {line.id: 0 for line in lines}
    for line in reversed(lines):
        for needed in line.needs:
            depth[needed] = max(depth.get(needed, 0), depth[line.id] + 1)
    return depth


def _put(before: str, text: str) -> str:
    """A figure after what stands before it; a negative one after a sign goes in brackets."""
    return f"{before}({text})" if before and text.startswith(MINUS) else f"{before}{text}"
