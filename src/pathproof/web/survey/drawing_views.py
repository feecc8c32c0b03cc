"""Pictures of a storey: its walls, what lies under them, and its map; kept by no browser."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_GET

from pathproof.assess.floor_map import FloorMap
from pathproof.papers.map_drawing import raster_png
from pathproof.papers.margin_steps import tint
from pathproof.papers.plan_svg import plan_svg, underlay_ink
from pathproof.terms import CalcError, JobError, PlanError
from pathproof.web.jobs.models import Picture
from pathproof.web.saying import Saying
from pathproof.web.survey._maps import map_data, storey_map
from pathproof.web.survey._page import job_at, storey_of
from pathproof.web.survey.views import map_asked


@require_GET
def plan(request: HttpRequest, job_id: UUID, floor: str, revision: int) -> HttpResponse:
    """The walls of a storey as SVG."""
    job = job_at(job_id, revision)
    drawn = plan_svg(job, storey_of(job.site, floor))
    return HttpResponse(drawn.svg, content_type="image/svg+xml")


@require_GET
def picture(request: HttpRequest, job_id: UUID, floor: str, revision: int) -> HttpResponse:
    """The picture under a storey as faint ink."""
    job = job_at(job_id, revision)
    found = storey_of(job.site, floor)
    if found.underlay is None:
        raise Http404
    stored = Picture.objects.filter(job=job_id, sha256=found.underlay.sha256).first()
    if stored is None:
        raise Http404
    try:
        ink = underlay_ink(job, found, bytes(stored.png))
    except PlanError as error:
        raise Http404 from error
    return HttpResponse(ink, content_type="image/png")


@require_GET
def map_png(request: HttpRequest, job_id: UUID, floor: str, revision: int) -> HttpResponse:
    """The cells of a map, one pixel each."""
    try:
        found = _map(request, job_id, floor, revision)
    except (JobError, CalcError) as error:
        raise Http404 from error
    return HttpResponse(raster_png(found), content_type="image/png")


@require_GET
def map_json(request: HttpRequest, job_id: UUID, floor: str, revision: int) -> HttpResponse:
    """The values of a map, its legend and what is to be known of it; or why there is none."""
    try:
        found = _map(request, job_id, floor, revision)
    except (JobError, CalcError) as error:
        return JsonResponse({"said": [Saying().sentence(str(error))]}, status=422)
    data = map_data(found, job_at(job_id, revision).site)
    data["said"] = [Saying().sentence(said) for said in data["said"]]
    return JsonResponse({**data, "tints": [tint(i) for i in range(len(data["steps"]))]})


def _map(request: HttpRequest, job_id: UUID, floor: str, revision: int) -> FloorMap:
    job = job_at(job_id, revision)
    storey_of(job.site, floor)
    return storey_map(job_id, job, map_asked(request), floor)
