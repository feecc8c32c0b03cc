"""Revisions, and changes that met each other."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse

from pathproof.web.folder import open_folder, show


def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The page of this stage."""
    return show(request, "history/page.html", open_folder(job_id), here="history")


def contest(request: HttpRequest, job_id: UUID, contest_id: int) -> HttpResponse:
    """Two changes of the same pieces, side by side."""
    return show(request, "history/contest.html", open_folder(job_id), here="history")
