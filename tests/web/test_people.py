"""Accounts, signing in, and being kept out after too many tries."""

import pytest
from django.test import Client
from django.urls import reverse

from pathproof.web.people.models import Person, Role

PASSWORD = "long enough pw"
NEW = "kettle lantern orchard"


def sign_in(client: Client, username: str, password: str, **more: str):
    return client.post(
        reverse("people:sign_in"), {"username": username, "password": password, **more}
    )


def account(name: str = "Ann Other", username: str = "ann", **more: str) -> dict[str, str]:
    return {"name": name, "username": username, "password": NEW, **more}


class TestFirstAccount:
    def test_it_is_the_offices_and_signed_in(self, db, as_):
        client = as_(None)
        got = client.post(reverse("people:first_account"), account())
        assert got.status_code == 302
        assert Person.objects.get().role == Role.OFFICE
        assert client.get(reverse("listing:jobs")).status_code == 200

    def test_only_while_there_is_none(self, office, as_):
        got = as_(None).post(reverse("people:first_account"), account())
        assert got.headers["Location"] == reverse("people:sign_in")
        assert Person.objects.count() == 1

    def test_the_sign_in_page_at_this_machine_leads_to_it(self, db, as_):
        text = as_(None).get(reverse("people:sign_in")).text
        assert f'href="{reverse("people:first_account")}"' in text

    @pytest.mark.parametrize("address", ["192.0.2.7", "2001:db8::7"])
    def test_only_at_this_machine(self, db, address):
        client = Client(REMOTE_ADDR=address, HTTP_X_FORWARDED_FOR="127.0.0.1")
        got = client.post(reverse("people:first_account"), account())
        assert got.headers["Location"] == reverse("people:sign_in")
        assert not Person.objects.exists()
        assert "at the machine on which" in client.get(reverse("people:sign_in")).text

    @pytest.mark.parametrize(
        ("given", "said"),
        [
            ({"password": "short"}, "fewer than 10 characters"),
            ({"password": "annotheron"}, "too much like the name"),
            (
                {"username": "with blank"},
                "letters, digits and @ . + - _ without blanks. Type it again",
            ),
            ({"name": ""}, "Nothing was given"),
        ],
    )
    def test_what_is_wrong_stands_beside_the_field(self, db, as_, given, said):
        got = as_(None).post(reverse("people:first_account"), account() | given)
        assert got.status_code == 422
        assert said in got.text
        assert not Person.objects.exists()


class TestSigningIn:
    def test_the_right_password(self, technician, as_):
        assert sign_in(as_(None), "tech", PASSWORD).status_code == 302

    def test_never_on_to_another_site(self, technician, as_):
        got = sign_in(as_(None), "tech", PASSWORD, next="https://example.org/")
        assert got.headers["Location"] == reverse("listing:jobs")

    def test_kept_out_after_five_wrong_ones_even_with_the_right_one(self, technician, as_):
        client = as_(None)
        for _ in range(5):
            last = sign_in(client, "tech", "wrong")
        assert last.status_code == 429
        assert "Wait a quarter of an hour" in last.text
        assert sign_in(client, "tech", PASSWORD).status_code == 429

    def test_others_are_not_kept_out_by_that(self, technician, office, as_):
        for _ in range(6):
            sign_in(as_(None), "tech", "wrong")
        assert sign_in(as_(None), "office", PASSWORD).status_code == 302
        elsewhere = Client(REMOTE_ADDR="192.0.2.7")
        assert sign_in(elsewhere, "tech", PASSWORD).status_code == 302

    def test_an_account_that_may_not(self, technician, as_):
        Person.objects.update(is_active=False)
        assert sign_in(as_(None), "tech", PASSWORD).status_code == 200
        assert as_(technician).get(reverse("listing:jobs")).status_code == 302


class TestAccounts:
    def test_the_office_makes_one(self, office, as_):
        got = as_(office).post(reverse("people:new_account"), account(role="technician"))
        assert got.status_code == 302
        assert sign_in(as_(None), "ann", NEW).status_code == 302

    def test_a_technician_does_not(self, technician, as_):
        got = as_(technician).post(reverse("people:new_account"), account(role="office"))
        assert got.status_code == 403
        assert Person.objects.count() == 1

    @pytest.mark.parametrize(
        "given", [{"role": "technician", "is_active": "on"}, {"role": "office"}]
    )
    def test_the_last_of_the_office_stays(self, office, as_, given):
        url = reverse("people:account", args=[office.pk])
        got = as_(office).post(url, {"name": "Olga Office", **given})
        assert got.status_code == 422
        assert "the only office account" in got.text
        office.refresh_from_db()
        assert (office.role, office.is_active) == (Role.OFFICE, True)

    def test_a_new_password_ends_what_was_signed_in(self, office, technician, as_):
        browser = as_(technician)
        as_(office).post(reverse("people:set_password", args=[technician.pk]), {"password": NEW})
        assert browser.get(reverse("listing:jobs")).status_code == 302
        assert sign_in(as_(None), "tech", NEW).status_code == 302

    def test_ones_own_password(self, technician, as_):
        browser, other = as_(technician), as_(technician)
        url = reverse("people:own_password")
        wrong = browser.post(url, {"present_password": "wrong", "password": NEW})
        assert "not your present password" in wrong.text
        assert browser.post(url, {"present_password": PASSWORD, "password": NEW}).status_code == 302
        assert browser.get(reverse("listing:jobs")).status_code == 200
        assert other.get(reverse("listing:jobs")).status_code == 302
