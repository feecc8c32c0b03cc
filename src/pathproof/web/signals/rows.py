"""The rows of the signals page, as its template shows them."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django import forms
from django.core.paginator import Page, Paginator
from django.http import QueryDict

from pathproof.assess import Assessment, Finding, Link
from pathproof.assess.device_rows import MOST_WAYS, DeviceRow, chosen, device_rows
from pathproof.assess.strip import HANGING, StripLayout, StripSegment, caption, strip_layout
from pathproof.job import Job, Site
from pathproof.job.due import Due, due_at_centre
from pathproof.job.fingerprint import radio_ways
from pathproof.papers.names import Names
from pathproof.papers.next_steps import steps
from pathproof.terms import LinkKind, Severity, Word
from pathproof.web.signals.event_form import signals_of
from pathproof.web.signals.evidence import called
from pathproof.web.templatetags.words import LONGEST_CAPTION

PAGE = 25


@dataclass(frozen=True, kw_only=True)
class SignalShown:
    """One signal of a row."""

    value: str
    """The kind as a form takes it."""
    kind: str
    word: Word
    arrival: str
    """Whether it was seen at the centre, in words."""
    due: Due


@dataclass(frozen=True, kw_only=True)
class SameSaid:
    """Signals of a row with the same word that fare alike at the centre."""

    kinds: str
    word: Word
    arrival: str


@dataclass(frozen=True, kw_only=True)
class RowShown:
    """One device, or the panel, with its strip, its next action and the box for its evidence."""

    row: DeviceRow
    anchor: str
    apart: str
    """What sets it apart from another row of the same thing: its signals."""
    zone: str
    layout: StripLayout
    signals: tuple[SignalShown, ...]
    said: tuple[SameSaid, ...]
    """The signals in words."""
    next: str
    step: int
    """Number of the step under Next that says the same of several rows; 0 where none does."""
    form: str
    """Which form stands in the row: walk or event; empty where neither helps."""
    ways: tuple[tuple[str, str], ...]
    """Who may hear it, by id and name; empty where it is wired."""
    via: str
    """Who is to hear it in the next test."""


@dataclass(frozen=True, kw_only=True)
class SharedLink:
    """A link that all signals share, with the form for its evidence."""

    link: Link
    name: str
    caption: str
    kind: str
    form: str


@dataclass(frozen=True, kw_only=True)
class FindingShown:
    """A finding in words."""

    about: str
    text: str
    do: str


class Filter(forms.Form):
    """What of the signals is shown."""

    name = forms.CharField(label="Name", required=False, max_length=200)
    word = forms.ChoiceField(
        label="Word", required=False, choices=[("", "any"), *((str(w), str(w)) for w in Word)]
    )
    zone = forms.TypedChoiceField(label="Zone", required=False, coerce=int, empty_value=None)
    partition = forms.TypedChoiceField(
        label="Partition", required=False, coerce=int, empty_value=None
    )

    def __init__(self, data: QueryDict, *, site: Site) -> None:
        super().__init__(data, auto_id="show-%s")
        for field, things in (("zone", site.zones), ("partition", site.partitions)):
            of: Any = self.fields[field]
            shown = sorted((x.number, x.name) for x in things)
            of.choices = [("", "any"), *((str(n), f"{n} {name}") for n, name in shown)]

    def rows(self, rows: Sequence[DeviceRow]) -> list[DeviceRow]:
        """Those asked for; all where what was asked makes no sense."""
        if not self.is_valid():
            return list(rows)
        typed = self.cleaned_data
        return chosen(
            rows,
            zone=typed["zone"],
            partition=typed["partition"],
            word=Word(typed["word"]) if typed["word"] else None,
            name=typed["name"],
        )


class Rows:
    """Rows of one job."""

    def __init__(self, job: Job, assessment: Assessment, names: Names) -> None:
        self._job, self._assessment, self._names = job, assessment, names
        self._called = called(job.site)
        self.all = device_rows(assessment, job.site)

    def page(self, rows: list[DeviceRow], number: str, about: str) -> Page[DeviceRow]:
        """One page of rows: the one with a thing on it where that is asked for, else by number."""
        pages = Paginator(rows, PAGE)
        place = next((i for i, r in enumerate(rows) if r.about == about), None)
        return pages.get_page(number if place is None else place // PAGE + 1)

    def shown(self, rows: Sequence[DeviceRow]) -> Iterator[RowShown]:
        """The rows as a template shows them."""
        seen: set[str] = set()
        shared = self._shared_steps()
        rows_of = Counter(row.about for row in self.all)
        for row in rows:
            text = "" if row.next is None else self._names.without_name(row.next)
            anchor = f"d-{row.about}" + ("-2" if row.about in seen else "")
            seen.add(row.about)
            signals = tuple(self._signals(row))
            yield RowShown(
                row=row,
                anchor=anchor,
                apart=", ".join(s.kind for s in signals) if rows_of[row.about] > 1 else "",
                zone=self._names.zone(row.about, row.zone),
                layout=self._layout(row),
                signals=signals,
                said=tuple(_said(signals)),
                next=text,
                step=shared.get(text, 0),
                form=self._form(row),
                ways=tuple(self._ways(row.about)),
                via="" if row.next is None else (row.next.link or "").rpartition(">")[2],
            )

    def shared(self) -> list[SharedLink]:
        """The links from the panel on, and what feeds it."""
        links = [x for x in self._assessment.links if x.kind is not LinkKind.RADIO]
        return [
            SharedLink(
                link=x,
                name=self._shared_name(x),
                caption=caption(x),
                kind=str(x.kind),
                form=FORM_OF.get(x.kind, ""),
            )
            for x in links
        ]

    def _layout(self, row: DeviceRow) -> StripLayout:
        """The strip of a row; what feeds the panel hangs from it only where that decides."""
        layout = strip_layout(row.lead, self._assessment, most_ways=MOST_WAYS)
        layout = replace(layout, segments=tuple(_briefly(s) for s in layout.segments))
        decides = any(x.weakest for x in layout.hanging) or not layout.segments
        return layout if decides else replace(layout, hanging=())

    def _shared_steps(self) -> dict[str, int]:
        """Numbers of the steps that are next in several rows, by what they say."""
        texts = Counter(self._names.without_name(r.next) for r in self.all if r.next is not None)
        numbered = enumerate(steps(self._assessment, self._names), start=1)
        return {step.text: n for n, step in numbered if texts[step.text] > 1}

    def _shared_name(self, link: Link) -> str:
        if link.kind in HANGING:
            return link.kind.capitalize()
        return self._names.link(link.id)

    def _signals(self, row: DeviceRow) -> Iterator[SignalShown]:
        for signal in row.signals:
            seen = {None: "not yet seen at the centre", Word.PROVEN: "at the centre"}
            yield SignalShown(
                value=str(signal.kind),
                kind=signal.kind.replace("_", " "),
                word=signal.word,
                arrival=seen.get(signal.arrival, "wrong or missing at the centre"),
                due=due_at_centre(self._job.site, signal.about, signal.kind),
            )

    def _form(self, row: DeviceRow) -> str:
        link = None if row.next is None else row.next.link
        if link is not None and link.startswith("radio:"):
            return "walk"
        return "event" if row.next is not None and signals_of(self._job, row.about) else ""

    def _ways(self, about: str) -> Iterator[tuple[str, str]]:
        for start, to in radio_ways(self._job, about):
            if start == about:
                yield to, self._called[to]


def _briefly(segment: StripSegment) -> StripSegment:
    """A link that all rows share without its long caption, which stands under what they share."""
    link = segment.link
    if link.kind is LinkKind.RADIO or len(link.caption) <= LONGEST_CAPTION:
        return segment
    return replace(segment, link=replace(link, caption=f"{link.word}, see what they share"))


def _said(signals: Sequence[SignalShown]) -> Iterator[SameSaid]:
    together: dict[tuple[Word, str], list[str]] = {}
    for signal in signals:
        together.setdefault((signal.word, signal.arrival), []).append(signal.kind)
    for (word, arrival), kinds in together.items():
        yield SameSaid(kinds=", ".join(kinds), word=word, arrival=arrival)


FORM_OF: Mapping[LinkKind, str] = {
    LinkKind.RADIO: "walk",
    LinkKind.MOBILE: "reading",
    LinkKind.SUPPLY: "supply_test",
    LinkKind.STANDBY: "supply_test",
}
"""Which form takes the evidence of a link."""


def findings_in_words(
    findings: Sequence[Finding], names: Names
) -> tuple[list[FindingShown], list[FindingShown]]:
    """Findings about safety, which are never folded, and all others."""
    safety: list[FindingShown] = []
    others: list[FindingShown] = []
    for finding in findings:
        shown = FindingShown(
            about=names.about(finding.about),
            text=names.plain(finding.text),
            do=names.plain(finding.do),
        )
        (safety if finding.severity is Severity.SAFETY else others).append(shown)
    return safety, others
