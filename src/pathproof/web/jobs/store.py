"""The one door through which jobs change, and the ways to read them.

A save is made on a revision somebody saw. Where others saved meanwhile, it is put on top of theirs
if it touches other pieces of the site, or adds some; if not, both are kept and somebody chooses.
Record entries are only ever added, with fingerprints of the site as it was seen when they were
made.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeVar
from uuid import UUID

from django.db import IntegrityError, connection, transaction
from django.utils import timezone
from pydantic import TypeAdapter

from pathproof.job import Embedded, Entry, Job, content_hash, dump_job, embed, parse_job
from pathproof.job.adding import renumbered
from pathproof.job.file import FORMAT, FORMAT_VERSION, LAST_REVISION, as_it_stands
from pathproof.job.home import library_stamp, user_library
from pathproof.job.pieces import Pieces, clashing, difference, pieces, with_pieces
from pathproof.terms import JobError
from pathproof.web.jobs._recent import Recent
from pathproof.web.jobs.models import (
    Content,
    Contest,
    ErasedForm,
    Picture,
    Revision,
    Sent,
    StoredEntry,
    StoredJob,
)
from pathproof.web.people.models import Person

T = TypeVar("T")

Change = Callable[[Job], Job]
LONGEST_WHAT: Final = 200
_HIGHEST_BROUGHT: Final = LAST_REVISION // 2
"""A job that comes at a revision above this might run out of numbers."""
_LOADED: Final[Recent[tuple[UUID, int, str, str], Job]] = Recent(most=64)
"""Jobs read lately, by revision, hash (after a restore, a number may stand for another job) and
what the library said then."""
_LOG_WAIT_MS: Final = 300
_RECORD: Final[TypeAdapter[list[Entry]]] = TypeAdapter(list[Entry])


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
    """A job as it is, or as it was at a revision, with what the library has learnt since.

    Where it has, the job's hash is that of what it now says.

    Raises
    ------
    StoredJob.DoesNotExist, Revision.DoesNotExist
        There is none.
    """
    if revision is None:
        revision = _newest(job_id)
    found = Revision.objects.values_list("hash", flat=True).get(job=job_id, number=revision)
    return _LOADED.get((job_id, revision, found, library_stamp()), lambda: _read(job_id, revision))


def load_as_saved(job_id: UUID, revision: int | None = None) -> Job:
    """A job to the letter of what was saved, whatever the library says today.

    Raises
    ------
    StoredJob.DoesNotExist, Revision.DoesNotExist
        There is none.
    """
    if revision is None:
        revision = _newest(job_id)
    row = Revision.objects.select_related("content").get(job=job_id, number=revision)
    entries = StoredEntry.objects.filter(job=job_id, revision__lte=revision)
    record = ",".join(entries.values_list("body", flat=True))
    text = (
        f'{{"format": "{FORMAT}", "format_version": {FORMAT_VERSION}, "revision": {revision}, '
        f'"hash": "{row.hash}", "site": {row.content.site}, "record": [{record}], '
        f'"embedded": {row.content.embedded}}}'
    )
    return as_it_stands(text, "The stored job")


def add_job(job: Job, *, by: Person, what: str, typed: Typed | None = None) -> StoredJob:
    """A new job in the store, at the revision it came with or at its first.

    A form that was sent before gives the job that it made then.

    Raises
    ------
    JobError
        It is not sound.
    """
    sent_before = _made_before(by, typed)
    if sent_before is not None:
        return sent_before
    if job.revision > _HIGHEST_BROUGHT:
        raise JobError(
            f"The job says that it was saved {job.revision} times; allowed: up to "
            f"{_HIGHEST_BROUGHT}. Take its revision out of the file, and it counts anew."
        )
    sound = _checked(job)
    as_it_came = job.hash is not None and not job.changed_outside
    stored = StoredJob(revision=job.revision if as_it_came else job.revision + 1)
    try:
        with transaction.atomic():
            _write(stored, sound, sound.record, by=by, what=what)
            _remember(stored, by, typed)
    except IntegrityError:
        sent_before = _made_before(by, typed)  # by the same form, at the same moment
        if sent_before is None:
            raise
        return sent_before
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
        The changed job is not sound, has no such revision, or cannot hold what is added here
        besides what others added meanwhile.
    StoredJob.DoesNotExist
        There is no such job.
    """
    sent_before = _sent_before(by, typed)
    if sent_before is not None:
        return sent_before
    base = _seen(job_id, based_on)
    mine = _checked(change(base))
    with transaction.atomic():
        stored = StoredJob.objects.select_for_update().get(pk=job_id)
        sent_before = _sent_before(by, typed)
        if sent_before is not None:
            return sent_before
        now = load(job_id, stored.revision)
        try:
            merged = mine if stored.revision == based_on else _on_top(base, mine, now, change)
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
        job_id = Contest.objects.values_list("job", flat=True).get(pk=contest_id)
        stored = StoredJob.objects.select_for_update().get(pk=job_id)
        contest = Contest.objects.get(pk=contest_id, settled_at=None)
        if mine:
            now = load(stored.pk, stored.revision)
            merged = _with_contest(load(stored.pk, contest.based_on), contest, now)
            stored.revision += 1
            _write(stored, merged, _added(now, merged), by=by, what=contest.what)
        contest.settled_at = timezone.now()
        contest.settled_by, contest.settled_how = by.name, "mine" if mine else "theirs"
        contest.save()
    return Saved(revision=stored.revision)


