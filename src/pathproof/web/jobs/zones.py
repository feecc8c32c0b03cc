"""Time zones of sites, read without the rest of them."""

from collections.abc import Iterable, Iterator
from typing import Final
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import F, JSONField
from django.db.models.fields.json import KT
from django.db.models.functions import Cast

from pathproof.job import Site
from pathproof.web.jobs.models import Revision

_AT_ONCE: Final = 500


def zones_of(job_ids: Iterable[UUID]) -> dict[UUID, ZoneInfo]:
    """Time zone of each site as it is now."""
    usual = Site.model_fields["time_zone"].default
    return {pk: ZoneInfo(zone or usual) for some in _some(job_ids) for pk, zone in _named(some)}


def _some(job_ids: Iterable[UUID]) -> Iterator[list[UUID]]:
    every = list(job_ids)
    for start in range(0, len(every), _AT_ONCE):
        yield every[start : start + _AT_ONCE]


def _named(job_ids: list[UUID]) -> Iterable[tuple[UUID, str | None]]:
    revisions = Revision.objects.filter(job__in=job_ids, number=F("job__revision"))
    site = revisions.annotate(as_json=Cast("content__site", JSONField()))
    return site.annotate(zone=KT("as_json__time_zone")).values_list("job_id", "zone")
