"""Which signal of the site each line of a centre's list is, and drafts for the record."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cached_property
from typing import Any, Final

from pathproof.instruments._signal_list import SeenSignal
from pathproof.job import PANEL_ID, DetectorPart, Job, links
from pathproof.job.adding import Draft
from pathproof.job.due import Due, code_key, due_at_centre, wrong_at_centre
from pathproof.job.record import EventEntry
from pathproof.terms import PANEL_SIGNALS, EventMeans, InvalidInputError, RecordKind, SignalKind

LONGEST_DELAY: Final = timedelta(hours=1)
"""A line later after a trip than this is another event. Common practice, no source."""
_MOST_NAMED: Final = 6
_INSTRUMENT: Final = "the centre's list of signals"

_Key = tuple[datetime, str, int | None]
"""What makes two lines one: time, code and zone."""


@dataclass(frozen=True, kw_only=True)
class SiteSignal:
    """A signal of the site, and what is due for it."""

    about: str
    """Device or panel."""
    kind: SignalKind
    name: str
    """For people."""
    due: Due

    @property
    def id(self) -> str:
        """Its name in record and assessment."""
        return links.signal(self.about, self.kind)


@dataclass(frozen=True, kw_only=True)
class MatchedLine:
    """A line of the list, and the signal that it is."""

    seen: SeenSignal
    signal: SiteSignal
    delay_s: float | None = None
    """From trip to the centre; none where it is not known. [s]"""
    note: str = ""
    """Why it is not known, where the signal was tripped."""


@dataclass(frozen=True, kw_only=True)
class UnmatchedLine:
    """A line of the list that is no signal of the site, or could be several."""

    seen: SeenSignal
    why: str
    """In a sentence."""
    near: tuple[SiteSignal, ...]
    """What a person may say it is."""


@dataclass(frozen=True, kw_only=True)
class KnownLine:
    """A line that is on record already, or a second time in the list."""

    seen: SeenSignal
    why: str
    """In a sentence."""


@dataclass(frozen=True, kw_only=True)
class MatchedList:
    """What became of the lines of a centre's list."""

    matched: tuple[MatchedLine, ...]
    """The earliest first."""
    unmatched: tuple[UnmatchedLine, ...]
    known: tuple[KnownLine, ...]
    not_in_list: tuple[str, ...]
    """A sentence for each signal that was tripped and is not in the list. That is no evidence: the
    list may be of another day or hour, or end too early."""


def site_signals(job: Job) -> tuple[SiteSignal, ...]:
    """Every signal that the devices and the panel of a job send."""
    found = []
    for device in job.site.devices:
        part = job.part(device.part)
        kinds = part.signals if isinstance(part, DetectorPart) else []
        found += [_site_signal(job, device.id, device.name, kind) for kind in kinds]
    if job.site.panel is not None:
        found += [_site_signal(job, PANEL_ID, "Panel", kind) for kind in PANEL_SIGNALS]
    return tuple(found)


def match_signals(
    signals: Sequence[SeenSignal], job: Job, tripped: Mapping[str, datetime] | None = None
) -> MatchedList:
    """Which signal of the site each line is: the one that is due with just what the line shows.

    Parameters
    ----------
    signals : sequence of SeenSignal
        Lines of the list.
    job : Job
        The site, and the record that may hold some of them.
    tripped : mapping, optional
        Signals by their names, as ``signal:back_door:alarm``, to the moment each was tripped, with
        offset.

    Raises
    ------
    InvalidInputError
        A moment without an offset.

    Notes
    -----
    A line needs the code that is due; zone and partition have to be as due where the line shows
    them, by the same comparison as an assessment's. A line that shows a zone is that zone's signal
    rather than one without a zone. A restore is not the event that it restores.
    """
    _check_moments(tripped or {})
    matching = _Matching(job)
    matched, unmatched, known = [], [], []
    for seen in sorted(signals, key=lambda s: (s.at, s.line)):
        why = matching.why_known(seen)
        if why:
            known.append(KnownLine(seen=seen, why=why))
            continue
        found = matching.find(seen)
        if isinstance(found, SiteSignal):
            matched.append(MatchedLine(seen=seen, signal=found))
        else:
            unmatched.append(found)
    lines = with_delays(matched, tripped or {})
    return MatchedList(
        matched=lines,
        unmatched=tuple(unmatched),
        known=tuple(known),
        not_in_list=tuple(matching.missing(lines, tripped or {})),
    )


