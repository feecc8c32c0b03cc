"""The signal strip as data: one signal laid out from left to right, the way it travels.

Paper, terminal and page draw the same layout. Nodes stand on a grid of columns and rows; a segment
runs along its own row and bends to the rows of its ends. Supply and standby hang below the panel.
A link's word decides how its line is drawn:

    proven     solid
    predicted  dashed
    undecided  dotted
    lacking    thin double line
"""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass

from pathproof.assess.types import (
    Alternatives,
    Assessment,
    Leaf,
    Link,
    Margin,
    Path,
    Series,
    Signal,
    Summary,
    leaves,
)
from pathproof.job import PANEL_ID
from pathproof.terms import LinkKind, Word

MINUS = "\N{MINUS SIGN}"
HANGING = frozenset({LinkKind.SUPPLY, LinkKind.STANDBY})
"""Links that every signal leans on; they hang below the panel."""

_ORDER = list(Word)  # best first
_DEVICES = "devices"
_NODE_AFTER = {LinkKind.MOBILE: "network", LinkKind.REPORTING: "centre"}
_Spot = tuple[int, int]  # column, row


@dataclass(frozen=True, kw_only=True)
class StripNode:
    """A ring: a thing that the signal passes."""

    column: int
    row: int
    place: str
    """Id of the thing, as the link names it."""
    label: str
    """What it is: device, repeater, panel, network, centre."""


@dataclass(frozen=True, kw_only=True)
class StripLink:
    """A line: one link with what stands under it."""

    link: str
    kind: LinkKind
    word: Word
    weakest: bool
    caption: str
    """Its margin, its shortfall, or what is missing."""
    why: str


@dataclass(frozen=True, kw_only=True)
class StripSegment:
    """Where a line runs: along `row`, from and to nodes that may stand in other rows."""

    link: StripLink
    start_column: int
    end_column: int
    row: int
    start_row: int
    end_row: int


@dataclass(frozen=True, kw_only=True)
class StripLayout:
    """One strip."""

    title: str
    word: Word
    nodes: tuple[StripNode, ...]
    segments: tuple[StripSegment, ...]
    hanging: tuple[StripLink, ...]
    """Supply and standby, from the panel downwards."""
    hang_column: int
    hang_row: int
    columns: int
    rows: int


def strip_layout(signal: Signal, assessment: Assessment) -> StripLayout:
    """The strip of one signal."""
    links = {x.id: x for x in assessment.links}
    return _layout(signal.path, links, signal.name, signal.word, signal.weakest, signal.about)


def site_strip_layout(assessment: Assessment) -> StripLayout:
    """One strip for the whole site: all devices as one node, then what their signals share."""
    radio = _devices_link(assessment)
    links = {x.id: x for x in (radio, *assessment.links)}
    any_path = assessment.signals[0].path if assessment.signals else Series(parts=())
    shared = _without(any_path, {LinkKind.RADIO}, links)
    path = Series(parts=(Leaf(link=radio.id), *((shared,) if shared else ())))
    weakest = max((links[i] for i in leaves(path)), key=_weakness).id
    return _layout(path, links, assessment.site, assessment.word, weakest, _DEVICES)


def margin_text(margin: Margin) -> str:
    """A margin with its sign and unit, such as "+14 dB"."""
    sign = MINUS if margin.value < 0 else "+"
    return f"{sign}{_figure(abs(margin.value))} {margin.unit}"


def caption(link: Link) -> str:
    """What stands under a link: its margin, "lacks" with the shortfall, or what is missing."""
    if link.margin is None or link.word is Word.UNDECIDED:
        return link.why
    if link.word is Word.LACKING and link.margin.value < 0:
        return f"lacks {_figure(-link.margin.value)} {link.margin.unit}"
    return margin_text(link.margin)


def devices_sentence(summary: Summary) -> str:
    """How many devices reach the panel, such as "19 of 20 reach the panel"."""
    if not summary.devices:
        return "no devices yet"
    return f"{summary.devices_heard} of {summary.devices} reach the panel"


def _figure(value: float) -> str:
    """Two digits or so; never nought for something that is not nought."""
    if value >= 9.95:
        return f"{value:.0f}"
    return f"{value:.1f}" if value >= 0.05 or value == 0 else f"{value:.1g}"


def _devices_link(assessment: Assessment) -> Link:
    """All devices' ways to the panel as one link."""
    summary = assessment.summary
    links = {x.id: x for x in assessment.links}
    others = frozenset(LinkKind) - {LinkKind.RADIO}
    ways = [way for s in assessment.signals if (way := _without(s.path, others, links))]
    if summary.devices_lacking:
        word = Word.LACKING
    elif not summary.devices or summary.devices_heard < summary.devices:
        word = Word.UNDECIDED
    else:
        word = _worst(_word(way, links) for way in ways)
    return Link(
        id=_DEVICES,
        kind=LinkKind.RADIO,
        start=_DEVICES,
        end=PANEL_ID,
        word=word,
        why=devices_sentence(summary),
    )


def _worst(words: Iterable[Word]) -> Word:
    return max(words, key=_ORDER.index, default=Word.UNDECIDED)


