"""The signals page: what it shows first, what of it, and for which jobs."""

import re
from html import unescape

import pytest
from django.urls import reverse

from pathproof.job import Job, shipped
from pathproof.job.starting import usual
from pathproof.web.jobs import store
from pathproof.web.listing.making import from_list

from .conftest import DEMO


def page(client, stored, **query):
    return client.get(reverse("signals:page", args=[stored.pk]), query)


def names(response) -> list[str]:
    return [unescape(x).strip() for x in re.findall(r'id="d-[^>]*>\s*<h3>([^<]*)<', response.text)]


def test_the_demo_shows_the_worst_first(stored, technician, as_):
    got = page(as_(technician), stored)
    assert got.status_code == 200
    assert "9 of 21 proven to reach the panel, 10 predicted, 1 wired" in got.text
    assert "4 lacking" in got.text
    assert names(got)[0] == "Cold store door"
    assert len(names(got)) == len(DEMO.site.devices) + 2  # the panel's signals travel two ways


def test_what_many_rows_have_to_do_is_said_once(technician, as_):
    lines = "\n".join(f"door contact, Door {n}, {n} m, nothing" for n in range(3, 9))
    given = {"name": "Mill", **vars(usual(shipped())), "devices": lines}
    stored = store.add_job(from_list(given, shipped()).job, by=technician, what="made")
    got = page(as_(technician), stored)
    first = got.context["steps"][0].text
    rows = got.text.partition('id="by-device"')[2].partition('id="shared"')[0]
    assert first not in unescape(rows)  # it stands under Next
    assert {r.step for r in got.context["rows"] if r.row.about != "panel"} == {1}
    assert 'id="step-1"' in got.text
    assert 'class="notes"' not in rows
    assert next(w.words for w in got.context["first_ways"]) == "Say which card it has"
    assert "Go to it" not in got.text
    headed = names(got)
    assert len(set(headed)) == len(headed)  # two rows of the panel are told apart


def test_safety_is_not_folded(stored, technician, as_):
    text = page(as_(technician), stored).text
    assert 'class="caution"' in text
    assert "Tell the users not to rely on them" in text.split('class="findings"')[0]


def test_an_empty_job_says_what_goes_there(plain_job, technician, as_):
    stored = store.add_job(plain_job, by=technician, what="made")
    got = page(as_(technician), stored)
    assert got.status_code == 200
    assert reverse("survey:page", args=[stored.pk]) in got.text
    assert "add panel and devices first" in got.text


@pytest.mark.parametrize(
    ("query", "shown"),
    [
        ({"name": " LOFT"}, ["Loft store"]),
        ({"word": "lacking"}, ["Cold store door"]),
        ({"zone": "1"}, ["Shop door"]),
        ({"zone": "10", "name": "pendant"}, ["Pendant of whoever is in the shop"]),
    ],
)
def test_some_only(query, shown, stored, technician, as_):
    assert names(page(as_(technician), stored, **query)) == shown


def test_nothing_like_that_says_so(stored, technician, as_):
    got = page(as_(technician), stored, name="no such thing")
    assert "No device is like that" in got.text


def test_nonsense_in_the_address_shows_all(stored, technician, as_):
    got = page(as_(technician), stored, zone="nine", page="x", at="?", sent="no key")
    assert len(names(got)) == len(DEMO.site.devices) + 2


def test_names_are_shown_as_text(technician, as_):
    script = "<script>alert(1)</script>"
    devices = [DEMO.site.devices[0].model_copy(update={"name": script}), *DEMO.site.devices[1:]]
    site = DEMO.site.model_copy(update={"devices": devices})
    stored = store.add_job(
        DEMO.model_copy(update={"site": site, "hash": None}), by=technician, what="made"
    )
    assert script not in page(as_(technician), stored).text


def test_300_devices_come_in_pages_of_less_than_300_kb(technician, as_):
    stored = store.add_job(many(300), by=technician, what="made")
    client = as_(technician)
    got = page(client, stored)
    assert len(got.content) < 300_000
    assert len(names(got)) == 25
    last = DEMO.site.devices[0].id + "-299"
    assert f'id="d-{last}"' in page(client, stored, at=last).text


def many(count: int) -> Job:
    """The demo with many wireless devices instead of its own."""
    device = DEMO.site.devices[0]
    devices = [
        device.model_copy(update={"id": f"{device.id}-{i}", "name": f"Door {i}"})
        for i in range(count)
    ]
    site = DEMO.site.model_copy(update={"devices": devices, "cables": []})
    return DEMO.model_copy(update={"site": site, "record": [], "hash": None})


def test_a_warm_page_asks_the_database_little(
    stored, technician, as_, django_assert_max_num_queries
):
    client = as_(technician)
    page(client, stored)
    with django_assert_max_num_queries(6):
        page(client, stored)


def test_only_members_see_it(stored, as_):
    assert page(as_(None), stored).status_code == 302
