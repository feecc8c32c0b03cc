"""Every page of a job opens, for the demo's job and for one with nothing in it."""

import pytest
from django.urls import reverse

from pathproof.web.jobs import store

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
