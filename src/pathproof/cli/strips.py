"""Signal strips in the terminal: the layout of `assess.strip` drawn with box-drawing characters.

The style of a line is its word: solid proven, dashed predicted, dotted undecided, double lacking;
the weakest link is drawn heavier where there is a heavier character. Captions too long for their
place become numbered notes, as on a drawing. Where the width is too small for a drawing, each link
stands on a line of its own.
"""

import textwrap
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from rich.cells import cell_len

from pathproof.assess.strip import StripLayout, StripLink, StripSegment
from pathproof.terms import Word

NARROWEST_CELL: Final = 14
WIDEST_CELL: Final = 20
"""Columns of a link in a drawing. [characters]"""
_CAPTION_LINES: Final = 2

_RING: Final = "o"


@dataclass(frozen=True, kw_only=True)
class Strokes:
    """The characters of a drawing."""

    across: Mapping[Word, str]
    across_weakest: Mapping[Word, str]
    down: Mapping[Word, str]
    joints: Mapping[str, str]
    """Character for the directions that meet in a place: u(p), d(own), l(eft), r(ight)."""


BOX: Final = Strokes(
    across=MappingProxyType(
        {Word.PROVEN: "─", Word.PREDICTED: "╌", Word.UNDECIDED: "┈", Word.LACKING: "═"}
    ),
    across_weakest=MappingProxyType(
        {Word.PROVEN: "━", Word.PREDICTED: "╍", Word.UNDECIDED: "┉", Word.LACKING: "═"}
    ),
    down=MappingProxyType(
        {Word.PROVEN: "│", Word.PREDICTED: "╎", Word.UNDECIDED: "┊", Word.LACKING: "║"}
    ),
    joints=MappingProxyType(
        {"du": "│", "ru": "└", "dru": "├", "lu": "┘", "dlu": "┤", "lru": "┴", "dlru": "┼"}
    ),
)
ASCII: Final = Strokes(
    across=MappingProxyType(
        {Word.PROVEN: "-", Word.PREDICTED: "- ", Word.UNDECIDED: ". ", Word.LACKING: "="}
    ),
    across_weakest=MappingProxyType(
        {Word.PROVEN: "#", Word.PREDICTED: "# ", Word.UNDECIDED: ": ", Word.LACKING: "="}
    ),
    down=MappingProxyType(
        {Word.PROVEN: "|", Word.PREDICTED: "!", Word.UNDECIDED: ":", Word.LACKING: "H"}
    ),
    joints=MappingProxyType(
        {"du": "|", "ru": "+", "dru": "+", "lu": "+", "dlu": "+", "lru": "+", "dlru": "+"}
    ),
)


@dataclass
class Notes:
    """Captions too long for a drawing, numbered; equal ones once."""

    texts: list[str] = field(default_factory=list)

    def number(self, text: str) -> int:
        """The number of a note, from 1."""
        if text not in self.texts:
            self.texts.append(text)
        return self.texts.index(text) + 1


def legend(strokes: Strokes) -> str:
    """What the styles of the lines mean."""
    words = [f"{strokes.across[word] * 3:.3} {word}" for word in Word]
    weakest = strokes.across_weakest[Word.PROVEN] * 3
    return "  ".join([*words, f"{weakest} weakest"])


def draw_strip(
    layout: StripLayout, notes: Notes, *, width: int, strokes: Strokes = BOX, hanging: bool = True
) -> list[str]:
    """The lines of one strip, at most `width` wide, without its title.

    Parameters
    ----------
    layout : StripLayout
        What is drawn.
    notes : Notes
        Takes the captions that are too long.
    width : int
        Room there is. [characters]
    strokes : Strokes
        Characters to draw with.
    hanging : bool
        Whether supply and standby are drawn below the panel.
    """
    cell = min(WIDEST_CELL, (width - len("centre")) // max(1, layout.columns - 1))
    if cell < NARROWEST_CELL:
        return _listed(layout, width, strokes, hanging)
    return _Drawing(layout, notes, cell, strokes, hanging).lines()


def _listed(layout: StripLayout, width: int, strokes: Strokes, hanging: bool) -> list[str]:
    """One link after the other, for narrow screens."""
    labels = {(n.column, n.row): n.label for n in layout.nodes}
    lines = []
    for segment in layout.segments:
        start = labels[segment.start_column, segment.start_row]
        end = labels[segment.end_column, segment.end_row]
        way = f"{start} {_across(segment.link, 3, strokes)} {end}: "
        lines += _wrapped(("or " if segment.row else "") + way + segment.link.caption, width)
    for link in layout.hanging if hanging else ():
        lines += _wrapped(f"{strokes.down[link.word]} {link.kind}: {link.caption}", width)
    return lines


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width, subsequent_indent="    ")


