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


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("name", ACCESS)
def test_who_gets_to_a_page(name, role, method, decide):
    allowed = OPEN_TO[ACCESS[name]]
    if role in allowed:
        assert decide(name, role, method) is None
    elif role == "anonymous" or ACCESS[name] is Who.FIRST:
        refused = decide(name, role, method)
        assert refused.status_code in (302, 303, 403)
    else:
        with pytest.raises(PermissionDenied, match="Only the office"):
            decide(name, role, method)


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("name", [n for n, who in ACCESS.items() if who is not Who.ANYONE])
def test_over_the_whole_way_nobody_gets_in_without_an_account(name, method, office, client):
    got = getattr(client, method)(address(name))
    expected = (404, 405) if ACCESS[name] is Who.LINK else (302, 401, 403)
    assert got.status_code in expected
    if got.status_code == 302:
        assert got["Location"].startswith(reverse("people:sign_in"))
