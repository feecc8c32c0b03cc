"""Sites in pieces: told apart, put together, and what two people changed each in their own way."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pathproof.job import Site
from pathproof.job.pieces import clashes, difference, pieces, with_pieces
from pathproof.simulate import build_demo
from pathproof.terms import JobError

DEMO = build_demo().site
KEYS = sorted(pieces(DEMO))


def renamed(site: Site, device: str, name: str) -> Site:
    devices = [d.model_copy(update={"name": name}) if d.id == device else d for d in site.devices]
    return site.model_copy(update={"devices": devices})


def test_a_site_is_its_pieces():
    assert with_pieces(Site(name="x"), difference(Site(name="x"), DEMO)) == DEMO


def test_nothing_changed_is_no_piece():
    assert difference(DEMO, DEMO) == {}


def test_a_changed_device_is_one_piece_with_its_new_content():
    first = DEMO.devices[0].id
    changed = difference(DEMO, renamed(DEMO, first, "Other name"))
    assert set(changed) == {f"devices/{first}"}
    assert changed[f"devices/{first}"]["name"] == "Other name"


def test_a_piece_taken_out_is_none():
    spot = DEMO.spots[-1].id
    fewer = DEMO.model_copy(update={"spots": DEMO.spots[:-1]})
    assert difference(DEMO, fewer) == {f"spots/{spot}": None}


def test_an_item_keeps_its_place():
    second = DEMO.devices[1].id
    changed = renamed(DEMO, second, "Other name")
    assert with_pieces(DEMO, difference(DEMO, changed)) == changed


def test_changes_of_two_devices_do_not_clash():
    one, two = (renamed(DEMO, d.id, "Other name") for d in DEMO.devices[:2])
    assert clashes(DEMO, one, two) == []


def test_changes_of_one_device_clash_unless_they_are_the_same():
    first = DEMO.devices[0].id
    one, two = renamed(DEMO, first, "One"), renamed(DEMO, first, "Two")
    assert clashes(DEMO, one, two) == [f"devices/{first}"]
    assert clashes(DEMO, one, one) == []


def test_pieces_that_do_not_fit_are_refused_with_their_place():
    key = f"devices/{DEMO.devices[0].id}"
    astray = {key: pieces(DEMO)[key] | {"zone": "nowhere"}}
    with pytest.raises(JobError, match=r"devices\[0\].*zone: there is no zone 'nowhere'"):
        with_pieces(DEMO, astray)


@settings(max_examples=30, deadline=None)
@given(st.sets(st.sampled_from([k for k in KEYS if k.startswith(("cables/", "spots/", "walls/"))])))
def test_any_change_and_its_reverse_give_the_site_again(keys: set[str]):
    spare = {k for k in keys if not _needed(k)}
    fewer = with_pieces(DEMO, dict.fromkeys(spare))
    assert {k for k in pieces(DEMO) if k not in pieces(fewer)} == spare
    assert pieces(with_pieces(fewer, difference(fewer, DEMO))) == pieces(DEMO)


def _needed(key: str) -> bool:
    """Whether something else names it: the spot of a communicator."""
    return key in {f"spots/{c.spot}" for c in DEMO.communicators}
