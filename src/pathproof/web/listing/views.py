"""The list of jobs."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from pathproof.web.jobs.models import StoredJob


def jobs(request: HttpRequest) -> HttpResponse:
    """All jobs, the one saved last first."""
    return render(request, "listing/jobs.html", {"jobs": StoredJob.objects.order_by("-saved_at")})
