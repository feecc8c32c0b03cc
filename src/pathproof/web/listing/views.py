"""The list of jobs; new ones, import, export, erasing."""

from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST

from pathproof.job import Job, dump_job
from pathproof.job.home import user_library
from pathproof.terms import JobError
from pathproof.web.erasing import erase_all
from pathproof.web.jobs import store
from pathproof.web.jobs.models import Revision, StoredJob
from pathproof.web.listing.forms import EraseJob, ImportedJob, NewJob
from pathproof.web.listing.making import demo, pictures_missing
from pathproof.web.listing.rows import ORDERS, PAGE, found, rows_of
from pathproof.web.saving import member, new_key, typed

_STILL_READ = (
    "Something else reads the database just now, such as a backup. Until it is done, traces are "
    "left in the database's log; then they are overwritten while the app is served."
)


def jobs(request: HttpRequest) -> HttpResponse:
    """A page of the jobs that were searched for."""
    search = request.GET.get("q", "")[:200].replace("\0", "")
    order = request.GET.get("order", "")
    order = order if order in ORDERS else "worst"
    page = Paginator(found(search, order), PAGE).get_page(request.GET.get("page"))
    rows = rows_of(list(page))
    return render(
        request,
        "listing/jobs.html",
        {
            "page": page,
            "rows": rows,
            "all_of_today": all(row.of_today for row in rows),
            "search": search,
            "order": order,
            "orders": ORDERS.items(),
            "carry": f"{urlencode({'q': search, 'order': order})}&",
            "form_key": new_key(),
        },
    )


def new(request: HttpRequest) -> HttpResponse:
    """A new job with no plan."""
    form = NewJob(_sent(request), library=user_library())
    if request.method == "POST" and form.is_valid():
        try:
            then = "survey:import" if request.POST.get("then") == "plan" else "signals:page"
            what = "made by its name and list of devices"
            made = form.made
            return _added(request, made.job, what, *made.said, guessed=made.guessed, then=then)
        except JobError as error:
            form.add_error(None, str(error))
    context = {
        "form": form,
        "form_key": request.POST.get("key") or new_key(),
        "demo_key": new_key(),
    }
    return render(request, "listing/new.html", context, status=422 if form.errors else 200)


def imported(request: HttpRequest) -> HttpResponse:
    """A new job from a job file."""
    form = ImportedJob(_sent(request), request.FILES or None, library=user_library())
    if request.method == "POST" and form.is_valid():
        try:
            return _added(request, form.job, "imported", pictures_missing(form.job))
        except JobError as error:
            form.add_error("file", str(error))
    context = {"form": form, "form_key": request.POST.get("key") or new_key()}
    return render(request, "listing/import.html", context, status=422 if form.errors else 200)


@require_POST
def add_demo(request: HttpRequest) -> HttpResponse:
    """The demo's job, all of it invented."""
    return _added(request, demo(), "the demo, all invented")


def export(request: HttpRequest, job_id: UUID, revision: int | None = None) -> HttpResponse:
    """The job file of a revision, as import takes it."""
    try:
        job = store.load_as_saved(job_id, revision)
    except (StoredJob.DoesNotExist, Revision.DoesNotExist) as error:
        raise Http404 from error
    name = f"{slugify(job.site.name)[:60] or 'job'}-r{job.revision}.json"
    return HttpResponse(
        dump_job(job),
        content_type="application/json",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def erase(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Says what erasing takes, and does it once the name is typed."""
    job = get_object_or_404(StoredJob, pk=job_id)
    form = EraseJob(_sent(request), job_name=job.name)
    if request.method == "POST" and form.is_valid():
        overwritten = erase_all(job_id)
        messages.info(request, f"{job.name} is erased.")
        if not overwritten:
            messages.info(request, _STILL_READ)
        return redirect("listing:jobs")
    return render(
        request,
        "listing/erase.html",
        {
            "job": job,
            "form": form,
            "revisions": job.revisions.count(),
            "entries": job.entries.count(),
            "papers": job.papers.count(),
            "links": job.links.count(),
            "pictures": job.pictures.count(),
        },
        status=422 if form.errors else 200,
    )


def token(request: HttpRequest) -> JsonResponse:
    """What a page needs to send the forms that it kept: a fresh token, and for whom it is."""
    return JsonResponse({"token": get_token(request), "person": str(member(request).pk)})


def _sent(request: HttpRequest) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


def _added(
    request: HttpRequest,
    job: Job,
    what: str,
    *said: str,
    guessed: tuple[str, ...] = (),
    then: str = "signals:page",
) -> HttpResponse:
    stored = store.add_job(job, by=member(request), what=what, typed=typed(request))
    for line in filter(None, said):
        messages.info(request, line)
    for line in guessed:
        messages.info(request, line, extra_tags="What was guessed")  # shown folded, as one list
    return redirect(then, stored.pk)
