"""Papers and links for customers."""

from typing import Any, Final
from urllib.parse import urlencode
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core import signing
from django.db.models import F
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from pathproof.papers.summary import PLAIN_ANSWER
from pathproof.web.access import from_this_machine
from pathproof.web.folder import open_folder, show
from pathproof.web.handover.forms import LinkForm
from pathproof.web.handover.kinds import HOLDS, TITLES, Kind, file_name
from pathproof.web.handover.links import NewLink, last_day, make_link, withdraw
from pathproof.web.handover.making import paper_of
from pathproof.web.jobs.answers import Answer, answer
from pathproof.web.jobs.models import Paper, StoredJob
from pathproof.web.saving import member, typed

_SALT: Final = "pathproof.handover.make"
_ASKED_FOR_S: Final = 3600
_MOST_SHOWN: Final = 100


def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Papers to make, those made, and the customers' links."""
    return _page(request, open_folder(job_id))


@require_POST
def make(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Ask for a paper; the page that it leads to shows how far it is."""
    kind = _kind(request.POST.get("kind", ""))
    get_object_or_404(StoredJob, pk=job_id)
    ask = signing.dumps([str(job_id), kind, member(request).pk], salt=_SALT)
    url = reverse("handover:making", args=[job_id, kind])
    return redirect(f"{url}?{urlencode({'ask': ask})}")


def making(request: HttpRequest, job_id: UUID, kind: str) -> HttpResponse:
    """Make the paper that was asked for by a form, and go on to the list once it is there."""
    who, asked = member(request), request.GET.get("ask", "")
    try:
        known = signing.loads(asked, salt=_SALT, max_age=_ASKED_FOR_S)
    except signing.BadSignature:
        known = None
    if known != [str(job_id), _kind(kind), who.pk]:
        messages.info(request, "Say below which paper is to be made.")
        return redirect("handover:page", job_id)
    try:
        paper = paper_of(open_folder(job_id), Kind(kind), who=who.name)
    except StoredJob.DoesNotExist as error:
        raise Http404 from error
    return redirect(f"{reverse('handover:page', args=[job_id])}#paper-{paper.pk}")


def download(request: HttpRequest, job_id: UUID, paper_id: int) -> HttpResponse:
    """A paper as it was made."""
    paper = get_object_or_404(Paper.objects.select_related("job"), pk=paper_id, job=job_id)
    return pdf_response(
        bytes(paper.pdf), file_name(Kind(paper.kind), paper.job.name, paper.revision)
    )


def pdf_response(pdf: bytes, name: str) -> HttpResponse:
    """A PDF to be saved under that name."""
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@require_POST
def link(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Make a customer's link, and show it this once."""
    opened = _opened_at_once(job_id)
    form = LinkForm(request.POST)
    if not form.is_valid():
        return _page(request, opened, form=form, status=422)
    made = make_link(
        opened.stored,
        opened.job.site,
        days=form.cleaned_data["days"],
        note=form.cleaned_data["note"],
        by=member(request),
        typed=typed(request),
    )
    if made is None:
        messages.warning(
            request,
            "This link was made already, and is shown only once. If nobody copied it, withdraw it "
            "below and make another.",
        )
        return redirect(f"{reverse('handover:page', args=[job_id])}#links")
    return _page(request, opened, new=made)


@require_POST
def withdraw_link(request: HttpRequest, job_id: UUID, link_id: int) -> HttpResponse:
    """From now on the link opens nothing."""
    stored = get_object_or_404(StoredJob, pk=job_id)
    if not withdraw(stored, link_id, by=member(request)):
        raise Http404
    messages.info(request, "The link is withdrawn. It opens nothing from now on.")
    return redirect(f"{reverse('handover:page', args=[job_id])}#links")


def _opened_at_once(job_id: UUID) -> Answer:
    """The job for a form, which cannot be asked for again as a page can."""
    try:
        return answer(job_id, wait=True)
    except StoredJob.DoesNotExist as error:
        raise Http404 from error


def _kind(given: str) -> Kind:
    try:
        return Kind(given)
    except ValueError as error:
        raise Http404 from error


def _page(
    request: HttpRequest,
    opened: Answer,
    *,
    form: LinkForm | None = None,
    new: NewLink | None = None,
    status: int = 200,
) -> HttpResponse:
    zone = ZoneInfo(opened.job.site.time_zone)
    counting_first = F("withdrawn_at").asc(nulls_first=True)
    links = opened.stored.links.order_by(counting_first, "-made_at")[:_MOST_SHOWN]
    secret_url = "" if new is None else reverse("customer:answer", args=[new.secret])
    return show(
        request, "handover/page.html", opened, here="papers", status=status,
        kinds=[{"kind": k, "title": TITLES[k], "holds": HOLDS[k]} for k in Kind],
        papers=_papers(opened),
        links=[
            {"link": x, "until": last_day(x, zone), "ended": x.expires_at <= timezone.now()}
            for x in links
        ],
        plain_answer=PLAIN_ANSWER[opened.assessment.word],
        form=form or LinkForm(),
        new=new,
        new_until=None if new is None else last_day(new.link, zone),
        new_url=request.build_absolute_uri(secret_url) if new else "",
        only_here=from_this_machine(request),
    )  # fmt: skip


def _papers(opened: Answer) -> list[dict[str, Any]]:
    made = opened.stored.papers.defer("pdf")[:_MOST_SHOWN]
    revision, today = opened.stored.revision, opened.assessment.as_of.date()
    zone = ZoneInfo(opened.job.site.time_zone)
    return [
        {
            "paper": paper,
            "title": TITLES[Kind(paper.kind)],
            "behind": revision - paper.revision,
            "of_today": paper.made_at.astimezone(zone).date() == today,
        }
        for paper in made
    ]
