"""What a customer sees through a link."""

from django.http import Http404, HttpRequest, HttpResponse


def answer(request: HttpRequest, secret: str) -> HttpResponse:
    """One job's plain answer, while the link counts."""
    raise Http404
