"""One job's signals, unproven first, with their evidence."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse

from pathproof.web.folder import open_folder, show


def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The page of this stage."""
    return show(request, "signals/page.html", open_folder(job_id), here="prove")
