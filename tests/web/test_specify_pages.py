"""The specification's pages open: for the demo's job, and for one with nothing in it."""

import pytest
from django.urls import reverse

from pathproof.web.jobs import store

PAGES = ["page", "parts", "communicator", "antenna", "power", "profile", "lists", "site", "codes"]
PAGES += ["consider", "list", "set_zones"]


@pytest.mark.parametrize("page", PAGES)
def test_a_page_of_the_demo_opens(page, stored, technician, as_):
    got = as_(technician).get(reverse(f"specify:{page}", args=[stored.pk]))
    assert got.status_code == 200
    assert stored.name in got.text
    assert len(got.content) < 300_000


@pytest.mark.parametrize("page", PAGES)
def test_a_page_of_an_empty_job_opens(page, plain_job, technician, as_):
    stored = store.add_job(plain_job, by=technician, what="made")
    got = as_(technician).get(reverse(f"specify:{page}", args=[stored.pk]))
    assert got.status_code == 200
