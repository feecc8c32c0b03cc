"""One piece of the site a form: added, changed, removed, refused with a sentence."""

import pytest
from django.urls import reverse

from pathproof.job import Job
from pathproof.web.jobs import store
from pathproof.web.jobs.models import Contest

from .conftest import DEMO
from .specifying import now, send, text_of

DEVICE = DEMO.site.devices[0]


@pytest.fixture
def browser(as_, technician):
    return as_(technician)


@pytest.fixture
def plain(plain_job, technician):
    return store.add_job(plain_job, by=technician, what="made")


def url(stored, name, *rest):
    return reverse(f"specify:{name}", args=[stored.pk, *rest])


def test_partition_and_zone_are_added(browser, plain):
    got = send(browser, url(plain, "add", "partitions"), plain, number="1", name="House")
    assert got.status_code == 302
    (partition,) = now(plain).site.partitions
    typed = {"number": "3", "name": "Kiln room", "kind": "immediate", "partition": partition.id}
    send(browser, url(plain, "add", "zones"), plain, **typed, event="130")
    (zone,) = now(plain).site.zones
    assert (zone.number, zone.name, zone.event) == (3, "Kiln room", "130")
    assert zone.partition == partition.id


def test_a_zone_number_that_was_given_meanwhile_is_said_and_nothing_is_exchanged(
    browser, plain, office, as_
):
    send(browser, url(plain, "add", "partitions"), plain, number="1", name="House")
    (house,) = now(plain).site.partitions
    there = url(plain, "add", "zones")
    seen = {"based_on": now(plain).revision, "kind": "immediate", "partition": house.id}
    assert send(as_(office), there, plain, **seen, number="12", name="Attic").status_code == 302
    got = send(browser, there, plain, **seen, number="12", name="Cellar")
    assert got.status_code == 422
    assert "12 is already that of" in text_of(got)
    assert 'value="Cellar"' in got.text
    assert [z.name for z in now(plain).site.zones] == ["Attic"]
    assert not Contest.objects.exists()


def test_a_number_that_is_none_keeps_what_was_typed(browser, plain):
    got = send(browser, url(plain, "add", "partitions"), plain, number="one", name="House")
    assert got.status_code == 422
    assert "Given 'one'; allowed: a whole number" in text_of(got)
    assert 'value="House"' in got.text
    assert now(plain).site.partitions == []


def test_what_the_model_refuses_stands_beside_its_field(browser, stored):
    part = DEVICE.model_dump(mode="json")["part"]
    typed = {"name": "x" * 201, "part": part}
    got = send(browser, url(stored, "device", DEVICE.id), stored, **typed)
    assert got.status_code == 422
    assert "at most 200" in text_of(got)
    assert now(stored).site == DEMO.site


def test_what_cannot_be_removed_says_who_needs_it(browser, stored):
    zone = next(z for z in DEMO.site.zones if any(d.zone == z.id for d in DEMO.site.devices))
    device = next(d for d in DEMO.site.devices if d.zone == zone.id)
    got = send(browser, url(stored, "edit", "zones", zone.id), stored, remove="yes")
    assert got.status_code == 422
    assert "cannot be removed" in text_of(got)
    assert device.name in text_of(got)
    assert zone in now(stored).site.zones


def test_a_device_is_removed(browser, stored):
    fed = {c.to for c in DEMO.site.cables} | {t.to for c in DEMO.site.cables for t in c.on_the_way}
    device = next(d for d in DEMO.site.devices if d.id not in fed)
    got = send(browser, url(stored, "edit", "devices", device.id), stored, remove="yes")
    assert got.status_code == 302
    assert device.id not in {d.id for d in now(stored).site.devices}


def test_what_a_form_does_not_ask_stays(browser, stored):
    page = browser.get(url(stored, "device", DEVICE.id))
    typed = {name: field.value() or "" for name, field in zip(
        page.context["form"].fields, page.context["form"], strict=True)}  # fmt: skip
    assert send(browser, url(stored, "device", DEVICE.id), stored, **typed).status_code == 302
    assert now(stored).site == DEMO.site


def test_a_device_without_a_plan_tells_what_stands_between(browser, plain):
    typed = {
        "name": "Back door",
        "part": DEVICE.part,
        "between.distance_m": "12,5",
        "between.walls.0.construction": "brick_plastered_145",
        "between.walls.0.count": "2",
        "between.walls.1.construction": "timber_door",
        "between.floors": "1",
    }
    assert send(browser, url(plain, "add", "devices"), plain, **typed).status_code == 302
    (device,) = now(plain).site.devices
    assert device.id == "back_door"
    assert device.between.distance_m == 12.5
    assert device.between.walls == {"brick_plastered_145": 2, "timber_door": 1}
    assert device.between.floors == 1


def test_blank_is_the_default(browser, stored):
    part = DEMO.site.battery.part
    typed = {"part": part, "count": "", "fitted_on": "", "temperature_degc": ""}
    send(browser, url(stored, "single", "battery"), stored, **typed)
    battery = now(stored).site.battery
    assert (battery.count, battery.fitted_on, battery.temperature_degc) == (1, None, 20.0)


def test_nought_is_not_blank(browser, plain):
    send(browser, url(plain, "add", "spots"), plain, name="In the panel", cable_m="0")
    assert now(plain).site.spots[0].cable_m == 0.0


def test_a_cable_has_taps(browser, stored):
    fed = {c.to for c in DEMO.site.cables} | {t.to for c in DEMO.site.cables for t in c.on_the_way}
    first, second = [d.id for d in DEMO.site.devices if d.id not in fed][:2]
    part = next(p.id for p in now(stored).embedded.catalogue.values() if p.kind == "cable")
    typed = {"part": part, "to": first, "length_m": "20", "on_the_way.1.to": second,
             "on_the_way.1.at_m": "8"}  # fmt: skip
    assert send(browser, url(stored, "add", "cables"), stored, **typed).status_code == 302
    cable = now(stored).site.cables[-1]
    assert [(t.to, t.at_m) for t in cable.on_the_way] == [(second, 8.0)]


