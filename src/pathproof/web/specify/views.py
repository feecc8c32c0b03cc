"""The tables of the specification, and the form of each piece in them."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse

from pathproof.job import Job, Site
from pathproof.terms import JobError
from pathproof.web.folder import open_folder
from pathproof.web.saving import save
from pathproof.web.specify._changes import (
    adding,
    content_of,
    putting,
    removing,
    setting,
    zoning,
)
from pathproof.web.specify._fields import PieceForm, Shape
from pathproof.web.specify._page import page_after, page_url, saved, seen_job, show_page
from pathproof.web.specify._rows import part_groups, partition_rows, zone_rows
from pathproof.web.specify._shapes import (
    KINDS,
    Choosing,
    Kind,
    antenna,
    codes_shape,
    site_shape,
)
from pathproof.web.specify._zoning import ZoningForm


def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The site, its partitions and zones, and the codes for the centre."""
    site = open_folder(job_id).job.site
    return show_page(
        request, job_id, "page", "zones", partitions=partition_rows(site), zones=zone_rows(site)
    )


def set_zones(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The zone of each device, in one save."""
    job = seen_job(request, job_id)
    form = ZoningForm(job.site, request.POST or None)
    if request.method == "POST" and form.is_valid():
        done = saved(
            request, job_id, form, zoning(form.zones()), what="zones of devices",
            then=page_url("page", job_id), at="devices",
        )  # fmt: skip
        if done is not None:
            return done
    return show_page(
        request, job_id, "page", "zoning", seen=job, form=form, zones=zone_rows(job.site)
    )


def parts(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Panel, devices, repeaters, communicators and what feeds them, with their parts."""
    return show_page(request, job_id, "parts", "parts", groups=part_groups(open_folder(job_id).job))


def site(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The site's own fields."""
    job = seen_job(request, job_id)
    return _own(request, job_id, job, site_shape(), "The site", "name, place and currency")


def codes(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The codes that the centre is to receive, all of them in one form."""
    job = seen_job(request, job_id)
    shape = codes_shape(job.site)
    return _own(request, job_id, job, shape, "Codes for the centre", "codes for the centre")


def _own(
    request: HttpRequest, job_id: UUID, job: Job, shape: Shape, title: str, what: str
) -> HttpResponse:
    content = {
        **job.site.model_dump(mode="json", exclude_defaults=True),
        "zones": {z.id: {"event": z.event} for z in job.site.zones},
    }
    form = PieceForm(shape, content, request.POST or None)
    if request.method == "POST":
        done = saved(
            request, job_id, form, setting(form), what=what, then=page_url("page", job_id), at=""
        )
        if done is not None:
            return done
    return show_page(request, job_id, "page", "piece", seen=job, form=form, title=title)


def single(request: HttpRequest, job_id: UUID, kind: str) -> HttpResponse:
    """The form of what a site has one of."""
    found = _kind(kind, single=True)
    job = seen_job(request, job_id)
    content = content_of(job.site, found)
    return _piece(request, job_id, job, found, "", dict(content or {}), is_new=content is None)


def edit(request: HttpRequest, job_id: UUID, kind: str, piece: str) -> HttpResponse:
    """The form of one of several."""
    found = _kind(kind, single=False)
    job = seen_job(request, job_id)
    content = content_of(job.site, found, piece)
    if content is None:
        raise Http404
    return _piece(request, job_id, job, found, piece, dict(content), is_new=False)


def device(request: HttpRequest, job_id: UUID, piece: str) -> HttpResponse:
    """The form of one device."""
    return edit(request, job_id, "devices", piece)


def hang(request: HttpRequest, job_id: UUID, piece: str) -> HttpResponse:
    """The form of antenna, cable and spot of one communicator."""
    job = seen_job(request, job_id)
    kind = KINDS["communicators"]
    content = content_of(job.site, kind, piece)
    if content is None:
        raise Http404
    form = PieceForm(antenna(Choosing(job), content), content, request.POST or None)
    title = f"Antenna of communicator {piece}"
    if request.method == "POST":
        done = saved(
            request, job_id, form, putting(form, kind, piece), what=title,
            then=page_after(request, "antenna", job_id), at=kind.at,
        )  # fmt: skip
        if done is not None:
            return done
    return show_page(request, job_id, "antenna", "piece", seen=job, form=form, title=title)


def add(request: HttpRequest, job_id: UUID, kind: str) -> HttpResponse:
    """The form of one more of several."""
    found = _kind(kind, single=False)
    job = seen_job(request, job_id)
    start = _start(job.site, found)
    form = PieceForm(found.shape(Choosing(job), {}), start, request.POST or None)
    if request.method == "POST":
        done = saved(
            request, job_id, form, adding(form, found), what=f"{found.one} added",
            then=page_after(request, found.page, job_id), at=found.at,
        )  # fmt: skip
        if done is not None:
            return done
    title = f"Add a {found.one}"
    return show_page(
        request, job_id, found.page, "piece",
        seen=job, form=form, title=title, is_new=True, kind=found,
    )  # fmt: skip


def _piece(
    request: HttpRequest,
    job_id: UUID,
    job: Job,
    kind: Kind,
    piece: str,
    content: dict[str, Any],
    *,
    is_new: bool,
) -> HttpResponse:
    called = _called(kind, piece, content)
    then = page_after(request, kind.page, job_id)
    takes_out = "remove" in request.POST
    typed = None if takes_out else request.POST or None
    form = PieceForm(kind.shape(Choosing(job), content), content, typed)
    refused = ""
    if takes_out:
        change = removing(kind, piece, called)
        try:
            return save(request, job_id, change, what=f"{called} removed", then=then)
        except JobError as error:
            refused = str(error)
    elif request.method == "POST":
        change = putting(form, kind, piece)
        done = saved(request, job_id, form, change, what=called, then=then, at=kind.at)
        if done is not None:
            return done
    return show_page(
        request, job_id, kind.page, "piece",
        seen=job, form=form, title=called, is_new=is_new, kind=kind,
        placed=content.get("at") is not None, refused=refused,
    )  # fmt: skip


def _kind(kind: str, *, single: bool) -> Kind:
    found = KINDS.get(kind)
    if found is None or found.single is not single:
        raise Http404
    return found


def _called(kind: Kind, piece: str, content: dict[str, Any]) -> str:
    """What a piece is called in titles and in the list of revisions."""
    if kind.single:
        return kind.one.capitalize()
    name = content.get("name") or content.get("label") or piece
    number = f" {content['number']}" if "number" in content else ""
    return f"{kind.one.capitalize()}{number} {name}"


def _start(site: Site, kind: Kind) -> dict[str, Any]:
    """What a new piece starts with: the next number, the only partition."""
    start: dict[str, Any] = {}
    if kind.at in ("zones", "partitions"):
        start["number"] = 1 + max((x.number for x in getattr(site, kind.at)), default=0)
    if kind.at == "zones" and len(site.partitions) == 1:
        start["partition"] = site.partitions[0].id
    return start
