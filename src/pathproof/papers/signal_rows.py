"""The signals on paper: each under its own word, those that travel and fare alike in one row."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from pathproof.assess.judge import WORST_FIRST, rank
from pathproof.assess.strip import StripLayout, StripLink, site_strip_layout, strip_layout
from pathproof.assess.types import Assessment, Signal
from pathproof.papers._text import counted, listed
from pathproof.papers.drawing import Drawing
from pathproof.papers.names import Names
from pathproof.papers.strips import draw_key, draw_strip
from pathproof.papers.summary import WORD_MEANS
from pathproof.terms import SignalKind, Word

STRIP_WIDTH_MM = 126.0
MOST_WAYS = 2
"""Ways drawn at a fork; more would bury the strip that matters."""
MOST_STRIPS = 40
"""With more rows than these, rows whose strips would look the same share one. House choice."""
ALIKE = 3
"""So many rows with the same strip share it."""


@dataclass(frozen=True, kw_only=True)
class SignalRow:
    """A thing's signals that travel the same way with the same word, and their strip."""

    key: str
    name: str
    zone: str
    signals: str
    why: str
    strip: Drawing
    ways_left_out: bool


@dataclass(frozen=True, kw_only=True)
class AlikeRow:
    """One thing of several that share a strip, with its own figures."""

    key: str
    name: str
    zone: str
    figures: tuple[str, ...]
    why: str


@dataclass(frozen=True, kw_only=True)
class AlikeRows:
    """Things whose strips would look the same but for their figures."""

    heading: str
    signals: str
    strip: Drawing
    letters: tuple[str, ...]
    """Under which links of the strip the figures of each row belong."""
    rows: tuple[AlikeRow, ...]
    why: bool
    """Some row says why."""
    ways_left_out: bool


@dataclass(frozen=True, kw_only=True)
class SignalGroup:
    """All signals with one word."""

    word: Word
    heading: str
    means: str
    why: str
    """The reason of most rows, which those do not repeat."""
    rows: tuple[SignalRow | AlikeRows, ...]


@dataclass(frozen=True, kw_only=True)
class SignalsSheet:
    """All signals, unproven first."""

    site_strip: Drawing
    key: Drawing
    shortened: str
    groups: tuple[SignalGroup, ...]