def test_the_site_and_its_codes(browser, stored):
    own = {"name": "New name", "country": "XA", "time_zone": "Europe/Vienna", "currency": "EUR"}
    send(browser, url(stored, "site"), stored, **own, service_life_years="12")
    site = now(stored).site
    assert (site.name, site.service_life_years) == ("New name", 12.0)
    send(browser, url(stored, "codes"), stored, **{"signal_codes.tamper": "144"})
    assert now(stored).site.signal_codes == {"tamper": "144"}
    assert now(stored).site.devices == DEMO.site.devices


def test_the_codes_of_all_zones_are_one_form(browser, stored):
    shown = browser.get(url(stored, "codes")).context["form"]
    typed = {f.html_name: f.value() or "" for f in shown}
    first, *others = DEMO.site.zones
    assert typed[f"zones.{first.id}.event"] == first.event
    got = send(browser, url(stored, "codes"), stored, **{**typed, f"zones.{first.id}.event": "137"})
    assert got.status_code == 302
    assert now(stored).site.zones == [first.model_copy(update={"event": "137"}), *others]
    assert now(stored).site.signal_codes == DEMO.site.signal_codes


def test_a_code_that_is_too_long_is_told_beside_its_zone(browser, stored):
    zone = DEMO.site.zones[2]
    got = send(browser, url(stored, "codes"), stored, **{f"zones.{zone.id}.event": "1" * 13})
    assert got.status_code == 422
    (error,) = got.context["form"][f"zones.{zone.id}.event"].errors
    assert "12" in error


def test_a_time_zone_that_is_none(browser, stored):
    own = {"name": "Name", "time_zone": "Nowhere/Town"}
    got = send(browser, url(stored, "site"), stored, **own)
    assert got.status_code == 422
    assert "time zone by its IANA name" in got.text


def test_zones_of_devices_in_one_save(browser, stored):
    zone = DEMO.site.zones[-1]
    numbers = {z.id: z.number for z in DEMO.site.zones}
    typed = {d.id: numbers.get(d.zone, "") for d in DEMO.site.devices}
    got = send(browser, url(stored, "set_zones"), stored, **{**typed, DEVICE.id: zone.number})
    assert got.status_code == 302
    assert now(stored).site.devices[0].zone == zone.id
    got = send(browser, url(stored, "set_zones"), stored, **{**typed, DEVICE.id: "9998"})
    assert got.status_code == 422
    assert "Given 9998; allowed: a zone of this site" in text_of(got)


def test_a_stale_form_keeps_both_sides(browser, stored):
    base = stored.revision
    named = {"part": DEVICE.part}
    here = url(stored, "device", DEVICE.id)
    send(browser, here, stored, **named, name="Theirs", based_on=base)
    got = send(browser, here, stored, **named, name="Mine", based_on=base)
    contest = Contest.objects.get()
    assert got.url == reverse("history:contest", args=[stored.pk, contest.pk])
    assert now(stored).site.devices[0].name == "Theirs"


def test_a_form_sent_twice_adds_once(browser, plain):
    typed = {"number": "1", "name": "House", "based_on": plain.revision,
             "key": "0b7ab1f0-8f43-4b6c-9a55-27cf3c4f6a01"}  # fmt: skip
    here = url(plain, "add", "partitions")
    assert [send(browser, here, plain, **typed).status_code for _ in range(2)] == [302, 302]
    assert len(now(plain).site.partitions) == 1


@pytest.mark.parametrize(
    ("name", "rest"),
    [("edit", ("zones", "nowhere")), ("edit", ("panel", "panel")), ("add", ("panel",)),
     ("single", ("zones",)), ("device", ("nobody",)), ("hang", ("none",)),
     ("confirm", ("no_limit",)), ("csv", ("else",))],
)  # fmt: skip
def test_what_is_not_there_is_not_found(browser, stored, name, rest):
    assert browser.get(url(stored, name, *rest)).status_code == 404


def test_text_from_people_is_escaped(browser, technician):
    nasty = "<script>alert(1)</script>"
    site = {"name": nasty, "partitions": [{"id": "p", "name": nasty, "number": 1}]}
    site["zones"] = [{"id": "z", "number": 1, "name": nasty, "kind": "fire", "partition": "p"}]
    job = Job.model_validate({"site": site})
    stored = store.add_job(job, by=technician, what="made")
    for page in (url(stored, "page"), url(stored, "edit", "zones", "z"), url(stored, "lists")):
        assert "<script>alert" not in browser.get(page).text


def test_a_number_given_twice_is_told_beside_it(browser, stored):
    taken = DEMO.site.zones[0].number
    typed = {"number": str(taken), "name": "Again", "kind": "fire",
             "partition": DEMO.site.partitions[0].id}  # fmt: skip
    got = send(browser, url(stored, "add", "zones"), stored, **typed)
    assert got.status_code == 422
    (error,) = got.context["form"]["number"].errors
    assert f"{taken} is already that of zones" in error
    assert now(stored).site.zones == DEMO.site.zones


def test_a_refused_form_stays_on_the_revision_it_was_made_on(browser, stored):
    base = stored.revision
    send(browser, url(stored, "codes"), stored, **{"signal_codes.tamper": "144"})
    typed = {"name": "", "part": DEVICE.part, "based_on": base}
    got = send(browser, url(stored, "device", DEVICE.id), stored, **typed)
    assert got.status_code == 422
    assert f'name="based_on" value="{base}"' in got.text