def with_delays(
    matched: Sequence[MatchedLine], tripped: Mapping[str, datetime]
) -> tuple[MatchedLine, ...]:
    """The lines with the time from trip to the centre, for the first of each signal after its trip.

    Raises
    ------
    InvalidInputError
        A moment without an offset.
    """
    _check_moments(tripped)
    timed = [replace(line, delay_s=None, note="") for line in matched]
    for name, trip in tripped.items():
        after = [i for i, x in enumerate(timed) if x.signal.id == name and _is_after(x.seen, trip)]
        if after:
            first = min(after, key=lambda i: timed[i].seen.at)
            timed[first] = _timed(timed[first], trip)
    return tuple(timed)


def event_drafts(matched: Sequence[MatchedLine], *, by: str) -> list[Draft]:
    """Drafts of record entries of kind `event`, one a line, with the line kept to the letter."""
    return [
        Draft(
            kind=RecordKind.EVENT,
            values=_values(line),
            at=line.seen.at,
            by=by,
            about=[line.signal.about],
            instrument=_INSTRUMENT,
            raw=line.seen.raw,
        )
        for line in matched
    ]


class _Matching:
    """The signals and the record of one job."""

    def __init__(self, job: Job) -> None:
        self._signals = site_signals(job)
        events = (e for e in job.record if isinstance(e, EventEntry))
        self._events = [e for e in events if e.values.arrived]
        self._met: dict[_Key, str] = {}
        for entry in self._events:
            key = _key(entry.at, entry.values.code, entry.values.zone)
            self._met.setdefault(key, f"is on record already, as {entry.id}")

    @cached_property
    def _by_code(self) -> Mapping[str, list[SiteSignal]]:
        found = defaultdict(list)
        for signal in self._signals:
            if signal.due.code is not None:
                found[code_key(signal.due.code)].append(signal)
        return found

    def why_known(self, seen: SeenSignal) -> str:
        """That the line was there before, in a sentence; empty the first time."""
        key = _key(seen.at, seen.code, seen.zone)
        if key in self._met:
            return f"Line {seen.line} {self._met[key]}."
        self._met[key] = f"is the same signal as line {seen.line}"
        return ""

    def find(self, seen: SeenSignal) -> SiteSignal | UnmatchedLine:
        """The one signal that a line is, or why it is none."""
        if seen.code is None:
            return _unmatched(seen, "shows no code", self._in_zone(seen))
        of_code = self._by_code.get(code_key(seen.code), [])
        fitting = [s for s in of_code if not _wrong(seen, s)]
        of_zone = [s for s in fitting if seen.zone is not None and s.due.zone == seen.zone]
        found = of_zone or fitting
        if len(found) == 1:
            return found[0]
        if found:
            return _unmatched(seen, f"could be {_named(found)}; say which it is", found)
        if of_code:
            return _unmatched(seen, f"is not as due: {_differences(seen, of_code)}", of_code)
        return self._other_code(seen)

    def missing(
        self, matched: Sequence[MatchedLine], tripped: Mapping[str, datetime]
    ) -> Iterator[str]:
        """Sentences on tripped signals that neither the list nor the record has after the trip."""
        names = {s.id: s.name for s in self._signals}
        for name, trip in tripped.items():
            seen = any(x.signal.id == name and _is_after(x.seen, trip) for x in matched)
            if not seen and not any(e.at >= trip and name in _spoken_for(e) for e in self._events):
                yield (
                    f"{names.get(name, name)}, tripped at {trip:%Y-%m-%d %H:%M:%S}: not in this "
                    "list."
                )

    def _in_zone(self, seen: SeenSignal) -> list[SiteSignal]:
        return [s for s in self._signals if seen.zone is not None and s.due.zone == seen.zone]

    def _other_code(self, seen: SeenSignal) -> UnmatchedLine:
        near = self._in_zone(seen)
        if not near:
            where = "" if seen.zone is None else f" and none in zone {seen.zone}"
            return _unmatched(seen, f"shows code {seen.code}; no signal is due with it{where}", [])
        why = f"shows code {seen.code}, which no signal in zone {seen.zone} is due with"
        codeless = [s for s in near if s.due.code is None]
        if codeless:
            why += f"; {_named(codeless)} has no code at this site yet: enter it, then paste again"
        return _unmatched(seen, why, near)


