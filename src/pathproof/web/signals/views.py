"""One job's signals, unproven first, with their evidence."""

from collections.abc import Iterable, Sequence
from typing import Any, Final
from urllib.parse import urlsplit
from uuid import UUID

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pathproof.assess import Assessment, Link
from pathproof.assess.device_rows import DeviceRow
from pathproof.assess.judge import WORST_FIRST
from pathproof.assess.strip import (
    DEVICES,
    devices_sentence,
    margin_text,
    radio_words,
    site_strip_layout,
)
from pathproof.assess.wording import odds_text
from pathproof.job import Job, Site
from pathproof.job.adding import Draft, add_entries
from pathproof.job.record import Entry
from pathproof.papers.evidence_rows import Evidence
from pathproof.papers.names import Names
from pathproof.papers.next_steps import steps
from pathproof.papers.record_list import RecordRows, oldest_first
from pathproof.terms import LinkKind, PathproofError, Word
from pathproof.web.folder import open_folder, show, show_part
from pathproof.web.jobs.answers import Answer
from pathproof.web.mobile_ways import Way, mobile_ways
from pathproof.web.saving import member, new_key, save
from pathproof.web.signals.evidence import EvidenceForm, called
from pathproof.web.signals.kinds import FORMS
from pathproof.web.signals.places import back_to, job_seen, opened_for
from pathproof.web.signals.rows import FORM_OF, Filter, Rows, findings_in_words
from pathproof.web.signals.sent import entries_sent

_RECORD_PAGE: Final = 50
_IN_PLACE: Final = ("reading", "supply_test")
"""Forms for shared links that stand on the page, so that they are there without a network."""


@require_safe
def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The signals, each row with its strip, its next action and the box for its evidence."""
    opened = open_folder(job_id)
    job, assessment = opened.job, opened.assessment
    names = Names(job, assessment)
    rows, asked = Rows(job, assessment, names), Filter(request.GET, site=job.site)
    found = asked.rows(rows.all)
    shown = rows.page(found, request.GET.get("page", "1"), request.GET.get("at", ""))
    safety, findings = findings_in_words(assessment.findings, names)
    return show(
        request,
        "signals/page.html",
        opened,
        here="prove",
        site_strip=site_strip_layout(assessment) if rows.all else None,
        devices=devices_sentence(assessment),
        counts=[(w, n) for w in Word if (n := assessment.summary.signals_by_word.get(w, 0))],
        steps=steps(assessment, names),
        first_row=_first_row(rows, assessment),
        first_ways=_first_ways(opened),
        safety=safety,
        findings=findings,
        filter=asked,
        filtered=len(found) < len(rows.all),
        found=len(found),
        pages=shown,
        rows=list(rows.shown(list(shown.object_list))),
        shared=rows.shared() if rows.all else [],
        shared_forms={kind: new_form(kind, job) for kind in _IN_PLACE},
        told=_told(request, opened, names),
        told_at=_told_at(request, shown.object_list),
        back=request.GET.urlencode(),
        asked=_asked(request),
        asked_messages=FORMS["walk"](job=job, now=timezone.now()).initial.get("due"),
    )


@require_safe
def link(request: HttpRequest, job_id: UUID, link_id: str) -> HttpResponse:
    """One link: its word, why, what of the record speaks for it, and its working."""
    opened = open_folder(job_id)
    assessment = opened.assessment
    if link_id == DEVICES:
        return _devices(request, opened)
    found = next((x for x in assessment.links if x.id == link_id), None)
    if found is None:
        raise Http404
    names = Names(opened.job, assessment)
    kind = FORM_OF.get(found.kind, "")
    about = {"about": found.start, "via": found.end} if found.kind is LinkKind.RADIO else {}
    context: dict[str, Any] = {
        "link": found,
        "name": names.link(found.id),
        "why": names.plain(found.why),
        "margin": "" if found.margin is None else margin_text(found.margin),
        "odds": _odds(found),
        "evidence": Evidence(opened.job, assessment, names).rows(found.id),
        "kind": kind,
        "about": found.start,
        "form": new_form(kind, opened.job, **about) if kind else None,
        "accept": new_form("override", opened.job, link=found.id),
    }
    if _is_part(request):
        return show_part(request, "signals/_link.html", opened, _head(request, opened) | context)
    return show(request, "signals/link.html", opened, here="prove", alone=True, **context)


@require_safe
def record(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The record of the job, the newest first."""
    opened = open_folder(job_id)
    entries = oldest_first(opened.job.record)[::-1]
    asked = request.GET.get("entry")
    place = next((i for i, e in enumerate(entries) if e.id == asked), None)
    number = request.GET.get("page") if place is None else place // _RECORD_PAGE + 1
    pages = Paginator(entries, _RECORD_PAGE).get_page(number)
    rows = RecordRows(opened.job, opened.assessment, Names(opened.job, opened.assessment))
    replaced = {e.replaces for e in opened.job.record if e.replaces}
    return show(
        request,
        "signals/record.html",
        opened,
        here="prove",
        pages=pages,
        rows=[
            (rows.row(e), e.id in replaced, e.kind if e.kind in FORMS else "")
            for e in pages.object_list
        ],
    )


