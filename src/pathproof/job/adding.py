"""New record entries: what they may be about, what they speak for, and their fingerprints."""

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from pathproof.job import links
from pathproof.job._model import PANEL_ID
from pathproof.job._problems import explain
from pathproof.job.catalogue import DetectorPart
from pathproof.job.file import Job, unsound_corrections
from pathproof.job.fingerprint import Fingerprints, radio_ways
from pathproof.job.record import Entry, SupplyTestEntry
from pathproof.job.site import Site
from pathproof.terms import PANEL_SIGNALS, JobError, RecordKind, SignalKind

_NEVER_GENERAL: Final = (
    RecordKind.READING,
    RecordKind.LEVEL,
    RecordKind.WALK,
    RecordKind.EVENT,
)
"""Kinds that have to say what they are about."""
_OF_ONE: Final = (RecordKind.LEVEL, RecordKind.WALK, RecordKind.EVENT)
"""Kinds whose counts or codes are those of one thing."""
_MOST_NAMED: Final = 40
_ENTRY: Final[TypeAdapter[Entry]] = TypeAdapter(Entry)


@dataclass(frozen=True, kw_only=True)
class Draft:
    """An entry before it has its id and fingerprints."""

    kind: RecordKind
    values: Mapping[str, Any]
    at: datetime
    by: str
    about: Sequence[str] = ()
    instrument: str = ""
    conditions: Mapping[str, Any] = field(default_factory=dict)
    raw: str | None = None
    replaces: str | None = None


def add_entries(job: Job, drafts: Sequence[Draft]) -> tuple[Job, list[Entry]]:
    """The job with the drafts on its record, all of them or none, and the entries they became.

    Raises
    ------
    JobError
        One is about something the site does not have, or makes no sense.
    """
    for draft in drafts:
        _check_about(job.site, draft)
    fingerprints = Fingerprints(job)
    first = _last_number(job.record) + 1
    entries = [
        _entry(f"r{n:04d}", draft, job, fingerprints) for n, draft in enumerate(drafts, start=first)
    ]
    record = [*job.record, *entries]
    problems = unsound_corrections(record)
    if problems:
        raise JobError(f"The entry cannot go on record: {problems[0][1]}.")
    return job.model_copy(update={"record": record}), entries


def renumbered(added: Sequence[Entry], record: Sequence[Entry]) -> list[Entry]:
    """Entries with ids that go on from a record's, where other ones were added meanwhile.

    They keep everything else, their fingerprints too; an entry that corrects one of those added
    with it corrects it still.
    """
    first = _last_number(record) + 1
    ids = {e.id: f"r{n:04d}" for n, e in enumerate(added, start=first)}
    return [
        e.model_copy(update={"id": ids[e.id], "replaces": ids.get(e.replaces or "", e.replaces)})
        for e in added
    ]


def _last_number(record: Sequence[Entry]) -> int:
    numbers = (re.fullmatch(r"r(\d{1,9})", e.id) for e in record)
    return max((int(m[1]) for m in numbers if m), default=0)


def _entry(entry_id: str, draft: Draft, job: Job, fingerprints: Fingerprints) -> Entry:
    communicator = draft.values.get("communicator")
    names = _speaks_for(job, draft)
    content = {
        "id": entry_id,
        "kind": str(draft.kind),
        "about": list(draft.about),
        "at": draft.at.isoformat(),
        "by": draft.by,
        "instrument": draft.instrument,
        "conditions": dict(draft.conditions),
        "raw": draft.raw,
        "replaces": draft.replaces,
        "values": dict(draft.values),
        "fits": {name: fingerprints.of(name, communicator) for name in names},
    }
    try:
        entry = _ENTRY.validate_json(json.dumps(content), strict=True)
    except ValidationError as error:
        problems = explain(error, content, skip=1)  # the kind comes first in each path
        raise JobError(f"The {draft.kind} cannot go on record:\n{problems}") from error
    if isinstance(entry, SupplyTestEntry):
        _check_supply_test(entry)
    return entry


