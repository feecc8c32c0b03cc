"""Revisions, and changes that met each other."""

from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from pathproof.job import Job
from pathproof.job.changes import added_entries, sides
from pathproof.job.changes import changes as changes_of
from pathproof.terms import JobError
from pathproof.web.folder import open_folder, show
from pathproof.web.history.waiting import kept_entries
from pathproof.web.jobs import store
from pathproof.web.jobs.models import Contest, Revision
from pathproof.web.saving import member

_PAGE = 50


def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The revisions, the newest first, and changes that were kept beside."""
    opened = open_folder(job_id)
    revisions = Paginator(opened.stored.revisions.all(), _PAGE)
    return show(
        request,
        "history/page.html",
        opened,
        here="history",
        page=revisions.get_page(request.GET.get("page")),
        first=opened.stored.revisions.values_list("number", flat=True).last(),
        settled=opened.stored.contests.exclude(settled_at=None).order_by("-settled_at")[:_PAGE],
    )


def changes(request: HttpRequest, job_id: UUID, before: int, after: int) -> HttpResponse:
    """What one revision has that another has not, piece by piece."""
    opened = open_folder(job_id)
    old, new = _revision(job_id, before), _revision(job_id, after)
    known = {entry.id for entry in old.record}
    return show(
        request,
        "history/changes.html",
        opened,
        here="history",
        before=before,
        after=after,
        changes=changes_of(old.site, new.site),
        added=added_entries([entry for entry in new.record if entry.id not in known]),
        embedded=old.embedded != new.embedded,
    )


def contest(request: HttpRequest, job_id: UUID, contest_id: int) -> HttpResponse:
    """Two changes of the same pieces, side by side; by POST, one is chosen."""
    kept = get_object_or_404(Contest, pk=contest_id, job=job_id)
    if request.method == "POST":
        return _chosen(request, kept)
    opened = open_folder(job_id)
    return show(
        request,
        "history/contest.html",
        opened,
        here="history",
        contest=kept,
        sides=sides(_revision(job_id, kept.based_on).site, kept.pieces, opened.job.site),
        added=added_entries(kept_entries(kept)),
    )


def _chosen(request: HttpRequest, kept: Contest) -> HttpResponse:
    """Settles it, or says why not on the page of both sides."""
    keep = request.POST.get("keep")
    try:
        if keep not in ("mine", "theirs"):
            raise JobError("Nothing was chosen. Choose one of the two sides.")
        store.settle(kept.pk, mine=keep == "mine", by=member(request))
    except Contest.DoesNotExist:
        messages.info(request, "Somebody chose between these two already.")
    except JobError as error:
        messages.error(request, str(error))
    else:
        messages.info(request, f"{kept.what}: {'put in' if keep == 'mine' else 'left out'}.")
        return redirect("history:page", kept.job_id)
    return redirect("history:contest", kept.job_id, kept.pk)


def _revision(job_id: UUID, number: int) -> Job:
    try:
        return store.load_as_saved(job_id, number)
    except Revision.DoesNotExist as error:
        raise Http404 from error