def _word(path: Path, links: Mapping[str, Link]) -> Word:
    if isinstance(path, Leaf):
        return links[path.link].word
    parts = [_word(p, links) for p in path.parts]
    if isinstance(path, Series) or path.all_needed:
        return _worst(parts)
    return min(parts, key=_ORDER.index)


def _weakness(link: Link) -> tuple[int, float]:
    margin = link.margin.value / (link.scale or 1.0) if link.margin else 0.0
    return _ORDER.index(link.word), -margin


def _without(path: Path, kinds: Set[LinkKind], links: Mapping[str, Link]) -> Path | None:
    """The tree without the links of these kinds; none when nothing is left."""
    if isinstance(path, Leaf):
        return None if links[path.link].kind in kinds else path
    parts = tuple(p for part in path.parts if (p := _without(part, kinds, links)) is not None)
    if len(parts) == 1:
        return parts[0]
    if not parts:
        return None
    if isinstance(path, Series):
        return Series(parts=parts)
    return Alternatives(parts=parts, all_needed=path.all_needed)


def _layout(
    path: Path,
    links: Mapping[str, Link],
    title: str,
    word: Word,
    weakest: str | None,
    about: str,
) -> StripLayout:
    way = _without(path, HANGING, links)
    hanging = dict.fromkeys(i for i in leaves(path) if links[i].kind in HANGING)
    grid = _Grid(links, weakest)
    if way is not None:
        grid.fill(way)
    else:
        grid.nodes[0, 0] = StripNode(column=0, row=0, place=about, label=_role(about, links))
    column, row = grid.hang
    return StripLayout(
        title=title,
        word=word,
        nodes=tuple(sorted(grid.nodes.values(), key=lambda n: (n.row, n.column))),
        segments=tuple(grid.segments),
        hanging=tuple(_strip_link(links[i], weakest) for i in hanging),
        hang_column=column,
        hang_row=row,
        columns=1 + max(n.column for n in grid.nodes.values()),
        rows=1 + max((s.row for s in grid.segments), default=0),
    )


class _Grid:
    """Places the nodes and segments of a tree on the grid."""

    def __init__(self, links: Mapping[str, Link], weakest: str | None) -> None:
        self.links = links
        self.weakest = weakest
        self.nodes: dict[_Spot, StripNode] = {}
        self.segments: list[StripSegment] = []
        self.hang: _Spot = (0, 0)

    def fill(self, path: Path) -> None:
        first, last = self._first(path), self._last(path)
        end = (_width(path), 0)
        start_place = first.start if first.kind is LinkKind.RADIO else PANEL_ID
        self._node((0, 0), start_place, _role(start_place, self.links))
        self._node(end, last.end, self._role_after(last))
        self._place(path, (0, 0), end, 0)
        panels = [spot for spot, n in self.nodes.items() if n.label == "panel"]
        self.hang = panels[0] if panels else end

    def _place(self, path: Path, start: _Spot, end: _Spot, row: int) -> None:
        if isinstance(path, Leaf):
            self._segment(self.links[path.link], start, end, row)
        elif isinstance(path, Series):
            here = start
            for part in path.parts[:-1]:
                there = (here[0] + _width(part), row)
                last = self._last(part)
                self._node(there, last.end, self._role_after(last))
                self._place(part, here, there, row)
                here = there
            self._place(path.parts[-1], here, end, row)
        else:
            for part in path.parts:
                self._place(part, start, end, row)
                row += _height(part)

    def _segment(self, link: Link, start: _Spot, end: _Spot, row: int) -> None:
        self.segments.append(
            StripSegment(
                link=_strip_link(link, self.weakest),
                start_column=start[0],
                end_column=end[0],
                row=row,
                start_row=start[1],
                end_row=end[1],
            )
        )

    def _node(self, spot: _Spot, place: str, label: str) -> None:
        self.nodes[spot] = StripNode(column=spot[0], row=spot[1], place=place, label=label)

    def _role_after(self, link: Link) -> str:
        return _NODE_AFTER.get(link.kind) or _role(link.end, self.links)

    def _first(self, path: Path) -> Link:
        return self.links[next(leaves(path))]

    def _last(self, path: Path) -> Link:
        return self.links[list(leaves(path))[-1]]


def _role(place: str, links: Mapping[str, Link]) -> str:
    if place in (PANEL_ID, _DEVICES):
        return place
    ends = {x.end for x in links.values() if x.kind is LinkKind.RADIO}
    return "repeater" if place in ends else "device"


def _strip_link(link: Link, weakest: str | None) -> StripLink:
    return StripLink(
        link=link.id,
        kind=link.kind,
        word=link.word,
        weakest=link.id == weakest,
        caption=caption(link),
        why=link.why,
    )


def _width(path: Path) -> int:
    """Columns that a tree takes."""
    if isinstance(path, Leaf):
        return 1
    widths = [_width(p) for p in path.parts]
    return sum(widths) if isinstance(path, Series) else max(widths)


def _height(path: Path) -> int:
    """Rows that a tree takes."""
    if isinstance(path, Leaf):
        return 1
    heights = [_height(p) for p in path.parts]
    return max(heights) if isinstance(path, Series) else sum(heights)