def _check_supply_test(entry: SupplyTestEntry) -> None:
    """Refuses one that tells nothing, or read a date on the battery that had not come."""
    told = entry.values.model_dump(exclude_none=True)
    if not told:
        raise JobError(
            "The supply_test cannot go on record: it has no value. Give one or more of "
            f"{', '.join(type(entry.values).model_fields)}."
        )
    dated = entry.values.battery_date
    if dated is not None and dated > entry.at.date():
        raise JobError(
            f"The supply_test cannot go on record: battery_date: given {dated.isoformat()}; "
            f"allowed: up to {entry.at.date().isoformat()}, the day of the test. Read the date on "
            "the battery again."
        )


def _speaks_for(job: Job, draft: Draft) -> list[str]:
    """Names of the links and signals that an entry is evidence for."""
    match draft.kind:
        case RecordKind.READING:
            spots = {s.id for s in job.site.spots}
            return [links.spot(i) if i in spots else links.mobile(i) for i in draft.about]
        case RecordKind.WALK | RecordKind.LEVEL:
            via = str(draft.values.get("via", PANEL_ID))
            return [_radio_link(job, i, via) for i in draft.about]
        case RecordKind.EVENT:
            return [_signal(job, i, str(draft.values.get("signal"))) for i in draft.about]
        case RecordKind.SUPPLY_TEST:
            return [links.SUPPLY, links.STANDBY]
        case RecordKind.OVERRIDE:
            return [str(draft.values.get("link"))]
        case _:
            return []


def _radio_link(job: Job, sender: str, receiver: str) -> str:
    ways = radio_ways(job, sender)
    if (sender, receiver) not in ways:
        heard_by = [to for start, to in ways if start == sender]
        raise JobError(
            f"{sender!r} has no radio link to {receiver!r}. "
            + (f"It can be heard by: {', '.join(heard_by)}." if heard_by else "It is wired.")
        )
    return links.radio(sender, receiver)


def _signal(job: Job, about: str, signal: str) -> str:
    device = next((d for d in job.site.devices if d.id == about), None)
    part = None if device is None else job.part(device.part)
    sent = part.signals if isinstance(part, DetectorPart) else PANEL_SIGNALS
    if signal not in sent:
        raise JobError(f"{about!r} sends no signal {signal!r}. It sends: {', '.join(sent)}.")
    return links.signal(about, SignalKind(signal))


def _check_about(site: Site, draft: Draft) -> None:
    known, what = _may_be_about(site, draft.kind)
    listed = f"{what}; this site has: {', '.join(known[:_MOST_NAMED]) or 'none'}"
    listed += f" and {len(known) - _MOST_NAMED} more." if len(known) > _MOST_NAMED else "."
    if not draft.about and draft.kind in _NEVER_GENERAL:
        raise JobError(f"Say what the {draft.kind} is about: {listed}")
    if len(draft.about) > 1 and draft.kind in _OF_ONE:
        raise JobError(
            f"The {draft.kind} is about {', '.join(draft.about)}; its figures can be of one only. "
            "Record one entry for each."
        )
    for about in draft.about:
        if about not in known:
            raise JobError(f"The {draft.kind} is about {about!r}; it has to be about {listed}")


def _may_be_about(site: Site, kind: RecordKind) -> tuple[list[str], str]:
    """Ids that an entry of this kind may be about, and what these are."""
    devices, repeaters = [d.id for d in site.devices], [r.id for r in site.repeaters]
    communicators, spots = [c.id for c in site.communicators], [s.id for s in site.spots]
    panel = [] if site.panel is None else [PANEL_ID]
    match kind:
        case RecordKind.READING:
            return [*spots, *communicators], "a spot or a communicator"
        case RecordKind.LEVEL | RecordKind.WALK:
            return [*devices, *repeaters], "a device or a repeater"
        case RecordKind.EVENT:
            return [*panel, *devices], "the panel or a device"
        case _:
            everything = [*panel, *devices, *repeaters, *communicators, *spots]
            return everything, "something at the site"
