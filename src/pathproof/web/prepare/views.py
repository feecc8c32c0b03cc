"""Preparing the visit: identifiers, states, activation, what still blocks it."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from pathproof.assess.blocking import Block
from pathproof.job import Communicator, Job
from pathproof.job.accounts import with_account_state
from pathproof.job.identifiers import with_identifiers
from pathproof.papers import activation_sheet
from pathproof.papers.names import Names
from pathproof.terms import AccountState, JobError, SimKind
from pathproof.web.folder import open_folder, show
from pathproof.web.jobs import store
from pathproof.web.jobs.answers import Answer, answer
from pathproof.web.jobs.models import Revision, StoredJob
from pathproof.web.mobile_ways import mobile_ways
from pathproof.web.prepare.blocked import where_settled
from pathproof.web.prepare.forms import IdentifierForm, StateForm
from pathproof.web.saving import based_on, member, save


def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """What blocks the visit, and each communicator's numbers and states."""
    return _page(request, open_folder(job_id), {})


def identifiers(request: HttpRequest, job_id: UUID, communicator: str) -> HttpResponse:
    """Save the numbers of a communicator, its card and its account."""
    job = _seen(request, job_id)
    form = IdentifierForm(_of(job, communicator), job.site.networks, request.POST)
    if not form.is_valid():
        return _refused(request, job_id, form)
    typed = form.cleaned_data

    def change(seen: Job) -> Job:
        told = with_identifiers(
            _of(seen, communicator),
            imei=typed["imei"],
            iccid=typed["iccid"],
            account=typed["account"],
            centre=typed["centre"],
            networks=typed["networks"],
            kind=SimKind(typed["kind"]) if typed["kind"] else None,
        )
        others = [told if c.id == communicator else c for c in seen.site.communicators]
        return seen.model_copy(
            update={"site": seen.site.model_copy(update={"communicators": others})}
        )

    return _saved(request, job_id, form, change, f"numbers of communicator {communicator}")


def state(request: HttpRequest, job_id: UUID, communicator: str) -> HttpResponse:
    """Put on record which state card and account have reached, and when."""
    job = _seen(request, job_id)
    now = timezone.now().astimezone(ZoneInfo(job.site.time_zone))
    form = StateForm(_of(job, communicator), now, request.POST)
    if not form.is_valid():
        return _refused(request, job_id, form)
    typed, by = form.cleaned_data, member(request).name

    def change(seen: Job) -> Job:
        reached = AccountState(typed["state"])
        return with_account_state(
            seen, communicator, reached, at=typed["day"], by=by, text=typed["text"]
        )

    what = f"communicator {communicator}: {typed['state'].replace('_', ' ')}"
    return _saved(request, job_id, form, change, what)


def sheet(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The activation sheet, to read from and to print."""
    opened = open_folder(job_id)
    made = activation_sheet(opened.job, opened.assessment, who=member(request).name)
    return show(request, "prepare/sheet.html", opened, here="prepare", sheet=made)


def _page(
    request: HttpRequest,
    opened: Answer,
    refused: dict[str, Form],
    *,
    status: int = 200,
    **context: Any,
) -> HttpResponse:
    names = Names(opened.job, opened.assessment)
    return show(
        request, "prepare/page.html", opened, here="prepare", status=status,
        blocks=[_settled(block, opened, names) for block in opened.blocks],
        communicators=list(_rows(opened, refused)),
        **context,
    )  # fmt: skip


def _settled(block: Block, opened: Answer, names: Names) -> dict[str, Any]:
    """A block with the page for it; what a mobile link lacks goes into the job on several."""
    settled = where_settled(block, names)
    ways = list(mobile_ways(opened.job.site, block.about, opened.stored.pk))
    return {**vars(settled), "ways": ways if block.id.startswith("mobile:") else []}


def _rows(opened: Answer, refused: dict[str, Form]) -> Iterator[dict[str, Any]]:
    made = activation_sheet(opened.job, opened.assessment)
    site = opened.job.site
    now = timezone.now().astimezone(ZoneInfo(site.time_zone))
    for c, told in zip(site.communicators, made.communicators, strict=True):
        begun = any(mark.current for mark in told.states)
        numbers = IdentifierForm(c, site.networks, None)
        reached = StateForm(c, now, None, begun=begun)
        yield {
            "id": c.id,
            "told": told,
            "begun": begun,
            "numbers": refused.get(str(numbers.prefix), numbers),
            "state": refused.get(str(reached.prefix), reached),
            "numbers_refused": str(numbers.prefix) in refused,
            "state_refused": str(reached.prefix) in refused,
        }


def _seen(request: HttpRequest, job_id: UUID) -> Job:
    """The job as whoever sent the form saw it."""
    if request.method != "POST":
        raise Http404
    try:
        return store.load(job_id, based_on(request))
    except (StoredJob.DoesNotExist, Revision.DoesNotExist) as error:
        raise Http404 from error


def _of(job: Job, communicator: str) -> Communicator:
    found = next((c for c in job.site.communicators if c.id == communicator), None)
    if found is None:
        raise Http404
    return found


def _saved(
    request: HttpRequest, job_id: UUID, form: Form, change: store.Change, what: str
) -> HttpResponse:
    try:
        return save(request, job_id, change, what=what, then=reverse("prepare:page", args=[job_id]))
    except JobError as error:
        form.add_error(None, str(error))
        return _refused(request, job_id, form)


def _refused(request: HttpRequest, job_id: UUID, form: Form) -> HttpResponse:
    """The page with what was typed and why it was not saved, on the revision that was seen."""
    opened = answer(job_id, wait=True)
    refused = {str(form.prefix): form}
    return _page(request, opened, refused, status=422, refused_on=based_on(request))
