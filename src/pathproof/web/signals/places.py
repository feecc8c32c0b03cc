"""Where a save comes back to, and on which revision a form was made."""

from typing import Final
from urllib.parse import urlencode
from uuid import UUID

from django.http import Http404, HttpRequest, QueryDict
from django.urls import reverse

from pathproof.job import Job
from pathproof.web.folder import open_folder
from pathproof.web.jobs import store
from pathproof.web.jobs.answers import Answer, answer
from pathproof.web.jobs.models import Revision, StoredJob
from pathproof.web.saving import based_on

_KEPT: Final = ("word", "zone", "partition", "name", "page")
"""What of the page's address stays as it was."""


def job_seen(request: HttpRequest, job_id: UUID) -> Job:
    """The job as whoever sent the form saw it.

    Raises
    ------
    JobError
        The form does not say.
    """
    try:
        return store.load(job_id, based_on(request))
    except (StoredJob.DoesNotExist, Revision.DoesNotExist) as error:
        raise Http404 from error


def opened_for(request: HttpRequest, job_id: UUID) -> Answer:
    """The job with its assessment; who sent something waits for it, so that nothing is lost."""
    if request.method != "POST":
        return open_folder(job_id)
    try:
        return answer(job_id, wait=True)
    except StoredJob.DoesNotExist as error:
        raise Http404 from error


def back_to(request: HttpRequest, job_id: UUID, about: str) -> str:
    """The signals page as it was left, at the row of a thing, with what the save brought."""
    was = QueryDict(request.POST.get("back", ""))
    kept = {name: was[name] for name in _KEPT if was.get(name)}
    asked = {**kept, "at": about, "sent": request.POST.get("key", "")}
    query = urlencode({name: x for name, x in asked.items() if x})
    return (
        f"{reverse('signals:page', args=[job_id])}?{query}#{'d-' if about else ''}{about or 'told'}"
    )
