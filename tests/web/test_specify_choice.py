"""The choice of the communicator: offers, what taking one changes, and taking it."""

import pytest
from django.urls import reverse

from pathproof.assess.choosing import choose
from pathproof.assess.taking import take
from pathproof.job.considering import considering
from pathproof.job.home import user_library
from pathproof.web.jobs import answers, store
from pathproof.web.specify._choosing import offer_key, weigh

from .conftest import DEMO
from .specifying import now, send, text_of


@pytest.fixture(autouse=True)
def _weighed_in_peace(monkeypatch):
    """A busy machine weighs longer than somebody should wait."""
    monkeypatch.setattr("pathproof.web.specify._choosing.WAIT_S", 120.0)


@pytest.fixture
def browser(as_, technician):
    return as_(technician)


def url(stored, name):
    return reverse(f"specify:{name}", args=[stored.pk])


@pytest.fixture
def ranked(stored):
    """Offers out of everything at hand, as the layer below chooses."""
    as_of = answers.answer(stored.pk, wait=True).assessment.as_of
    job = considering(DEMO, user_library())
    return job, choose(job, as_of, leave_out_later=True).ranked


def test_offers_stand_in_their_order_with_reasons_for_the_others(browser, stored, ranked):
    page = browser.get(url(stored, "communicator"), {"every": "yes"})
    assert page.status_code == 200
    keys = [offer["key"] for offer in page.context["offers"]]
    assert keys == [offer_key(x) for x in ranked[1]]
    assert "What would change that" in page.text


def test_taking_is_shown_before_it_is_done(browser, stored, ranked):
    job, offers = ranked
    other = next(x for x in offers if not x.fitted)
    page = browser.get(url(stored, "take"), {"offer": offer_key(other), "every": "yes"})
    expected = take(job, other)
    assert page.context["taken"].changes == expected.changes
    words = text_of(page)
    for entry in (v.entry for v in expected.voided):
        assert entry in words
    assert "Next, to prove it" in words
    assert now(stored).site == DEMO.site


def test_it_is_taken_into_the_job(browser, stored, ranked):
    job, offers = ranked
    other = next(x for x in offers if not x.fitted)
    got = send(browser, url(stored, "take"), stored, offer=offer_key(other), every="yes")
    assert got.status_code == 302
    assert now(stored).site == take(job, other).job.site


def test_an_offer_that_is_none(browser, stored):
    assert browser.get(url(stored, "take"), {"offer": "none"}).status_code == 404
    got = send(browser, url(stored, "take"), stored, offer="none")
    assert got.status_code == 422
    assert "not among those that fit any more" in text_of(got)
    assert now(stored).site == DEMO.site


def test_what_is_considered_is_edited(browser, stored):
    some = ["lte_m_module", "whip_antenna"]
    send(browser, url(stored, "consider"), stored, considered=some)
    assert now(stored).site.considered == some
    assert browser.get(url(stored, "communicator")).status_code == 200


def test_a_part_that_is_none_is_not_considered(browser, stored):
    got = send(browser, url(stored, "consider"), stored, considered=["no_such_part"])
    assert got.status_code == 422
    assert now(stored).site.considered == DEMO.site.considered


def test_an_empty_job_says_what_to_do_first(browser, plain_job, technician):
    stored = store.add_job(plain_job, by=technician, what="made")
    words = text_of(browser.get(url(stored, "communicator")))
    assert "Choose the panel" in words
    assert "tell of them on the page of the antenna" in words


def test_a_choice_that_takes_long_says_how_far_it_is(browser, stored, monkeypatch):
    monkeypatch.setattr("pathproof.web.specify._choosing.WAIT_S", 0.0)
    got = browser.get(url(stored, "communicator"))
    assert got.status_code == 202
    assert f"Weighing offers of {len(DEMO.site.considered)} parts" in text_of(got)


def test_a_choice_is_worked_out_once_a_revision(stored, monkeypatch):
    weighed = weigh(stored.pk, now(stored), every=True, wait=True)
    monkeypatch.setattr("pathproof.web.specify._choosing.choose", lambda *a, **k: 1 / 0)
    assert weigh(stored.pk, now(stored), every=True) is weighed
