"""Evidence typed into the forms of the signals pages."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from pathproof.web.jobs import answers, store
from pathproof.web.signals.kinds import FORMS

from ._signals import WALK, followed, post, record
from .conftest import DEMO

pytestmark = pytest.mark.usefixtures("patient")


@pytest.fixture
def client(technician, as_):
    return as_(technician)


def put(client, stored, kind, **fields):
    return post(client, stored, "signals:evidence", kind, **fields)


def test_a_walk_test_goes_on_record_and_says_what_it_changed(client, stored, technician):
    got = put(client, stored, "walk", back="zone=4&page=1", **WALK)
    entry = record(stored)[-1]
    assert (entry.kind, entry.about, entry.by) == ("walk", ["shop_glass"], technician.name)
    assert (entry.values.due, entry.values.received, entry.values.in_hand_db) == (5, 5, 6.0)
    assert (entry.conditions.lid_shut, entry.conditions.final_place) == (True, True)
    assert "zone=4" in got["Location"]
    assert got["Location"].endswith("#d-shop_glass")
    assert "Shop windows to Panel: proven" in followed(client, got).text


def test_a_walk_test_that_proves_nothing_says_why(client, stored):
    fields = {k: v for k, v in WALK.items() if k not in ("lid_shut", "in_hand_db")}
    text = followed(client, put(client, stored, "walk", **fields)).text
    assert "It does not prove it yet" in text
    assert "the lid was shut" in text
    assert "it had 0 dB in hand, 6 dB are asked" in text
    assert record(stored)[-1].conditions.lid_shut is None  # nobody said


def test_a_time_that_is_still_to_come_is_not_taken_for_yesterday(client, stored):
    at = "2026-11-03T20:49:00+00:00"
    typed = {"about": "shop_door", "signal": "alarm", "at": at}
    got = put(client, stored, "event", **typed, tripped="23:59:00", seen="23:59:05")
    assert got.status_code == 422
    assert "is still to come" in got.text
    assert record(stored) == DEMO.record


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"received": "six"}, "This is no whole number"),
        ({"received": "6"}, "Given 6; allowed: 0 to the 5 that were due"),
        ({"received": ""}, "Nothing was given"),
        ({"in_hand_db": "-3"}, "in_hand_db"),
        ({"about": "back_door"}, "It is wired"),
        ({"about": "nobody"}, "nobody"),
        ({"when": "2999-01-01T10:00"}, "is still to come"),
        ({"when": "noon"}, "is no moment"),
        ({"when": "0001-01-01T00:00+14:00"}, "is of the year 1; allowed: from 1990 on"),
        ({"when": "9999-12-31T23:59:59-23:59"}, "is still to come"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_lost(wrong, sentence, client, stored):
    before = record(stored)
    got = put(client, stored, "walk", **{**WALK, **wrong, "text": "typed by hand"})
    assert got.status_code == 422
    assert sentence in got.text
    assert "typed by hand" in got.text
    assert record(stored) == before


def test_a_revision_of_endless_digits_is_none(client, stored):
    head = {"based_on": "1" * 4301, "key": str(uuid4())}
    got = client.post(reverse("signals:evidence", args=[stored.pk, "note"]), {**head, "text": "x"})
    assert got.status_code == 422
    assert "does not say which revision" in got.text


def test_what_was_refused_waits_for_its_page(client, stored, monkeypatch):
    monkeypatch.setattr(answers, "WAIT_S", 0.0)
    got = put(client, stored, "walk", **{**WALK, "received": "9", "text": "typed by hand"})
    assert got.status_code == 422
    assert "typed by hand" in got.text


def test_a_form_sent_twice_is_one_entry(client, stored):
    head = {"based_on": stored.revision, "key": str(uuid4())}
    url = reverse("signals:evidence", args=[stored.pk, "walk"])
    first, second = client.post(url, {**head, **WALK}), client.post(url, {**head, **WALK})
    assert len(record(stored)) == len(DEMO.record) + 1
    assert first["Location"] == second["Location"]


def test_two_forms_of_one_page_are_two_entries(client, stored):
    head = {"based_on": stored.revision, "key": str(uuid4())}
    url = reverse("signals:evidence", args=[stored.pk, "walk"])
    client.post(url, {**head, **WALK})
    got = client.post(url, {**head, **WALK, "about": "keypad"})
    assert [e.about for e in record(stored)[-2:]] == [["shop_glass"], ["keypad"]]
    assert "Keypad in the hall to Panel: proven" in client.get(got["Location"]).text


def test_evidence_of_a_stale_page_is_kept_with_the_others(client, stored, office, as_):
    seen = stored.revision
    url = reverse("signals:evidence", args=[stored.pk, "note"])
    head = {"based_on": seen, "about": ""}
    as_(office).post(url, {**head, "key": str(uuid4()), "text": "theirs"})
    client.post(url, {**head, "key": str(uuid4()), "text": "mine"})
    notes = [e.values.text for e in record(stored) if e.kind == "note"]
    assert notes[-2:] == ["theirs", "mine"]


def test_what_waited_on_the_phone_keeps_its_moment(client, stored):
    typed = timezone.now() - timedelta(hours=3)
    put(client, stored, "walk", **WALK, at=typed.isoformat())
    assert abs(record(stored)[-1].at - typed) < timedelta(seconds=1)


@pytest.mark.parametrize(
    "at",
    [
        "2999-01-01T10:00:00Z",
        "rubbish",
        "2026-01-01T10:00:00",
        "1970-01-01T00:00:05Z",
        "0001-01-01T00:00:00+23:59",
        "9999-12-31T23:59:59-23:59",
    ],
)
def test_a_phone_whose_clock_is_wrong_loses_nothing(at, client, stored):
    put(client, stored, "walk", **WALK, at=at)
    assert abs(record(stored)[-1].at - timezone.now()) < timedelta(minutes=1)
    assert client.get(reverse("signals:record", args=[stored.pk])).status_code == 200


def test_a_time_told_is_of_the_sites_clocks(client, stored):
    put(client, stored, "walk", **WALK, when="2026-03-04T10:15:00")
    at = record(stored)[-1].at
    assert at.replace(tzinfo=None).isoformat() == "2026-03-04T10:15:00"
    assert at.utcoffset() == timedelta(hours=1)  # the demo's clocks in winter


def test_a_level_by_the_panels_scale(client, stored):
    conditions = {"lid_shut": "on", "final_place": "on"}
    got = put(client, stored, "level", about="shop_glass", heard="5, 5\n4 5 5", **conditions)
    assert got.status_code == 422  # "4 5 5" is no step
    got = put(client, stored, "level", about="shop_glass", heard="5, 5\n4; 5; 5", **conditions)
    assert record(stored)[-1].values.steps == ["5", "5", "4", "5", "5"]
    assert "Shop windows to Panel: proven" in followed(client, got).text


def test_readings_pasted_as_the_module_shows_them(client, stored):
    got = put(
        client,
        stored,
        "reading",
        about="office_window",
        shows="+CESQ: 99,99,255,255,20,40",
        network="001-01",
        technology="lte",
        earfcn="6300",
    )
    entry = record(stored)[-1]
    assert (entry.values.network, entry.values.band) == ("001-01", "20")
    assert entry.raw == "+CESQ: 99,99,255,255,20,40"
    assert entry.conditions.final_antenna is None
    # TS 27.007, 8.69: <rsrp> 40 is -101 dBm to -100 dBm
    assert (
        "RSRP \N{MINUS SIGN}100.5 dBm (\N{MINUS SIGN}101 to \N{MINUS SIGN}100)"
        in followed(client, got).text
    )


def test_a_whole_watch_is_one_entry(client, stored):
    log = "\n".join(f"10:{i // 6:02}:{i % 6}0 RSRP -9{i % 4} dBm" for i in range(186))
    got = put(
        client,
        stored,
        "reading",
        about="main",
        shows=log,
        when="2026-11-02T10:00",
        network="001-01",
        technology="lte",
        final_antenna="on",
        lid_shut="on",
        minutes_since_registration="20",
    )
    entries = record(stored)[len(DEMO.record) :]
    assert [len(e.values.series) for e in entries] == [185]
    text = followed(client, got).text
    assert "186 readings over 30.8 min" in text
    assert "Module to mobile network:" in text


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"shows": "hello"}, "cannot be read as a level"),
        ({"shows": ""}, "Nothing was given"),
        ({"shows": "RSRP -300"}, "-300"),
        ({"shows": "RSRP -97", "about": "elsewhere"}, "elsewhere"),
        ({"shows": "RSRP -97", "about": []}, "Tick where it was read: "),
        ({"shows": "RSRP -97", "earfcn": "6300", "band": "8"}, "is a channel of band 20"),
        ({"shows": "RSRP -97\nRSRP -98", "replaces": "reading-01"}, "One entry replaces one"),
    ],
)
def test_no_reading_no_entry(fields, sentence, client, stored):
    got = put(client, stored, "reading", **{"about": "main", **fields})
    assert got.status_code == 422
    assert sentence in got.text
    assert record(stored) == DEMO.record


def test_a_signal_read_back_has_the_time_it_took(client, stored):
    got = put(
        client,
        stored,
        "event",
        about="office_motion",
        signal="alarm",
        code="132",
        zone="5",
        partition="1",
        tripped="10:15:00",
        seen="10:15:07",
        when="2026-11-02T12:00",
        reference="Ilse, 4711",
    )
    entry = record(stored)[-1]
    assert (entry.values.delay_s, entry.values.means) == (7.0, "read_back")
    assert f"{entry.at:%Y-%m-%d %H:%M:%S}" == "2026-11-02 10:15:07"
    assert "Office: alarm:" in followed(client, got).text


def test_a_signal_over_midnight_took_seconds(client, stored):
    put(
        client,
        stored,
        "event",
        about="office_motion",
        signal="alarm",
        tripped="23:59:58",
        seen="00:00:03",
        when="2026-11-02T12:00",
    )
    assert record(stored)[-1].values.delay_s == 5.0


def test_a_signal_that_came_before_it_was_tripped_is_refused(client, stored):
    times = {"tripped": "10:15:09", "seen": "10:15:03", "when": "2026-11-02T12:00"}
    got = put(client, stored, "event", about="office_motion", signal="alarm", **times)
    assert got.status_code == 422
    assert "is before it was tripped" in got.text
    assert record(stored) == DEMO.record


def test_the_centre_has_nothing(client, stored):
    got = put(client, stored, "event", about="office_motion", signal="alarm", arrived="no")
    assert record(stored)[-1].values.arrived is False
    assert "sent, and the centre has nothing" in followed(client, got).text


def test_a_supply_test(client, stored):
    got = put(client, stored, "supply_test", standby_current_a="0,131", loaded_v="12.4")
    entry = record(stored)[-1]
    assert (entry.values.standby_current_a, entry.about) == (0.131, ["panel"])
    assert "battery to Panel:" in followed(client, got).text


def test_wrong_figures_of_a_supply_test_are_said_beside_them_all_at_once(client, stored):
    typed = {"standby_current_a": "350 mA", "loaded_v": "125", "loaded_minutes": "-3"}
    got = put(client, stored, "supply_test", **typed)
    assert "&#x27;350 mA&#x27;; allowed: a number alone, in A" in got.text
    got = put(client, stored, "supply_test", **{**typed, "standby_current_a": "0.35"})
    errors = got.context["form"].errors
    assert set(errors) == {"loaded_v", "loaded_minutes"}
    assert "values." not in got.text
    assert "supply_test cannot" not in got.text
    assert record(stored) == DEMO.record


def test_nothing_ticked_is_said_at_the_boxes(client, stored):
    got = put(client, stored, "reading", about=[], shows="RSRP -97")
    errors = got.context["form"].errors
    assert set(errors) == {"about"}
    assert "Beside the panel" in errors["about"][0]  # by its name, not its id


def test_a_walk_test_is_told_to_the_centre_before(client, stored):
    page = client.get(
        reverse("signals:evidence", args=[stored.pk, "walk"]), {"about": "shop_glass"}
    )
    assert "tell the monitoring centre that the account is on test" in page.text


def test_a_supply_test_with_nothing_in_it(client, stored):
    got = put(client, stored, "supply_test")
    assert got.status_code == 422
    assert "Nothing was measured" in got.text


def test_a_note_and_a_link_accepted_as_it_is(client, stored):
    put(client, stored, "note", about="keypad", text="Hangs behind the coats.")
    got = put(
        client,
        stored,
        "override",
        link="radio:keypad>panel",
        reason="Moves next week",
        until="2026-12-24",
    )
    note, accepted = record(stored)[-2:]
    assert note.values.text == "Hangs behind the coats."
    assert str(accepted.values.until) == "2026-12-24"
    assert "Keypad in the hall to Panel: predicted" in followed(client, got).text


def test_an_entry_is_corrected_by_a_new_one(client, stored):
    url = reverse("signals:evidence", args=[stored.pk, "walk"])
    shown = client.get(url, {"replaces": "walk-01"}).text
    assert "This stands in place of walk-01" in shown
    got = put(client, stored, "walk", **{**WALK, "about": "shop_door", "replaces": "walk-01"})
    assert record(stored)[-1].replaces == "walk-01"
    assert "which no longer counts" in followed(client, got).text
    again = put(client, stored, "walk", **{**WALK, "about": "shop_door", "replaces": "walk-01"})
    assert again.status_code == 422


@pytest.mark.parametrize("kind", FORMS)
def test_every_form_opens_alone_and_as_a_part(kind, client, stored):
    url = reverse("signals:evidence", args=[stored.pk, kind])
    whole = client.get(url)
    part = client.get(url, headers={"HX-Request": "true"})
    assert whole.status_code == part.status_code == 200
    assert "<html" in whole.text
    assert "<html" not in part.text


@pytest.mark.parametrize("entry", [e.id for e in DEMO.record if e.kind in FORMS])
def test_every_entry_can_be_shown_for_correction(entry, client, stored):
    kind = next(e.kind for e in DEMO.record if e.id == entry)
    got = client.get(reverse("signals:evidence", args=[stored.pk, kind]), {"replaces": entry})
    assert got.status_code == 200
    assert entry in got.text


@pytest.mark.parametrize("query", [{"about": "elsewhere"}, {"replaces": "none"}])
def test_what_is_not_there_is_not_found(query, client, stored):
    url = reverse("signals:evidence", args=[stored.pk, "walk"])
    assert client.get(url, query).status_code == 404
    assert client.get(reverse("signals:evidence", args=[stored.pk, "confirm"])).status_code == 404


def test_a_job_with_nothing_in_it(client, plain_job, technician):
    stored = store.add_job(plain_job, by=technician, what="made")
    assert put(client, stored, "walk", **WALK).status_code == 422
    followed(client, put(client, stored, "note", text="First visit."))
    assert [e.values.text for e in record(stored)] == ["First visit."]