class SignalRows:
    """Rows of all signals, worst first."""

    def __init__(self, assessment: Assessment, names: Names) -> None:
        self._assessment, self._names = assessment, names
        self._links = {x.id: x for x in assessment.links}
        together: dict[object, list[Signal]] = defaultdict(list)
        for signal in assessment.signals:
            together[_fares(signal)].append(signal)
        self._rows = [_Row(assessment, group) for group in together.values()]
        self._rows.sort(key=self._order)

    def sheet(self, width_mm: float) -> SignalsSheet:
        """The sheet of all signals."""
        shortened = len(self._rows) > MOST_STRIPS
        return SignalsSheet(
            site_strip=draw_strip(site_strip_layout(self._assessment), width_mm),
            key=draw_key(width_mm),
            shortened=_SHORTENED if shortened else "",
            groups=tuple(self._groups(shortened)),
        )

    def drawn(self) -> Iterator[str]:
        """Ids of all links that are drawn."""
        for layout in (site_strip_layout(self._assessment), *(row.layout for row in self._rows)):
            yield from (s.link.link for s in layout.segments)
            yield from (hanging.link for hanging in layout.hanging)

    def _order(self, row: "_Row") -> tuple[int, tuple[int, int, float]]:
        """By word, then by the weakest link drawn; rows that tie keep the site's order."""
        ranks = [rank(self._links[s.link.link]) for s in row.layout.segments]
        return WORST_FIRST.index(row.word), min(ranks, default=(0, 0, 0.0))

    def _groups(self, shortened: bool) -> Iterator[SignalGroup]:
        for word in WORST_FIRST:
            rows = [row for row in self._rows if row.word is word]
            if not rows:
                continue
            why, count = Counter(row.why for row in rows).most_common(1)[0]
            common = why if count > 1 else ""
            said = f"Unless a row gives its own reason: {self._names.plain(why)}."
            yield SignalGroup(
                word=word,
                heading=f"{word.capitalize()}: "
                f"{counted(sum(len(row.group) for row in rows), 'signal')}",
                means=WORD_MEANS[word],
                why=said if common else "",
                rows=tuple(self._in_word(rows, common, shortened)),
            )

    def _in_word(
        self, rows: "list[_Row]", common: str, shortened: bool
    ) -> Iterator[SignalRow | AlikeRows]:
        looks: dict[object, list[_Row]] = defaultdict(list)
        for i, row in enumerate(rows):
            looks[row.look if shortened else i].append(row)
        for alike in looks.values():
            if len(alike) >= ALIKE:
                yield self._alike(alike, common)
            else:
                yield from (self._row(row, common) for row in alike)

    def _row(self, row: "_Row", common: str) -> SignalRow:
        shown = row.shown
        return SignalRow(
            key=self._names.keys.get(shown.about, ""),
            name=self._names.full.get(shown.about, shown.about),
            zone=self._names.zone(shown.about, shown.zone),
            signals=row.signals,
            why="" if row.why == common else self._names.plain(row.why),
            strip=draw_strip(row.layout, STRIP_WIDTH_MM, hanging=False),
            ways_left_out=row.layout.links_left_out > 0,
        )

    def _alike(self, rows: "list[_Row]", common: str) -> AlikeRows:
        first = rows[0]
        captions = [[s.link.caption for s in row.layout.segments] for row in rows]
        differs = [len(set(column)) > 1 for column in zip(*captions, strict=True)]
        letters: dict[str, str] = {}
        for segment, own in zip(first.layout.segments, differs, strict=True):
            if own:
                letters[segment.link.link] = chr(ord("a") + len(letters))

        def caption(link: StripLink) -> str:
            return letters.get(link.link, link.caption)

        told = first.word in (Word.LACKING, Word.UNDECIDED)
        drawn = tuple(
            AlikeRow(
                key=self._names.keys.get(row.shown.about, ""),
                name=self._names.full.get(row.shown.about, row.shown.about),
                zone=self._names.zone(row.shown.about, row.shown.zone),
                figures=tuple(c for c, own in zip(said, differs, strict=True) if own),
                why=self._names.plain(row.why) if told and row.why != common else "",
            )
            for row, said in zip(rows, captions, strict=True)
        )
        return AlikeRows(
            heading=f"{counted(len(rows), 'device')} alike",
            signals=first.signals,
            strip=draw_strip(first.layout, STRIP_WIDTH_MM, caption, hanging=False),
            letters=tuple(letters.values()),
            rows=drawn,
            why=any(row.why for row in drawn),
            ways_left_out=first.layout.links_left_out > 0,
        )


_SHORTENED = (
    f"This list is shortened: with more than {MOST_STRIPS} rows, devices whose strips would look "
    "the same share one. Each keeps a line of its own with its figures; the letters say under "
    "which link of the strip they belong."
)


def _fares(signal: Signal) -> object:
    """Signals of a thing that agree in this stand in one row."""
    at_centre = signal.why if signal.arrival is Word.LACKING else ""
    return signal.about, signal.path, signal.word, signal.weakest, at_centre


class _Row:
    """Signals of one thing that fare alike, and the strip that stands for them."""

    def __init__(self, assessment: Assessment, group: list[Signal]) -> None:
        self.group = group
        self.shown = next((s for s in group if s.kind is SignalKind.ALARM), group[0])
        self.word, self.why = self.shown.word, self.shown.why
        kinds = [self.shown, *(s for s in group if s is not self.shown)]
        self.signals = listed([s.kind.replace("_", " ") for s in kinds])
        self.layout = strip_layout(self.shown, assessment, most_ways=MOST_WAYS)
        self.look = (self.signals, _look(self.layout))


def _look(layout: StripLayout) -> object:
    """What of a strip shows, but for its captions."""
    return (
        tuple((n.column, n.row, n.label) for n in layout.nodes),
        tuple(
            (
                (s.start_column, s.end_column, s.row, s.start_row, s.end_row),
                (s.link.kind, s.link.word, s.link.weakest),
            )
            for s in layout.segments
        ),
        layout.links_left_out > 0,
    )
