"""Rasters of storeys: what counts as inside, and sizes."""

from itertools import pairwise

import numpy as np
import pytest

from pathproof.assess._grid import MOST_CELLS, USUAL_MOST_CELLS, storey_grid
from pathproof.job import Floor, Site, Slab, Wall
from pathproof.terms import JobError

Points = list[tuple[float, float]]
HALL = [(0.0, 0.0), (0.0, 10.0), (40.0, 10.0), (40.0, 0.0), (0.0, 0.0)]
L_SHAPE = [(0.0, 0.0), (8.0, 0.0), (8.0, 4.0), (4.0, 4.0), (4.0, 8.0), (0.0, 8.0)]


def site(corners: Points, outline: Points | None = None) -> Site:
    slabs = [] if outline is None else [
        Slab(id="s", construction="unknown_floor", elevation_m=0.0, outline=outline)
    ]  # fmt: skip
    return Site(
        name="Hall",
        floors=[Floor(id="g", name="Hall", elevation_m=0.0, height_m=4.0, slabs=slabs)],
        walls=[
            Wall(id=f"w{i}", floor="g", start=a, end=b, construction="brick")
            for i, (a, b) in enumerate(pairwise(corners))
        ],
    )


def test_cells_lie_between_the_centre_lines_of_the_walls():
    grid = storey_grid(site(HALL), "g", 0.5)
    assert grid.inside.shape == (20, 80)
    assert grid.inside.all()
    assert grid.origin_m == pytest.approx((0.0, 0.0))
    assert grid.centres_m()[[0, 1, -1]] == pytest.approx(
        np.array([(0.25, 0.25), (0.75, 0.25), (39.75, 9.75)])
    )


def test_a_gap_of_half_a_metre_is_closed():
    grid = storey_grid(site([*HALL[:-1], (0.5, 0.0)]), "g", 0.5)
    assert grid.inside.all()


def test_without_walls_the_slabs_are_the_storey():
    grid = storey_grid(site([], L_SHAPE), "g", 1.0)
    assert grid.inside.shape == (8, 8)
    assert grid.inside.sum() == 48  # 8 x 8 less 4 x 4
    assert not grid.inside[4:, 4:].any()


def test_walls_that_enclose_nothing_span_the_storey():
    grid = storey_grid(site([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)]), "g", 1.0)
    assert grid.inside[0, 8]  # the half that the two walls span
    assert not grid.inside[8, 0]


def test_values_return_to_their_cells():
    grid = storey_grid(site([], L_SHAPE), "g", 1.0)
    filled = grid.filled(grid.centres_m()[:, 0])
    assert np.isnan(filled[7, 7])
    assert filled[2, 3] == pytest.approx(3.5)


def test_a_large_storey_gets_larger_cells_unless_a_size_is_asked_for():
    hall = site([(10 * x, y) for x, y in HALL])
    assert max(storey_grid(hall, "g").inside.shape) == USUAL_MOST_CELLS
    assert storey_grid(hall, "g", 0.5).inside.shape == (20, 800)


@pytest.mark.parametrize(
    ("corners", "floor", "cell_m", "says"),
    [
        (HALL, "attic", 0.5, "no storey 'attic'; this site has: g"),
        ([], "g", 0.5, "draw its outer walls"),
        ([(0.0, 0.0), (9.0, 0.0)], "g", 0.5, "draw its outer walls"),
        (HALL, "g", 0.0, "above 0"),
        (HALL, "g", float("nan"), "above 0"),
        (HALL, "g", 0.01, f"{MOST_CELLS:,}; use cells of 0.02 m or more"),
        (HALL, "g", 100.0, "too large"),
    ],
)
def test_what_cannot_be_a_raster(corners: Points, floor: str, cell_m: float, says: str):
    with pytest.raises(JobError, match=says):
        storey_grid(site(corners), floor, cell_m)


def test_a_wall_dragged_past_the_outer_walls_leaves_the_raster():
    grid = storey_grid(site(HALL), "g", 0.5)
    assert grid.covers([(0.0, 0.0), (40.2, 10.0)])
    assert not grid.covers([(3.0, 3.0), (41.0, 5.0)])
