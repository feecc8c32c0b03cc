"""Maps by shadows: the same crossings as the plain rule has, and sums that come out even."""

import numpy as np
import pytest

from pathproof.calc.radio.crossings import Obstacles, crossed_loss_db
from pathproof.calc.radio.shadows import MOST_DB, STEP_DB, Raster, add_shadows
from pathproof.job.geometry import SiteGeometry
from pathproof.simulate.buildings import BuildingKind, generated_site
from pathproof.terms import InvalidInputError, OutOfRangeError

from ._fast import CLASSES, Case, random_case

COUNTS = np.repeat(np.array([0.0, 1.0, 20.0, 400.0])[:, None], 65, axis=1)
"""Losses that count the crossings of three classes apart, up to 19 of each; one class is air."""
LOSSES = np.outer([0.0, 5.0, 17.0, 3.0], np.linspace(2.0, 1.0, 65))


def room(**more: object) -> Obstacles:
    """Four walls of 4 m by 3 m, 3 m high."""
    corners = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)]
    return Obstacles.from_arrays(corners, corners[1:] + corners[:1], [0.0] * 4, [3.0] * 4, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("block", range(10))
def test_the_plain_rules_crossings_on_plans_where_almost_everything_touches(block: int) -> None:
    for seed in range(60 * block, 60 * (block + 1)):
        case = random_case(seed)
        assert np.array_equal(case.shadows(COUNTS), case.plain(COUNTS)), seed


def test_the_plain_rules_losses() -> None:
    for seed in range(100):
        case = random_case(seed)
        crossed = case.plain(np.ones((CLASSES, 65)))
        # half a step for each wall, and again for each opening in one; cosines are in 24 bits
        allowed_db = crossed * STEP_DB + 1e-4
        assert np.all(np.abs(case.shadows(LOSSES) - case.plain(LOSSES)) <= allowed_db), seed


@pytest.mark.parametrize("kind", BuildingKind)
def test_the_plain_rule_on_generated_buildings(kind: BuildingKind) -> None:
    case = building(kind)
    assert np.array_equal(case.shadows(COUNTS[:, :2]), case.plain(COUNTS[:, :2]))
    losses = np.vstack([np.zeros(65), np.linspace(20.0, 4.0, 65), *np.full((2, 65), 9.0)])
    assert np.abs(case.shadows(losses) - case.plain(losses)).max() < 0.01


def building(kind: BuildingKind, transmitters: int = 6) -> Case:
    site = generated_site(kind, devices=transmitters, seed=3)
    geometry = SiteGeometry(site)
    counts = len(geometry.walls), len(geometry.openings), len(geometry.slabs)
    corners = np.array([p for w in site.walls for p in (w.start, w.end)])
    low, high = corners.min(axis=0) - 1.0, corners.max(axis=0) + 1.0
    cell = float((high - low).max() / 47)
    rows, columns = (int(n) for n in np.ceil((high - low)[::-1] / cell))
    places = [geometry.position(d) for d in site.devices]
    return Case(
        obstacles=geometry.obstacles,
        # one in three openings is empty, as an open doorway
        classes=tuple(
            np.minimum(np.arange(n) % 3, 1) if i == 1 else np.ones(n, int)
            for i, n in enumerate(counts)
        ),  # type: ignore[arg-type]
        transmitters_m=np.array(places, dtype=np.float64),
        raster=Raster.from_grid((float(low[0]), float(low[1])), cell, (rows, columns), 4.6),
    )


def test_taking_away_in_another_order_leaves_nothing() -> None:
    for seed in range(40):
        case = random_case(seed)
        maps = case.shadows(LOSSES)
        walls = case.obstacles.walls.shape[1]
        whole = case.obstacles, *case.classes, LOSSES, case.transmitters_m, case.raster
        add_shadows(maps, *whole, sign=-1)
        assert not maps.any()
        if len(case.obstacles.slab_z) == 0:
            add_shadows(maps, *whole)
            signs = np.where(np.arange(walls) % 2, -1, 1)
            add_shadows(maps, *whole, sign=-signs)
            add_shadows(maps, *whole, sign=signs)
            add_shadows(maps, *whole, sign=-1)
            assert not maps.any()


def test_a_room_with_a_door_by_hand() -> None:
    # From the middle of the room eastwards at 1.2 m, through a door of 1 m in the middle of the
    # east wall: 2 dB at right angles. Beside the door: the wall's 10 dB. Inside: nothing.
    door = {
        "opening_wall": [1],
        "opening_offset_m": [1.0],
        "opening_width_m": [1.0],
        "opening_sill_m": [0.0],
        "opening_head_m": [2.0],
    }
    raster = Raster.from_grid((0.0, 1.0), 1.0, (1, 6), 1.2)
    maps = np.zeros((1, 1, 6), np.float32)
    table = np.array([[10.0, 10.0], [2.0, 2.0]])
    add_shadows(maps, room(**door), [0] * 4, [1], [], table, [(2.0, 1.5, 1.2)], raster)
    assert maps[0, 0].tolist() == [0.0, 0.0, 0.0, 0.0, 2.0, 2.0]
    maps[:] = 0.0
    above = [(2.0, 1.5, 2.5)]
    add_shadows(
        maps, room(**door), [0] * 4, [1], [], table, above, Raster.from_grid((0, 1), 1, (1, 6), 2.5)
    )
    assert maps[0, 0].tolist() == [0.0, 0.0, 0.0, 0.0, 10.0, 10.0]


def test_openings_that_overlap_count_by_the_first() -> None:
    both = {
        "opening_wall": [1, 1],
        "opening_offset_m": [0.5, 1.0],
        "opening_width_m": [1.0, 1.0],
        "opening_sill_m": [0.0, 0.5],
        "opening_head_m": [2.0, 2.8],
    }
    obstacles = room(**both)
    raster = Raster.from_grid((4.5, -2.0), 0.1, (70, 3), 1.2)
    table = np.array([[10.0, 10.0], [2.0, 2.0], [3.0, 3.0]])
    case = Case(
        obstacles,
        (np.zeros(4, int), np.array([1, 2]), np.empty(0, int)),
        np.array([(2.0, 1.5, 1.2), (2.0, 1.5, 2.9), (3.9, 1.1, 0.2)]),
        raster,
    )
    assert np.array_equal(case.shadows(table), case.plain(table))
    assert set(np.unique(case.shadows(table))) >= {2.0, 3.0, 10.0}


def test_a_loss_of_the_largest_size_comes_out_even() -> None:
    # Metal by the slab formula takes thousands of decibels; callers cut it at MOST_DB.
    raster = Raster.from_grid((5.0, 0.0), 0.25, (12, 8), 1.0)
    odd = np.linspace(MOST_DB, 0.1, 65)[np.newaxis]
    maps = np.zeros((1, *raster.shape), np.float32)
    whole = room(), [0] * 4, [], [], odd, [(1.1, 1.3, 1.5)], raster
    add_shadows(maps, *whole)
    assert maps.min() > 0.0
    add_shadows(maps, *whole, sign=-1)
    assert not maps.any()


def test_cells_that_are_no_whole_number_of_units() -> None:
    # 0.3 m is 307.2 units, so cells lie up to half a unit off even steps
    raster = Raster.from_grid((-1.0, -1.0), 0.3, (20, 30), 1.0)
    assert len(set(np.diff(raster.x))) == 2
    case = Case(
        room(), (np.zeros(4, int), *np.empty((2, 0), int)), np.array([(2.0, 1.5, 1.0)]), raster
    )
    ones = np.ones((1, 2))
    assert np.array_equal(case.shadows(ones), case.plain(ones))


def test_nothing_in_the_way_and_no_transmitter() -> None:
    raster = Raster.from_grid((0.0, 0.0), 0.5, (4, 5), 1.0)
    empty = Obstacles.from_arrays()
    maps = np.zeros((1, 4, 5), np.float32)
    add_shadows(maps, empty, [], [], [], np.ones((1, 2)), [(0.0, 0.0, 0.0)], raster)
    assert not maps.any()
    add_shadows(maps[:0], room(), [0] * 4, [], [], np.ones((1, 2)), np.empty((0, 3)), raster)


def test_a_floor_in_the_way_is_read_by_its_angle() -> None:
    # straight below, cos = 1; 3 m aside and 4 m below, cos = 4/5
    floor = Obstacles.from_arrays(slab_z_m=[2.0])
    raster = Raster.from_grid((-0.5, -0.5), 1.0, (1, 4), 0.0)
    maps = np.zeros((1, 1, 4), np.float32)
    table = np.linspace(20.0, 10.0, 65)[np.newaxis]
    add_shadows(maps, floor, [], [], [0], table, [(0.0, 0.0, 4.0)], raster)
    assert maps[0, 0, [0, 3]] == pytest.approx([10.0, 12.0], abs=STEP_DB)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"table_db": [[-1.0, 1.0]]}, "table_db"),
        ({"table_db": [[np.nan, 1.0]]}, "table_db"),
        ({"table_db": [[1.0]]}, "2 nodes or more"),
        ({"wall_class": [0, 0, 0, 1]}, "from 0 to 0"),
        ({"wall_class": [0, 0, 0]}, r"must be \(4,\)"),
        ({"transmitters_m": [(np.nan, 0.0, 0.0)]}, "transmitters_m"),
        ({"transmitters_m": [(0.0, 0.0)]}, r"must be \(n, 3\)"),
        ({"into_db": np.zeros((1, 4, 5))}, "float32"),
        ({"into_db": np.zeros((2, 4, 5), np.float32)}, r"shape \(1, 4, 5\)"),
        ({"into_db": np.zeros((1, 4, 10), np.float32)[:, :, ::2]}, "C-contiguous"),
        ({"sign": 2}, "give 1 to add or -1"),
        ({"sign": [1, 1]}, "one for each wall"),
    ],
)
def test_bad_input(changed: dict[str, object], message: str) -> None:
    given: dict[str, object] = {
        "into_db": np.zeros((1, 4, 5), np.float32),
        "obstacles": room(),
        "wall_class": [0] * 4,
        "opening_class": [],
        "slab_class": [],
        "table_db": [[1.0, 1.0]],
        "transmitters_m": [(0.0, 0.0, 0.0)],
        "raster": Raster.from_grid((0.0, 0.0), 0.5, (4, 5), 1.0),
    }
    with pytest.raises(InvalidInputError, match=message):
        add_shadows(**{**given, **changed})  # type: ignore[arg-type]


