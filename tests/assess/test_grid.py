"""Rasters of storeys: what counts as inside, and sizes."""

import random
from itertools import pairwise

import numpy as np
import pytest

from pathproof.assess._grid import FARTHEST_M, MOST_CELLS, USUAL_MOST_CELLS, storey_grid
from pathproof.calc.radio.obstacles import PLAN_LIMIT_M
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


def test_what_is_within_follows_the_walls_as_a_raster_laid_anew():
    # Two huts that stay, so that the raster does; between them walls come, go and move, through the
    # rim of what is enclosed as well as well within it.
    def hut(x: float, y: float) -> Points:
        return [(x, y), (x + 2, y), (x + 2, y + 2), (x, y + 2), (x, y)]

    def wall(number: int, start: tuple[float, float], end: tuple[float, float]) -> Wall:
        return Wall(id=f"v{number}", floor="g", start=start, end=end, construction="brick")

    rng, pinned = random.Random(4), [*site(hut(0, 0)).walls]
    pinned += [w.model_copy(update={"id": f"b{w.id}"}) for w in site(hut(18, 13)).walls]
    house = list(pairwise([(4.0, 3.0), (16.0, 3.0), (16.0, 12.0), (4.0, 12.0), (4.0, 3.0)]))
    walls = [wall(i, a, b) for i, (a, b) in enumerate(house)]
    empty = site(hut(0, 0))
    grid = storey_grid(empty.model_copy(update={"walls": [*pinned, *walls]}), "g", 0.5)
    kept, followed = 0, set()
    for number in range(10, 300):
        before = list(walls)
        if len(walls) < 4 or (len(walls) < 14 and rng.random() < 0.65):
            far, near = (
                [(rng.uniform(10 - x, 10 + x), rng.uniform(7 - y, 7 + y)) for _ in range(2)]
                for x, y in [(8, 6), (4, 3)]
            )
            start, end = rng.choice([*house, far, near, near])
            walls.insert(rng.randrange(len(walls) + 1), wall(number, start, end))
        else:
            walls.pop(rng.choice([rng.randrange(len(walls)), len(walls) - 1]))
        now = empty.model_copy(update={"walls": [*pinned, *walls]})
        changed = [w for w in [*before, *walls] if (w in before) != (w in walls)]
        after = grid.after(now, "g", changed)
        fresh = storey_grid(now, "g", 0.5)
        assert np.array_equal(after.inside, fresh.inside)
        kept += after is grid
        followed.add(int(after.inside.sum()))
        grid = after
    assert kept > 10
    assert len(followed) > 20


COURT = [(8.0, 8.0), (22.0, 8.0), (22.0, 22.0), (8.0, 22.0)]
SQUARE = [(0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0)]


@pytest.mark.parametrize(
    ("outline", "holes", "within"),
    [
        (SQUARE, [COURT], False),  # the slab leaves the court out
        (SQUARE, [[(13.0, 13.0), (17.0, 13.0), (17.0, 17.0), (13.0, 17.0)]], True),  # stairs
        (None, [], True),  # nobody said
        ([(0.0, 0.0), (30.0, 0.0), (30.0, 8.0), (0.0, 8.0)], [], True),  # only one wing has a slab
    ],
)
def test_a_court_is_outside_where_slabs_leave_it_open(
    outline: Points | None, holes: list[Points], within: bool
):
    hall = site([*SQUARE, SQUARE[0]], outline)
    inner = [
        Wall(id=f"c{i}", floor="g", start=a, end=b, construction="brick")
        for i, (a, b) in enumerate(pairwise([*COURT, COURT[0]]))
    ]
    floors = [
        f.model_copy(update={"slabs": [s.model_copy(update={"holes": holes}) for s in f.slabs]})
        for f in hall.floors
    ]
    grid = storey_grid(
        hall.model_copy(update={"walls": [*hall.walls, *inner], "floors": floors}), "g", 1.0
    )
    assert grid.inside[15, 15] == within
    assert grid.inside[4, 4]
    assert grid.inside.sum() == (900 if within else 900 - 14 * 14)


def test_a_raster_that_reaches_past_what_the_crossing_rule_takes_asks_for_smaller_cells():
    assert FARTHEST_M == PLAN_LIMIT_M
    far = site([(x + 472.0, y) for x, y in HALL])  # 472 to 512 m
    assert storey_grid(far, "g", 0.5).inside.all()
    with pytest.raises(JobError, match="use smaller cells"):
        storey_grid(far, "g", 17.0)


def test_a_wall_dragged_past_the_outer_walls_leaves_the_raster():
    grid = storey_grid(site(HALL), "g", 0.5)
    assert grid.covers([(0.0, 0.0), (40.2, 10.0)])
    assert not grid.covers([(3.0, 3.0), (41.0, 5.0)])
