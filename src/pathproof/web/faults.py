"""What a refused page says on top: that nothing was saved, with a link to each fault."""

import re
from collections.abc import Callable
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import mark_safe

_PAGE: Final = re.compile(r"<main\b[^>]*>")
_FAULT: Final = re.compile(
    r'<(p|div)\b(?P<attrs>[^>]*\brole="alert"[^>]*)>(?P<said>.*?)</\1>', re.S
)
_ID: Final = re.compile(r'\bid="([^"]+)"')
_TAG: Final = re.compile(r"<[^>]*>")
_OF_FIELD: Final = "_error"
_MOST: Final = 12
_LONGEST: Final = 160
"""A longer sentence is read at its place. [characters]"""


def faults_on_top(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[..., HttpResponse]:
    """A refused page begins with its faults, and is opened there, without a script too."""

    def respond(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if (
            response.status_code == 422
            and request.user.is_authenticated
            and response.get("Content-Type", "").startswith("text/html")
        ):
            response.content = with_faults(response.content.decode()).encode()
            response.headers.pop("Content-Length", None)
        return response

    return respond


def with_faults(page: str) -> str:
    """The page with a list of its faults on top; unchanged where it shows none, or is a part."""
    start = _PAGE.search(page)
    if start is None or not _FAULT.search(page):
        return page
    links: list[tuple[str, str]] = []

    def named(fault: re.Match[str]) -> str:
        own = _ID.search(fault["attrs"])
        at = own[1] if own else f"fault-{len(links) + 1}"
        field = at.removesuffix(_OF_FIELD) if at.endswith(_OF_FIELD) else ""
        there = field if field and f'id="{field}"' in page else at
        links.append((there, _said(_label(page, field), fault["said"])))
        return fault[0] if own else fault[0].replace(" role=", f' id="{at}" role=', 1)

    body = _FAULT.sub(named, page[start.end() :])
    return page[: start.end()] + _on_top(links) + body


def _on_top(links: list[tuple[str, str]]) -> str:
    shown = format_html_join(
        "", '<li><a href="#{}">{}</a></li>', ((at, mark_safe(text)) for at, text in links[:_MOST])
    )
    return format_html(
        '<div class="refused" id="refused" role="group" aria-label="What was refused" '
        'tabindex="-1" autofocus><p><strong>Nothing was saved.</strong> What you typed stands '
        "below; put this right and send it again:</p><ul>{}</ul></div>",
        shown,
    )


def _said(label: str, markup: str) -> str:
    """Label and sentence as text that is escaped as it was."""
    text = " ".join(_TAG.sub(" ", markup).split())
    said = f"{label}: {text}" if label else text
    if len(said) <= _LONGEST:
        return said
    return f"{said[:_LONGEST].rpartition(' ')[0]} …"


def _label(page: str, field: str) -> str:
    """What people call a field; empty where a fault is of no field."""
    if not field:
        return ""
    of_it = re.search(rf'<label\b[^>]*\bfor="{re.escape(field)}"[^>]*>(.*?)</label>', page, re.S)
    if of_it is None:  # boxes to tick, which stand under a legend
        before = page.partition(f'id="{field}{_OF_FIELD}"')[0]
        _, legend, text = before.rpartition("<legend>")
        return text.partition("</legend>")[0] if legend else ""
    return " ".join(_TAG.sub(" ", of_it[1]).split())
