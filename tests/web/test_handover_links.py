"""Customers' links: shown once, kept as a hash, ended by the calendar, withdrawn by anybody."""

import re
from datetime import datetime, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone

from pathproof.web.handover import links
from pathproof.web.jobs import answers, store
from pathproof.web.jobs.models import CustomerLink

from .conftest import DEMO
from .specifying import send, text_of

ZONE = ZoneInfo(DEMO.site.time_zone)


@pytest.fixture
def browser(as_, technician):
    return as_(technician)


@pytest.fixture(autouse=True)
def _answered(stored):
    answers.answer(stored.pk, wait=True)


def make(browser, stored, **typed):
    typed = {"note": "Mrs Keller", "days": "14", **typed}
    return send(browser, reverse("handover:link", args=[stored.pk]), stored, **typed)


def secret_of(got):
    return re.search(r"/answer/([^/]+)/", got.text)[1]


def test_a_link_is_shown_once_and_kept_as_a_hash(browser, stored, as_):
    got = make(browser, stored)
    assert got.status_code == 200
    assert got["Referrer-Policy"] == "same-origin"  # without a referrer its forms are refused
    secret = secret_of(got)
    link = CustomerLink.objects.get()
    assert secret not in str(vars(link))
    again = browser.get(reverse("handover:page", args=[stored.pk]))
    assert secret not in again.text
    assert "Mrs Keller" in text_of(again)
    assert as_(None).get(reverse("customer:answer", args=[secret])).status_code == 200


def test_a_job_not_worked_out_yet_gets_its_link_at_once(browser, stored):
    answers.forget_all()
    assert make(browser, stored).status_code == 200


def test_links_that_count_stand_first(browser, stored, technician):
    make(browser, stored, note="older")
    make(browser, stored, note="withdrawn")
    links.withdraw(stored, CustomerLink.objects.get(note="withdrawn").pk, by=technician)
    got = browser.get(reverse("handover:page", args=[stored.pk]))
    assert [row["link"].note for row in got.context["links"]] == ["older", "withdrawn"]


def test_secrets_are_long_and_differ(browser, stored):
    secrets = {secret_of(make(browser, stored)) for _ in range(3)}
    assert len(secrets) == 3
    assert {len(s) for s in secrets} == {43}  # 32 bytes as base64 without padding, RFC 4648


@pytest.mark.parametrize("days", ["0", "91", "", "x", "-1", "1.5"])
def test_days_that_are_not_allowed_are_told_and_typed_kept(browser, stored, days):
    got = make(browser, stored, days=days)
    assert got.status_code == 422
    assert "from 1 to 90" in text_of(got)
    assert "Mrs Keller" in got.text
    assert not CustomerLink.objects.exists()


def test_for_whom_has_to_be_said(browser, stored):
    assert "Say for whom" in text_of(make(browser, stored, note=" "))
    assert not CustomerLink.objects.exists()


def test_sent_twice_makes_one_link(browser, stored):
    key = str(uuid4())
    assert make(browser, stored, key=key).status_code == 200
    got = make(browser, stored, key=key)
    assert got.status_code == 302
    assert "shown only once" in text_of(browser.get(got["Location"]))
    assert CustomerLink.objects.count() == 1


@pytest.mark.parametrize(
    ("made_at", "ends"),
    [
        ("2026-12-01T10:00:00+01:00", "2026-12-16T00:00:00+01:00"),
        ("2027-03-20T23:30:00+01:00", "2027-04-04T00:00:00+02:00"),  # over the change of clocks
    ],
)
def test_a_link_ends_with_a_day_at_the_site(stored, technician, monkeypatch, made_at, ends):
    """Two weeks after the day on which it was made, counted on a calendar."""
    assert DEMO.site.time_zone == "Europe/Vienna"
    monkeypatch.setattr(timezone, "now", lambda: datetime.fromisoformat(made_at))
    made = links.make_link(stored, DEMO.site, days=14, note="x", by=technician, typed=None)
    assert made is not None
    end = datetime.fromisoformat(ends)
    assert made.link.expires_at == end
    for moment, counts in ((end - timedelta(seconds=1), True), (end, False)):
        monkeypatch.setattr(timezone, "now", lambda moment=moment: moment)
        assert (links.link_of(made.secret) is not None) is counts


def test_anybody_on_the_job_withdraws_a_link(browser, stored, as_, office):
    secret = secret_of(make(browser, stored))
    link = CustomerLink.objects.get()
    url = reverse("handover:withdraw", args=[stored.pk, link.pk])
    assert as_(office).post(url).status_code == 302
    browser.post(url)
    link.refresh_from_db()
    assert link.withdrawn_by == office.name
    assert as_(None).get(reverse("customer:answer", args=[secret])).status_code == 404
    assert "withdrawn" in text_of(browser.get(reverse("handover:page", args=[stored.pk])))


def test_a_link_of_another_job_is_not_found(browser, stored, technician, plain_job):
    make(browser, stored)
    other = store.add_job(plain_job, by=technician, what="made")
    url = reverse("handover:withdraw", args=[other.pk, CustomerLink.objects.get().pk])
    assert browser.post(url).status_code == 404
    assert CustomerLink.objects.get().withdrawn_at is None


def test_when_it_was_opened_last_is_told(browser, stored, as_):
    secret = secret_of(make(browser, stored))
    page = reverse("handover:page", args=[stored.pk])
    assert "not yet" in text_of(browser.get(page))
    as_(None).get(reverse("customer:answer", args=[secret]))
    assert CustomerLink.objects.get().seen_at is not None
    assert "not yet" not in text_of(browser.get(page))
