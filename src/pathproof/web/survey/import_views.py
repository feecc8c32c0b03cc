"""A plan into this job: sent, looked at, and accepted."""

from typing import Any, Final
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_GET

from pathproof.job import Job
from pathproof.job.storeys import with_underlay
from pathproof.plans import moved_storeys
from pathproof.plans.picture import Picture, scaled, with_ruler
from pathproof.terms import JobError, PlanError
from pathproof.web.jobs import store
from pathproof.web.saving import based_on, save
from pathproof.web.survey._import_forms import DrawingForm, FilesForm, SheetForm
from pathproof.web.survey._page import job_at, show_page
from pathproof.web.survey.importing import (
    Upload,
    read_plan,
    read_sheet,
    start_import,
    throw_away,
    upload_of,
    with_plan,
)
from pathproof.web.works import WAIT_S

_LONG_ENOUGH_S: Final = 600.0


def start(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The form that takes a plan."""
    form = FilesForm(request.POST or None, request.FILES or None)
    if request.method == "POST":
        job_at(job_id)
        try:
            return HttpResponseRedirect(start_import(job_id, request.FILES.getlist("plan")))
        except PlanError as error:
            form = FilesForm()
            return _page(request, job_id, "import", status=422, form=form, refused=str(error))
    return _page(request, job_id, "import", form=form)


def look(request: HttpRequest, job_id: UUID, token: str) -> HttpResponse:
    """What was mapped, guessed and left out of a plan, to be accepted; or where a picture lies."""
    upload = upload_of(job_id, token)
    if upload is None:
        messages.warning(
            request, "That plan is no longer kept: it was accepted, or a day has passed. Send it."
        )
        return HttpResponseRedirect(reverse("survey:import", args=[job_id]))
    if upload.kind == "picture":
        return _sheet(request, job_id, upload)
    return _plan(request, job_id, upload)


def _plan(request: HttpRequest, job_id: UUID, upload: Upload) -> HttpResponse:
    asked = DrawingForm(request.GET, upload=upload)
    context: dict[str, Any] = {"upload": upload, "asked": asked}
    if not asked.is_valid():
        return _page(request, job_id, "look", status=422, **context)
    try:
        found = read_plan(upload, asked.options, wait_s=_wait_s(request))
        job = job_at(job_id)
        context |= {"report": found.report, "moved": moved_storeys(job.site, found)}
        with_plan(job, found)  # says now what would be refused later
        if request.method == "POST":
            then = reverse("survey:page", args=[job_id])
            done = save(
                request, job_id, lambda seen: with_plan(seen, found), what="plan imported",
                then=then,
            )  # fmt: skip
            throw_away(upload.token)
            return done
    except (PlanError, JobError) as error:
        return _page(request, job_id, "look", status=422, refused=str(error), **context)
    return _page(request, job_id, "look", **context)


def _sheet(request: HttpRequest, job_id: UUID, upload: Upload) -> HttpResponse:
    sent = request.method == "POST"
    site = job_at(job_id, based_on(request) if sent else None).site
    form = SheetForm(request.POST if sent else None, site=site)
    context: dict[str, Any] = {"upload": upload, "form": form, "number": _page_asked(request)}
    try:
        picture = read_sheet(upload, _page_asked(request), wait_s=_wait_s(request))
    except PlanError as error:
        return _page(request, job_id, "sheet", status=422, refused=str(error), **context)
    context["picture"] = picture
    if sent and form.is_valid():
        try:
            return _laid(request, job_id, upload, picture, form)
        except (PlanError, JobError) as error:
            form.add_error(None, str(error))
    return _page(request, job_id, "sheet", status=422 if sent else 200, **context)


def _laid(
    request: HttpRequest, job_id: UUID, upload: Upload, picture: Picture, form: SheetForm
) -> HttpResponse:
    """The picture put under its storey."""
    underlay, notes = scaled(picture, form.scaling)
    store.keep_picture(job_id, picture.png)
    storey = form.storey(job_at(job_id, based_on(request)).site)

    def change(job: Job) -> Job:
        return with_underlay(job, storey, underlay)

    then = reverse("survey:storey", args=[job_id, storey.id])
    done = save(request, job_id, change, what=f"picture under {storey.name}", then=then)
    for note in (*picture.notes, *notes):
        messages.info(request, note)
    throw_away(upload.token)
    return done


@require_GET
def sheet(request: HttpRequest, job_id: UUID, token: str) -> HttpResponse:
    """The picture that was sent, under a grid to read points off."""
    upload = upload_of(job_id, token)
    if upload is None or upload.kind != "picture":
        raise Http404
    try:
        picture = read_sheet(upload, _page_asked(request))
    except PlanError as error:
        raise Http404 from error
    return HttpResponse(with_ruler(picture), content_type="image/png")


def _wait_s(request: HttpRequest) -> float:
    """How long a page waits; one that a form was sent to, until it is done."""
    return _LONG_ENOUGH_S if request.method == "POST" else WAIT_S


def _page_asked(request: HttpRequest) -> int | None:
    """The page of a PDF that was asked for."""
    given = request.GET.get("page", "")
    return int(given) if given.isascii() and given.isdigit() and len(given) < 6 else None


def _page(
    request: HttpRequest, job_id: UUID, template: str, *, status: int = 200, **context: Any
) -> HttpResponse:
    tab = reverse("survey:import", args=[job_id])
    return show_page(request, job_id, template, tab=tab, status=status, **context)
