"""The assessment of a stored job as of today, worked out once for each revision and day.

It is worked out again on the same day once an entry's moment has come that lay ahead before.
"""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone

from pathproof.assess import Assessment, assess
from pathproof.assess.blocking import Block, blocks
from pathproof.assess.next_date import DueDate, next_date
from pathproof.job import Job
from pathproof.job.home import library_stamp
from pathproof.terms import JobError, Word
from pathproof.web.jobs._recent import Recent
from pathproof.web.jobs.models import Revision, Standing, StoredJob
from pathproof.web.jobs.store import load
from pathproof.web.works import WAIT_S, Progress, result_of

_LONG_ENOUGH_S: Final = 600.0


@dataclass(frozen=True, kw_only=True)
class Answer:
    """A job and what is known of it today."""

    stored: StoredJob
    job: Job
    assessment: Assessment
    later: int
    """Entries dated after now, which are left out."""
    blocks: tuple[Block, ...]
    """What still blocks the visit."""


@dataclass(frozen=True, kw_only=True)
class _Known:
    """What was worked out of a job."""

    assessment: Assessment
    blocks: tuple[Block, ...]
    due: DueDate | None


_Key = tuple[UUID, str | None, date, int]
"""Job, hash of what is judged, day at the site, and how many of its entries lie ahead."""
_KNOWN: Final[Recent[_Key, _Known | JobError]] = Recent(most=32)
"""Assessments, and why there is none."""


def answer(job_id: UUID, *, wait: bool = False) -> Answer:
    """A job with its assessment as of today.

    Parameters
    ----------
    job_id : UUID
        Which job.
    wait : bool
        Wait for it however long it takes.

    Raises
    ------
    StoredJob.DoesNotExist
        There is none.
    StillWorkingError
        It takes longer than a page should; ask again.
    JobError
        It cannot be assessed.
    """
    stored = StoredJob.objects.select_related("standing").get(pk=job_id)
    job = load(job_id, stored.revision)
    now = timezone.now().astimezone(ZoneInfo(job.site.time_zone))
    later = sum(e.at > now for e in job.record)
    key = (job_id, job.hash, now.date(), later)
    known = _KNOWN.seen(key)
    if known is None:
        known = _worked_out(key, job, now, wait_s=_LONG_ENOUGH_S if wait else WAIT_S)
    if isinstance(known, JobError):
        raise JobError(str(known)) from known
    if _is_behind(getattr(stored, "standing", None), stored.revision, known.assessment):
        _note(stored, known.assessment, known.due)
    return Answer(
        stored=stored, job=job, assessment=known.assessment, later=later, blocks=known.blocks
    )


def forget_all() -> None:
    """Work everything out anew from now on."""
    _KNOWN.drop(lambda key: True)


def forget(job_id: UUID) -> None:
    """Keep nothing of a job that was erased."""
    _KNOWN.drop(lambda key: key[0] == job_id)


def note_standing(stored: StoredJob, assessment: Assessment) -> None:
    """Keep what the list of jobs shows, unless it shows something newer or the job is gone."""
    try:
        job = load(stored.pk, assessment.revision)
    except Revision.DoesNotExist:
        return  # erased meanwhile
    _note(stored, assessment, next_date(job, assessment))


def _note(stored: StoredJob, assessment: Assessment, due: DueDate | None) -> None:
    counts = assessment.summary.signals_by_word
    with transaction.atomic():
        still_there = StoredJob.objects.select_for_update().filter(pk=stored.pk).first()
        standing = Standing.objects.filter(job=stored).first()
        if still_there is None or not _is_behind(standing, stored.revision, assessment):
            return
        Standing.objects.update_or_create(
            job=stored,
            defaults={
                "revision": stored.revision,
                "as_of": assessment.as_of,
                "day": assessment.as_of.date(),
                "library": library_stamp(),
                "word": assessment.word,
                "why": assessment.why,
                "due_on": None if due is None else due.on,
                "due_what": "" if due is None else due.what,
                **{str(word): counts.get(word, 0) for word in Word},
            },
        )


def _is_behind(standing: Standing | None, revision: int, assessment: Assessment) -> bool:
    """Whether what lists show was worked out of less than this assessment."""
    if standing is None:
        return True
    return (standing.revision, standing.as_of) < (revision, assessment.as_of)


def _worked_out(key: _Key, job: Job, now: datetime, wait_s: float) -> _Known | JobError:
    def work(progress: Progress) -> _Known | JobError:
        found: _Known | JobError
        try:
            assessment = assess(job, now, leave_out_later=True)
            found = _Known(
                assessment=assessment,
                blocks=blocks(job, assessment),
                due=next_date(job, assessment),
            )
        except JobError as error:
            found = error
        _KNOWN.put(key, found)  # before it can be asked for again
        return found

    count = len(job.site.devices)
    return result_of(key, f"Working out {count} devices", work, wait_s=wait_s)
