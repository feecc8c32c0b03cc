"""What wrong passwords lead to, and what ends it."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from axes.models import AccessAttempt
from django.db import connections
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from pathproof.web.people.forms import NewAccount
from pathproof.web.people.models import Person
from pathproof.web.people.tries import MOST_FOR_NAME, MOST_FROM_ADDRESS

PASSWORD = "long enough pw"
NEW = "kettle lantern orchard"


def sign_in(password: str, username: str = "tech"):
    return Client().post(reverse("people:sign_in"), {"username": username, "password": password})


def alert(text: str) -> str:
    """What the page says went wrong."""
    return text.split('role="alert">')[1].split("</p>")[0]


@pytest.fixture
def kept_out(technician) -> Person:
    """Somebody after five wrong passwords."""
    for _ in range(5):
        sign_in("wrong")
    assert sign_in(PASSWORD).status_code == 429
    return technician


def test_a_quarter_of_an_hour_ends_it(kept_out):
    AccessAttempt.objects.update(attempt_time=timezone.now() - timedelta(minutes=14))
    assert sign_in(PASSWORD).status_code == 429  # and does not start the wait anew
    AccessAttempt.objects.update(attempt_time=timezone.now() - timedelta(minutes=16))
    assert sign_in(PASSWORD).status_code == 302


def test_trying_on_does_not_make_the_wait_longer(kept_out):
    before = timezone.now() - timedelta(minutes=14)
    AccessAttempt.objects.update(attempt_time=before)
    sign_in("wrong again")
    assert set(AccessAttempt.objects.values_list("attempt_time", flat=True)) == {before}


def test_a_new_password_from_the_office_ends_it(kept_out, office, as_):
    as_(office).post(reverse("people:set_password", args=[kept_out.pk]), {"password": NEW})
    assert sign_in(NEW).status_code == 302


def test_a_name_that_nobody_has_is_kept_out_alike(kept_out):
    for _ in range(5):
        last = sign_in("wrong", "nobody")
    assert last.status_code == 429
    assert last.text == sign_in("wrong").text


def test_wrong_name_and_wrong_password_are_told_in_the_same_words(technician):
    said = alert(sign_in("wrong").text)
    assert "Type them again" in said
    assert said == alert(sign_in("wrong", "nobody").text)
    Person.objects.update(is_active=False)
    assert said == alert(sign_in(PASSWORD).text)


def test_guessing_the_present_password_counts_too(technician, as_):
    browser = as_(technician)
    url = reverse("people:own_password")
    for _ in range(5):
        last = browser.post(url, {"present_password": "wrong", "password": NEW})
    assert last.status_code == 429
    got = browser.post(url, {"present_password": PASSWORD, "password": NEW})
    assert got.status_code == 429
    technician.refresh_from_db()
    assert technician.check_password(PASSWORD)


@pytest.mark.parametrize("username", ["tech", "Tech", "TECH"])
def test_one_sign_in_name_is_one_persons(technician, office, as_, username):
    given = {"name": "Tim Other", "username": username, "role": "technician", "password": NEW}
    got = as_(office).post(reverse("people:new_account"), given)
    assert got.status_code == 422
    assert "already" in alert(got.text)
    assert "Tim Other" in got.text
    assert Person.objects.count() == 2


def test_no_such_account(office, as_):
    assert as_(office).get(reverse("people:account", args=[10**9])).status_code == 404
    assert as_(office).get(reverse("people:set_password", args=[10**9])).status_code == 404


def test_a_form_sent_twice_in_one_breath_makes_one_account(technician, office, as_, monkeypatch):
    """The second was looked at before the first was saved."""
    monkeypatch.setattr(NewAccount, "clean_username", lambda self: self.cleaned_data["username"])
    monkeypatch.setattr(NewAccount, "validate_unique", lambda self: None)
    given = {"name": "Tim Other", "username": "tech", "role": "technician", "password": NEW}
    got = as_(office).post(reverse("people:new_account"), given)
    assert got.status_code == 422
    assert "already" in alert(got.text)
    assert Person.objects.count() == 2


def test_one_address_that_tries_many_names_is_kept_out(technician):
    for n in range(MOST_FROM_ADDRESS):
        sign_in("wrong", f"name{n}")
    assert sign_in(PASSWORD).status_code == 429
    elsewhere = Client(REMOTE_ADDR="192.0.2.7")
    given = {"username": "tech", "password": PASSWORD}
    assert elsewhere.post(reverse("people:sign_in"), given).status_code == 302


def test_one_name_tried_from_many_addresses_is_kept_out_but_for_this_machine(technician):
    written = ["tech", " tech", "\N{FULLWIDTH LATIN SMALL LETTER T}ech"]  # looked up alike
    for n in range(MOST_FOR_NAME):
        given = {"username": written[n % 3], "password": "wrong"}
        Client(REMOTE_ADDR=f"192.0.2.{n}").post(reverse("people:sign_in"), given)
    right = {"username": written[2], "password": PASSWORD}
    away = Client(REMOTE_ADDR="198.51.100.1").post(reverse("people:sign_in"), right)
    assert away.status_code == 429
    assert sign_in(PASSWORD).status_code == 302


@pytest.mark.django_db(transaction=True)
def test_of_two_first_accounts_at_once_one_is_made():
    def make(name: str) -> int:
        try:
            given = {"name": name, "username": name, "password": NEW}
            return Client().post(reverse("people:first_account"), given).status_code
        finally:
            connections.close_all()

    with ThreadPoolExecutor(4) as threads:
        assert set(threads.map(make, ["ann", "bob", "cyd", "dan"])) == {302}
    assert Person.objects.count() == 1


def test_a_name_that_can_be_none_is_a_wrong_one(technician):
    assert sign_in(PASSWORD, "te\0ch").status_code == 200