def _across(link: StripLink, length: int, strokes: Strokes) -> str:
    style = (strokes.across_weakest if link.weakest else strokes.across)[link.word]
    return (style * length)[:length]


class _Drawing:
    """A grid of characters; each row of the layout is a block of labels, line and captions."""

    def __init__(
        self, layout: StripLayout, notes: Notes, cell: int, strokes: Strokes, hanging: bool
    ) -> None:
        self.layout = layout
        self.cell = cell
        self.strokes = strokes
        self.hanging = layout.hanging if hanging else ()
        self.notes = notes
        self.captions = {id(s): self._caption(s) for s in layout.segments}
        self.cells: dict[tuple[int, int], str] = {}  # line, column
        self.joints: dict[tuple[int, int], set[str]] = {}
        self.line_of_row = self._line_numbers()

    def lines(self) -> list[str]:
        """The drawing, from the top."""
        for segment in self.layout.segments:
            self._draw_segment(segment)
        self._draw_hanging()
        for spot, ways in self.joints.items():
            self.cells[spot] = self.strokes.joints["".join(sorted(ways))]
        for node in self.layout.nodes:
            line, x = self.line_of_row[node.row], node.column * self.cell
            self._put(line, x, _RING)
            self._put(line - 1, x, node.label[: self.cell - 1])
        last = max(line for line, _ in self.cells)
        return [self._text(line) for line in range(last + 1)]

    def _line_numbers(self) -> list[int]:
        """The line on which each row's links run; labels above, captions below."""
        numbers = []
        line = 1
        for row in range(self.layout.rows):
            numbers.append(line)
            captions = [len(self.captions[id(s)]) for s in self.layout.segments if s.row == row]
            line += max(captions, default=0) + 2
        return numbers

    def _caption(self, segment: StripSegment) -> list[str]:
        span = (segment.end_column - segment.start_column) * self.cell - 3
        caption = segment.link.caption
        lines = textwrap.wrap(caption, span)
        if len(lines) > _CAPTION_LINES or cell_len(caption) != len(caption):
            return [f"note {self.notes.number(caption)}"]
        return lines

    def _draw_segment(self, segment: StripSegment) -> None:
        line = self.line_of_row[segment.row]
        start, end = segment.start_column * self.cell, segment.end_column * self.cell
        self._put(line, start + 1, _across(segment.link, end - start - 1, self.strokes))
        for number, text in enumerate(self.captions[id(segment)], start=1):
            self._put(line + number, start + 2, text)
        self._bend(self.line_of_row[segment.start_row], line, start, "r")
        self._bend(self.line_of_row[segment.end_row], line, end, "l")

    def _bend(self, upper: int, lower: int, x: int, towards: str) -> None:
        """From a node down to a row below it."""
        for line in range(upper + 1, lower):
            self.joints.setdefault((line, x), set()).update("ud")
        if lower > upper:
            self.joints.setdefault((lower, x), set()).update("u", towards)

    def _draw_hanging(self) -> None:
        x = self.layout.hang_column * self.cell
        last_row = self.layout.rows - 1
        captions = [len(self.captions[id(s)]) for s in self.layout.segments if s.row == last_row]
        bottom = self.line_of_row[-1] + max(captions, default=0) + 1
        for line in range(self.line_of_row[self.layout.hang_row] + 1, bottom):
            if self.hanging:
                self.joints.setdefault((line, x), set()).update("ud")
        room = (self.layout.columns - 1) * self.cell + len("centre") - x
        for line, link in enumerate(self.hanging, start=bottom):
            text = f"{link.kind}: {link.caption}"
            if len(text) > room:
                text = f"{link.kind}: note {self.notes.number(link.caption)}"
            self._put(line, x, f"{self.strokes.down[link.word]} {text}")

    def _put(self, line: int, x: int, text: str) -> None:
        for offset, character in enumerate(text):
            self.cells[line, x + offset] = character

    def _text(self, line: int) -> str:
        columns = [x for y, x in self.cells if y == line]
        text = "".join(self.cells.get((line, x), " ") for x in range(max(columns, default=-1) + 1))
        return text.rstrip()
