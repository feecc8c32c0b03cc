"""The assessment of a stored job as of today, worked out once for each revision and day."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final
from uuid import UUID
from zoneinfo import ZoneInfo

from django.utils import timezone

from pathproof.assess import Assessment, assess
from pathproof.job import Job
from pathproof.terms import Word
from pathproof.web.jobs._recent import Recent
from pathproof.web.jobs.models import Standing, StoredJob
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


_KNOWN: Final[Recent[tuple[UUID, int, date], Assessment]] = Recent(most=32)


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
    stored = StoredJob.objects.get(pk=job_id)
    job = load(job_id, stored.revision)
    now = timezone.now().astimezone(ZoneInfo(job.site.time_zone))
    key = (job_id, stored.revision, now.date())
    assessment = _KNOWN.seen(key)
    if assessment is None:
        assessment = _worked_out(key, job, now, wait_s=_LONG_ENOUGH_S if wait else WAIT_S)
        _KNOWN.put(key, assessment)
        note_standing(stored, assessment)
    later = sum(e.at > assessment.as_of for e in job.record)
    return Answer(stored=stored, job=job, assessment=assessment, later=later)


def forget_all() -> None:
    """Work everything out anew from now on."""
    _KNOWN.drop(lambda key: True)


def note_standing(stored: StoredJob, assessment: Assessment) -> None:
    """Keep what the list of jobs shows."""
    counts = assessment.summary.signals_by_word
    Standing.objects.update_or_create(
        job=stored,
        defaults={
            "revision": stored.revision,
            "as_of": assessment.as_of,
            "day": assessment.as_of.date(),
            "word": assessment.word,
            "why": assessment.why,
            **{str(word): counts.get(word, 0) for word in Word},
        },
    )


def _worked_out(key: tuple[UUID, int, date], job: Job, now: datetime, wait_s: float) -> Assessment:
    def work(progress: Progress) -> Assessment:
        return assess(job, now, leave_out_later=True)

    count = len(job.site.devices)
    return result_of(key, f"Working out {count} devices", work, wait_s=wait_s)
