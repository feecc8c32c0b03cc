"""Walk tests of many devices at once."""

import pytest
from django.urls import reverse

from pathproof.web.jobs import store

from ._signals import followed, post, record
from .conftest import DEMO

pytestmark = pytest.mark.usefixtures("patient")

ALL = {"due": "5", "in_hand_db": "6", "lid_shut": "on", "final_place": "on"}


@pytest.fixture
def client(technician, as_):
    return as_(technician)


def test_one_submit_is_one_entry_a_row(client, stored):
    rows = {
        "received-shop_glass": "5",
        "received-keypad": "4",
        "via-keypad": "yard_repeater",
        "received-loft_motion": "",
    }
    got = post(client, stored, "signals:walks", **ALL, **rows)
    new = record(stored)[len(DEMO.record) :]
    assert [(e.about[0], e.values.received, e.values.via) for e in new] == [
        ("shop_glass", 5, "panel"),
        ("keypad", 4, "yard_repeater"),
    ]
    text = followed(client, got).text
    assert "Shop windows to Panel: proven" in text
    assert "1 of 5 messages did not come through" in text


@pytest.mark.parametrize("received", ["6", "five", "-1", "4.5", "9" * 4301])
def test_a_wrong_row_is_said_beside_it_and_nothing_is_saved(received, client, stored):
    rows = {"received-shop_glass": "5", "received-keypad": received}
    got = post(client, stored, "signals:walks", **ALL, **rows)
    assert got.status_code == 422
    assert "allowed: a whole number from 0 to the 5 that were due" in got.text
    assert f'name="received-keypad" inputmode="numeric" autocomplete="off" value="{received}"' in (
        got.text
    )
    assert record(stored) == DEMO.record


def test_wrong_figures_alone_are_figures(client, stored):
    got = post(client, stored, "signals:walks", **ALL, **{"received-keypad": "7"})
    assert "put right the rows that say so" in got.text
    assert "No row has a figure" not in got.text
    assert '<a href="#r-keypad">' in got.text


def test_no_row_no_entry(client, stored):
    got = post(client, stored, "signals:walks", **ALL)
    assert got.status_code == 422
    assert "No row has a figure" in got.text


def test_wired_devices_are_not_in_the_table(client, stored):
    text = client.get(reverse("signals:walks", args=[stored.pk])).text
    assert "received-shop_door" in text
    assert "received-back_door" not in text


def test_a_job_with_nothing_in_it(client, plain_job, technician):
    stored = store.add_job(plain_job, by=technician, what="made")
    got = client.get(reverse("signals:walks", args=[stored.pk]))
    assert "No wireless device is there" in got.text
