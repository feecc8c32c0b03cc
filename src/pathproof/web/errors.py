"""Pages for what went wrong, each saying what to do."""

from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.http import url_has_allowed_host_and_scheme

_NOT_TYPED: Final = ("csrfmiddlewaretoken", "key", "based_on", "next")


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404."""
    return render(request, "errors/not_found.html", status=404)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403."""
    return render(request, "errors/not_allowed.html", {"why": str(exception)}, status=403)


def failed(request: HttpRequest) -> HttpResponse:
    """500, made without asking for anything that may be what failed."""
    return HttpResponse(render_to_string("errors/failed.html"), status=500)


def stale_form(request: HttpRequest, reason: str = "", **kwargs: Any) -> HttpResponse:
    """A form opened before the last sign-in: not taken, and what was typed is shown to copy."""
    context = {"typed": _typed(request), "back": _came_from(request)}
    return render(request, "errors/stale_form.html", context, status=403)


def _typed(request: HttpRequest) -> list[tuple[str, str]]:
    """Names and values of a form, but for what the page put there itself and passwords."""
    return [
        (name, "\n".join(values))
        for name, values in request.POST.lists()
        if name not in _NOT_TYPED and "password" not in name and any(values)
    ]


def _came_from(request: HttpRequest) -> str:
    """The page that the form stood on, where the browser tells and it is one of ours."""
    page = request.headers.get("Referer", "")
    ours = url_has_allowed_host_and_scheme(page, {request.get_host()}, request.is_secure())
    return page if ours else "/"
