"""What a map says beside its values: who holds it down, named places, ties and repeaters."""

from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from pathproof.assess.compose import assess
from pathproof.assess.floor_map import FloorMap, MapOf
from pathproof.assess.maps import MOST_DEVICES_FOR_ODDS, floor_map
from pathproof.assess.what_if import SiteMaps
from pathproof.job import Job
from pathproof.simulate.demo import build_demo
from pathproof.terms import JobError

from ._jobs import NOW, device, make_job, with_site

FLOORS = [
    {"id": "G", "name": "Ground", "elevation_m": 0.0, "height_m": 3.0},
    {"id": "U", "name": "Upper", "elevation_m": 3.0, "height_m": 3.0},
]
CORNERS = [(0.0, 0.0), (0.0, 10.0), (40.0, 10.0), (40.0, 0.0), (0.0, 0.0)]
WALLS = [
    {"id": f"{f}{i}", "floor": f, "start": a, "end": b, "construction": "brick_solid_225"}
    for f in "GU"
    for i, (a, b) in enumerate(pairwise(CORNERS))
]
WORST, ODDS = MapOf.parse("worst"), MapOf.parse("odds")


def placed(thing_id: str, *at: float, floor: str = "G", **fields: Any) -> dict[str, Any]:
    return device(thing_id, floor=floor, at=at, **fields)


def hall(*devices: dict[str, Any], at: tuple[float, float] = (20.0, 5.0), **site: Any) -> Job:
    """A hall of 40 m by 10 m with nothing in it."""
    panel = {"part": "panel_a", "floor": "G", "at": at, "height_m": 2.0}
    fields = {"floors": FLOORS, "walls": WALLS, "devices": list(devices), "panel": panel}
    return make_job(**(fields | site))


def repeater(thing_id: str, *at: float, floor: str) -> dict[str, Any]:
    return {"id": thing_id, "name": "Loft", "part": "repeater_a", "floor": floor, "at": at}


# -- the device heard worst ------------------------------------------------------------------------


def test_of_two_like_devices_the_farther_one_holds_each_half_down() -> None:
    # Free space falls with distance, so on either half the device at the other end is the worst.
    found = floor_map(hall(placed("W", 1.0, 5.0), placed("E", 39.0, 5.0)), WORST, "G", NOW)
    assert dict(found.held_down_by) == pytest.approx({"W": 0.5, "E": 0.5})
    x = found.origin_m[0] + (found.best % found.values.shape[1] + 0.5) * found.cell_m
    assert abs(x - 20.0) < found.cell_m  # in the middle
    assert found.best_held_down_by == ("W" if x > 20.0 else "E")


def test_shares_are_those_of_the_devices_mapped_one_by_one() -> None:
    job = build_demo()
    maps = SiteMaps(job, NOW)
    found = maps.floor_map(WORST, "ground", 1.0)
    ids = [d.device for d in maps.panel_at("ground", (5.0, 5.0)).devices]
    each = np.array([maps.floor_map(MapOf.parse(f"device:{i}"), "ground").values for i in ids])
    inside = ~np.isnan(found.values)
    worst = np.argmin(each[:, inside], axis=0)
    assert len(found.held_down_by) == len(np.unique(worst)) > 1
    for device_id, share in found.held_down_by:
        assert share == pytest.approx(np.mean(worst == ids.index(device_id)))
    best = np.unravel_index(found.best, found.values.shape)
    assert found.best_held_down_by == ids[np.argmin(each[(slice(None), *best)])]


def test_three_devices_are_named_at_most() -> None:
    corners = [(1.0, 1.0), (1.0, 9.0), (39.0, 9.0), (39.0, 1.0)]  # each the farthest of a quarter
    job = hall(*(placed(f"D{i}", *at) for i, at in enumerate(corners)))
    found = floor_map(job, WORST, "G", NOW)
    assert dict(found.held_down_by) == pytest.approx(dict.fromkeys(["D0", "D1", "D2"], 0.25))


def test_equal_devices_are_told_apart_the_same_way_after_edits() -> None:
    twins = [placed(f"D{i}", 3.0, 3.0) for i in range(4)]
    maps = SiteMaps(hall(*twins), NOW)
    maps.floor_map(WORST, "G", 1.0)
    for job in (hall(*twins[1:]), hall(twins[3], *twins[:3]), hall(*twins)):
        maps.update(job)
        kept, anew = (m.floor_map(WORST, "G", 1.0) for m in (maps, SiteMaps(job, NOW)))
        assert kept.held_down_by == anew.held_down_by == ((job.site.devices[0].id, 1.0),)


def test_odds_and_one_device_are_held_down_by_nobody_in_particular() -> None:
    for what in (ODDS, MapOf.parse("device:D1"), MapOf.parse("coverage")):
        found = floor_map(hall(placed("D1", 1.0, 5.0)), what, "G", NOW)
        assert (found.held_down_by, found.best_held_down_by) == ((), None)


# -- named places ----------------------------------------------------------------------------------


