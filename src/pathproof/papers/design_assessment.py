"""The design assessment: what is known of every signal of a site, on paper.

`build` makes a plain dataclass that tests read; `render` draws it. The version for customers holds
the summary and the cautions alone: a plan with detector positions is a burglar's map.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from pathproof.assess.judge import WORST_FIRST, rank
from pathproof.assess.maps import MarginMap
from pathproof.assess.strip import HANGING, radio_words, site_strip_layout, strip_layout
from pathproof.assess.types import Action, Assessment, Path, Signal
from pathproof.job import PANEL_ID, DetectorPart, Device, Job
from pathproof.papers._text import counted, day, listed, shorten
from pathproof.papers.cautions import Caution, cautions
from pathproof.papers.drawing import Drawing
from pathproof.papers.plan_drawing import PlanDrawing, draw_plan
from pathproof.papers.strips import draw_key, draw_strip
from pathproof.papers.summary import WORD_MEANS, SummarySheet, summary_sheet
from pathproof.papers.working import CalculationSheet, SourceBook, SourceNote, calculation_sheets
from pathproof.terms import Severity, SignalKind, Word

TEMPLATE = "design_assessment.typ"
TEXT_WIDTH_MM = 180.0
STRIP_WIDTH_MM = 126.0
BLOCK_CHARACTERS = 44
"""A long name is cut in the title block; the first sheet has the whole."""
NAME_CHARACTERS = 60
"""A long name of a device is cut in lists; the signal sheet has the whole."""
MOST_NAMES = 12
"""Names in one cell or sentence; then their number."""
MOST_WAYS = 2
"""Ways drawn at a fork; more would bury the strip that matters."""
PLAN_ROOM_MM = (180.0, 178.0)

LEFT_OUT = (
    "Plan, places, names of devices and the working are left out of this version on purpose: they "
    "would tell a stranger where the detectors are. Your installer keeps the full paper."
)
_LINK_ID = re.compile(r"\b(?:radio|mobile|reporting):[\w.>-]*\w")
_BRACKETED_ID = re.compile(r"\(([\w.-]+)\)")


@dataclass(frozen=True, kw_only=True)
class TitleBlock:
    """What stands at the foot of every sheet."""

    job: str
    reference: str
    document: str
    revision: str
    date: str
    who: str
    hash: str


@dataclass(frozen=True, kw_only=True)
class SignalRow:
    """A thing's signals that travel the same way: one strip, the others in words."""

    key: str
    name: str
    zone: str
    signal: str
    word: Word
    why: str
    others: tuple[str, ...]
    strip: Drawing
    ways_left_out: bool


@dataclass(frozen=True, kw_only=True)
class SignalGroup:
    """Rows that share a word."""

    word: Word
    heading: str
    means: str
    rows: tuple[SignalRow, ...]


@dataclass(frozen=True, kw_only=True)
class SignalsSheet:
    """All signals, unproven first."""

    site_strip: Drawing
    key: Drawing
    groups: tuple[SignalGroup, ...]


@dataclass(frozen=True, kw_only=True)
class FindingRow:
    """A finding with what to do about it."""

    id: str
    severity: str
    about: str
    text: str
    do: str
    warn: bool


@dataclass(frozen=True, kw_only=True)
class StepRow:
    """One next action and what it is for."""

    text: str
    about: str


@dataclass(frozen=True, kw_only=True)
class DesignAssessment:
    """The paper, sheet by sheet; sheets that the customer's version leaves out are empty."""

    template: str = TEMPLATE
    title: str
    site: str
    time_stamp_s: int
    """As-of moment, seconds since 1970. [s]"""
    block: TitleBlock
    profile: str
    hash: str
    for_customer: bool
    left_out: str
    summary: SummarySheet
    signals: SignalsSheet | None
    plans: tuple[PlanDrawing, ...]
    no_plan: str
    findings: tuple[FindingRow, ...]
    steps: tuple[StepRow, ...]
    working: tuple[CalculationSheet, ...]
    sources: tuple[SourceNote, ...]
    cautions: tuple[Caution, ...]


def build(
    job: Job,
    assessment: Assessment,
    *,
    for_customer: bool,
    maps: Mapping[str, MarginMap] | None = None,
    who: str = "",
) -> DesignAssessment:
    """The design assessment of a job as data.

    Parameters
    ----------
    job : Job
        The job that was assessed.
    assessment : Assessment
        What `assess` says of it.
    for_customer : bool
        Leave out everything that tells where devices are.
    maps : mapping, optional
        Margin map of each storey by its id.
    who : str
        Who made the paper.
    """
    full = None if for_customer else _Full(job, assessment, maps or {})
    return DesignAssessment(
        title="Design assessment for the customer" if for_customer else "Design assessment",
        site=job.site.name,
        time_stamp_s=int(assessment.as_of.timestamp()),
        block=_title_block(job, assessment, for_customer, who),
        profile=_profile(job, assessment),
        hash=assessment.hash,
        for_customer=for_customer,
        left_out=LEFT_OUT if for_customer else "",
        summary=summary_sheet(assessment, TEXT_WIDTH_MM),
        signals=full.signals() if full else None,
        plans=full.plans() if full else (),
        no_plan=full.no_plan() if full else "",
        findings=full.findings() if full else (),
        steps=full.steps() if full else (),
        working=full.working() if full else (),
        sources=full.sources() if full else (),
        cautions=cautions(job),
    )