def evidence(request: HttpRequest, job_id: UUID, kind: str) -> HttpResponse:
    """The form for one kind of evidence; sent, it puts on record what it holds."""
    if kind not in FORMS:
        raise Http404
    if request.method == "POST":
        return _put_on_record(request, job_id, kind)
    opened = open_folder(job_id)
    form = _asked_form(request, opened.job, kind)
    context: dict[str, Any] = {
        "form": form,
        "kind": kind,
        "heading": heading(form, opened.job.site),
    }
    if _is_part(request):
        return show_part(request, "signals/_form.html", opened, _head(request, opened) | context)
    return show(request, "signals/evidence.html", opened, here="prove", **context)


def _devices(request: HttpRequest, opened: Answer) -> HttpResponse:
    """What the one link of a site's strip stands for: all ways of devices to the panel."""
    assessment = opened.assessment
    summary, names = assessment.summary, Names(opened.job, assessment)
    words = radio_words(assessment)
    context: dict[str, Any] = {
        "said": devices_sentence(assessment),
        "odds": "" if summary.odds_all is None else odds_text(summary.odds_all),
        "target": odds_text(summary.odds_target),
        "words": [
            (word, [(i, names.named(i)) for i, w in words.items() if w is word])
            for word in WORST_FIRST
        ],
    }
    if _is_part(request):
        return show_part(request, "signals/_devices.html", opened, _head(request, opened) | context)
    return show(request, "signals/devices.html", opened, here="prove", **context)


def _put_on_record(request: HttpRequest, job_id: UUID, kind: str) -> HttpResponse:
    job = job_seen(request, job_id)
    form = FORMS[kind](request.POST, job=job, now=timezone.now())
    if form.is_valid():
        try:
            drafts = form.drafts(member(request).name)
            return save(
                request,
                job_id,
                adding(drafts),
                what=heading(form, job.site),
                then=back_to(request, job_id, _row_of(form)),
            )
        except PathproofError as error:
            form.refuse(str(error))
    return refused(request, job_id, "signals/evidence.html", form=form, kind=kind)


def refused(request: HttpRequest, job_id: UUID, template: str, **context: Any) -> HttpResponse:
    """The page with all that was typed and why it was not saved; it keeps revision and key."""
    opened = opened_for(request, job_id)
    form = context.get("form")
    heads = {} if form is None else {"heading": heading(form, opened.job.site)}
    return show(
        request,
        template,
        opened,
        here="prove",
        status=422,
        **{
            "revision": request.POST.get("based_on"),
            "form_key": request.POST.get("key"),
            "back": request.POST.get("back", ""),
            **heads,
            **context,
        },
    )


def adding(drafts: Sequence[Draft]) -> Any:
    """The change of a job that puts drafts on its record."""

    def change(job: Job) -> Job:
        return add_entries(job, drafts)[0]

    return change


