"""The customer's page: one plain answer, nothing of places, and a secret that does not leak."""

import logging
from datetime import timedelta
from io import StringIO

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from pathproof.papers.summary import PLAIN_ANSWER
from pathproof.terms import Word
from pathproof.web.customer.redaction import WithoutSecrets
from pathproof.web.handover import links
from pathproof.web.jobs import answers, store
from pathproof.web.jobs.models import CustomerLink
from pathproof.web.works import Progress, StillWorkingError

from .conftest import DEMO
from .specifying import text_of


@pytest.fixture
def secret(stored, technician):
    answers.answer(stored.pk, wait=True)
    made = links.make_link(stored, DEMO.site, days=14, note="Mrs Keller", by=technician, typed=None)
    assert made is not None
    return made.secret


def url(secret, name="answer"):
    return reverse(f"customer:{name}", args=[secret])


def fetched(secret, name):
    client = Client()
    for _ in range(120):
        got = client.get(url(secret, name))
        if got.status_code != 202:
            break
    return got


def test_the_answer_is_plain(secret, stored):
    words = text_of(Client().get(url(secret)))
    assert PLAIN_ANSWER[answers.answer(stored.pk, wait=True).assessment.word] in words
    assert "sees an intruder" in words


@pytest.mark.parametrize("word", [w for w in Word if w is not Word.PROVEN])
def test_only_a_proven_site_is_said_to_work(word):
    assert "call us" in PLAIN_ANSWER[word]
    assert "Do not rely on it" in PLAIN_ANSWER[word]


def test_nothing_tells_where_things_are_or_what_their_numbers_are(secret):
    text = Client().get(url(secret)).text
    site = DEMO.site
    told = [d.name for d in site.devices] + [z.name for z in site.zones]
    told += [f.name for f in site.floors] + [s.id for s in site.spots]
    for c in site.communicators:
        told += [x for x in (c.account, c.imei, c.sim and c.sim.iccid, c.centre) if x]
    shown = [x for x in told if x in text]
    assert shown == []
    assert "/jobs/" not in text
    assert "Mrs Keller" not in text


def test_the_paper_is_the_customer_s(secret):
    got = fetched(secret, "paper")
    assert got.content.startswith(b"%PDF")
    assert "customer" in got["Content-Disposition"]


@pytest.mark.parametrize("name", ["answer", "paper"])
def test_no_cookie_no_referrer_not_indexed_not_kept(secret, name):
    got = fetched(secret, name)
    assert got.status_code == 200
    assert not got.cookies
    assert got["Referrer-Policy"] == "no-referrer"
    assert "noindex" in got["X-Robots-Tag"]
    assert got["Cache-Control"] == "no-store"


def test_wrong_ended_and_withdrawn_links_look_alike(secret, technician, stored):
    link = CustomerLink.objects.get()
    pages = [Client().get(url("x" * 43)), Client().get(url("short"))]
    CustomerLink.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    pages.append(Client().get(url(secret)))
    CustomerLink.objects.update(expires_at=timezone.now() + timedelta(days=1))
    assert Client().get(url(secret)).status_code == 200
    links.withdraw(stored, link.pk, by=technician)
    pages += [Client().get(url(secret)), Client().get(url(secret, "paper"))]
    assert {p.status_code for p in pages} == {404}
    assert len({p.content for p in pages}) == 1
    assert {p["Referrer-Policy"] for p in pages} == {"no-referrer"}
    assert "Ask your installer" in pages[0].text


def test_a_link_goes_with_its_job(secret, stored):
    store.erase(stored.pk)
    assert Client().get(url(secret)).status_code == 404


def test_waiting_shows_no_more_than_that(secret, monkeypatch):
    def busy(job_id):
        raise StillWorkingError(Progress("Working out 12 devices"))

    monkeypatch.setattr(answers, "answer", busy)
    got = Client().get(url(secret))
    assert got.status_code == 202
    assert got["Referrer-Policy"] == "no-referrer"
    assert "12" not in text_of(got)
    assert CustomerLink.objects.get().seen_at is None


def test_nothing_can_be_sent_to_it(secret):
    got = Client().post(url(secret))
    assert got.status_code == 405
    assert got["Referrer-Policy"] == "no-referrer"


def test_an_empty_job_has_an_answer_too(plain_job, technician):
    stored = store.add_job(plain_job, by=technician, what="made")
    answers.answer(stored.pk, wait=True)
    made = links.make_link(stored, plain_job.site, days=1, note="x", by=technician, typed=None)
    assert made is not None
    assert "no devices in this job yet" in text_of(Client().get(url(made.secret)))


def test_log_lines_hold_no_secret(secret):
    """As what is served writes them: a page that is not found, and a method that is not allowed."""
    handler = settings.LOGGING["handlers"]["stderr"]
    assert handler["filters"] == ["secrets"]
    lines = StringIO()
    listening = logging.StreamHandler(lines)
    listening.addFilter(WithoutSecrets())
    logger = logging.getLogger("django.request")
    logger.addHandler(listening)
    try:
        Client().get(url("y" * 43))
        Client().post(url(secret))
    finally:
        logger.removeHandler(listening)
    assert lines.getvalue().count("/answer/.../") == 2
    assert secret not in lines.getvalue()
    assert "yyy" not in lines.getvalue()
