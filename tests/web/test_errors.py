"""Pages for what went wrong: nothing typed is lost, and each says what to do."""

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse

from pathproof.web.errors import failed
from pathproof.web.people.models import Person

FROM = "http://testserver/accounts/new/"


@pytest.fixture
def strict(office) -> Client:
    """A browser whose forms need their token, as in earnest."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(office, backend="django.contrib.auth.backends.ModelBackend")
    return client


def stale(client: Client, referer: str = FROM):
    given = {
        "name": "<b>Ann</b>\nOther",
        "username": "ann",
        "password": "kettle lantern orchard",
        "present_password": "long enough pw",
        "key": "8a0c7a52",
    }
    return client.post(reverse("people:new_account"), given, HTTP_REFERER=referer)


class TestStaleForm:
    def test_nothing_is_saved_and_all_that_was_typed_is_there(self, strict):
        got = stale(strict)
        assert got.status_code == 403
        assert "&lt;b&gt;Ann&lt;/b&gt;<br>Other" in got.text
        assert Person.objects.count() == 1

    def test_passwords_and_keys_are_not_shown(self, strict):
        text = stale(strict).text
        assert "kettle lantern orchard" not in text
        assert "long enough pw" not in text
        assert "8a0c7a52" not in text

    def test_it_leads_back_to_the_form(self, strict):
        assert f'href="{FROM}"' in stale(strict).text

    @pytest.mark.parametrize("elsewhere", ["http://example.org/accounts/", "javascript:1", ""])
    def test_it_leads_to_no_other_site(self, strict, elsewhere):
        text = stale(strict, elsewhere).text
        assert '<a class="button" href="/">' in text


def test_a_failure_is_told_without_the_database():
    got = failed(RequestFactory().get("/"))
    assert got.status_code == 500
    assert "Nothing of what was saved before is lost" in got.text


def test_a_page_that_is_not_there(office, as_):
    got = as_(office).get("/nowhere/")
    assert got.status_code == 404
    assert "There is no such page" in got.text


def test_a_technician_at_the_offices_page(technician, as_):
    got = as_(technician).get(reverse("people:accounts"))
    assert got.status_code == 403
    assert "Only the office may do this" in got.text