def new_form(kind: str, job: Job, **initial: Any) -> EvidenceForm:
    """An empty form of a kind, with ids of its own."""
    about = initial.get("about", initial.get("link", ""))
    return FORMS[kind](
        job=job, now=timezone.now(), initial=initial, auto_id=f"{kind}-{about}-%s".replace(":", "-")
    )


def heading(form: EvidenceForm, site: Site) -> str:
    """What a form is for, such as "Walk test of Kitchen door"."""
    shown = form["about"].value() or [] if "about" in form.fields else []
    ids = [x for x in (shown.split(",") if isinstance(shown, str) else shown) if x]
    names = [called(site).get(i, i) for i in ids]
    return f"{form.caption} of {', '.join(names)}" if names else form.caption


def _is_part(request: HttpRequest) -> bool:
    """Whether a part of a page was asked for, to be put into one that stands."""
    return request.headers.get("HX-Request") == "true"


def _head(request: HttpRequest, opened: Answer) -> dict[str, Any]:
    """What forms in a part of a page need, and where the page that it is put into stood."""
    return {
        "job_id": opened.stored.pk,
        "revision": opened.stored.revision,
        "form_key": new_key(),
        "back": urlsplit(request.headers.get("HX-Current-URL", "")).query,
    }


def _asked_form(request: HttpRequest, job: Job, kind: str) -> EvidenceForm:
    """The form as its address asks: about a thing, or for correcting an entry."""
    initial = {n: request.GET[n] for n in ("about", "via", "link", "signal") if n in request.GET}
    if initial.get("about") not in (None, *called(job.site)):
        raise Http404
    corrects = request.GET.get("replaces")
    if corrects is not None:
        entry = _entry_of_kind(job, corrects, kind)
        initial |= FORMS[kind].of(entry, job.site.time_zone)
    return new_form(kind, job, **initial)


def _entry_of_kind(job: Job, entry_id: str, kind: str) -> Entry:
    entry = next((e for e in job.record if e.id == entry_id and e.kind == kind), None)
    if entry is None:
        raise Http404
    return entry


def _first_row(rows: Rows, assessment: Assessment) -> str:
    """The thing whose row holds the most pressing action; none where it is in no row."""
    about = assessment.next[0].about if assessment.next else ""
    return about if any(r.about == about for r in rows.all) else ""


def _first_ways(opened: Answer) -> list[Way]:
    """Pages for the most pressing action where it is about a mobile link; else none."""
    first = next(iter(opened.assessment.next), None)
    kind, _, communicator = ((first and first.link) or "").partition(":")
    if kind != LinkKind.MOBILE:
        return []
    return list(mobile_ways(opened.job.site, communicator, opened.stored.pk))


def _told_at(request: HttpRequest, rows: Iterable[DeviceRow]) -> str:
    """Where it is told what a save brought: in its row where that is on the page, or on top."""
    about = request.GET.get("at", "")
    return f"d-{about}" if any(r.about == about for r in rows) else "top"


def _asked(request: HttpRequest) -> str:
    """The filter as it stands in the page's address, for the links to other pages of it."""
    query = request.GET.copy()
    for name in ("page", "at", "sent"):
        query.pop(name, None)
    return f"{query.urlencode()}&" if query else ""


def _row_of(form: EvidenceForm) -> str:
    """The thing in whose row a form stands; none of what all signals share."""
    things = form.things()
    return things[0] if things and str(form.kind) not in _IN_PLACE else ""


def _told(request: HttpRequest, opened: Answer, names: Names) -> list[str]:
    """What the entries that a form has just brought say, and what they changed."""
    key = request.GET.get("sent", "")
    if not key:
        return []
    entries = entries_sent(opened.stored.pk, opened.job, member(request), key)
    rows = Evidence(opened.job, opened.assessment, names)
    return list(dict.fromkeys(x for e in entries for x in rows.told(e) or ("It is on record.",)))


def _odds(link: Link) -> str:
    """The calculated odds of a link; none where a test showed that it lacks."""
    shown_to_lack = link.word is Word.LACKING and link.evidence
    return "" if link.probability is None or shown_to_lack else odds_text(link.probability)
