"""Parts list and zone schedule, on the page and as CSV; devices typed or pasted as a list."""

from typing import Final
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.text import slugify

from pathproof.job import Job
from pathproof.job.home import user_library
from pathproof.job.starting import heard_by
from pathproof.papers import PartsList, ZoneSchedule, parts_list, zone_schedule
from pathproof.plans.listed import ListedDevices, put_listed, read_device_list
from pathproof.terms import JobError, PlanError
from pathproof.web.folder import open_folder
from pathproof.web.jobs.answers import Answer
from pathproof.web.jobs.store import Change
from pathproof.web.saving import member, save
from pathproof.web.specify._listing import ListForm
from pathproof.web.specify._page import page_after, seen_job, show_page

_NAMES: Final = {"parts": "parts list", "zones": "zone schedule"}


def lists(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Parts list and zone schedule, as they print."""
    opened = open_folder(job_id)
    return show_page(
        request, job_id, "lists", "lists",
        parts=_made(request, opened, "parts"), zones=_made(request, opened, "zones"),
    )  # fmt: skip


def download(request: HttpRequest, job_id: UUID, which: str) -> HttpResponse:
    """One of them as CSV."""
    if which not in _NAMES:
        raise Http404
    opened = open_folder(job_id)
    name = slugify(f"{opened.job.site.reference} {opened.job.site.name} {_NAMES[which]}")[:80]
    body = "\ufeff" + _made(request, opened, which).csv()  # spreadsheets take it for UTF-8
    return HttpResponse(
        body,
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"'},
    )


def listed(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """A list of devices: first what each line is taken for, then the devices in the job."""
    job = seen_job(request, job_id)
    form = ListForm(request.POST or None)
    found: ListedDevices | None = None
    if request.method == "POST" and form.is_valid():
        try:
            found = _read(form.cleaned_data["text"], job)
            if "add" in request.POST and not found.problems:
                return save(
                    request, job_id, _adding(form.cleaned_data["text"]),
                    what=f"{len(found.devices)} devices added from a list",
                    then=page_after(request, "parts", job_id),
                )  # fmt: skip
        except (PlanError, JobError) as error:
            form.add_error("text", str(error))
    status = 200 if found is not None and not found.problems else None
    return show_page(
        request, job_id, "parts", "listed", seen=job, status=status, form=form, found=found
    )


def _made(request: HttpRequest, opened: Answer, which: str) -> PartsList | ZoneSchedule:
    who = member(request).name
    if which == "parts":
        return parts_list(opened.job, opened.assessment, who=who)
    return zone_schedule(opened.job, opened.assessment, who=who)


def _read(text: str, job: Job) -> ListedDevices:
    library = user_library()
    known = {**library.parts, **job.embedded.catalogue}
    panel = job.site.panel
    return read_device_list(
        text,
        site=job.site,
        parts=heard_by(None if panel is None else known.get(panel.part), known.values()),
        constructions={**library.constructions, **job.embedded.constructions},
    )


def _adding(text: str) -> Change:
    def change(job: Job) -> Job:
        return job.model_copy(update={"site": put_listed(job.site, _read(text, job))})

    return change
