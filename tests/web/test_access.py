"""The table of permissions, walked: every URL by everybody, opened and sent to."""

from uuid import uuid4

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.urls import get_resolver, resolve, reverse

from pathproof.web.access import ACCESS, Who, url_names
from pathproof.web.middleware import AccessMiddleware

VALUES = {"uuid": uuid4(), "int": 1, "slug": "thing", "str": "thing", "path": "a/b"}
ROLES = ["anonymous", "technician", "office"]
OPEN_TO = {
    Who.ANYONE: set(ROLES),
    Who.LINK: set(ROLES),  # the view asks for the link itself: tests of the customer's pages
    Who.FIRST: set(),  # somebody has an account
    Who.MEMBER: {"technician", "office"},
    Who.OFFICE: {"office"},
}


def address(name):
    """The URL of that name, of a job and things that there are not."""
    space, _, bare = name.rpartition(":")
    routes = get_resolver().namespace_dict[space][1].reverse_dict.getlist(bare)
    converters = routes[0][3]
    kinds = {n: type(c).__name__.removesuffix("Converter").lower() for n, c in converters.items()}
    return reverse(name, kwargs={n: VALUES.get(kind, "thing") for n, kind in kinds.items()})


@pytest.fixture
def decide(rf, office, technician):
    """What the middleware does with a request before any view runs: None lets it on."""
    people = {"anonymous": AnonymousUser(), "technician": technician, "office": office}

    def decided(name, role, method="get", **meta):
        path = address(name)
        request = getattr(rf, method)(path, **meta)
        request.user = people[role]
        request.resolver_match = resolve(path)
        middleware = AccessMiddleware(lambda request: None)
        return middleware.process_view(request, request.resolver_match.func, (), {})

    return decided


def test_the_table_and_the_addresses_name_the_same():
    assert sorted(url_names()) == sorted(ACCESS)


def outcome(decided):
    """What the middleware did: on, sign in, or the office's."""
    try:
        refused = decided()
    except PermissionDenied as denied:
        return "the office's" if "Only the office" in str(denied) else str(denied)
    if refused is None:
        return "on"
    return "sign in" if refused.status_code in (302, 303, 403) else str(refused.status_code)


def expected(who, role):
    if role in OPEN_TO[who]:
        return "on"
    return "sign in" if role == "anonymous" or who is Who.FIRST else "the office's"


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("role", ROLES)
def test_who_gets_to_which_page(role, method, decide):
    found = {name: outcome(lambda n=name: decide(n, role, method)) for name in ACCESS}
    assert found == {name: expected(who, role) for name, who in ACCESS.items()}


@pytest.mark.parametrize("method", ["get", "post"])
def test_over_the_whole_way_nobody_gets_in_without_an_account(method, office, client):
    for name in [n for n, who in ACCESS.items() if who is not Who.ANYONE]:
        got = getattr(client, method)(address(name))
        wanted = (404, 405) if ACCESS[name] is Who.LINK else (302, 401, 403)
        assert got.status_code in wanted, name
        if got.status_code == 302:
            assert got["Location"].startswith(reverse("people:sign_in")), name