def erase(job_id: UUID) -> bool:
    """Take a job's rows out for good; whether the database's log is overwritten already too.

    Only the keys of the forms that made it are kept, so that none of them makes it again.
    """
    overwritten = True

    def overwrite() -> None:
        nonlocal overwritten
        overwritten = overwrite_log()

    with transaction.atomic():
        stored = StoredJob.objects.select_for_update().get(pk=job_id)
        made = Sent.objects.filter(job=stored, revision=stored.revisions.earliest("number").number)
        keys = set(made.values_list("key", flat=True))
        ErasedForm.objects.bulk_create((ErasedForm(key=k) for k in keys), ignore_conflicts=True)
        stored.delete()
        transaction.on_commit(overwrite)
    _LOADED.drop(lambda key: key[0] == job_id)
    return overwritten


def overwrite_log() -> bool:
    """Whether what was erased is out of SQLite's write-ahead log; its file overwrites by itself.

    It is not while somebody reads what was there before, such as a backup; try again later.
    """
    if connection.vendor != "sqlite":
        return True
    with connection.cursor() as cursor:
        usual = cursor.execute("PRAGMA busy_timeout").fetchone()[0]
        cursor.execute(f"PRAGMA busy_timeout = {_LOG_WAIT_MS}")
        try:
            busy: int = cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        finally:
            cursor.execute(f"PRAGMA busy_timeout = {usual}")
    return not busy


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


def _seen(job_id: UUID, revision: int) -> Job:
    """The job as it was seen when a change was made of it."""
    try:
        return load(job_id, revision)
    except Revision.DoesNotExist as error:
        newest = _newest(job_id)
        raise JobError(
            f"This was made on revision {revision}; the job has none of that number, its newest is "
            f"{newest}. Nothing was saved. Open the page again and enter it there."
        ) from error


def _newest(job_id: UUID) -> int:
    return StoredJob.objects.values_list("revision", flat=True).get(pk=job_id)


def _read(job_id: UUID, revision: int) -> Job:
    saved = load_as_saved(job_id, revision)
    job = embed(saved, user_library(), "The stored job")
    if job.embedded == saved.embedded:
        return saved
    return job.model_copy(update={"hash": content_hash(job)})


def _checked(job: Job) -> Job:
    """The job as it will be read again: changes made by copying are checked here."""
    library = user_library()
    complete = embed(job, library).model_copy(update={"hash": None})
    return parse_job(dump_job(complete), library, "The changed job")


def _on_top(base: Job, mine: Job, theirs: Job, change: Change) -> Job:
    """My change of the base made to theirs; entries keep the fingerprints they were made with."""
    changes, others = difference(base.site, mine.site), difference(base.site, theirs.site)
    met = clashing(changes, others)
    if met:
        if set(met) & set(pieces(base.site)) or _added(base, mine):
            raise _ClashError
        return _added_too(theirs, others, change)
    entries = renumbered(_added(base, mine), theirs.record)
    embedded = _both_embedded(base.embedded, mine.embedded, theirs.embedded)
    try:
        return _put_on(theirs, changes, entries, embedded)
    except JobError as error:
        raise _ClashError(str(error)) from error


