"""Survey: the plan or the list of devices, spots, and what was read there."""

from typing import Any
from uuid import UUID

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from pathproof.assess.floor_map import MapKind, MapOf
from pathproof.job import Job, Site
from pathproof.papers.plan_svg import plan_svg
from pathproof.terms import JobError
from pathproof.web.folder import open_folder
from pathproof.web.saving import based_on, save
from pathproof.web.survey._forms import SpotForm, with_spot
from pathproof.web.survey._maps import choices
from pathproof.web.survey._page import job_at, opened_for, show_page, storey_of
from pathproof.web.survey._rows import thing_rows
from pathproof.web.survey._spots import network_rows, spot_rows

_A_PAGE = 100


def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The storey with the panel where there is a plan, the list of devices where there is none."""
    site = open_folder(job_id).job.site
    return storey(request, job_id, _first(site)) if site.floors else devices(request, job_id)


def _first(site: Site) -> str:
    if site.panel is not None and site.panel.floor is not None:
        return site.panel.floor
    return min(site.floors, key=lambda f: f.elevation_m).id


def storey(request: HttpRequest, job_id: UUID, floor: str) -> HttpResponse:
    """The plan of one storey, and what hangs on it."""
    storey_of(job_at(job_id).site, floor)  # before anything is worked out
    opened = open_folder(job_id)
    found = storey_of(opened.job.site, floor)
    rows = thing_rows(opened.job, opened.assessment)
    asked = request.GET.get("map", "")
    offered = choices(opened.job.site)
    return show_page(
        request,
        job_id,
        "storey",
        tab=reverse("survey:storey", args=[job_id, floor]),
        opened=opened,
        floor=found,
        drawing=plan_svg(opened.job, found),
        hung=[r for r in rows if r.floor == floor and r.at is not None],
        elsewhere=[r for r in rows if r.floor != floor and r.at is not None],
        unplaced=[r for r in rows if r.at is None],
        choices=offered,
        asked=asked if asked in dict(offered) else "",
        drawn=any(w.floor == floor for w in opened.job.site.walls),
    )


def devices(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Panel, repeaters and devices as a list, with distance and what stands between."""
    opened = open_folder(job_id)
    rows = [r for r in thing_rows(opened.job, opened.assessment) if r.kind != "spot"]
    return show_page(
        request,
        job_id,
        "devices",
        tab=reverse("survey:devices", args=[job_id]),
        opened=opened,
        page=Paginator(rows, _A_PAGE).get_page(request.GET.get("page")),
        storeys={f.id: f.name for f in opened.job.site.floors},
    )


def spots(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Spots with what was read there, the networks of the site, and a form for one more spot."""
    form = SpotForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            return _added(request, job_id, form)
        except JobError as error:
            form.add_error(None, str(error))
    opened = opened_for(request, job_id)
    context: dict[str, Any] = {"revision": based_on(request)} if form.errors else {}
    return show_page(
        request,
        job_id,
        "spots",
        tab=reverse("survey:spots", args=[job_id]),
        opened=opened,
        status=422 if form.errors else 200,
        form=form,
        spots=spot_rows(opened.job.site, opened.assessment),
        networks=network_rows(opened.job.site, opened.assessment),
        **context,
    )


def _added(request: HttpRequest, job_id: UUID, form: SpotForm) -> HttpResponse:
    given = form.cleaned_data

    def change(job: Job) -> Job:
        return with_spot(job, given["name"], given["place"] or None, given["cable_m"])

    then = reverse("survey:spots", args=[job_id])
    return save(request, job_id, change, what=f"spot {given['name']} added", then=then)


def map_asked(request: HttpRequest) -> MapOf:
    """What map an address asks for.

    Raises
    ------
    JobError
        There is no such kind.
    """
    return MapOf.parse(request.GET.get("map", str(MapKind.COVERAGE)))
