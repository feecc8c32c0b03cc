"""A job as one folder: title block, stages with what is missing beside each, then the page."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.urls import reverse

from pathproof.terms import Word
from pathproof.web.history.waiting import waiting
from pathproof.web.jobs.answers import Answer, answer
from pathproof.web.jobs.models import StoredJob
from pathproof.web.saving import new_key
from pathproof.web.saying import Saying


@dataclass(frozen=True, kw_only=True)
class Stage:
    """One stage of a job, as a link."""

    name: str
    url: str
    missing: str
    here: bool


def open_folder(job_id: UUID) -> Answer:
    """The job with its assessment, for a page; a page not found where there is no such job."""
    try:
        return answer(job_id)
    except StoredJob.DoesNotExist as error:
        raise Http404 from error


def show(
    request: HttpRequest,
    template: str,
    opened: Answer,
    here: str,
    *,
    status: int = 200,
    **context: Any,
) -> HttpResponse:
    """A page of the job's folder; `here` is the stage it belongs to, as in `stages`."""
    page = render_to_string(
        template,
        {
            "answer": opened,
            "job": opened.job,
            "site": opened.job.site,
            "assessment": opened.assessment,
            "job_id": opened.stored.pk,
            "revision": opened.stored.revision,
            "form_key": new_key(),
            "stages": stages(opened, here),
            "waiting": waiting(opened.stored.pk),
            **context,
        },
        request,
    )
    return HttpResponse(Saying(opened).page(page), status=status)


def show_part(
    request: HttpRequest, template: str, opened: Answer, context: dict[str, Any]
) -> HttpResponse:
    """A part of such a page, in the same words."""
    return HttpResponse(Saying(opened).page(render_to_string(template, context, request)))


def stages(opened: Answer, here: str) -> list[Stage]:
    """The stages in the order of the work."""
    rows = [
        ("survey", "Survey", "survey:page", _survey_missing(opened)),
        ("specify", "Specify", "specify:page", _specify_missing(opened)),
        ("prepare", "Prepare", "prepare:page", _prepare_missing(opened)),
        ("prove", "Prove", "signals:page", _prove_missing(opened)),
        ("papers", "Hand over", "handover:page", ""),
    ]
    return [
        Stage(
            name=name, url=reverse(url, args=[opened.stored.pk]), missing=missing, here=key == here
        )
        for key, name, url, missing in rows
    ]


def _survey_missing(opened: Answer) -> str:
    site = opened.job.site
    if not site.devices:
        return "no devices yet"
    unread = sum(not (s.levels or s.steps) for s in opened.assessment.spots)
    if not unread:
        return ""
    return "1 spot not read" if unread == 1 else f"{unread} spots not read"


def _specify_missing(opened: Answer) -> str:
    site = opened.job.site
    missing = [
        name
        for name, there in (
            ("panel", site.panel),
            ("communicator", site.communicators),
            ("supply", site.supply),
            ("battery", site.battery),
        )
        if not there
    ]
    return f"no {', '.join(missing)}" if missing else ""


def _prepare_missing(opened: Answer) -> str:
    count = len(opened.blocks)
    if not count:
        return ""
    return "1 thing blocks the visit" if count == 1 else f"{count} things block the visit"


def _prove_missing(opened: Answer) -> str:
    counts = opened.assessment.summary.signals_by_word
    unproven = sum(n for word, n in counts.items() if word is not Word.PROVEN)
    if not counts:
        return "no signals yet"
    return f"{unproven} of {sum(counts.values())} unproven" if unproven else ""
