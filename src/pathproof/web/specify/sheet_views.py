"""Antenna, power and profile: calculation sheets with what goes into them beside."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone

from pathproof.assess.context import Context
from pathproof.assess.limit_words import (
    count_text,
    figure_text,
    other_value_text,
    source_text,
    waits_for_nothing,
)
from pathproof.assess.power.battery_asked import battery_asked
from pathproof.job import Job, Limit, links
from pathproof.job.adding import Draft, add_entries
from pathproof.papers.antenna_rows import antenna_rows
from pathproof.papers.names import Names
from pathproof.papers.network_rows import network_rows
from pathproof.papers.power_sheet import power_sheet
from pathproof.papers.working import SourceBook, work_rows
from pathproof.terms import AccountState, LimitName, RecordKind
from pathproof.web.folder import open_folder
from pathproof.web.saving import member
from pathproof.web.specify._changes import content_of, setting
from pathproof.web.specify._confirming import ConfirmForm
from pathproof.web.specify._fields import PieceForm
from pathproof.web.specify._page import page_url, saved, seen_job, show_page
from pathproof.web.specify._rows import part_groups
from pathproof.web.specify._shapes import KINDS, Choosing, profile_shape

_FEEDS = ("supply", "battery", "cables", "reporting")


def antenna(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Networks and spots, what was read there, and the sum of each antenna."""
    opened = open_folder(job_id)
    job, assessment = opened.job, opened.assessment
    book = SourceBook()
    sums = antenna_rows(job, assessment, book)
    live = [c for c in job.site.communicators if c.state is not AccountState.ENDED]
    return show_page(
        request, job_id, "antenna", "antenna",
        antennas=list(zip(live, sums.rows, strict=True)),
        care=sums.care,
        read=network_rows(job, assessment, Names(job, assessment), book),
        sources=book.notes,
    )  # fmt: skip


def power(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Loads, standby, supply, cables and what is replaced when."""
    opened = open_folder(job_id)
    job, assessment = opened.job, opened.assessment
    book = SourceBook()
    groups = [g for g in part_groups(job) if g.at in _FEEDS]
    standby = assessment.link(links.STANDBY)
    return show_page(
        request, job_id, "power", "power",
        groups=groups,
        forms=list(_inputs(job)),
        sheet=power_sheet(job, assessment, Names(job, assessment), book),
        standby=standby,
        asked=work_rows(battery_asked(standby), book)[0],
        supply=assessment.link(links.SUPPLY),
        sources=book.notes,
    )  # fmt: skip


def profile(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Which profile the site is judged by, and every limit of it with its source."""
    job = seen_job(request, job_id)
    form = PieceForm(profile_shape(), {"profile": job.site.profile}, request.POST or None)
    if request.method == "POST":
        done = saved(
            request, job_id, form, setting(form), what="profile",
            then=page_url("profile", job_id), at="",
        )  # fmt: skip
        if done is not None:
            return done
    now = open_folder(job_id).assessment.as_of if request.method == "GET" else timezone.now()
    limits = Context(job, now, None, leave_out_later=True).limits
    held = job.profile.model_copy(update={"limits": limits})
    return show_page(
        request, job_id, "profile", "profile", seen=job,
        form=form, profile=held, count=count_text(held),
        limits=sorted(map(_limit_row, limits.items()), key=lambda row: row["usable"]),
    )  # fmt: skip


def confirm(request: HttpRequest, job_id: UUID, limit: str) -> HttpResponse:
    """A person's word for a limit that they read in their own copy."""
    job = seen_job(request, job_id)
    name = next((n for n in job.profile.limits if n == limit), None)
    if name is None:
        raise Http404
    asked = job.profile.limits[name]
    form = ConfirmForm(asked, request.POST or None)

    def change(seen: Job) -> Job:
        return add_entries(seen, [_draft(form, seen, name, member(request).name)])[0]

    if request.method == "POST":
        done = saved(
            request, job_id, form, change, what=f"{name} confirmed",
            then=page_url("profile", job_id), at="",
        )  # fmt: skip
        if done is not None:
            if form.cleaned_data["value"] != asked.value:
                read = f"{form.cleaned_data['value']:g} {asked.unit}".rstrip()
                messages.warning(request, f"You read {read}; {other_value_text(asked)}")
            return done
    return show_page(
        request, job_id, "profile", "confirm", seen=job,
        form=form, name=name, limit=asked, figure=figure_text(asked), source=source_text(asked),
        warnings=list(waits_for_nothing(name, asked, job.profile, job.profile)),
    )  # fmt: skip


def _draft(form: ConfirmForm, job: Job, name: LimitName, by: str) -> Draft:
    typed = form.cleaned_data
    return Draft(
        kind=RecordKind.CONFIRM,
        values={
            "profile": job.profile.id,
            "limit": name,
            "value": typed["value"],
            "document": typed["document"],
            "edition": typed["edition"],
        },
        at=timezone.now().astimezone(ZoneInfo(job.site.time_zone)),
        by=by,
    )


def _limit_row(item: tuple[LimitName, Limit]) -> dict[str, Any]:
    name, limit = item
    return {
        "name": name,
        "figure": figure_text(limit),
        "text": limit.text,
        "source": source_text(limit),
        "usable": limit.usable,
        "confirmed": limit.confirmed,
    }


def _inputs(job: Job) -> Iterator[tuple[str, PieceForm]]:
    """The forms of supply and battery, to stand beside what comes of them."""
    choosing = Choosing(job)
    for at in ("supply", "battery"):
        content = content_of(job.site, KINDS[at]) or {}
        yield at, PieceForm(KINDS[at].shape(choosing, content), content, name=at)
