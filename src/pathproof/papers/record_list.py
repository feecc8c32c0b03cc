"""The record as a list: what was done, by whom, and whether it still counts."""

import re
import statistics
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from pathproof.assess.context import Context
from pathproof.assess.types import Assessment
from pathproof.instruments import watched
from pathproof.job import Job
from pathproof.job.record import (
    ConfirmEntry,
    Entry,
    EventEntry,
    Level,
    LevelEntry,
    NoteEntry,
    OverrideEntry,
    PhotoEntry,
    ReadingEntry,
    ReadingValues,
    SignatureEntry,
    StepEntry,
    SupplyTestEntry,
    WalkEntry,
)
from pathproof.papers._text import MINUS, counted
from pathproof.papers.names import Names

_SUPPLY = {
    "standby_current_a": "standby current {} A",
    "alarm_current_a": "alarm current {} A",
    "loaded_v": "{} V under load",
    "loaded_minutes": "for {} min",
    "charger_v": "charger {} V",
    "battery_date": "battery of {}",
}


@dataclass(frozen=True, kw_only=True)
class RecordRow:
    """One entry of the record."""

    id: str
    date: str
    time: str
    kind: str
    about: str
    by: str
    what: str
    state: str
    """Counts, replaced, no longer fits, or on record where nothing hangs on it."""


def record_rows(job: Job, assessment: Assessment, names: Names) -> tuple[RecordRow, ...]:
    """Every entry of the job's record, oldest first."""
    rows = RecordRows(job, assessment, names)
    return tuple(map(rows.row, oldest_first(job.record)))


def oldest_first(record: Iterable[Entry]) -> list[Entry]:
    """Entries by their moments, those of one moment by their numbers."""
    return sorted(record, key=lambda e: (e.at, _by_number(e.id)))


class RecordRows:
    """Entries of a job's record as rows, one at a time."""

    def __init__(self, job: Job, assessment: Assessment, names: Names) -> None:
        self._names, self._states = names, _States(job, assessment)
        self._zone = ZoneInfo(job.site.time_zone)

    def row(self, entry: Entry) -> RecordRow:
        """One entry."""
        at = entry.at.astimezone(self._zone)
        return RecordRow(
            id=entry.id,
            date=f"{at:%Y-%m-%d}",
            time=f"{at:%H:%M}",
            kind=entry.kind.replace("_", " "),
            about=self._names.about(", ".join(entry.about)),
            by=", with ".join(x for x in (entry.by, entry.instrument) if x),
            what=", ".join(x for x in (*_said(entry, self._names), *_conditions(entry)) if x),
            state=self._states.of(entry),
        )


def _by_number(entry_id: str) -> list[tuple[str, int]]:
    """By which entries of one moment stand in the order of their numbers: r2 before r10."""
    return [(text, int(number or 0)) for text, number in re.findall(r"([^0-9]*)([0-9]*)", entry_id)]


class _States:
    def __init__(self, job: Job, assessment: Assessment) -> None:
        self._as_of = assessment.as_of
        self._replaced = {
            e.replaces: e.id for e in job.record if e.replaces and e.at <= assessment.as_of
        }
        self._counts = {i for x in assessment.links for i in x.evidence}
        self._counts |= {i for s in assessment.signals for i in s.evidence}
        self._context = Context(job, assessment.as_of, None, leave_out_later=True)

    def of(self, entry: Entry) -> str:
        if entry.at > self._as_of:
            return "later than the day of this, left out"
        if entry.id in self._replaced:
            return f"replaced by {self._replaced[entry.id]}"
        if entry.id in self._counts:
            return "counts"
        fits = [name for name in entry.fits if self._context.fitting([entry], name)]
        return "no longer fits" if entry.fits and not fits else "on record"


def _conditions(entry: Entry) -> Iterator[str]:
    told = entry.conditions
    for said, text in (
        (told.lid_shut, "lid shut"),
        (told.final_place, "final place"),
        (told.final_antenna, "final antenna"),
    ):
        if said is not None:
            yield text if said else f"not {text}"
    if told.minutes is not None:
        yield f"over {told.minutes:g} min"
    if told.minutes_since_registration is not None:
        yield f"{told.minutes_since_registration:g} min after the module registered"
    if told.attempt is not None:
        yield f"try {told.attempt}"
    yield told.text