def _added_too(theirs: Job, others: Pieces, change: Change) -> Job:
    """What I add besides what others added under the same id meanwhile, each its own thing.

    Raises
    ------
    JobError
        It cannot be there besides theirs, such as a zone of the same number.
    """
    both = _checked(change(theirs))
    if set(difference(theirs.site, both.site)) & set(others):
        raise _ClashError  # it is one thing by its nature, such as the battery
    return both


def _put_on(now: Job, changes: Pieces, entries: Sequence[Entry], embedded: Embedded) -> Job:
    return _checked(
        now.model_copy(
            update={
                "site": with_pieces(now.site, changes) if changes else now.site,
                "record": [*now.record, *entries],
                "embedded": embedded,
            }
        )
    )


def _both_embedded(base: Embedded, mine: Embedded, theirs: Embedded) -> Embedded:
    """What the job embeds after both changes: theirs, and what mine brought or changed."""
    update: dict[str, Any] = {
        "catalogue": _both(base.catalogue, mine.catalogue, theirs.catalogue),
        "constructions": _both(base.constructions, mine.constructions, theirs.constructions),
    }
    if mine.profile != base.profile:
        update["profile"] = mine.profile
    return theirs.model_copy(update=update)


def _both(base: Mapping[str, T], mine: Mapping[str, T], theirs: Mapping[str, T]) -> dict[str, T]:
    changed = {key: value for key, value in mine.items() if base.get(key, value) != value}
    return {**mine, **theirs, **changed}


def _with_contest(base: Job, contest: Contest, now: Job) -> Job:
    """The contest's change made to the job as it is now, whatever stands in its way there."""
    entries = _RECORD.validate_json(json.dumps(contest.kept["record"]), strict=True)
    kept = Embedded.model_validate_json(json.dumps(contest.kept["embedded"]), strict=True)
    embedded = _both_embedded(base.embedded, kept, now.embedded)
    added = _of_the_newest(renumbered(entries, now.record), now.record)
    return _put_on(now, contest.pieces, added, embedded)


def _of_the_newest(entries: Iterable[Entry], record: Iterable[Entry]) -> list[Entry]:
    """Corrections of entries that were corrected meanwhile, as corrections of those corrections."""
    by = {entry.replaces: entry.id for entry in record if entry.replaces is not None}

    def newest(entry_id: str | None) -> str | None:
        while entry_id in by:
            entry_id = by[entry_id]
        return entry_id

    return [e.model_copy(update={"replaces": newest(e.replaces)}) for e in entries]


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
    added = _RECORD.dump_python(_added(base, mine), mode="json", exclude_defaults=True)
    embedded = mine.embedded.model_dump(mode="json", exclude_defaults=True)
    return Contest.objects.create(
        job=stored,
        based_on=based_on,
        met=stored.revision,
        pieces=difference(base.site, mine.site),
        kept={"record": added, "embedded": embedded},
        why=why,
        by=by.name,
        what=what[:LONGEST_WHAT],
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
    numbered = job.model_copy(update={"revision": stored.revision})
    found = content_hash(numbered)
    Revision.objects.create(
        job=stored,
        number=stored.revision,
        content=content,
        hash=found,
        by=by.name,
        what=what[:LONGEST_WHAT],
    )
    key = (stored.pk, stored.revision, found, library_stamp())
    _LOADED.put(key, numbered.model_copy(update={"hash": found}))


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


def _made_before(by: Person, typed: Typed | None) -> StoredJob | None:
    """The job that a form made which was sent before, if it was.

    Raises
    ------
    JobError
        That job was erased since.
    """
    if typed is None:
        return None
    if ErasedForm.objects.filter(key=typed.key).exists():
        raise JobError(
            "This form was sent before; the job that it made was erased since. Nothing was made "
            "again. If the job is wanted, open the page for a new job and enter it there."
        )
    sent = Sent.objects.filter(person=by, key=typed.key, digest=typed.digest).first()
    return None if sent is None else sent.job


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