def _profile(job: Job, assessment: Assessment) -> str:
    """The title of the profile that was judged by; its id where it is not the job's own."""
    own = job.profile
    return own.title if own.id == assessment.profile else assessment.profile


def _title_block(job: Job, assessment: Assessment, for_customer: bool, who: str) -> TitleBlock:
    return TitleBlock(
        job=shorten(job.site.name, BLOCK_CHARACTERS),
        reference=shorten(job.site.reference, BLOCK_CHARACTERS // 2),
        document="Design assessment" + (", for the customer" if for_customer else ""),
        revision=str(assessment.revision),
        date=day(assessment.as_of, job.site.time_zone),
        who=shorten(who, BLOCK_CHARACTERS),
        hash=assessment.hash[:16],
    )


class _Full:
    """The sheets that only the full paper has."""

    def __init__(self, job: Job, assessment: Assessment, maps: Mapping[str, MarginMap]) -> None:
        self._job, self._assessment, self._maps = job, assessment, maps
        self._links = {x.id: x for x in assessment.links}
        site = job.site
        known = radio_words(assessment)
        self._words = {d.id: known.get(d.id, Word.UNDECIDED) for d in _wireless_devices(job)}
        self._keys = {d.id: str(i) for i, d in enumerate(site.devices, start=1)}
        self._keys |= {r.id: f"R{i}" for i, r in enumerate(site.repeaters, start=1)}
        self._keys |= {s.id: f"S{i}" for i, s in enumerate(site.spots, start=1)}
        self._full_names = {d.id: d.name for d in site.devices}
        self._full_names |= {r.id: r.name for r in site.repeaters}
        self._full_names |= {s.id: s.name for s in site.spots}
        self._full_names |= {PANEL_ID: "Panel"} | {c.id: "Module" for c in site.communicators}
        self._names = {i: shorten(n, NAME_CHARACTERS) for i, n in self._full_names.items()}
        self._zones = {z.number: z.name for z in site.zones}
        self._rows = [_DrawnRow(assessment, group) for group in _together(assessment.signals)]
        self._rows.sort(key=self._order)
        self._book = SourceBook()
        self._sheets = calculation_sheets(assessment, self._drawn(), self._names, self._book)

    def signals(self) -> SignalsSheet:
        return SignalsSheet(
            site_strip=draw_strip(site_strip_layout(self._assessment), TEXT_WIDTH_MM),
            key=draw_key(TEXT_WIDTH_MM),
            groups=tuple(self._groups()),
        )

    def _order(self, row: "_DrawnRow") -> tuple[int, tuple[int, int, float]]:
        """By word, then by the weakest link drawn; rows that tie keep the site's order."""
        ranks = [rank(self._links[s.link.link]) for s in row.layout.segments]
        return WORST_FIRST.index(row.word), min(ranks, default=(0, 0, 0.0))

    def _groups(self) -> Iterator[SignalGroup]:
        for word in WORST_FIRST:
            rows = [row for row in self._rows if row.word is word]
            if rows:
                signals = sum(len(row.group) for row in rows)
                yield SignalGroup(
                    word=word,
                    heading=f"{word.capitalize()}: {counted(signals, 'signal')}",
                    means=WORD_MEANS[word],
                    rows=tuple(self._row(row) for row in rows),
                )

    def _row(self, row: "_DrawnRow") -> SignalRow:
        shown = row.shown
        return SignalRow(
            key=self._keys.get(shown.about, ""),
            name=self._full_names.get(shown.about, shown.about),
            zone=self._zone(shown),
            signal=_said(shown.kind),
            word=row.word,
            why=self._why(shown),
            others=tuple(self._plain(said) for said in _others(shown, row.group)),
            strip=draw_strip(row.layout, STRIP_WIDTH_MM, hanging=False),
            ways_left_out=row.layout.links_left_out > 0,
        )

    def _why(self, signal: Signal) -> str:
        weakest = self._links.get(signal.weakest or "")
        if weakest is not None and weakest.kind in HANGING and signal.why == weakest.why:
            return f"held up by the {weakest.kind}, see the top of this list"
        return self._plain(signal.why)

    def _zone(self, signal: Signal) -> str:
        wired = signal.about in self._keys and signal.about not in self._words
        parts = []
        if signal.zone is not None:
            parts.append(f"zone {signal.zone}, {self._zones.get(signal.zone, '')}".rstrip(", "))
        if wired:
            parts.append("by wire to the panel")
        return ", ".join(parts)

    def plans(self) -> tuple[PlanDrawing, ...]:
        drawn = (
            draw_plan(
                self._job, floor, self._words, self._keys, self._maps.get(floor.id), PLAN_ROOM_MM
            )
            for floor in self._job.site.floors
        )
        return tuple(plan for plan in drawn if plan is not None)

    def no_plan(self) -> str:
        if self._job.site.floors:
            return ""
        return (
            "This job has no plan. Places are given by distance and by the walls and floors that "
            "stand between; the working shows them."
        )

    def findings(self) -> tuple[FindingRow, ...]:
        return tuple(
            FindingRow(
                id=f.id,
                severity=str(f.severity),
                about=self._about(f.about),
                text=self._plain(f.text),
                do=self._plain(f.do),
                warn=f.severity is Severity.SAFETY,
            )
            for f in self._assessment.findings
        )

    def steps(self) -> tuple[StepRow, ...]:
        """Next actions, those that differ only by their device together."""
        together: dict[str, list[str]] = {}
        for action in self._assessment.next:
            doers = together.setdefault(self._plain(self._without_name(action)), [])
            doers.append(f"{self._about(action.about)} ({counted(len(action.signals), 'signal')})")
        return tuple(
            StepRow(text=text, about=listed(_at_most(list(dict.fromkeys(about)))))
            for text, about in together.items()
        )

    def _without_name(self, action: Action) -> str:
        """The action's text with "it" for the device that it is about."""
        if action.about not in self._keys:
            return action.text
        thing = re.escape(action.about)
        name = re.escape(self._full_names[action.about])
        return re.sub(rf"{name} \({thing}\)|\b{thing}\b", "it", action.text)

    def working(self) -> tuple[CalculationSheet, ...]:
        """A sheet for every link that is drawn."""
        return self._sheets

    def sources(self) -> tuple[SourceNote, ...]:
        """Every source of the working, by its number."""
        return tuple(self._book.notes.values())

    def _drawn(self) -> Iterator[str]:
        for layout in (site_strip_layout(self._assessment), *(row.layout for row in self._rows)):
            yield from (s.link.link for s in layout.segments)
            yield from (hanging.link for hanging in layout.hanging)

    def _about(self, about: str) -> str:
        return ", ".join(_at_most([self._named(part) for part in about.split(", ")]))

    def _named(self, thing: str) -> str:
        name = self._names.get(thing, thing)
        return f"{self._keys[thing]} {name}" if thing in self._keys else name

    def _plain(self, text: str) -> str:
        """The text with ids of links and things put in words."""
        text = _LINK_ID.sub(lambda m: self._link_title(m[0]), text)
        return _BRACKETED_ID.sub(lambda m: f"({self._keys.get(m[1], m[1])})", text)

    def _link_title(self, link_id: str) -> str:
        link = self._links.get(link_id)
        if link is None:
            return link_id
        return f"{self._named(link.start)} to {self._named(link.end)}"


def _wireless_devices(job: Job) -> Iterator[Device]:
    """Devices whose part has a radio."""
    for device in job.site.devices:
        part = job.part(device.part)
        if isinstance(part, DetectorPart) and part.radio is not None:
            yield device


def _at_most(names: list[str]) -> list[str]:
    """The first names, then the number of the others."""
    if len(names) <= MOST_NAMES:
        return names
    return [*names[:MOST_NAMES], f"{len(names) - MOST_NAMES} more"]


class _DrawnRow:
    """Signals of one thing that travel the same way, and the strip that stands for them."""

    def __init__(self, assessment: Assessment, group: list[Signal]) -> None:
        self.group = group
        self.shown = next((s for s in group if s.kind is SignalKind.ALARM), group[0])
        self.word = min((s.word for s in group), key=WORST_FIRST.index)
        self.layout = strip_layout(self.shown, assessment, most_ways=MOST_WAYS)


def _together(signals: tuple[Signal, ...]) -> Iterable[list[Signal]]:
    groups: dict[tuple[str, Path], list[Signal]] = {}
    for signal in signals:
        groups.setdefault((signal.about, signal.path), []).append(signal)
    return groups.values()


def _others(shown: Signal, group: list[Signal]) -> Iterator[str]:
    """The other signals of a row, those that share word and weakest link in one sentence."""
    rest = [s for s in group if s is not shown]
    alike = [s for s in rest if (s.word, s.weakest) == (shown.word, shown.weakest)]
    if alike:
        yield f"likewise {listed([_said(s.kind) for s in alike])}"
    for signal in rest:
        if signal not in alike:
            yield f"{_said(signal.kind)}: {signal.word}, {signal.why}"


def _said(kind: SignalKind) -> str:
    return kind.replace("_", " ")
