"""What speaks for a link or signal, what of it counts, and what an entry has changed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from pathproof.assess.arrival import event_says
from pathproof.assess.context import Context, spoken_for
from pathproof.assess.mobile_proof import why_not_proving
from pathproof.assess.mobile_watched import WatchMoment
from pathproof.assess.radio_proof import level_missing, walk_missing
from pathproof.assess.reading_use import reading_doubts
from pathproof.assess.reading_words import count_text, level_text, read_of, watched_text
from pathproof.assess.types import Assessment, Link, Signal
from pathproof.assess.watch_report import judged, verdict_sentences
from pathproof.instruments import watched
from pathproof.job import Job
from pathproof.job.record import (
    Entry,
    EventEntry,
    LevelEntry,
    OverrideEntry,
    ReadingEntry,
    SupplyTestEntry,
    WalkEntry,
)
from pathproof.papers.names import Names
from pathproof.papers.record_list import RecordRow, RecordRows, oldest_first
from pathproof.terms import JobError, Word


@dataclass(frozen=True, kw_only=True)
class EvidenceRow:
    """An entry that speaks for a link or signal."""

    row: RecordRow
    proves: bool
    """Whether nothing is missing of it; whether the link is proven is the link's word."""
    why: str
    """Why it no longer counts, or what it lacks to prove; empty where it proves."""


class Evidence:
    """The record of a job as evidence for its links and signals."""

    def __init__(self, job: Job, assessment: Assessment, names: Names) -> None:
        self._job, self._names = job, names
        self._links = {x.id: x for x in assessment.links}
        self._signals = {s.id: s for s in assessment.signals}
        self._as_of = assessment.as_of
        self._rows = RecordRows(job, assessment, names)
        self._context = Context(job, assessment.as_of, None, leave_out_later=True)

    def rows(self, name: str) -> tuple[EvidenceRow, ...]:
        """Every entry that was made for a link or signal, the newest first."""
        entries = [e for e in oldest_first(self._job.record) if name in _made_for(e)]
        return tuple(self._row(e, name) for e in reversed(entries))

    def told(self, entry: Entry) -> tuple[str, ...]:
        """What an entry says and what it has changed, in sentences."""
        said = list(self._read(entry)) if isinstance(entry, ReadingEntry) else []
        return (*said, *self._changed(entry))

    def _row(self, entry: Entry, name: str) -> EvidenceRow:
        row = self._rows.row(entry)
        thing = self._links.get(name) or self._signals.get(name)
        gone = row.state not in ("counts", "on record")
        why = row.state if gone else "; ".join(self._lacks(entry, thing))
        return EvidenceRow(row=row, proves=not why, why=why)

    def _lacks(self, entry: Entry, thing: Link | Signal | None) -> list[str]:
        """What keeps an entry that fits from proving."""
        match entry:
            case WalkEntry():
                return walk_missing(self._context, entry)
            case LevelEntry():
                proven = thing is not None and thing.word is Word.PROVEN
                return [] if proven else level_missing(self._context, entry)
            case EventEntry():
                word, why = event_says(self._context, entry)
                return [] if word is Word.PROVEN else [why]
            case ReadingEntry():
                return self._reading_lacks(entry)
            case SupplyTestEntry():
                return [thing.missing] if isinstance(thing, Link) and thing.missing else []
            case OverrideEntry():
                return ["accepting a link changes no word"]
            case _:
                return []

    def _reading_lacks(self, entry: ReadingEntry) -> list[str]:
        doubts = [d.rstrip(".") for d in reading_doubts(entry, self._job)]
        series = entry.values.series
        last = entry.at + timedelta(seconds=series[-1].after_s if series else 0.0)
        why = why_not_proving(self._context, WatchMoment(at=last, entry=entry, taken=None))
        return [*doubts, *([f"it proves nothing by itself: {why}"] if why else [])]

    def _read(self, entry: ReadingEntry) -> Iterator[str]:
        """What was read and what it means, quantity by quantity."""
        v = entry.values
        of = read_of(v)
        on = f" on {of}" if of else ""
        if v.series:
            yield f"Read {count_text(v)}{on}: {'; '.join(map(watched_text, watched(v)))}."
            yield from self._watch(entry)
        elif v.step is not None:
            yield f"Read {v.step!r}, which is tied to no level."
        else:
            levels = ", ".join(map(level_text, v.levels)) or "no level: the instrument knew nothing"
            yield f"Read {levels}{on}."
        yield from reading_doubts(entry, self._job)

    def _watch(self, entry: ReadingEntry) -> Iterator[str]:
        try:
            verdict = judged(entry, self._job, self._as_of)
        except JobError as error:  # a profile of one's own may lack limits
            yield f"It cannot be judged yet. {error}"
            return
        if verdict is not None:
            yield from verdict_sentences(verdict)

    def _changed(self, entry: Entry) -> Iterator[str]:
        """Words of what the entry was made for, and what it lacks where that is not proven."""
        if entry.replaces is not None:
            yield f"{entry.id} stands in place of {entry.replaces}, which no longer counts."
        for name in _made_for(entry):
            thing = self._links.get(name) or self._signals.get(name)
            if isinstance(thing, Link):
                yield f"{self._names.link(name)}: {thing.word}, {self._names.plain(thing.why)}."
            elif isinstance(thing, Signal):
                said = event_says(self._context, entry)[1] if entry.kind == "event" else thing.why
                yield f"{thing.name}: {said}. The signal is {thing.word}."
            if isinstance(thing, Link) and thing.word is not Word.PROVEN:
                lacks = self._lacks(entry, thing)
                yield from ([f"It does not prove it yet: {'; '.join(lacks)}."] if lacks else [])


def _made_for(entry: Entry) -> list[str]:
    """Links and signals an entry was made for, whether it still fits or not."""
    return list(dict.fromkeys([*(n for n in spoken_for(entry) if n in entry.fits), *entry.fits]))
