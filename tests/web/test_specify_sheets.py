"""Antenna, power, profile and lists: what stands there is what the layer below says."""

import csv
import io
from datetime import UTC, datetime

import pytest
from django.urls import reverse

from pathproof.assess import assess
from pathproof.assess.context import Context
from pathproof.assess.power.battery_asked import battery_asked
from pathproof.assess.radio_distance import radio_distance
from pathproof.job import Job, PanelPart, Site, embed, shipped
from pathproof.job.starting import Chosen, detectors_for, new_site, of_kind, usual
from pathproof.papers import with_dates
from pathproof.web.jobs import answers, store

from .conftest import DEMO
from .specifying import now, send, text_of


@pytest.fixture
def browser(as_, technician):
    return as_(technician)


@pytest.fixture
def strict(technician):
    """A job judged by a profile with limits from memory."""
    profile = "en_50131_grade_2"
    job = Job.model_validate({"site": {"name": "Strict site", "profile": profile}})
    return store.add_job(job, by=technician, what="made")


def url(stored, name, *rest):
    return reverse(f"specify:{name}", args=[stored.pk, *rest])


def from_memory(job: Job) -> str:
    return next(str(n) for n, limit in job.profile.limits.items() if not limit.usable)


def test_the_antenna_page_keeps_people_away(browser, stored):
    words = text_of(browser.get(url(stored, "antenna")))
    for communicator in DEMO.site.communicators:
        assert radio_distance(DEMO, communicator).text in words


def test_antenna_cable_and_spot_are_changed_apart_from_the_rest(browser, stored):
    communicator = DEMO.site.communicators[0]
    typed = {"antenna": "", "spot": DEMO.site.spots[0].id, "antenna_near_metal": "on"}
    got = send(browser, url(stored, "hang", communicator.id), stored, **typed)
    assert got.status_code == 302
    after = now(stored).site.communicators[0]
    assert (after.antenna, after.feeder, after.spot) == (None, None, DEMO.site.spots[0].id)
    assert after.antenna_near_metal
    assert (after.part, after.sim) == (communicator.part, communicator.sim)


def test_a_cable_without_length_is_told_at_its_length(browser, stored):
    communicator = DEMO.site.communicators[0]
    got = send(
        browser, url(stored, "hang", communicator.id), stored, **{"feeder.part": "coax_rg58c"}
    )
    assert got.status_code == 422
    assert got.context["form"]["feeder.length_m"].errors


def test_a_network_is_added_and_only_once(browser, strict):
    typed = {"mcc_mnc": "001-01", "label": "Test", "technologies": ["lte"], "bands": "20, 3"}
    here = url(strict, "add", "networks")
    assert send(browser, here, strict, **typed).status_code == 302
    (network,) = now(strict).site.networks
    assert (network.mcc_mnc, network.bands) == ("001-01", ["20", "3"])
    got = send(browser, here, strict, **typed)
    assert got.status_code == 422
    assert "001-01 is there already" in text_of(got)


def test_the_power_page_has_the_words_of_the_links(browser, stored):
    assessment = answers.answer(stored.pk, wait=True).assessment
    words = text_of(browser.get(url(stored, "power")))
    for link in ("standby", "supply"):
        assert with_dates(assessment.link(link).why) in words
    for item in assessment.replacements:
        assert item.name in words


def test_inputs_beside_the_worksheet_lead_back_to_it(browser, stored):
    typed = {"part": DEMO.site.battery.part, "count": "2", "back": "power"}
    got = send(browser, url(stored, "single", "battery"), stored, **typed)
    assert got.url == url(stored, "power")
    assert now(stored).site.battery.count == 2


def test_a_limit_from_memory_is_confirmed_on_record(browser, strict, technician):
    job = now(strict)
    name = from_memory(job)
    assert url(strict, "confirm", name) in browser.get(url(strict, "profile")).text
    value = job.profile.limits[name].value
    typed = {"document": "EN 50131-1", "edition": "2006", "value": f"{value:g}"}
    assert 'name="by"' not in browser.get(url(strict, "confirm", name)).text
    got = send(browser, url(strict, "confirm", name), strict, **typed, by="Olga Office")
    assert got.status_code == 302
    (entry,) = now(strict).record
    assert (entry.kind, entry.by, entry.values.value) == ("confirm", technician.name, value)
    limits = Context(now(strict), datetime.now(UTC), None, leave_out_later=True).limits
    assert limits[name].usable
    assert url(strict, "confirm", name) not in browser.get(url(strict, "profile")).text


