"""The choice of a job's communicator, worked out once for each revision and day."""

import hashlib
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final
from uuid import UUID
from zoneinfo import ZoneInfo

from django.utils import timezone

from pathproof.assess.choice import Choice, Ranked
from pathproof.assess.choosing import choose
from pathproof.assess.taken_told import Told, tell
from pathproof.assess.taking import Taken, take
from pathproof.job import Job
from pathproof.job.considering import considering
from pathproof.job.home import user_library
from pathproof.terms import JobError
from pathproof.web.jobs._recent import Recent
from pathproof.web.works import WAIT_S, Progress, result_of

_LONG_ENOUGH_S: Final = 600.0


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """A choice, and the job that holds everything it was chosen from."""

    job: Job
    choice: Choice
    as_of: datetime

    def offer(self, key: str) -> Ranked:
        """The offer of that key.

        Raises
        ------
        JobError
            It is not, or no longer, one of those that fit.
        """
        found = next((x for x in self.choice.ranked if offer_key(x) == key), None)
        if found is None:
            raise JobError(
                "That offer is not among those that fit any more, as something changed since the "
                "page was opened. Look at the offers again and take one of them."
            )
        return found


_KEPT: Final[Recent[tuple[UUID, int, date, bool], Weighed]] = Recent(most=16)


def weigh(job_id: UUID, job: Job, *, every: bool, wait: bool = False) -> Weighed:
    """The choice from what the site considers, or from everything at hand.

    Parameters
    ----------
    job_id : UUID
        Which job.
    job : Job
        It, as it is at one of its revisions.
    every : bool
        Choose from all that the library and the job hold.
    wait : bool
        Wait for it however long it takes.

    Raises
    ------
    StillWorkingError
        It takes longer than a page should; ask again.
    JobError
        The profile lacks a limit.
    """
    now = timezone.now().astimezone(ZoneInfo(job.site.time_zone))
    key = (job_id, job.revision, now.date(), every)
    found = _KEPT.seen(key)
    if found is None:
        held = considering(job, user_library()) if every else job

        def work(progress: Progress) -> Weighed:
            choice = choose(held, now, leave_out_later=True)
            return Weighed(job=held, choice=choice, as_of=now)

        what = f"Weighing offers of {len(held.site.considered)} parts"
        found = result_of(key, what, work, wait_s=_LONG_ENOUGH_S if wait else WAIT_S)
        _KEPT.put(key, found)
    return found


def taken(job: Job, weighed: Weighed, key: str) -> tuple[Taken, Told]:
    """What taking an offer does to the job, and what is said of it; nothing is saved."""
    ranked = weighed.offer(key)
    done = take(weighed.job, ranked)
    told = tell(job, done, ranked, weighed.choice, weighed.as_of, leave_out_later=True)
    return done, told


def offer_key(ranked: Ranked) -> str:
    """A short name of an offer with spot and antenna, the same however offers are ordered."""
    said = repr((ranked.offer, ranked.spot, ranked.antenna))
    return hashlib.sha256(said.encode()).hexdigest()[:16]
