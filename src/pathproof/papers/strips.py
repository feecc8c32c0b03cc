"""The signal strip as a drawing: the line style of a link is its word."""

import textwrap
from collections.abc import Callable, Iterator

from pathproof.assess.strip import StripLayout, StripLink, StripSegment
from pathproof.papers.drawing import (
    CHARACTER_MM,
    HEAVY_MM,
    INK,
    LINE_MM,
    PAPER,
    WARN,
    Drawing,
    Label,
    Lines,
    PointMm,
    Ring,
    Shape,
)
from pathproof.terms import Word

ROW_MM = 14.0
"""From one row of a strip to the next. [mm]"""
HANG_MM = 8.0
_LABEL_MM = 5.0
_CAPTION_MM = 8.5
_SIDE_MM = 8.0
_RING_MM = 1.0
_BEND_MM = 4.0
_GAP_MM = 0.8
"""From one line of a lacking link to the other. [mm]"""
DASH = {Word.PROVEN: "solid", Word.PREDICTED: "dashed", Word.UNDECIDED: "dotted"}

Caption = Callable[[StripLink], str]


def own_caption(link: StripLink) -> str:
    """The caption that the layout gives: margin, shortfall or what is missing."""
    return link.caption


def draw_strip(
    layout: StripLayout,
    width_mm: float,
    caption: Caption = own_caption,
    *,
    hanging: bool = True,
) -> Drawing:
    """A strip, its nodes spread over the width; with or without what hangs below the panel.

    A caption too long for its link stands below the drawing, and the link names its note.
    """
    pen = _Pen(layout, width_mm, caption)
    shapes: list[Shape] = [s for segment in layout.segments for s in pen.segment(segment)]
    if hanging:
        shapes += pen.hanging()
    for node in layout.nodes:
        at = pen.spot(node.column, node.row)
        shapes.append(Ring(at=at, radius_mm=_RING_MM))
        shapes.append(Label(at=(at[0], at[1] - 2.0), text=node.label, anchor="bottom"))
    height = _LABEL_MM + (layout.rows - 1) * ROW_MM + _CAPTION_MM
    height += HANG_MM * len(layout.hanging) * hanging
    return Drawing(
        width_mm=width_mm,
        height_mm=height,
        shapes=tuple(shapes),
        alt=strip_words(layout, caption),
        notes=tuple(pen.notes),
    )


def strip_words(layout: StripLayout, caption: Caption = own_caption) -> str:
    """The strip read out, for those who cannot see it."""
    links = [s.link for s in layout.segments] + list(layout.hanging)
    said = [f"{x.kind} {x.word}, {caption(x)}" for x in links]
    return f"{layout.title}: {layout.word}. " + "; ".join(said)


def draw_key(width_mm: float) -> Drawing:
    """The four line styles with their words."""
    shapes: list[Shape] = []
    step = width_mm / len(Word)
    for i, word in enumerate(Word):
        left = i * step
        shapes += list(_styled(((left, 2.0), (left + 12.0, 2.0)), word, weakest=False))
        shapes.append(Label(at=(left + 13.5, 2.0), text=str(word), anchor="left"))
    words = ", ".join(f"{word} {style}" for word, style in DASH.items())
    return Drawing(
        width_mm=width_mm,
        height_mm=4.0,
        shapes=tuple(shapes),
        alt=f"Line styles: {words}, lacking double",
    )


class _Pen:
    def __init__(self, layout: StripLayout, width_mm: float, caption: Caption) -> None:
        self._layout = layout
        self._caption = caption
        self._step_mm = (width_mm - 2 * _SIDE_MM) / max(layout.columns - 1, 1)
        self.notes: list[str] = []

    def spot(self, column: int, row: int) -> PointMm:
        return _SIDE_MM + column * self._step_mm, _LABEL_MM + row * ROW_MM

    def segment(self, segment: StripSegment) -> Iterator[Shape]:
        start = self.spot(segment.start_column, segment.start_row)
        end = self.spot(segment.end_column, segment.end_row)
        y = self.spot(0, segment.row)[1]
        points = [start]
        if y != start[1]:
            points.append((start[0] + _BEND_MM, y))
        if y != end[1]:
            points.append((end[0] - _BEND_MM, y))
        points.append(end)
        yield from _styled(tuple(points), segment.link.word, weakest=segment.link.weakest)
        width = end[0] - start[0] - 3.0
        yield Label(
            at=((start[0] + end[0]) / 2, y + 1.5),
            text=self._fitted(self._caption(segment.link), width, rows=2),
            width_mm=width,
            ink=_ink(segment.link.word),
            bold=segment.link.weakest,
        )

    def hanging(self) -> Iterator[Shape]:
        """Supply and standby, one below the other under the panel."""
        x, y = self.spot(self._layout.hang_column, self._layout.hang_row)
        below = self.spot(0, self._layout.rows - 1)[1] + _CAPTION_MM - 3.0
        for i, link in enumerate(self._layout.hanging):
            end = below + (i + 0.7) * HANG_MM
            yield from _styled(((x, y), (x, end)), link.word, weakest=link.weakest)
            yield Ring(at=(x, end), radius_mm=_RING_MM)
            yield Label(
                at=(x + 2.5, end),
                text=self._fitted(f"{link.kind}: {self._caption(link)}", 100.0, rows=1),
                anchor="left",
                ink=_ink(link.word),
                bold=link.weakest,
            )
            y = end

    def _fitted(self, text: str, width_mm: float, rows: int) -> str:
        """Text that surely fits in so many rows, or where to find it."""
        per_row = int(width_mm / CHARACTER_MM)
        wrapped = textwrap.wrap(text, per_row, break_long_words=False, break_on_hyphens=False)
        if len(wrapped) <= rows and all(len(row) <= per_row for row in wrapped):
            return text
        if text not in self.notes:
            self.notes.append(text)
        return f"see note {self.notes.index(text) + 1}"


def _styled(points: tuple[PointMm, ...], word: Word, *, weakest: bool) -> Iterator[Lines]:
    """A line in the style of its word; the weakest is drawn heavier."""
    if word is not Word.LACKING:
        width = HEAVY_MM if weakest else LINE_MM
        yield Lines(lines=(points,), width_mm=width, dash=DASH[word])
        return
    edge = LINE_MM if weakest else LINE_MM / 2
    yield Lines(lines=(points,), ink=WARN, width_mm=_GAP_MM + edge)
    yield Lines(lines=(points,), ink=PAPER, width_mm=_GAP_MM - edge)


def _ink(word: Word) -> str:
    return WARN if word is Word.LACKING else INK
