"""Pages for what went wrong, each saying what to do."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404."""
    return render(request, "errors/not_found.html", status=404)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403."""
    return render(request, "errors/not_allowed.html", {"why": str(exception)}, status=403)


def failed(request: HttpRequest) -> HttpResponse:
    """500."""
    return render(request, "errors/failed.html", status=500)


def stale_form(request: HttpRequest, reason: str = "", **kwargs: Any) -> HttpResponse:
    """A form that was opened before the last sign-in; nothing is lost, it has to be sent again."""
    return render(request, "errors/stale_form.html", status=403)
