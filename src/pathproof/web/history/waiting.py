"""Changes that were kept beside a job and wait for somebody to choose."""

import json
from typing import Final
from uuid import UUID

from django.db.models import QuerySet
from pydantic import TypeAdapter

from pathproof.job import Entry
from pathproof.web.jobs.models import Contest

_RECORD: Final[TypeAdapter[list[Entry]]] = TypeAdapter(list[Entry])


def waiting(job_id: UUID) -> QuerySet[Contest]:
    """The changes that wait, the oldest first."""
    return Contest.objects.filter(job=job_id, settled_at=None).order_by("at", "pk")


def kept_entries(contest: Contest) -> list[Entry]:
    """The record entries that a change would add."""
    return _RECORD.validate_json(json.dumps(contest.kept.get("record", [])), strict=True)
