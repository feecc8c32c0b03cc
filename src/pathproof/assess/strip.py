"""The signal strip as data: one signal laid out from left to right, the way it travels.

Paper, terminal and page draw the same layout. Nodes stand on a grid of columns and rows; a segment
runs along its own row and bends to the rows of its ends. Supply and standby hang below the panel.
A link's word decides how its line is drawn:

    proven     solid
    predicted  dashed
    undecided  dotted
    lacking    thin double line
"""

from collections import Counter
from collections.abc import Mapping, Set
from dataclasses import dataclass, replace

from pathproof.assess.judge import in_use, judge, worst
from pathproof.assess.types import (
    Alternatives,
    Assessment,
    Leaf,
    Link,
    Margin,
    Path,
    Series,
    Signal,
    leaves,
)
from pathproof.job import PANEL_ID
from pathproof.job import links as link_names
from pathproof.terms import LinkKind, Reason, Word

MINUS = "\N{MINUS SIGN}"
HANGING = frozenset({LinkKind.SUPPLY, LinkKind.STANDBY})
"""Links that every signal leans on; they hang below the panel."""
DEVICES = "devices"
"""Id of the one link that stands for all devices' ways to the panel in the strip of a site."""

_MISSING = {Reason.LIMIT: "limit not confirmed", Reason.CALCULATION: "not worked out yet"}
_NODE_AFTER = {LinkKind.MOBILE: "network", LinkKind.REPORTING: "centre"}
_WIRED = "wired"
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
    links_left_out: int = 0


def strip_layout(
    signal: Signal, assessment: Assessment, *, most_ways: int | None = None
) -> StripLayout:
    """The strip of one signal; of more than `most_ways` alternatives only the best are drawn."""
    links = {x.id: x for x in assessment.links}
    path = signal.path if most_ways is None else _pruned(signal.path, links, most_ways)
    layout = _layout(path, links, signal.name, signal.word, signal.weakest, signal.about)
    return replace(layout, links_left_out=len({*leaves(signal.path)} - {*leaves(path)}))


def site_strip_layout(assessment: Assessment) -> StripLayout:
    """One strip for the whole site: all devices as one node, then what their signals share."""
    radio = _devices_link(assessment)
    links = {x.id: x for x in (radio, *assessment.links)}
    any_path = assessment.signals[0].path if assessment.signals else Series(parts=())
    shared = without(any_path, {LinkKind.RADIO}, links)
    path = Series(parts=(Leaf(link=radio.id), *((shared,) if shared else ())))
    weakest = judge(path, links).weakest
    return _layout(path, links, assessment.site, assessment.word, weakest, DEVICES)


def communicator_layout(communicator: str, assessment: Assessment) -> StripLayout:
    """The strip from the panel to the centre by way of one communicator."""
    links = {x.id: x for x in assessment.links}
    way = (link_names.mobile(communicator), link_names.reporting(communicator))
    path = Series(parts=tuple(Leaf(link=i) for i in way))
    judgement = judge(path, links)
    return _layout(path, links, communicator, judgement.word, judgement.weakest, PANEL_ID)


def radio_words(assessment: Assessment) -> dict[str, Word]:
    """The word of each wireless device's way to the panel, by the device's id."""
    links = {x.id: x for x in assessment.links}
    ways = {s.about: only(s.path, LinkKind.RADIO, links) for s in assessment.signals}
    return {about: judge(way, links).word for about, way in ways.items() if way is not None}


def margin_text(margin: Margin) -> str:
    """A margin with its sign and unit, such as "+14 dB"."""
    sign = MINUS if margin.value < 0 else "+"
    return f"{sign}{_figure(abs(margin.value))} {margin.unit}"


def caption(link: Link) -> str:
    """What stands under a link: its note or margin, "lacks" with the shortfall, what is missing."""
    if link.reason is not None:
        return _MISSING.get(link.reason, link.why)
    if link.note is not None:
        return link.note
    if link.margin is None:
        return link.why
    if link.word is Word.LACKING and link.margin.value < 0:
        return f"lacks {_figure(-link.margin.value)} {link.margin.unit}"
    return margin_text(link.margin)


