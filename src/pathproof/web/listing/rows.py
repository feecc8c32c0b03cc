"""The list of jobs: found, sorted, and each with what is known of it, of today or not."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final
from zoneinfo import ZoneInfo

from django.db.models import Case, F, IntegerField, QuerySet, Value, When
from django.utils import timezone

from pathproof.terms import Word
from pathproof.web.jobs.models import Standing, StoredJob
from pathproof.web.jobs.zones import zones_of

PAGE: Final = 50
_UTC: Final = ZoneInfo("UTC")
WORST_FIRST: Final = (Word.LACKING, Word.UNDECIDED, Word.PREDICTED, Word.PROVEN)
ORDERS: Final[Mapping[str, str]] = {
    "worst": "what lacks first",
    "next": "next date first",
    "saved": "saved last first",
}
"""Ways to sort, and what they are called."""


@dataclass(frozen=True, kw_only=True)
class Row:
    """One job of the list."""

    job: StoredJob
    standing: Standing | None
    """None where nothing was worked out yet."""
    of_today: bool
    """Whether the standing speaks for the job as it is, today."""
    zone: ZoneInfo
    """Time zone of the site."""

    @property
    def counts(self) -> list[tuple[int, Word]]:
        """How many signals have each word, the worst first."""
        if self.standing is None:
            return []
        found = [(getattr(self.standing, word), word) for word in WORST_FIRST]
        return [(n, word) for n, word in found if n]

    @property
    def overdue(self) -> bool:
        """Whether its next date is past."""
        due: date | None = self.standing.due_on if self.standing else None
        return due is not None and due < timezone.now().astimezone(self.zone).date()


def found(search: str, order: str) -> QuerySet[StoredJob]:
    """The jobs whose name or reference holds all words of a search, in an order of `ORDERS`."""
    jobs = StoredJob.objects.select_related("standing")
    for word in search.casefold().split():
        jobs = jobs.filter(search__contains=word)
    if order == "saved":
        return jobs.order_by("-saved_at", "pk")
    if order == "next":
        return jobs.order_by(F("standing__due_on").asc(nulls_last=True), "-saved_at", "pk")
    ranks = [When(standing__word=word, then=Value(i)) for i, word in enumerate(WORST_FIRST)]
    # Nothing known counts as undecided.
    rank = Case(*ranks, default=Value(1), output_field=IntegerField())
    return jobs.order_by(rank, "-saved_at", "pk")


def rows_of(jobs: Sequence[StoredJob]) -> list[Row]:
    """The rows of some jobs."""
    zones = zones_of(job.pk for job in jobs)
    now = timezone.now()
    return [_row(job, zones.get(job.pk, _UTC), now) for job in jobs]


def _row(job: StoredJob, zone: ZoneInfo, now: datetime) -> Row:
    standing: Standing | None = getattr(job, "standing", None)
    of_today = (
        standing is not None
        and standing.revision == job.revision
        and standing.day == now.astimezone(zone).date()
    )
    return Row(job=job, standing=standing, of_today=of_today, zone=zone)