def _site_signal(job: Job, about: str, name: str, kind: SignalKind) -> SiteSignal:
    said = f"{name}: {kind.replace('_', ' ')}"
    return SiteSignal(about=about, kind=kind, name=said, due=due_at_centre(job.site, about, kind))


def _unmatched(seen: SeenSignal, why: str, near: Sequence[SiteSignal]) -> UnmatchedLine:
    return UnmatchedLine(seen=seen, why=f"Line {seen.line} {why}.", near=tuple(near))


def _named(signals: Sequence[SiteSignal]) -> str:
    more = f" and {len(signals) - _MOST_NAMED} more" if len(signals) > _MOST_NAMED else ""
    return ", ".join(repr(s.name) for s in signals[:_MOST_NAMED]) + more


def _differences(seen: SeenSignal, signals: Sequence[SiteSignal]) -> str:
    return "; ".join(f"{s.name!r}: {', '.join(_wrong(seen, s))}" for s in signals[:_MOST_NAMED])


def _wrong(seen: SeenSignal, signal: SiteSignal) -> list[str]:
    if seen.zone is not None and signal.about != PANEL_ID and signal.due.zone is None:
        return ["no zone at this site yet", *wrong_at_centre(seen, signal.due)]
    return wrong_at_centre(seen, signal.due)


def _key(at: datetime, code: str | None, zone: int | None) -> _Key:
    return at.astimezone(UTC).replace(microsecond=0), code_key(code or ""), zone


def _spoken_for(entry: EventEntry) -> list[str]:
    return [links.signal(about, entry.values.signal) for about in entry.about]


def _check_moments(tripped: Mapping[str, datetime]) -> None:
    for name, trip in tripped.items():
        if trip.tzinfo is None:
            raise InvalidInputError(
                f"{name} was tripped at {trip.isoformat()}, without an offset; give the moment "
                "with one, as 2026-11-25T10:15:00+01:00."
            )


def _is_after(seen: SeenSignal, trip: datetime) -> bool:
    """Whether a line can be of a trip; without seconds it is of any moment in its minute."""
    latest = seen.at + timedelta(seconds=0 if seen.to_the_second else 59)
    return latest >= trip.replace(microsecond=0)


def _timed(line: MatchedLine, trip: datetime) -> MatchedLine:
    delay = line.seen.at - trip.replace(microsecond=0)
    if delay > LONGEST_DELAY:
        note = f"More than an hour after {trip:%H:%M:%S}, when it was tripped: another event."
        return replace(line, note=note)
    if not line.seen.to_the_second:
        note = "The list shows no seconds, so it does not tell how long the signal took."
        return replace(line, note=note)
    return replace(line, delay_s=delay.total_seconds())


def _values(line: MatchedLine) -> dict[str, Any]:
    seen = line.seen
    told = {
        "code": seen.code,
        "zone": seen.zone,
        "partition": seen.partition,
        "delay_s": line.delay_s,
        "reference": seen.reference or None,
    }
    return {
        "signal": str(line.signal.kind),
        "means": str(EventMeans.LIST),
        **{name: value for name, value in told.items() if value is not None},
    }