def _said(entry: Entry, names: Names) -> Iterator[str]:
    """What an entry holds, in words."""
    match entry:
        case ReadingEntry(values=v):
            technology = "" if v.technology is None else v.technology.upper().replace("_", "-")
            band = "" if v.band is None else f"band {v.band}"
            yield " ".join(x for x in (v.network, technology, band) if x)
            yield from _watch(v) if v.series else _levels(v.levels)
            if v.step is not None:
                yield f"shown as {v.step!r}"
            elif not v.series and not v.levels:
                yield "no level"
        case LevelEntry(values=v):
            yield f"at {names.named(v.via)}"
            yield from _levels(v.levels)
            yield from v.steps
        case WalkEntry(values=v):
            yield f"to {names.named(v.via)}"
            yield f"{v.received} of {counted(v.due, 'message')}"
            yield f"{v.in_hand_db:g} dB in hand"
        case EventEntry(values=v):
            yield from _event(entry)
        case SupplyTestEntry(values=v):
            for field, text in _SUPPLY.items():
                value = getattr(v, field)
                if value is not None:
                    yield text.format(f"{value:g}" if isinstance(value, float) else value)
        case _:
            yield from _plain(entry)


def _event(entry: EventEntry) -> Iterator[str]:
    v = entry.values
    yield v.signal.replace("_", " ")
    if not v.arrived:
        yield "sent, not at the centre"
    for name, value in (("code", v.code), ("zone", v.zone), ("partition", v.partition)):
        if value is not None:
            yield f"{name} {value}"
    if v.delay_s is not None:
        yield f"after {v.delay_s:g} s"
    yield f"by {v.means.replace('_', '-')}"
    yield v.reference


def _plain(entry: Entry) -> Iterator[str]:
    match entry:
        case StepEntry(values=v):
            yield f"{v.procedure}, step {v.step}: {'done' if v.done else 'not done'}"
            yield v.text
        case PhotoEntry(values=v):
            yield v.caption
        case SignatureEntry(values=v):
            yield f"{v.name}, {v.role}: {v.paper}"
        case ConfirmEntry(values=v):
            yield f"{v.limit} = {v.value:g} by {v.document}, {v.edition}"
        case OverrideEntry(values=v):
            yield f"{v.link}: {v.reason}"
            yield f"until {v.until}" if v.until else ""
        case NoteEntry(values=v):
            yield v.text


def _watch(values: ReadingValues) -> Iterator[str]:
    """A watch in short: "22 readings over 35 min", "RSRP -101 to -93 dBm, median -97 dBm"."""
    moments = [values.levels, *(sample.levels for sample in values.series)]
    minutes = values.series[-1].after_s / 60.0
    yield f"{counted(len(moments), 'reading')} over {minutes:.3g} min"
    lost = sum(not levels for levels in moments)
    yield f"{lost} of them without a level" if lost else ""
    for one in watched(values):
        name, unit = _quantity(one.quantity)
        least, most, median = map(
            _signed, (min(one.shown), max(one.shown), statistics.median(one.shown))
        )
        if least == most:
            yield f"{name} {least} {unit} throughout"
        else:
            yield f"{name} {least} to {most} {unit}, median {median} {unit}"


def _levels(levels: list[Level]) -> Iterator[str]:
    """Levels, those of one quantity together: "RSRP -93, -95 dBm"."""
    together: dict[str, list[str]] = defaultdict(list)
    for level in levels:
        together[level.quantity].append(_signed(level.value))
    for quantity, values in together.items():
        name, unit = _quantity(quantity)
        yield f"{name} {', '.join(values)} {unit}"


def _quantity(quantity: str) -> tuple[str, str]:
    """Name and unit as people write them."""
    name, _, unit = quantity.rpartition("_")
    sign = {"dbm": "dBm", "db": "dB", "percent": "%"}.get(unit, unit)
    return name.upper().replace("_", "-"), sign


def _signed(value: float) -> str:
    return f"{value:g}".replace("-", MINUS)