def devices_sentence(assessment: Assessment) -> str:
    """How many devices reach the panel and how that is known, what is proven first.

    Such as "3 of 20 proven to reach the panel, 16 predicted".
    """
    total = assessment.summary.devices
    if not total:
        return "no devices yet"
    known = _known_ways(assessment)
    if not known:
        return f"0 of {total} reach the panel"
    (word, count), *others = known.items()
    how = "wired to" if word == _WIRED else f"{word} to reach"
    more = "".join(f", {n} {other}" for other, n in others)
    return f"{count} of {total} {how} the panel{more}"


def _devices_caption(assessment: Assessment) -> str:
    """The same under a line from devices to panel, such as "3 proven, 16 predicted of 20"."""
    total = assessment.summary.devices
    known = [f"{n} {word}" for word, n in _known_ways(assessment).items()]
    if not total or not known:
        return devices_sentence(assessment)
    return f"{', '.join(known)} of {total}"


def _known_ways(assessment: Assessment) -> dict[str, int]:
    """How many devices reach the panel by each way of knowing it; those of none left out."""
    radio = Counter(radio_words(assessment).values())
    by_air = {str(word): radio[word] for word in (Word.PROVEN, Word.PREDICTED)}
    wired = assessment.summary.devices_heard - sum(by_air.values())
    return {word: n for word, n in {**by_air, _WIRED: wired}.items() if n}


def _figure(value: float) -> str:
    """Two digits or so; never nought for something that is not nought."""
    if value >= 9.95:
        return f"{value:.0f}"
    return f"{value:.1f}" if value >= 0.05 or value == 0 else f"{value:.1g}"


def _devices_link(assessment: Assessment) -> Link:
    """All devices' ways to the panel as one link."""
    summary = assessment.summary
    if summary.devices_lacking:
        word = Word.LACKING
    elif not summary.devices or summary.devices_heard < summary.devices:
        word = Word.UNDECIDED
    else:
        # a wired device counts as heard, and nothing on record shows it
        word = worst(list(radio_words(assessment).values()) or [Word.PREDICTED])
    return Link(
        id=DEVICES,
        kind=LinkKind.RADIO,
        start=DEVICES,
        end=PANEL_ID,
        word=word,
        why=devices_sentence(assessment),
        note=_devices_caption(assessment),
    )


def only(path: Path, kind: LinkKind, links: Mapping[str, Link]) -> Path | None:
    """The part of the tree with links of this kind; none when there is none."""
    return without(path, frozenset(LinkKind) - {kind}, links)


def without(path: Path, kinds: Set[LinkKind], links: Mapping[str, Link]) -> Path | None:
    """The tree without the links of these kinds; none when nothing is left."""
    if isinstance(path, Leaf):
        return None if links[path.link].kind in kinds else path
    parts = tuple(p for part in path.parts if (p := without(part, kinds, links)) is not None)
    if len(parts) == 1:
        return parts[0]
    if not parts:
        return None
    if isinstance(path, Series):
        return Series(parts=parts)
    return Alternatives(parts=parts, all_needed=path.all_needed)


def _pruned(path: Path, links: Mapping[str, Link], most: int) -> Path:
    """The tree with at most so many ways at each fork: the one in use and the best, in order."""
    if isinstance(path, Leaf):
        return path
    parts = path.parts
    if isinstance(path, Alternatives) and not path.all_needed and len(parts) > most:
        used = set(in_use(path, links))
        best = sorted(
            range(len(parts)),
            key=lambda i: (used <= {*leaves(parts[i])}, judge(parts[i], links).rank),
        )[-most:]
        parts = tuple(parts[i] for i in sorted(best))
    pruned = tuple(_pruned(p, links, most) for p in parts)
    if isinstance(path, Series):
        return Series(parts=pruned)
    return Alternatives(parts=pruned, all_needed=path.all_needed)


def _layout(
    path: Path,
    links: Mapping[str, Link],
    title: str,
    word: Word,
    weakest: str | None,
    about: str,
) -> StripLayout:
    way = without(path, HANGING, links)
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
    if place in (PANEL_ID, DEVICES):
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
