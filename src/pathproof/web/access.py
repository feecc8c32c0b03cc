"""Who may open which URL: one table, and nothing outside it is served."""

from collections.abc import Iterator, Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from django.http import HttpRequest
from django.urls import URLPattern, URLResolver, get_resolver

from pathproof.web.people.models import Person, Role


class Who(StrEnum):
    """Who may open a URL."""

    ANYONE = "anyone"
    FIRST = "first"  # somebody at this machine while nobody has an account
    LINK = "link"  # whoever holds a customer's link that still counts; the view checks it
    MEMBER = "member"  # technician or office
    OFFICE = "office"


ACCESS: Final[Mapping[str, Who]] = MappingProxyType(
    {
        "customer:answer": Who.LINK,
        "customer:paper": Who.LINK,
        "handover:download": Who.MEMBER,
        "handover:link": Who.MEMBER,
        "handover:make": Who.MEMBER,
        "handover:making": Who.MEMBER,
        "handover:page": Who.MEMBER,
        "handover:withdraw": Who.MEMBER,
        "history:changes": Who.MEMBER,
        "history:contest": Who.MEMBER,
        "history:page": Who.MEMBER,
        "listing:demo": Who.MEMBER,
        "listing:erase": Who.OFFICE,
        "listing:export": Who.MEMBER,
        "listing:export_revision": Who.MEMBER,
        "listing:import": Who.MEMBER,
        "listing:jobs": Who.MEMBER,
        "listing:new": Who.MEMBER,
        "listing:token": Who.MEMBER,
        "people:account": Who.OFFICE,
        "people:accounts": Who.OFFICE,
        "people:new_account": Who.OFFICE,
        "people:own_password": Who.MEMBER,
        "people:set_password": Who.OFFICE,
        "people:sign_in": Who.ANYONE,
        "people:sign_out": Who.MEMBER,
        "people:first_account": Who.FIRST,
        "prepare:identifiers": Who.MEMBER,
        "prepare:page": Who.MEMBER,
        "prepare:sheet": Who.MEMBER,
        "prepare:state": Who.MEMBER,
        "signals:centre": Who.MEMBER,
        "signals:evidence": Who.MEMBER,
        "signals:link": Who.MEMBER,
        "signals:page": Who.MEMBER,
        "signals:record": Who.MEMBER,
        "signals:walks": Who.MEMBER,
        "specify:add": Who.MEMBER,
        "specify:antenna": Who.MEMBER,
        "specify:codes": Who.MEMBER,
        "specify:communicator": Who.MEMBER,
        "specify:confirm": Who.MEMBER,
        "specify:consider": Who.MEMBER,
        "specify:csv": Who.MEMBER,
        "specify:device": Who.MEMBER,
        "specify:edit": Who.MEMBER,
        "specify:hang": Who.MEMBER,
        "specify:list": Who.MEMBER,
        "specify:lists": Who.MEMBER,
        "specify:page": Who.MEMBER,
        "specify:parts": Who.MEMBER,
        "specify:power": Who.MEMBER,
        "specify:profile": Who.MEMBER,
        "specify:set_zones": Who.MEMBER,
        "specify:single": Who.MEMBER,
        "specify:site": Who.MEMBER,
        "specify:take": Who.MEMBER,
        "survey:devices": Who.MEMBER,
        "survey:heard": Who.MEMBER,
        "survey:import": Who.MEMBER,
        "survey:look": Who.MEMBER,
        "survey:map_json": Who.MEMBER,
        "survey:map_png": Who.MEMBER,
        "survey:page": Who.MEMBER,
        "survey:picture": Who.MEMBER,
        "survey:place": Who.MEMBER,
        "survey:plan": Who.MEMBER,
        "survey:sheet": Who.MEMBER,
        "survey:spots": Who.MEMBER,
        "survey:storey": Who.MEMBER,
    }
)
"""Name of a URL: who may open it."""

_THIS_MACHINE: Final = ("127.0.0.1", "::1", "::ffff:127.0.0.1")


def allowed(who: Who, request: HttpRequest) -> bool:
    """Whether the request may go on."""
    person = request.user
    match who:
        case Who.ANYONE | Who.LINK:
            return True
        case Who.FIRST:
            return from_this_machine(request) and not Person.objects.exists()
        case Who.MEMBER:
            return isinstance(person, Person)
        case Who.OFFICE:
            return isinstance(person, Person) and person.role == Role.OFFICE


def from_this_machine(request: HttpRequest) -> bool:
    """Whether the request comes over a loopback address."""
    return request.META.get("REMOTE_ADDR") in _THIS_MACHINE


def url_names() -> Iterator[str]:
    """The name of every URL that is routed."""
    yield from _names(get_resolver().url_patterns, "")


def _names(patterns: list[URLPattern | URLResolver], space: str) -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from _names(pattern.url_patterns, inner)
        else:
            yield f"{space}{pattern.name}"
