"""Every page of a job opens, for the demo's job and for one with nothing in it."""

import pytest
from django.urls import reverse

from pathproof.terms import JobError
from pathproof.web.jobs import answers, store

PAGES = ["signals:page", "survey:page", "specify:page", "prepare:page", "handover:page"]


@pytest.mark.parametrize("page", PAGES)
def test_a_page_of_the_demo_opens(page, stored, technician, as_):
    got = as_(technician).get(reverse(page, args=[stored.pk]))
    assert got.status_code == 200
    assert stored.name in got.text


@pytest.mark.parametrize("page", PAGES)
def test_a_page_of_an_empty_job_opens(page, plain_job, technician, as_):
    stored = store.add_job(plain_job, by=technician, what="made")
    assert as_(technician).get(reverse(page, args=[stored.pk])).status_code == 200


def test_a_job_that_cannot_be_assessed_says_why(stored, technician, as_, monkeypatch):
    def refuse(*args: object, **kwargs: object) -> None:
        raise JobError("The profile has no limit walk_in_hand_db.")

    monkeypatch.setattr(answers, "assess", refuse)
    got = as_(technician).get(reverse("signals:page", args=[stored.pk]))
    assert got.status_code == 422
    assert "no limit walk in hand" in got.text
