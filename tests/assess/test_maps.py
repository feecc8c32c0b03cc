"""Margin maps against the radio links of the same places, and against free space by hand."""

import math
from datetime import UTC, datetime
from itertools import pairwise

import numpy as np
import pytest

from pathproof.assess._grid import USUAL_MOST_CELLS
from pathproof.assess.compose import assess
from pathproof.assess.maps import HEIGHT_M, MarginMap, margin_map
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
from pathproof.terms import Evidence, Material

AS_OF = datetime(2026, 11, 25, 12, tzinfo=UTC)
DETECTOR, PANEL = "lark_motion", "lark_wren_panel"


def place(margins: MarginMap, row: int, column: int) -> tuple[float, float]:
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
    margins = margin_map(job, floor, AS_OF, cell_m=0.7)
    assert margins is not None
    cells = np.argwhere(~np.isnan(margins.values_db))[::17]
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
        assert margins.values_db[row, column] == pytest.approx(expected, abs=0.1)


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
    margins = margin_map(bare_job(), "g", AS_OF, cell_m=1.0)
    assert margins is not None
    near, far = margins.values_db[5, 8], margins.values_db[5, 16]
    distance = [math.dist(place(margins, 5, c), (0.7, 5.2)) for c in (8, 16)]
    assert near - far == pytest.approx(20 * math.log10(distance[1] / distance[0]), abs=0.01)


def test_cells_lie_within_the_walls_only():
    margins = margin_map(build_demo(), "ground", AS_OF)
    assert margins is not None
    column = int((7.0 - margins.origin_m[0]) / margins.cell_m)
    by_y = {round(place(margins, r, column)[1]): r for r in range(len(margins.values_db))}
    assert np.isnan(margins.values_db[by_y[17], column])  # the yard
    assert not np.isnan(margins.values_db[by_y[5], column])  # the house
    assert not np.isnan(margins.values_db[by_y[27], column])  # the outbuilding


def test_a_large_storey_gets_larger_cells():
    margins = margin_map(bare_job(length_m=400.0), "g", AS_OF)
    assert margins is not None
    assert max(margins.values_db.shape) <= USUAL_MOST_CELLS
    assert margins.cell_m > 3.0


@pytest.mark.parametrize("field", ["panel", "devices", "walls"])
def test_nothing_to_map_is_no_map(field: str):
    job = bare_job()
    empty = job.site.model_copy(update={field: None if field == "panel" else []})
    assert margin_map(job.model_copy(update={"site": empty}), "g", AS_OF) is None
