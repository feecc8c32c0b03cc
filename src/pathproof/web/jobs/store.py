"""The one door through which jobs change, and the ways to read them.

A save is made on a revision somebody saw. Where others saved meanwhile, it is put on top of theirs
if it touches other pieces of the site; if not, both are kept and somebody chooses. Record entries
are only ever added, with fingerprints of the site as it was seen when they were made.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from pathproof.job import Embedded, Entry, Job, Site, content_hash, dump_job, embed, parse_job
from pathproof.job.adding import renumbered
from pathproof.job.file import FORMAT, FORMAT_VERSION
from pathproof.job.home import user_library
from pathproof.job.pieces import Pieces, clashes, difference, with_pieces
from pathproof.terms import JobError
from pathproof.web.jobs._recent import Recent
from pathproof.web.jobs.models import (
    Content,
    Contest,
    Picture,
    Revision,
    Sent,
    StoredEntry,
    StoredJob,
)
from pathproof.web.people.models import Person

Change = Callable[[Job], Job]
LONGEST_WHAT: Final = 200
_LOADED: Final[Recent[tuple[UUID, int], Job]] = Recent(most=64)
"""Revisions never change, so those read lately need not be read again."""


@dataclass(frozen=True, kw_only=True)
class Typed:
    """What a form was sent with: the key its page made, and what was typed in it."""

    key: UUID
    digest: str


@dataclass(frozen=True, kw_only=True)
class Saved:
    """A change that is in the job now."""

    revision: int
    again: bool = False
    """It had been sent before; nothing was changed this time."""


@dataclass(frozen=True, kw_only=True)
class Contested:
    """A change that is kept beside the job, since somebody else changed the same meanwhile."""

    contest: int


def load(job_id: UUID, revision: int | None = None) -> Job:
    """A job as it is, or as it was at a revision.

    Raises
    ------
    StoredJob.DoesNotExist, Revision.DoesNotExist
        There is none.
    """
    if revision is None:
        revision = StoredJob.objects.values_list("revision", flat=True).get(pk=job_id)
    return _LOADED.get((job_id, revision), lambda: _read(job_id, revision))


@transaction.atomic
def add_job(job: Job, *, by: Person, what: str) -> StoredJob:
    """A new job in the store, at the revision it came with or at its first.

    Raises
    ------
    JobError
        It is not sound.
    """
    sound = _checked(job)
    as_it_came = job.hash is not None and not job.changed_outside
    revision = job.revision if as_it_came else job.revision + 1
    stored = StoredJob(revision=revision)
    _write(stored, sound, sound.record, by=by, what=what)
    return stored


def save(
    job_id: UUID,
    change: Change,
    *,
    based_on: int,
    by: Person,
    what: str,
    typed: Typed | None = None,
) -> Saved | Contested:
    """Make a change of a job as it was at `based_on`, and keep it whatever happened since.

    Parameters
    ----------
    job_id : UUID
        Which job.
    change : callable
        Gives the changed job; its errors come out, and nothing is saved.
    based_on : int
        Revision that whoever made the change saw.
    by : Person
        Who.
    what : str
        What was done, for the list of revisions.
    typed : Typed, optional
        What was sent; sent a second time it changes nothing.

    Raises
    ------
    JobError
        The changed job is not sound.
    StoredJob.DoesNotExist, Revision.DoesNotExist
        There is no such job or revision.
    """
    sent_before = _sent_before(by, typed)
    if sent_before is not None:
        return sent_before
    base = load(job_id, based_on)
    mine = _checked(change(base))
    with transaction.atomic():
        stored = StoredJob.objects.select_for_update().get(pk=job_id)
        sent_before = _sent_before(by, typed)
        if sent_before is not None:
            return sent_before
        now = load(job_id, stored.revision)
        try:
            merged = mine if stored.revision == based_on else _on_top(base, mine, now)
        except _ClashError as clash:
            contest = _keep_beside(stored, base, mine, str(clash), based_on, by=by, what=what)
            _remember(stored, by, typed, contest)
            return Contested(contest=contest.pk)
        if (merged.site, merged.record, merged.embedded) != (now.site, now.record, now.embedded):
            stored.revision += 1
            _write(stored, merged, _added(now, merged), by=by, what=what)
        _remember(stored, by, typed)
    return Saved(revision=stored.revision)


def settle(contest_id: int, *, mine: bool, by: Person) -> Saved:
    """Choose between two changes of the same pieces; the one not chosen stays readable.

    Raises
    ------
    JobError
        The change that was kept beside does not fit the job as it is now.
    Contest.DoesNotExist
        There is none that is open.
    """
    with transaction.atomic():
        contest = Contest.objects.select_for_update().get(pk=contest_id, settled_at=None)
        stored = StoredJob.objects.select_for_update().get(pk=contest.job_id)
        if mine:
            now = load(stored.pk, stored.revision)
            merged = _with_contest(now, contest)
            stored.revision += 1
            _write(stored, merged, _added(now, merged), by=by, what=contest.what)
        contest.settled_at = timezone.now()
        contest.settled_by, contest.settled_how = by.name, "mine" if mine else "theirs"
        contest.save()
    return Saved(revision=stored.revision)


def erase(job_id: UUID) -> None:
    """Take a job out for good, with all that was ever kept of it."""
    with transaction.atomic():
        StoredJob.objects.select_for_update().get(pk=job_id).delete()
    _LOADED.drop(lambda key: key[0] == job_id)


def forget_all() -> None:
    """Read everything anew from now on."""
    _LOADED.drop(lambda key: True)


def keep_picture(job_id: UUID, png: bytes) -> str:
    """Keep a picture for a job, before the change that names it; gives its SHA-256."""
    sha256 = hashlib.sha256(png).hexdigest()
    Picture.objects.get_or_create(job_id=job_id, sha256=sha256, defaults={"png": png})
    return sha256


class _ClashError(Exception):
    """Two changes that cannot both be made; says why where that is no clash of one piece."""


def _read(job_id: UUID, revision: int) -> Job:
    row = Revision.objects.select_related("content").get(job=job_id, number=revision)
    entries = StoredEntry.objects.filter(job=job_id, revision__lte=revision)
    record = ",".join(entries.values_list("body", flat=True))
    text = (
        f'{{"format": "{FORMAT}", "format_version": {FORMAT_VERSION}, "revision": {revision}, '
        f'"hash": "{row.hash}", "site": {row.content.site}, "record": [{record}], '
        f'"embedded": {row.content.embedded}}}'
    )
    return parse_job(text, user_library(), "The stored job")


def _checked(job: Job) -> Job:
    """The job as it will be read again: changes made by copying are checked here."""
    return parse_job(dump_job(embed(job, user_library())), user_library(), "The changed job")


def _on_top(base: Job, mine: Job, theirs: Job) -> Job:
    """My change of the base made to theirs; entries keep the fingerprints they were made with."""
    if clashes(base.site, mine.site, theirs.site):
        raise _ClashError
    try:
        return _put_on(theirs, difference(base.site, mine.site), _added(base, mine), mine.embedded)
    except JobError as error:
        raise _ClashError(str(error)) from error


def _put_on(now: Job, changes: Pieces, entries: Sequence[Entry], embedded: Embedded) -> Job:
    known = {
        "catalogue": {**embedded.catalogue, **now.embedded.catalogue},
        "constructions": {**embedded.constructions, **now.embedded.constructions},
    }
    return _checked(
        now.model_copy(
            update={
                "site": with_pieces(now.site, changes),
                "record": [*now.record, *renumbered(entries, now.record)],
                "embedded": now.embedded.model_copy(update=known),
            }
        )
    )


def _with_contest(now: Job, contest: Contest) -> Job:
    kept = Job.model_validate_json(json.dumps(contest.kept), strict=True)
    return _put_on(now, contest.pieces, kept.record, kept.embedded)


def _added(before: Job, after: Job) -> list[Entry]:
    """The entries that a change added.

    Raises
    ------
    JobError
        It changed or left out entries, which are only ever added.
    """
    count = len(before.record)
    if after.record[:count] != before.record:
        raise JobError("The record is only ever added to. Correct an entry by a new one.")
    return after.record[count:]


def _keep_beside(
    stored: StoredJob, base: Job, mine: Job, why: str, based_on: int, *, by: Person, what: str
) -> Contest:
    kept = mine.model_copy(update={"site": Site(name="kept"), "record": _added(base, mine)})
    return Contest.objects.create(
        job=stored,
        based_on=based_on,
        met=stored.revision,
        pieces=difference(base.site, mine.site),
        kept=json.loads(dump_job(kept)),
        why=why,
        by=by.name,
        what=what,
    )


def _write(stored: StoredJob, job: Job, added: Iterable[Entry], *, by: Person, what: str) -> None:
    """The job as the stored one's present revision."""
    stored.name, stored.reference = job.site.name, job.site.reference
    stored.search = f"{job.site.name}\n{job.site.reference}".casefold()
    stored.saved_at = timezone.now()
    stored.save()
    site = job.site.model_dump_json(exclude_defaults=True)
    embedded = job.embedded.model_dump_json(exclude_defaults=True)
    content, _ = Content.objects.get_or_create(
        job=stored,
        sha256=hashlib.sha256(f"{site}\n{embedded}".encode()).hexdigest(),
        defaults={"site": site, "embedded": embedded},
    )
    place = StoredEntry.objects.filter(job=stored).count()
    StoredEntry.objects.bulk_create(
        StoredEntry(
            job=stored,
            entry_id=entry.id,
            revision=stored.revision,
            place=place + i,
            body=entry.model_dump_json(exclude_defaults=True),
        )
        for i, entry in enumerate(added)
    )
    Revision.objects.create(
        job=stored,
        number=stored.revision,
        content=content,
        hash=content_hash(job.model_copy(update={"revision": stored.revision})),
        by=by.name,
        what=what[:LONGEST_WHAT],
    )


def _sent_before(by: Person, typed: Typed | None) -> Saved | Contested | None:
    """What became of a form that was sent before, if it was."""
    if typed is None:
        return None
    sent = Sent.objects.filter(person=by, key=typed.key, digest=typed.digest).first()
    if sent is None:
        return None
    if sent.contest_id is not None:
        return Contested(contest=sent.contest_id)
    return Saved(revision=sent.revision, again=True)


def _remember(
    stored: StoredJob, by: Person, typed: Typed | None, contest: Contest | None = None
) -> None:
    if typed is not None:
        Sent.objects.create(
            job=stored,
            person=by,
            key=typed.key,
            digest=typed.digest,
            revision=stored.revision,
            contest=contest,
        )
