"""Storeys without walls, and things far outside the walls of theirs."""

from itertools import pairwise
from typing import Any

import pytest

from pathproof.assess.compose import assess
from pathproof.assess.floor_map import MapOf
from pathproof.assess.types import Assessment, Finding
from pathproof.assess.what_if import SiteMaps
from pathproof.job import Job
from pathproof.simulate.demo import build_demo

from ._jobs import NOW, device, make_job, with_site

FLOORS = [
    {"id": "G", "name": "Ground", "elevation_m": 0.0, "height_m": 3.0},
    {"id": "U", "name": "Upper", "elevation_m": 3.0, "height_m": 3.0},
]
CORNERS = [(0.0, 0.0), (0.0, 20.0), (30.0, 20.0), (30.0, 0.0), (0.0, 0.0)]
WIDE_DB, NARROW_DB = 8.0, 6.0
"""Spreads of the house targets: build-ups not all known, and all known."""


def walls(*storeys: str) -> list[dict[str, Any]]:
    return [
        {"id": f"{f}{i}", "floor": f, "start": a, "end": b, "construction": "brick_solid_225"}
        for f in storeys
        for i, (a, b) in enumerate(pairwise(CORNERS))
    ]


def placed(thing_id: str, floor: str, *at: float) -> dict[str, Any]:
    return device(thing_id, floor=floor, at=at)


def job(*devices: dict[str, Any], drawn: str = "G", **site: Any) -> Job:
    fields = {
        "floors": FLOORS,
        "walls": walls(*drawn),
        "devices": list(devices),
        "panel": {"part": "panel_a", "floor": "G", "at": (15.0, 10.0)},
    }
    return make_job(**(fields | site))


def spread_db(found: Assessment, link_id: str) -> float | None:
    return next(x.scale for x in found.links if x.id == link_id)


def saying(found: Assessment, words: str) -> list[Finding]:
    return [f for f in found.findings if words in f.text]


def test_ways_of_a_storey_without_walls_have_the_wide_spread_and_a_finding() -> None:
    # A floor of known layers lies between, so that only the missing walls widen the spread.
    deck = {"id": "deck", "construction": "brick_solid_225", "elevation_m": 3.0}
    floors = [FLOORS[0], FLOORS[1] | {"slabs": [deck]}]
    site = job(placed("D1", "G", 2.0, 2.0), placed("D2", "U", 2.0, 2.0), floors=floors)
    found = assess(site, NOW)
    assert spread_db(found, "radio:D1>panel") == NARROW_DB
    assert spread_db(found, "radio:D2>panel") == WIDE_DB
    (finding,) = saying(found, "No walls are drawn on storey Upper (U)")
    assert "not in the calculation" in finding.text
    drawn = assess(with_site(site, walls=walls("G", "U")), NOW)
    assert spread_db(drawn, "radio:D2>panel") == NARROW_DB
    assert not saying(drawn, "No walls")


def test_a_picture_alone_is_not_open_air() -> None:
    found = assess(job(placed("D1", "G", 2.0, 2.0), drawn=""), NOW)
    link = next(x for x in found.links if x.id == "radio:D1>panel")
    assert link.scale == WIDE_DB
    assert "with nothing drawn in the way" in link.why
    assert not any("known by layers" in line.label for line in link.working)
    assert saying(found, "No walls are drawn on storey Ground (G)")


def test_a_storey_without_walls_that_no_radio_link_touches_is_no_finding() -> None:
    assert not saying(assess(job(placed("D1", "G", 2.0, 2.0)), NOW), "No walls")


def test_a_place_in_the_yard_of_a_storey_with_walls_is_judged_as_before() -> None:
    assert spread_db(assess(job(placed("D1", "G", 40.0, 2.0)), NOW), "radio:D1>panel") == NARROW_DB


@pytest.mark.parametrize("drawn", ["", "G", "U", "GU"])
@pytest.mark.parametrize("floor", ["G", "U"])
def test_maps_and_what_if_go_by_the_same_spread(drawn: str, floor: str) -> None:
    repeater = {"id": "R1", "name": "R1", "part": "repeater_a", "floor": "U", "at": (5.0, 5.0)}
    site = job(
        placed("D1", "G", 2.0, 2.0),
        placed("D2", "U", 28.0, 18.0),
        drawn=drawn,
        repeaters=[repeater],
        panel={"part": "panel_a", "floor": floor, "at": (15.0, 10.0)},
    )
    links = {x.id: x for x in assess(site, NOW).links}
    there = SiteMaps(site, NOW).panel_at(floor, (15.0, 10.0))
    for one in there.devices:
        first = f"radio:{one.device}>{one.via or 'panel'}"
        hops = [first] if one.via is None else [first, "radio:R1>panel"]
        margins = [links[i].margin.value for i in hops]
        assert one.margin_db == pytest.approx(min(margins), abs=0.05)
    bare = set("GU") - set(drawn)
    assert any("No walls are drawn" in n for n in there.notes) == bool(bare)


def test_maps_follow_the_first_and_the_last_wall_of_a_storey() -> None:
    slab = {
        "id": "s",
        "construction": "brick_solid_225",
        "elevation_m": 3.0,
        "outline": CORNERS[:4],
    }
    floors = [FLOORS[0], FLOORS[1] | {"slabs": [slab]}]
    bare = job(placed("D1", "G", 2.0, 2.0), placed("D2", "U", 2.0, 2.0), floors=floors)
    far = [*walls("G"), walls("U")[2]]
    drawn, maps = with_site(bare, walls=far), SiteMaps(bare, NOW)
    for what in ("worst", "coverage", "device:D2"):
        asked = MapOf.parse(what)
        for now in (bare, drawn, bare):
            maps.update(now)
            maps.new_raster("U")
            kept, anew = (m.floor_map(asked, "U", 1.0) for m in (maps, SiteMaps(now, NOW)))
            assert kept.values == pytest.approx(anew.values, abs=0.001, nan_ok=True)
            assert kept.notes == anew.notes
            assert any("No walls" in n for n in kept.notes) == (now is bare)


# -- things outside --------------------------------------------------------------------------------


def outside(*devices: dict[str, Any]) -> list[str]:
    found = saying(assess(job(*devices), NOW), "stand outside everything")
    return found[0].about.split(", ") if found else []


INDOORS = [placed(f"I{i}", "G", 3.0 * i + 1.0, 5.0) for i in range(4)]


def test_a_thing_far_outside_the_walls_of_its_storey_is_named() -> None:
    assert outside(*INDOORS, placed("D1", "G", 61.0, 10.0)) == ["D1"]


def test_what_hangs_outdoors_near_the_house_is_not_named() -> None:
    sounder, gate = placed("D1", "G", 30.3, 10.0), placed("D2", "G", 55.0, 10.0)
    assert outside(*INDOORS, sounder, gate) == []


def test_most_things_beside_a_plan_that_came_with_another_origin_are_named() -> None:
    shifted = [placed(f"I{i}", "G", 33.0, 3.0 * i + 1.0) for i in range(4)]
    assert outside(*shifted) == ["I0", "I1", "I2", "I3"]


def test_a_single_wall_has_no_outside() -> None:
    site = with_site(job(*INDOORS, placed("D1", "G", 61.0, 10.0)), walls=walls("G")[:1])
    assert not saying(assess(site, NOW), "stand outside everything")


def test_nothing_is_outside_in_the_demo() -> None:
    found = assess(build_demo(), NOW, leave_out_later=True)
    assert not saying(found, "stand outside everything")
    assert not saying(found, "No walls")
