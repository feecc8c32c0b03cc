"""What holds for every request: who may open what, and what browsers are told to allow."""

from collections.abc import Callable
from typing import Any, Final

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from pathproof.terms import PathproofError
from pathproof.web.access import ACCESS, Who, allowed
from pathproof.web.people.models import Person
from pathproof.web.saying import Saying
from pathproof.web.works import StillWorkingError

CONTENT_POLICY: Final = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "connect-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
"""Nothing from elsewhere and nothing written into a page runs or loads."""
KEEPING: Final = "X-Pathproof-Keep"
"""Header of requests by which a page sends what it kept; they want a plain refusal."""

Respond = Callable[[HttpRequest], HttpResponse]


def security_headers(get_response: Respond) -> Respond:
    """Every response carries the strict content policy and is not kept by shared caches."""

    def respond(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.setdefault("Content-Security-Policy", CONTENT_POLICY)
        response.setdefault("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.setdefault("X-Robots-Tag", "noindex, nofollow")
        if not request.path.startswith("/static/"):
            response.setdefault("Cache-Control", "no-store")
        return response

    return respond


def kept_forms(get_response: Respond) -> Respond:
    """A page that sent what it kept is told where to go next instead of being sent there."""

    def respond(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if KEEPING in request.headers and response.status_code in (301, 302, 303):
            return JsonResponse({"go": response["Location"]})
        return response

    return respond


class AccessMiddleware:
    """Refuses what `ACCESS` does not allow, before any view runs; shows work that goes on."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        match = request.resolver_match
        who = ACCESS.get(match.view_name) if match else None
        if who is None:
            raise Http404
        if allowed(who, request):
            return None
        if who is Who.FIRST:
            return redirect("people:sign_in")
        if isinstance(request.user, Person):
            raise PermissionDenied("Only the office may do this. Ask somebody with that role.")
        return _to_sign_in(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """A page whose answer is still being worked out says so, and asks again by itself.

        What a person can mend, and no form showed, is a page with the sentence.
        """
        if isinstance(error, StillWorkingError):
            return render(request, "working.html", {"progress": error.progress}, status=202)
        if isinstance(error, PathproofError):
            return render(
                request, "errors/refused.html", {"why": Saying().sentence(str(error))}, status=422
            )
        return None


def _to_sign_in(request: HttpRequest) -> HttpResponse:
    """Sent to sign in, in the way that the request can follow."""
    if KEEPING in request.headers:
        return HttpResponse("Sign in again to send this.", status=401, content_type="text/plain")
    if request.headers.get("HX-Request") == "true":
        return HttpResponse(headers={"HX-Redirect": reverse("people:sign_in")})
    if not Person.objects.exists():
        return redirect("people:first_account")
    return redirect_to_login(request.get_full_path())
