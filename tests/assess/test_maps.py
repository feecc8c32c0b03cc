"""Maps of a storey against the radio links of the same places, and against free space by hand."""

import math
from datetime import UTC, datetime
from itertools import pairwise

import numpy as np
import pytest

from pathproof.assess._coverage import HEIGHT_M
from pathproof.assess._grid import USUAL_MOST_CELLS
from pathproof.assess.compose import assess
from pathproof.assess.floor_map import FloorMap, MapOf
from pathproof.assess.maps import floor_map
from pathproof.assess.network_level import network_level_map
from pathproof.job import (
    Construction,
    Device,
    Floor,
    Job,
    LayerSpec,
    Panel,
    Site,
    Source,
    Wall,
    embed,
)
from pathproof.simulate.demo import build_demo
from pathproof.terms import Evidence, JobError, Material

AS_OF = datetime(2026, 11, 25, 12, tzinfo=UTC)
DETECTOR, PANEL = "lark_motion", "lark_wren_panel"
COVERAGE = MapOf.parse("coverage")


def place(margins: FloorMap, row: int, column: int) -> tuple[float, float]:
    return (
        margins.origin_m[0] + (column + 0.5) * margins.cell_m,
        margins.origin_m[1] + (row + 0.5) * margins.cell_m,
    )


def with_devices_at(job: Job, floor: str, places: list[tuple[float, float]]) -> Job:
    devices = [
        Device(id=f"x{i}", name="x", part=DETECTOR, floor=floor, at=at, height_m=HEIGHT_M)
        for i, at in enumerate(places)
    ]
    site = job.site.model_copy(update={"devices": devices, "cables": []})
    return embed(job.model_copy(update={"site": site}))


@pytest.mark.parametrize("floor", ["cellar", "ground", "upper"])
def test_a_cell_says_what_a_device_there_would_get(floor: str):
    # The point form of the calculation is the reference; the map reads wall losses from a table of
    # 65 angles, which is worth less than a tenth of a decibel over a few walls.
    job = build_demo()
    margins = floor_map(job, COVERAGE, floor, AS_OF, cell_m=0.7)
    cells = np.argwhere(~np.isnan(margins.values))[::17]
    found = assess(
        with_devices_at(job, floor, [place(margins, r, c) for r, c in cells]),
        AS_OF,
        leave_out_later=True,
    )
    margin_of = {x.id: x.margin.value for x in found.links if x.margin is not None}
    onward = margin_of["radio:yard_repeater>panel"]
    for i, (row, column) in enumerate(cells):
        by_repeater = min(margin_of[f"radio:x{i}>yard_repeater"], onward)
        expected = max(margin_of[f"radio:x{i}>panel"], by_repeater)
        assert margins.values[row, column] == pytest.approx(expected, abs=0.1)


def bare_job(length_m: float = 40.0) -> Job:
    """A panel in the corner of an empty hall."""
    corners = [(0.0, 0.0), (0.0, 10.0), (length_m, 10.0), (length_m, 0.0), (0.0, 0.0)]
    brick = Construction(
        name="Brick",
        layers=[LayerSpec(material=Material.BRICK, thickness_m=0.2)],
        source=Source(ref="test", evidence=Evidence.PRACTICE),
    )
    site = Site(
        name="Hall",
        floors=[Floor(id="g", name="Hall", elevation_m=0.0, height_m=4.0)],
        walls=[
            Wall(id=f"w{i}", floor="g", start=a, end=b, construction="brick")
            for i, (a, b) in enumerate(pairwise(corners))
        ],
        constructions={"brick": brick},
        panel=Panel(part=PANEL, floor="g", at=(0.7, 5.2), height_m=HEIGHT_M),
        devices=[Device(id="d", name="d", part=DETECTOR, floor="g", at=(5.0, 5.0))],
    )
    return embed(Job(site=site))


