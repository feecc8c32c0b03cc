"""What all survey pages share: their tabs, and the job as its pages see it."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from pathproof.job import Floor, Job, Site
from pathproof.web.folder import open_folder, show
from pathproof.web.jobs import store
from pathproof.web.jobs.answers import Answer, answer
from pathproof.web.jobs.models import Revision, StoredJob


def job_at(job_id: UUID, revision: int | None = None) -> Job:
    """The job as it is, or as it was; a page not found where there is no such job."""
    try:
        return store.load(job_id, revision)
    except (StoredJob.DoesNotExist, Revision.DoesNotExist) as error:
        raise Http404 from error


def opened_for(request: HttpRequest, job_id: UUID) -> Answer:
    """The job with its assessment; waited for where a form would have to be sent again."""
    return answer(job_id, wait=True) if request.method == "POST" else open_folder(job_id)


def storey_of(site: Site, floor_id: str) -> Floor:
    """The storey of that id; a page not found where there is none."""
    for floor in site.floors:
        if floor.id == floor_id:
            return floor
    raise Http404


def show_page(
    request: HttpRequest,
    job_id: UUID,
    template: str,
    *,
    tab: str = "",
    opened: Answer | None = None,
    status: int = 200,
    **context: Any,
) -> HttpResponse:
    """A page of the survey; `tab` is its own address among the tabs."""
    opened = opened or opened_for(request, job_id)
    return show(
        request,
        f"survey/{template}.html",
        opened,
        here="survey",
        status=status,
        tabs=[{"name": n, "url": u, "here": u == tab} for n, u in _tabs(job_id, opened.job.site)],
        **context,
    )


def _tabs(job_id: UUID, site: Site) -> list[tuple[str, str]]:
    floors = sorted(site.floors, key=lambda f: f.elevation_m)
    return [
        *((f.name, reverse("survey:storey", args=[job_id, f.id])) for f in floors),
        ("Devices as a list", reverse("survey:devices", args=[job_id])),
        ("Spots and networks", reverse("survey:spots", args=[job_id])),
        ("Import a plan", reverse("survey:import", args=[job_id])),
    ]
