"""A thing's place on the plan: a form, and the same for a page that drags it."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from pathproof.assess.moving import Thing, evidence_voided, leaves_storey, moved, name_of, place_of
from pathproof.job import Job
from pathproof.terms import CalcError, JobError
from pathproof.web.jobs import store
from pathproof.web.refusals import sentences
from pathproof.web.saving import based_on, member, new_key, typed
from pathproof.web.saying import Saying
from pathproof.web.survey._forms import PlaceForm
from pathproof.web.survey._maps import heard_at
from pathproof.web.survey._page import job_at, show_page


def place(request: HttpRequest, job_id: UUID, kind: str, thing: str) -> HttpResponse:
    """The form with storey, x, y and height of a thing; a page that asks for JSON gets that."""
    job = job_at(job_id, _seen(request))
    which, name = _named(job, kind, thing)
    form = _form(request, job, which, thing)
    if request.method != "POST":
        return _shown(request, job_id, form, name)
    if not form.is_valid():
        return _refused(request, job_id, form, name)
    try:
        changed = moved(job, which, thing, form.place)
        voided = evidence_voided(job, changed)
        # who taps may not know where it hangs; the form itself shows the storey
        leaves = leaves_storey(job.site, which, thing, form.place) if _wants_json(request) else ""
        if (voided or leaves) and not form.cleaned_data["confirmed"]:
            return _asked(request, job_id, form, name, voided, leaves)
        outcome = store.save(
            job_id,
            lambda seen: moved(seen, which, thing, form.place),
            based_on=based_on(request),
            by=member(request),
            what=f"place of {name}",
            typed=typed(request),
        )
    except JobError as error:
        form.add_error(None, str(error))
        return _refused(request, job_id, form, name)
    if isinstance(outcome, store.Contested):
        return _gone_to(request, reverse("history:contest", args=[job_id, outcome.contest]))
    said = " ".join(x for x in (f"{name} is placed.", voided) if x)
    if not _wants_json(request):
        messages.success(request, said)
        there = reverse("survey:storey", args=[job_id, form.place.floor])
        return HttpResponseRedirect(there)
    heard = _heard(job_id, job_at(job_id, outcome.revision), which, thing, form)
    said = " ".join(x for x in (said, heard) if x)
    alone = outcome.revision == based_on(request) + 1 or outcome.again
    if not alone:  # the page is opened anew, and says it then
        messages.success(request, said)
    return JsonResponse(
        {"revision": outcome.revision, "alone": alone, "key": str(new_key()), "said": said}
    )


@require_GET
def heard(request: HttpRequest, job_id: UUID, kind: str, thing: str) -> HttpResponse:
    """How it would be heard with a thing at a place, in a sentence; nothing is saved."""
    job = job_at(job_id)
    which, _ = _named(job, kind, thing)
    form = PlaceForm(request.GET, site=job.site, with_height=which is not Thing.SPOT)
    if not form.is_valid():
        return JsonResponse({"said": _problems(form)}, status=422)
    return JsonResponse({"said": _heard(job_id, job, which, thing, form)})


def _heard(job_id: UUID, job: Job, kind: Thing, thing: str, form: PlaceForm) -> str:
    try:
        return Saying().sentence(heard_at(job_id, job, kind, thing, form.place))
    except (JobError, CalcError) as error:
        return Saying().sentence(str(error))


def _seen(request: HttpRequest) -> int | None:
    """The revision that the form was made on; none for a page that is opened."""
    return based_on(request) if request.method == "POST" else None


def _named(job: Job, kind: str, thing: str) -> tuple[Thing, str]:
    try:
        which = Thing(kind)
        return which, name_of(job.site, which, thing)
    except (ValueError, JobError) as error:
        raise Http404 from error


def _form(request: HttpRequest, job: Job, kind: Thing, thing: str) -> PlaceForm:
    now = place_of(job.site, kind, thing)
    initial = {} if now is None else {
        "floor": now.floor, "x": now.at[0], "y": now.at[1], "height_m": now.height_m
    }  # fmt: skip
    return PlaceForm(
        request.POST if request.method == "POST" else None,
        initial={"floor": request.GET.get("floor"), "height_m": 2.0, **initial},
        site=job.site,
        with_height=kind is not Thing.SPOT,
    )


def _shown(
    request: HttpRequest,
    job_id: UUID,
    form: PlaceForm,
    name: str,
    voided: str = "",
    status: int = 200,
) -> HttpResponse:
    kept: dict[str, Any] = {"revision": based_on(request)} if request.method == "POST" else {}
    return show_page(
        request, job_id, "place", form=form, name=name, voided=voided, status=status, **kept
    )


def _asked(
    request: HttpRequest, job_id: UUID, form: PlaceForm, name: str, voided: str, leaves: str
) -> HttpResponse:
    """Whether it is meant, where evidence goes void or a tap takes a thing off its storey."""
    if _wants_json(request):
        void = f"If {name} moves, {voided}" if voided else ""
        asked = " ".join(x for x in (leaves, void, "Move it?") if x)
        return JsonResponse({"confirm": asked}, status=409)
    form.data = {**request.POST.dict(), "confirmed": "1"}
    return _shown(request, job_id, form, name, voided)


def _refused(request: HttpRequest, job_id: UUID, form: PlaceForm, name: str) -> HttpResponse:
    if _wants_json(request):
        return JsonResponse({"said": _problems(form)}, status=422)
    return _shown(request, job_id, form, name, status=422)


def _gone_to(request: HttpRequest, url: str) -> HttpResponse:
    return JsonResponse({"go": url}) if _wants_json(request) else HttpResponseRedirect(url)


def _problems(form: PlaceForm) -> str:
    beside = [said for field in form for said in sentences(field)]
    return Saying().sentence(" ".join([*form.non_field_errors(), *beside]))


def _wants_json(request: HttpRequest) -> bool:
    return request.headers.get("Accept", "").startswith("application/json")