def test_the_panel_s_place_and_candidates_have_their_own_figures() -> None:
    devices = [placed("D1", 1.0, 5.0), placed("D2", 33.0, 2.0), placed("D3", 9.0, 9.0, floor="U")]
    places = [((7.3, 2.2), "G", 1.1), ((30.1, 8.0), "U", 2.0), ((38.2, 5.5), "G", 2.4)]
    candidates = [{"at": at, "floor": floor, "height_m": h} for at, floor, h in places]
    panel = {"part": "panel_a", "floor": "G", "at": (20.3, 5.1), "height_m": 1.7}
    job = hall(*devices, panel=panel | {"candidates": candidates})
    wanted = {"the panel now": panel, "candidate 1": candidates[0], "candidate 3": candidates[2]}
    for what in (WORST, ODDS, MapOf.parse("device:D2")):
        found = floor_map(job, what, "G", NOW, cell_m=1.0)
        assert [p.name for p in found.at_places] == list(wanted)
        for place in found.at_places:
            there = with_site(job, panel=panel | wanted[place.name])
            answer = assess(there, NOW)
            margins = {
                x.start: x.margin.value for x in answer.links if x.start in {"D1", "D2", "D3"}
            }
            expected = {
                "worst": min(margins.values()),
                "odds": answer.summary.odds_all,
                "device:D2": margins["D2"],
            }[str(what)]
            assert place.value == pytest.approx(expected, abs=0.02)
            assert place.device == min(margins, key=margins.__getitem__)
            assert place.odds_all_ratio == pytest.approx(answer.summary.odds_all, abs=0.001)
    assert [p.name for p in floor_map(job, WORST, "U", NOW).at_places] == ["candidate 2"]
    assert floor_map(job, MapOf.parse("coverage"), "G", NOW).at_places == ()


def test_a_panel_without_a_place_has_no_figure() -> None:
    found = floor_map(hall(placed("D1", 1.0, 5.0), panel={"part": "panel_a"}), WORST, "G", NOW)
    assert found.at_places == ()


# -- ties and the odds of all ----------------------------------------------------------------------


def plain_map(unit: str, values: list[list[float]]) -> FloorMap:
    return FloorMap(
        what=WORST,
        floor="G",
        origin_m=(0.0, 0.0),
        cell_m=1.0,
        values=np.array(values),
        unit=unit,
        required=None,
        label="",
    )


def test_cells_as_good_as_the_best_are_counted() -> None:
    assert plain_map("dB", [[4.9, 5.2, np.nan], [6.0, 5.0, -9.0]]).near_best == 3
    assert plain_map("ratio", [[0.945, 0.95, np.nan], [0.93, 0.951, 0.0]]).near_best == 3
    blank = plain_map("dB", [[np.nan]])
    assert (blank.best, blank.near_best) == (None, 0)


def test_a_map_of_the_worst_device_has_the_range_of_the_odds_map() -> None:
    job = build_demo()
    found, odds = (floor_map(job, what, "ground", NOW, cell_m=1.0) for what in (WORST, ODDS))
    assert found.odds_all_range == (np.nanmin(odds.values), np.nanmax(odds.values))
    assert odds.odds_all_range is None


def test_with_very_many_devices_the_odds_are_left_to_their_own_map() -> None:
    many = [placed(f"D{i}", i / 4, 5.0) for i in range(MOST_DEVICES_FOR_ODDS + 1)]
    found = floor_map(hall(*many), WORST, "G", NOW, cell_m=2.0)
    assert found.odds_all_range is None
    assert any("a map of their own (odds)" in note for note in found.notes)


# -- repeaters -------------------------------------------------------------------------------------


def notes_on_repeaters(job: Job, what: MapOf, floor: str = "G") -> list[str]:
    return [n for n in floor_map(job, what, floor, NOW, cell_m=2.0).notes if "by a repeater" in n]


@pytest.mark.parametrize("what", [WORST, ODDS, MapOf.parse("device:D1")])
def test_repeaters_that_carry_devices_are_named_with_their_storey(what: MapOf) -> None:
    # The repeater beside the device sends with 10 dB more than the device does.
    job = hall(placed("D1", 1.0, 5.0), repeaters=[repeater("R1", 1.5, 5.0, floor="G")])
    (note,) = notes_on_repeaters(job, what)
    assert "Loft (R1)." in note
    assert "at most that of its link to the repeater" in note
    # Of the floor between there is hardly a piece.
    piece_m = [(50.0, 0.0), (51.0, 0.0), (51.0, 1.0)]
    piece = {"id": "s", "construction": "brick_solid_225", "elevation_m": 3.0, "outline": piece_m}
    floors = [FLOORS[0], FLOORS[1] | {"slabs": [piece]}]
    above = with_site(job, floors=floors, repeaters=[repeater("R1", 1.5, 5.0, floor="U")])
    for floor, named in (("G", "Loft (R1) on storey Upper (U)."), ("U", "Loft (R1).")):
        assert any(named in note for note in notes_on_repeaters(above, what, floor))


def test_a_repeater_that_no_device_is_better_off_with_is_not_named() -> None:
    # With any panel in the hall the way by a repeater 400 m away is the longer one by far.
    job = hall(placed("D1", 20.0, 5.0), repeaters=[repeater("R1", 420.0, 5.0, floor="G")])
    assert notes_on_repeaters(job, WORST) == []
    assert notes_on_repeaters(hall(placed("D1", 20.0, 5.0)), WORST) == []


# -- messages --------------------------------------------------------------------------------------


def test_an_unknown_device_is_echoed_shortened_and_more_devices_are_counted() -> None:
    job = hall(*(placed(f"D{i}", 1.0 + i, 5.0) for i in range(21)))
    with pytest.raises(JobError) as error:
        floor_map(job, MapOf.parse("device:" + "x" * 500), "G", NOW)
    assert "D10, D11 and 9 more." in str(error.value)
    assert "x" * 60 in str(error.value)
    assert "x" * 61 not in str(error.value)
