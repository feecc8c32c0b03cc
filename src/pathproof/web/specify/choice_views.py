"""The choice of the communicator: offers with their reasons, and taking one of them."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse

from pathproof.assess.offer_cautions import PAPERS_FIRST, offer_cautions
from pathproof.assess.types import Assessment
from pathproof.assess.wording import yearly_text
from pathproof.job import Job
from pathproof.job.embedded import CHOSEN_FROM
from pathproof.papers.choice_rows import choice_rows
from pathproof.papers.communicator_rows import antenna_text
from pathproof.papers.names import Names
from pathproof.terms import JobError
from pathproof.web.folder import open_folder
from pathproof.web.saving import save
from pathproof.web.specify._changes import setting
from pathproof.web.specify._choosing import offer_key, taken, weigh
from pathproof.web.specify._fields import PieceForm
from pathproof.web.specify._page import page_url, saved, seen_job, show_page
from pathproof.web.specify._shapes import Choosing, considered_shape


def communicator(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Offers in their order with what speaks for them, and why none of the others."""
    opened = open_folder(job_id)
    every = _every(request, opened.job)
    weighed = weigh(job_id, opened.job, every=every)
    choice = weighed.choice
    rows = choice_rows(weighed.job, choice, Names(weighed.job, opened.assessment), every=True)
    offers = [
        {
            "row": row,
            "key": offer_key(x),
            "tied": x.tied,
            "cost": yearly_text(x, opened.job.site.currency),
        }
        for row, x in zip(rows.ranked, choice.ranked, strict=True)
    ]
    cautions = (
        [*offer_cautions(choice.ranked[0], weighed.job), f"{PAPERS_FIRST}."]
        if choice.ranked
        else []
    )
    return show_page(
        request, job_id, "communicator", "choice",
        rows=rows, offers=offers, every=every, cautions=cautions,
        considered=_considered(opened.job),
    )  # fmt: skip


def consider(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """What the communicator is chosen from."""
    job = seen_job(request, job_id)
    shape = considered_shape(Choosing(job))
    content = {"considered": job.site.considered}
    form = PieceForm(shape, content, request.POST or None)
    if request.method == "POST":
        done = saved(
            request, job_id, form, setting(form), what="what is considered",
            then=page_url("communicator", job_id), at="",
        )  # fmt: skip
        if done is not None:
            return done
    title = "What the communicator is chosen from"
    return show_page(request, job_id, "communicator", "piece", seen=job, form=form, title=title)


def take(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """What taking an offer changes and voids; then, when it is sent, the change itself."""
    given = request.POST if request.method == "POST" else request.GET
    key, every = given.get("offer", ""), given.get("every") == "yes"
    job = seen_job(request, job_id)
    sent = request.method == "POST"
    weighed = weigh(job_id, job, every=every, wait=sent)

    def change(seen: Job) -> Job:
        return taken(seen, weighed, key)[0].job

    if sent:
        try:
            return save(
                request, job_id, change, what="communicator taken from the choice",
                then=page_url("communicator", job_id),
            )  # fmt: skip
        except JobError as error:
            return show_page(request, job_id, "communicator", "refused", refused=str(error))
    try:
        done, told = taken(job, weighed, key)
    except JobError as error:
        raise Http404 from error
    ranked = weighed.offer(key)
    hung = ranked.antenna
    assessment = open_folder(job_id).assessment
    names = Names(weighed.job, assessment)
    row = choice_rows(weighed.job, weighed.choice, names, every=True).ranked[
        weighed.choice.ranked.index(ranked)
    ]
    return show_page(
        request, job_id, "communicator", "take", seen=job,
        row=row, key=key, every=every, taken=done, told=told,
        hung=antenna_text(names, hung.antenna, hung.feeder, hung.cable_m),
        spot=names.named(ranked.spot),
        cost=yearly_text(ranked, job.site.currency),
        voided=[(v.entry, v.kind, _spoken(v.names, names, assessment)) for v in done.voided],
        cautions=[*offer_cautions(ranked, weighed.job), f"{PAPERS_FIRST}."],
    )  # fmt: skip


def _every(request: HttpRequest, job: Job) -> bool:
    return request.GET.get("every") == "yes" or not job.site.considered


def _considered(job: Job) -> list[tuple[str, int]]:
    """How many parts of each kind are considered."""
    kinds = [job.part(i).kind for i in job.site.considered]
    return [(kind, kinds.count(kind)) for kind in CHOSEN_FROM]


def _spoken(names_of: tuple[str, ...], names: Names, assessment: Assessment) -> str:
    """Links and signals in words."""
    signals = {s.id: s.name for s in assessment.signals}
    return ", ".join(signals.get(name) or names.link(name) for name in names_of)