def test_another_value_is_on_record_and_confirms_nothing(browser, strict):
    name = from_memory(now(strict))
    value = now(strict).profile.limits[name].value + 1.0
    typed = {"document": "Own copy", "edition": "2020", "value": f"{value:g}"}
    send(browser, url(strict, "confirm", name), strict, **typed)
    page = browser.get(url(strict, "profile"))
    assert "The limit stays unconfirmed" in text_of(page)
    assert url(strict, "confirm", name) in page.text


def test_a_confirmation_without_edition_keeps_what_was_typed(browser, strict):
    name = from_memory(now(strict))
    typed = {"document": "My own copy", "edition": "", "value": "1"}
    got = send(browser, url(strict, "confirm", name), strict, **typed)
    assert got.status_code == 422
    assert "has to be filled in" in text_of(got)
    assert 'value="My own copy"' in got.text
    assert now(strict).record == []


def test_the_profile_is_changed(browser, stored):
    send(browser, url(stored, "profile"), stored, profile="en_50131_grade_2")
    assert now(stored).site.profile == "en_50131_grade_2"
    assert now(stored).profile.id == "en_50131_grade_2"


@pytest.mark.parametrize("which", ["parts", "zones"])
def test_lists_come_as_csv_with_a_safe_name(browser, technician, which):
    site = {**DEMO.site.model_dump(mode="json"), "name": 'Evil"; x=\r\n../\u00e9'}
    job = DEMO.model_copy(update={"site": type(DEMO.site).model_validate(site)})
    stored = store.add_job(job, by=technician, what="made")
    got = browser.get(url(stored, "csv", which))
    assert got["Content-Type"] == "text/csv; charset=utf-8"
    name = got["Content-Disposition"].removeprefix('attachment; filename="').removesuffix('"')
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-_.")
    rows = list(csv.reader(io.StringIO(got.content.decode("utf-8-sig"))))
    assert len({len(row) for row in rows}) == 1
    assert len(rows) > 10


def test_a_list_of_devices_is_read_then_added(browser, strict):
    text = "door contact, Back door, 12 m, 2 brick\nmotion, Hall, 8 m"
    here = url(strict, "list")
    got = send(browser, here, strict, text=text, read="yes")
    assert got.status_code == 200
    assert "2 devices" in text_of(got)
    assert now(strict).site.devices == []
    assert send(browser, here, strict, text=text, add="yes").status_code == 302
    assert [d.name for d in now(strict).site.devices] == ["Back door", "Hall"]
    assert len(now(strict).site.zones) == 2


def test_a_list_is_read_into_parts_that_the_panel_hears(browser, technician):
    library = shipped()
    lists = {
        p.id: {part.id for part in detectors_for(library, p.id)}
        for p in of_kind(library, PanelPart)
    }
    assert len({frozenset(parts) for parts in lists.values()}) > 1  # they do not all hear all
    for panel, heard in lists.items():
        job = Job.model_validate({"site": {"name": "Mill", "panel": {"part": panel}}})
        stored = store.add_job(embed(job, library), by=technician, what="made")
        text = "contact, Door, 5 m, nothing\nmotion, Hall, 5 m, nothing"
        send(browser, url(stored, "list"), stored, text=text, add="yes")
        assert {d.part for d in now(stored).site.devices} <= heard


def test_a_part_that_the_panel_does_not_hear_is_not_to_be_moved(technician):
    library = shipped()
    chosen = {**vars(usual(library)), "panel": "wren_panel"}
    site = new_site({"name": "Mill"}, Chosen(**chosen), library)
    device = {"id": "door", "name": "Door", "part": "lark_contact", "between": {"distance_m": 5.0}}
    site = Site.model_validate({**site.model_dump(), "devices": [device]})
    found = assess(embed(Job(site=site), library), datetime(2026, 11, 25, tzinfo=UTC))
    (action,) = [a for a in found.next if (a.link or "").startswith("radio:door")]
    assert action.text.startswith("Choose a part for")
    assert "Move" not in action.text


def test_a_list_with_a_line_that_is_not_fine_adds_nothing(browser, strict):
    text = "door contact, Back door, 12 m\nnonsense"
    got = send(browser, url(strict, "list"), strict, text=text, add="yes")
    assert got.status_code == 422
    assert "Line 2" in text_of(got)
    assert text.splitlines()[1] in got.text
    assert now(strict).site.devices == []


def test_the_power_page_says_which_battery_is_asked_for(browser, stored):
    words = text_of(browser.get(url(stored, "power")))
    for line in battery_asked(answers.answer(stored.pk).assessment.link("standby")):
        assert line.label in words