def test_signs_by_wall_are_refused_beside_floors() -> None:
    obstacles = room(slab_z_m=[1.0])
    raster = Raster.from_grid((0.0, 0.0), 0.5, (4, 5), 1.0)
    maps = np.zeros((1, 4, 5), np.float32)
    one = [0] * 4, [], [0], [[1.0, 1.0]], [(0.0, 0.0, 0.0)], raster
    with pytest.raises(InvalidInputError, match="there are floors"):
        add_shadows(maps, obstacles, *one, sign=[1] * 4)


def test_more_loss_than_can_be_summed_exactly_is_refused() -> None:
    raster = Raster.from_grid((0.0, 0.0), 0.5, (4, 5), 1.0)
    maps = np.zeros((1, 4, 5), np.float32)
    table = [[MOST_DB + 1.0, 1.0]]
    with pytest.raises(OutOfRangeError, match="table_db"):
        add_shadows(maps, room(), [0] * 4, [], [], table, [(0.0, 0.0, 0.0)], raster)


@pytest.mark.parametrize(
    ("cell_m", "shape", "origin_m", "message"),
    [
        (0.5, (0, 5), (0.0, 0.0), "1 row"),
        (0.0, (4, 5), (0.0, 0.0), "cell_m"),
        (np.nan, (4, 5), (0.0, 0.0), "cell_m"),
        (0.0004, (4, 5), (0.0, 0.0), "2/1024"),
        (0.5, (4, 5), (512.0, 0.0), "x_m"),
        (0.5, (4, 5), (np.inf, 0.0), "x_m"),
    ],
)
def test_bad_rasters(
    cell_m: float, shape: tuple[int, int], origin_m: tuple[float, float], message: str
) -> None:
    with pytest.raises((InvalidInputError, OutOfRangeError), match=message):
        Raster.from_grid(origin_m, cell_m, shape, 1.0)


def test_two_threads_on_maps_of_their_own() -> None:
    from concurrent.futures import ThreadPoolExecutor

    case = building(BuildingKind.CLINIC, transmitters=8)
    whole = case.shadows(LOSSES)
    maps = np.zeros_like(whole)

    def part(first: int) -> None:
        few = slice(first, first + 4)
        add_shadows(
            maps[few], case.obstacles, *case.classes, LOSSES, case.transmitters_m[few], case.raster
        )

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(part, (0, 4)))
    assert np.array_equal(maps, whole)


def test_a_place_by_the_plain_rule_is_the_cell_of_the_map() -> None:
    case = building(BuildingKind.HOUSE, transmitters=1)
    place = case.places_m()[[77]]
    plain = crossed_loss_db(case.obstacles, *case.classes, LOSSES, case.transmitters_m, place)
    assert case.shadows(LOSSES).ravel()[77] == pytest.approx(plain[0], abs=0.01)
