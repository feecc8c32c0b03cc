"""What all pages of the specification share: their links, and a form's way to a save."""

from typing import Any, Final
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from pathproof.job import Job
from pathproof.terms import JobError
from pathproof.web.folder import open_folder, show
from pathproof.web.jobs import store
from pathproof.web.jobs.answers import answer
from pathproof.web.jobs.models import Revision, StoredJob
from pathproof.web.saving import based_on, save
from pathproof.web.specify._fields import PieceForm

PAGES: Final = {
    "page": "Zones and partitions",
    "parts": "Parts",
    "communicator": "Communicator",
    "antenna": "Antenna",
    "power": "Power",
    "profile": "Profile",
    "lists": "Lists",
}
"""The pages by the name of their URL, in the order of the work."""


def page_url(page: str, job_id: UUID) -> str:
    """The address of one of the pages."""
    return reverse(f"specify:{page}", args=[job_id])


def page_after(request: HttpRequest, page: str, job_id: UUID) -> str:
    """Where to go after a save: back to the page that the form stood on, or to `page`.

    What leads back is the name of one of these pages, or the address of one of the survey.
    """
    back = request.POST.get("back", request.GET.get("back", ""))
    if back.startswith(reverse("survey:page", args=[job_id])):
        return back
    return page_url(back if back in PAGES else page, job_id)


def seen_job(request: HttpRequest, job_id: UUID) -> Job:
    """The job as whoever sent the form saw it, or as it is for whoever opens a page."""
    try:
        return store.load(job_id, based_on(request) if request.method == "POST" else None)
    except (StoredJob.DoesNotExist, Revision.DoesNotExist) as error:
        raise Http404 from error


def show_page(
    request: HttpRequest,
    job_id: UUID,
    page: str,
    template: str,
    *,
    seen: Job | None = None,
    status: int | None = None,
    **context: Any,
) -> HttpResponse:
    """A page of the specification; after a form that was refused, with what was typed in it.

    Forms on it are made on the job as it was `seen`, however it is now.
    """
    refused = request.method == "POST"
    opened = answer(job_id, wait=True) if refused else open_folder(job_id)
    tabs = [
        {"name": name, "url": page_url(key, job_id), "here": key == page}
        for key, name in PAGES.items()
    ]
    if seen is not None:
        context["revision"] = seen.revision
    return show(
        request,
        f"specify/{template}.html",
        opened,
        here="specify",
        status=status or (422 if refused else 200),
        tabs=tabs,
        page=page,
        back=request.POST.get("back", request.GET.get("back", "")),
        **context,
    )


def saved(
    request: HttpRequest,
    job_id: UUID,
    form: PieceForm,
    change: store.Change,
    *,
    what: str,
    then: str,
    at: str,
) -> HttpResponse | None:
    """Where to go after the save; none where the form says why nothing was saved."""
    if not form.is_valid():
        return None
    try:
        return save(request, job_id, change, what=what, then=then)
    except JobError as error:
        form.blame(str(error), at)
        return None