def test_twice_as_far_in_an_empty_hall_costs_six_decibels():
    # Free space: 20 log10 2 = 6.02 dB.
    margins = floor_map(bare_job(), COVERAGE, "g", AS_OF, cell_m=1.0)
    near, far = margins.values[5, 8], margins.values[5, 16]
    distance = [math.dist(place(margins, 5, c), (0.7, 5.2)) for c in (8, 16)]
    assert near - far == pytest.approx(20 * math.log10(distance[1] / distance[0]), abs=0.01)


def test_cells_lie_within_the_walls_only():
    margins = floor_map(build_demo(), COVERAGE, "ground", AS_OF)
    column = int((7.0 - margins.origin_m[0]) / margins.cell_m)
    by_y = {round(place(margins, r, column)[1]): r for r in range(len(margins.values))}
    assert np.isnan(margins.values[by_y[17], column])  # the yard
    assert not np.isnan(margins.values[by_y[5], column])  # the house
    assert not np.isnan(margins.values[by_y[27], column])  # the outbuilding


def test_a_large_storey_gets_larger_cells():
    margins = floor_map(bare_job(length_m=400.0), COVERAGE, "g", AS_OF)
    assert max(margins.values.shape) <= USUAL_MOST_CELLS
    assert margins.cell_m > 3.0


def test_the_panel_in_an_empty_hall_is_heard_six_decibels_less_twice_as_far():
    # The one device hangs at (5, 5), 2 m up; the panel 1.2 m up. Free space: 20 log10 of the ratio.
    for what in ("worst", "device:d"):
        margins = floor_map(bare_job(), MapOf.parse(what), "g", AS_OF, cell_m=1.0)
        near, far = margins.values[5, 8], margins.values[5, 16]
        away = [math.dist((*place(margins, 5, c), HEIGHT_M), (5.0, 5.0, 2.0)) for c in (8, 16)]
        assert near - far == pytest.approx(20 * math.log10(away[1] / away[0]), abs=0.01)


def test_where_the_margin_is_met_the_odds_are_those_asked_for():
    # A margin of 0 is defined by the odds of the profile, 95 %; more margin is better odds.
    across = Wall(id="x", floor="g", start=(30, 0), end=(30, 10), construction="vault")
    vault = Construction(
        name="Vault", fixed_loss_db=28.0, source=Source(ref="test", evidence=Evidence.PRACTICE)
    )
    site = bare_job(length_m=500.0).site
    walls, own = [*site.walls, across], {**site.constructions, "vault": vault}
    job = embed(Job(site=site.model_copy(update={"walls": walls, "constructions": own})))
    margins = floor_map(job, MapOf.parse("device:d"), "g", AS_OF, cell_m=1.0).values
    odds = floor_map(job, MapOf.parse("odds"), "g", AS_OF, cell_m=1.0).values
    assert np.all((odds >= 0.95) == (margins >= 0.0))
    nearest = np.unravel_index(np.argmin(abs(margins)), margins.shape)
    assert abs(margins[nearest]) < 0.01
    assert odds[nearest] == pytest.approx(0.95, abs=0.0002)


def test_networks_go_through_the_same_door():
    job = build_demo()
    found = floor_map(job, MapOf.parse("network:001-01"), "upper", AS_OF, cell_m=1.0)
    expected = network_level_map(job, "upper", "001-01", AS_OF, cell_m=1.0)
    assert np.isfinite(found.values).any()
    assert np.array_equal(found.values, expected.values, equal_nan=True)
    with pytest.raises(
        JobError, match=r"was read at the spots of storey 'cellar' \(cellar_stairs\)"
    ):
        floor_map(job, MapOf.parse("network:001-02"), "cellar", AS_OF)


@pytest.mark.parametrize(
    ("field", "says"),
    [
        ("panel", r"Nothing on the plan is known to hear a .*So place the panel"),
        ("devices", "no wireless device"),
        ("walls", "Nothing with an area is drawn on storey 'g'"),
    ],
)
def test_nothing_to_map_says_so(field: str, says: str):
    job = bare_job()
    empty = job.site.model_copy(update={field: None if field == "panel" else []})
    with pytest.raises(JobError, match=says):
        floor_map(job.model_copy(update={"site": empty}), COVERAGE, "g", AS_OF)
