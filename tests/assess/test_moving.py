"""A thing at another place: what changes in the job, and what evidence goes void."""

from types import SimpleNamespace

import pytest

from pathproof.assess.moving import (
    Thing,
    evidence_voided,
    heard_sentence,
    moved,
    name_of,
    place_of,
)
from pathproof.job import PANEL_ID, Job, Place
from pathproof.simulate import build_demo
from pathproof.terms import JobError

DEMO = build_demo()
THERE = Place(floor=DEMO.site.floors[0].id, at=(1.0, 2.0), height_m=1.5)


def _first(kind: Thing) -> str:
    site = DEMO.site
    things = {Thing.DEVICE: site.devices, Thing.REPEATER: site.repeaters, Thing.SPOT: site.spots}
    return PANEL_ID if kind is Thing.PANEL else things[kind][0].id


@pytest.mark.parametrize(
    ("margin_db", "said"),
    [
        (-13.1, "predicted 13.1 dB short of the odds asked for"),
        (4.0, "predicted 4.0 dB over the odds asked for"),
    ],
)
def test_what_falls_short_is_not_said_to_be_over(margin_db, said):
    device = DEMO.site.devices[0]
    heard = SimpleNamespace(device=device.id, margin_db=margin_db, odds_ratio=0.35, via=None)
    sentence = heard_sentence(DEMO, SimpleNamespace(devices=[heard]), device.id)
    assert sentence.startswith(f"{device.name}: {said}, ")


@pytest.mark.parametrize("kind", list(Thing))
def test_a_thing_is_where_it_was_put_and_nothing_else_moves(kind):
    thing = _first(kind)
    after = moved(DEMO, kind, thing, THERE).site
    put = place_of(after, kind, thing)
    assert put is not None
    assert (put.floor, put.at) == (THERE.floor, THERE.at)
    before = {d.id: d for d in DEMO.site.devices}
    others = [d for d in after.devices if d.id != thing]
    assert all(d == before[d.id] for d in others)


def test_on_a_plan_walls_say_what_stands_between():
    device = {"id": "d", "name": "Door", "part": "door_contact", "between": {"distance_m": 5}}
    site = {
        "name": "S",
        "floors": [{"id": "g", "name": "G", "elevation_m": 0, "height_m": 3}],
        "devices": [device],
    }
    job = Job.model_validate({"site": site})
    put = moved(job, Thing.DEVICE, "d", Place(floor="g", at=(0, 0), height_m=2)).site.devices[0]
    assert put.between is None


def test_a_move_voids_evidence_and_no_move_voids_none():
    proven = next(e.about[0] for e in DEMO.record if e.kind == "walk")
    assert "no longer speak" in evidence_voided(DEMO, moved(DEMO, Thing.DEVICE, proven, THERE))
    here = place_of(DEMO.site, Thing.DEVICE, proven)
    assert here is not None
    assert evidence_voided(DEMO, moved(DEMO, Thing.DEVICE, proven, here)) == ""


def test_what_is_not_there_is_said():
    with pytest.raises(JobError, match="no device 'nobody'"):
        name_of(DEMO.site, Thing.DEVICE, "nobody")
    nowhere = Place(floor="nowhere", at=(0, 0), height_m=1)
    with pytest.raises(JobError, match="no storey"):
        moved(DEMO, Thing.PANEL, PANEL_ID, nowhere)
