"""With three hundred devices the pages of the specification stay small."""

import pytest
from django.urls import reverse

from pathproof.job import Job
from pathproof.web.jobs import answers, store

from .conftest import DEMO

MANY = 300
PAGES = ["page", "set_zones", "parts", "power", "lists"]


@pytest.fixture
def large(technician):
    part = DEMO.site.devices[0].part
    name = "one of very many, with a name as long as people write them"
    zones = [
        {"id": f"z{i}", "number": 1 + i, "name": f"Zone {i} {name}", "kind": "immediate",
         "partition": "house", "event": "130"}
        for i in range(MANY)
    ]  # fmt: skip
    devices = [
        {"id": f"d{i}", "name": f"Device {i} {name}", "part": part, "zone": f"z{i}",
         "between": {"distance_m": 5.0 + i / 10}}
        for i in range(MANY)
    ]  # fmt: skip
    site = {
        "name": "Large site",
        "partitions": [{"id": "house", "number": 1, "name": "House"}],
        "zones": zones,
        "devices": devices,
    }
    stored = store.add_job(Job.model_validate({"site": site}), by=technician, what="made")
    answers.answer(stored.pk, wait=True)
    return stored


def test_pages_of_a_large_site_are_small_and_ask_little_of_the_database(
    large, technician, as_, django_assert_max_num_queries
):
    browser = as_(technician)
    for page in PAGES:
        with django_assert_max_num_queries(12):
            got = browser.get(reverse(f"specify:{page}", args=[large.pk]))
        assert got.status_code == 200
        assert len(got.content) < 300_000, page
