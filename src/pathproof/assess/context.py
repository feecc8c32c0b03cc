"""What an assessment rests on: the job, the limits in force and the evidence that still fits."""

from collections.abc import Iterable
from datetime import datetime
from functools import cached_property

from pathproof.assess.drawn import storeys_without_walls
from pathproof.calc.sources import Source
from pathproof.job import Job, Limit, Profile, links
from pathproof.job import Source as JobSource
from pathproof.job.fingerprint import Fingerprints
from pathproof.job.geometry import SiteGeometry
from pathproof.job.profile import Confirmation
from pathproof.job.record import (
    ConfirmEntry,
    Entry,
    EventEntry,
    LevelEntry,
    ReadingEntry,
    SupplyTestEntry,
    WalkEntry,
)
from pathproof.terms import JobError, LaterEntriesError, LimitName


def cite(source: JobSource) -> Source:
    """A source of the job file, as the working names it."""
    return Source(
        ref=source.ref, edition=source.edition, clause=source.clause, evidence=source.evidence
    )


class Context:
    """One job as of one moment.

    Raises
    ------
    JobError
        `as_of` has no offset, or entries are dated after it and `leave_out_later` is false.
    """

    def __init__(
        self, job: Job, as_of: datetime, profile: Profile | None, *, leave_out_later: bool
    ) -> None:
        if as_of.tzinfo is None:
            raise JobError("The as-of date has no time zone; give one, as 2026-11-25T12:00+01:00.")
        corrected = {e.replaces for e in job.record if e.at <= as_of}
        later = [e for e in job.record if e.at > as_of and e.id not in corrected]
        if later and not leave_out_later:
            raise LaterEntriesError(_later_sentence(later, as_of))
        self.job = job
        self.site = job.site
        self.as_of = as_of
        self.geometry = SiteGeometry(job.site)
        self.fingerprints = Fingerprints(job, self.geometry)
        self.entries = _in_force(job.record, as_of)
        self.profile = profile or job.profile
        self.limits = _with_confirmations(self.profile, self.entries)

    def limit(self, name: LimitName) -> Limit:
        """A limit of the profile.

        Raises
        ------
        JobError
            The profile does not give it.
        """
        if name not in self.limits:
            raise JobError(
                f"Profile {self.profile.id!r} gives no {name}; add it, or base the profile on "
                "house_targets."
            )
        return self.limits[name]

    def value(self, name: LimitName) -> float:
        """The figure of a limit, whether confirmed or not."""
        return self.limit(name).value

    def fitting(self, entries: Iterable[Entry], name: str) -> list[Entry]:
        """Those entries that speak for this link or signal as it is now."""
        return [e for e in entries if self._holds(name, e)]

    @cached_property
    def storeys_without_walls(self) -> frozenset[str]:
        """Storeys on which no wall is drawn, by id."""
        return storeys_without_walls(self.site)

    @cached_property
    def voided(self) -> list[tuple[Entry, str]]:
        """Entries with the links or signals that they no longer fit."""
        return [
            (entry, name)
            for entry in self.entries
            for name in spoken_for(entry)
            if name in entry.fits
            and self.fingerprints.known(name)
            and not self._holds(name, entry)
            and not self._done_again(name, entry)
        ]

    def _done_again(self, name: str, entry: Entry) -> bool:
        """Whether a newer entry of the same kind speaks for it as it is now."""
        return any(
            e.kind == entry.kind and e.at > entry.at and self._holds(name, e) for e in self.entries
        )

    def _holds(self, name: str, entry: Entry) -> bool:
        then = entry.fits.get(name) if name in spoken_for(entry) else None
        communicator = entry.values.communicator if entry.kind == "event" else None
        return then is not None and self.fingerprints.holds(name, then, communicator)


def spoken_for(entry: Entry) -> list[str]:
    """The links, spots and signals that an entry speaks for, by what it is about."""
    match entry:
        case WalkEntry() | LevelEntry():
            return [links.radio(about, entry.values.via) for about in entry.about]
        case ReadingEntry():
            return [f(about) for about in entry.about for f in (links.mobile, links.spot)]
        case EventEntry():
            return [links.signal(about, entry.values.signal) for about in entry.about]
        case SupplyTestEntry():
            return [links.SUPPLY, links.STANDBY]
        case _:
            return []


def _later_sentence(later: list[Entry], as_of: datetime) -> str:
    named = ", ".join(f"{e.id} ({e.at.isoformat()})" for e in later[:5])
    more = f" and {len(later) - 5} more" if len(later) > 5 else ""
    return (
        f"The record holds entries dated after the as-of date {as_of.isoformat()}: {named}{more}. "
        "Correct a wrong date with a new entry, assess as of a later date, or leave later entries "
        "out on purpose."
    )


def _in_force(record: list[Entry], as_of: datetime) -> list[Entry]:
    """Entries up to `as_of` that no other of them corrects, oldest first; file order is nothing."""
    known = [e for e in record if e.at <= as_of]
    replaced = {e.replaces for e in known if e.replaces is not None}
    return sorted((e for e in known if e.id not in replaced), key=lambda e: (e.at, e.id))


def _with_confirmations(profile: Profile, entries: list[Entry]) -> dict[LimitName, Limit]:
    limits = dict(profile.limits)
    for entry in entries:  # oldest first: who looked last decides
        if not isinstance(entry, ConfirmEntry) or entry.values.profile != profile.id:
            continue
        name = entry.values.limit
        if name in limits and limits[LimitName(name)].value != entry.values.value:
            limits[LimitName(name)] = profile.limits[LimitName(name)]
        elif name in limits:
            limits[LimitName(name)] = limits[LimitName(name)].model_copy(
                update={
                    "confirmed": Confirmation(
                        by=entry.by,
                        on=entry.at.date(),
                        document=entry.values.document,
                        edition=entry.values.edition,
                    )
                }
            )
    return limits
