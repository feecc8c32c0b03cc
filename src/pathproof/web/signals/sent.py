"""Which entries a form brought, by the key of its page."""

from uuid import UUID

from pathproof.job import Job
from pathproof.job.record import Entry
from pathproof.web.jobs.models import Sent, StoredEntry
from pathproof.web.people.models import Person

MOST: int = 40
"""Entries told of at once."""


def entries_sent(job_id: UUID, job: Job, by: Person, key: str) -> list[Entry]:
    """The entries that came with forms of that key, in the order of the record."""
    try:
        asked = UUID(key)
    except ValueError:
        return []
    revisions = Sent.objects.filter(job=job_id, person=by, key=asked, contest=None)
    brought = StoredEntry.objects.filter(
        job=job_id, revision__in=revisions.values_list("revision", flat=True)
    ).values_list("entry_id", flat=True)
    ids = set(brought)
    return [e for e in job.record if e.id in ids][:MOST]
