"""The compiled crossing rule, plain and fast, against two others: exact arithmetic, and Shapely.

The exact one works in fractions and really shifts every wall and floor by a tiny amount, then
solves for the crossing point; it shares neither ties nor tests of sides with the compiled one.
"""

from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np
import pytest
import shapely

from pathproof.calc.radio.crossings import OPENING, SLAB, WALL, Obstacles, crossings
from pathproof.calc.radio.scattered import scattered_loss_db
from pathproof.calc.radio.shadows import Raster, add_shadows

UNIT = 1024  # of the rule: lengths are whole numbers of 1/1024 m
TINY = Fraction(1, 2**100)
SHIFT = (TINY, TINY**2)

Crossing = tuple[int, int, int]  # pair, kind, index


@dataclass
class Plan:
    """Obstacles as lists, in metres."""

    walls: list[tuple[float, float, float, float, float, float]]  # x, y, x, y, base, top
    openings: list[tuple[int, float, float, float, float]] = field(default_factory=list)
    slabs: list[tuple[float, list[list[tuple[float, float]]]]] = field(default_factory=list)

    def obstacles(self) -> Obstacles:
        walls = np.array(self.walls).reshape(-1, 6)
        openings = np.array(self.openings).reshape(-1, 5)
        rings = [(s, ring) for s, (_, rings) in enumerate(self.slabs) for ring in rings]
        return Obstacles.from_arrays(
            walls[:, 0:2],
            walls[:, 2:4],
            walls[:, 4],
            walls[:, 5],
            opening_wall=openings[:, 0],
            opening_offset_m=openings[:, 1],
            opening_width_m=openings[:, 2],
            opening_sill_m=openings[:, 3],
            opening_head_m=openings[:, 4],
            slab_z_m=[z for z, _ in self.slabs],
            slab_ring_slab=[s for s, _ in rings],
            slab_rings_m=[ring for _, ring in rings],
        )


def units(value_m: float) -> Fraction:
    return Fraction(round(value_m * UNIT))


def exact_crossings(plan: Plan, rays: np.ndarray) -> set[Crossing]:
    """Every crossing, in fractions, with all obstacles moved by SHIFT in plan."""
    found: set[Crossing] = set()
    for pair, ray in enumerate(rays):
        ends = [units(value) for value in ray]
        for index in range(len(plan.walls)):
            met = exactly_met(plan, index, ends)
            if met is not None:
                found.add((pair, *met))
        for index, (height, rings) in enumerate(plan.slabs):
            if on_floor(units(height), rings, ends):
                found.add((pair, SLAB, index))
    return found


def exactly_met(plan: Plan, index: int, ray: list[Fraction]) -> tuple[int, int] | None:
    """Kind and index of what a ray meets of a wall."""
    ax, ay, bx, by, base, top = map(units, plan.walls[index])
    wall = (bx - ax, by - ay)
    if (ray[3] - ray[0]) * wall[1] == (ray[4] - ray[1]) * wall[0]:
        return None  # alongside, and after the shift never in the same line
    along_ray, along_wall = meeting_place(ray, (ax + SHIFT[0], ay + SHIFT[1]), wall)
    assert not {along_ray, along_wall} & {Fraction(0), Fraction(1)}
    if not (0 < along_ray < 1 and 0 < along_wall < 1):
        return None
    z = ray[2] + (ray[5] - ray[2]) * meeting_place(ray, (ax, ay), wall)[0]
    if not base <= z < top:
        return None
    x1, y1, x2, y2, *_ = plan.walls[index]
    length = Fraction(float(np.hypot(x2 - x1, y2 - y1)))
    for number, (owner, offset, width, sill, head) in enumerate(plan.openings):
        begin, end = (
            Fraction(round(Fraction(at) / length * 2**20), 2**20) for at in (offset, offset + width)
        )
        if owner == index and begin < along_wall < end and units(sill) <= z < units(head):
            return OPENING, number
    return WALL, index


def meeting_place(
    ray: list[Fraction], start: tuple[Fraction, Fraction], wall: tuple[Fraction, Fraction]
) -> tuple[Fraction, Fraction]:
    """Where along a ray, and along a wall from its start, the two lines meet in plan."""
    x, y = start[0] - ray[0], start[1] - ray[1]
    dx, dy = ray[3] - ray[0], ray[4] - ray[1]
    det = dx * wall[1] - dy * wall[0]
    return (x * wall[1] - y * wall[0]) / det, (x * dy - y * dx) / det


def on_floor(z: Fraction, rings: list[list[tuple[float, float]]], ray: list[Fraction]) -> bool:
    """Whether a ray goes through a floor."""
    if (ray[2] < z) == (ray[5] < z):
        return False
    share = (z - ray[2]) / (ray[5] - ray[2])
    x = ray[0] + (ray[3] - ray[0]) * share - SHIFT[0]
    y = ray[1] + (ray[4] - ray[1]) * share - SHIFT[1]
    return not rings or sum(exactly_inside((x, y), ring) for ring in rings) % 2 == 1


def exactly_inside(point: tuple[Fraction, Fraction], ring: list[tuple[float, float]]) -> bool:
    """By the parity of the winding number, for a point that lies on no edge."""
    x, y = point
    corners = [(units(a), units(b)) for a, b in ring]
    crossed = 0
    for (ax, ay), (bx, by) in zip(corners, [*corners[1:], corners[0]], strict=True):
        det = (bx - ax) * (y - ay) - (by - ay) * (x - ax)
        if ay < y < by:
            assert det != 0
            crossed += det > 0
        elif by < y < ay:
            assert det != 0
            crossed -= det < 0
    return crossed % 2 != 0


def compiled_crossings(plan: Plan, rays: np.ndarray) -> set[Crossing]:
    found = crossings(plan.obstacles(), rays[:, :3], rays[:, 3:])
    listed = list(zip(found.pair.tolist(), found.kind.tolist(), found.index.tolist(), strict=True))
    assert len(listed) == len(set(listed))
    return set(listed)


def lattice_plan(rng: np.random.Generator, step: float, size: int) -> tuple[Plan, np.ndarray]:
    """Walls, openings, floors and rays whose corners all lie on a coarse lattice."""

    def corner() -> tuple[float, float]:
        x, y = rng.integers(-size, size + 1, 2) * step
        return float(x), float(y)

    walls, openings = [], []
    while len(walls) < 12:
        start, end = corner(), corner()
        if start != end:
            base, top = np.sort(rng.choice(5, 2, replace=False)) * step
            walls.append((*start, *end, float(base), float(top)))
    for wall in rng.integers(0, len(walls), 10):
        ax, ay, bx, by, *_ = walls[wall]
        length = float(np.hypot(bx - ax, by - ay))
        sill, head = np.sort(rng.choice(5, 2, replace=False)) * step
        at = rng.integers(0, 4) / 4 * length
        openings.append((int(wall), at, length / 4, float(sill), float(head)))
    slabs = [(float(rng.integers(0, 5) * step), [])]
    for _ in range(3):
        rings = [[corner() for _ in range(rng.integers(3, 6))] for _ in range(rng.integers(1, 3))]
        if all(len(set(ring)) >= 3 for ring in rings):
            slabs.append((float(rng.integers(0, 5) * step), rings))
    rays = np.column_stack(
        [
            rng.integers(-size, size + 1, (150, 2)) * step,
            rng.integers(0, 5, 150) * step,
            rng.integers(-size, size + 1, (150, 2)) * step,
            rng.integers(0, 5, 150) * step,
        ]
    )
    return Plan(walls, openings, slabs), rays


WEIGHTS = np.array([1.0, 20.0, 400.0])
"""Of a wall, an opening and a floor: no plan here has 20 of one kind on a ray's way."""


def exact_counts(plan: Plan, rays: np.ndarray) -> np.ndarray:
    """Crossings of each ray by kind, as one number."""
    counts = np.zeros(len(rays))
    for pair, kind, _ in exact_crossings(plan, rays):
        counts[pair] += WEIGHTS[kind]
    return counts


def fast_counts(plan: Plan, rays: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The same by shadows, on a raster of one cell at the ray's end, and by direction."""
    obstacles = plan.obstacles()
    kinds = len(plan.walls), len(plan.openings), len(plan.slabs)
    classes = [np.full(n, kind) for kind, n in enumerate(kinds)]
    table = np.repeat(WEIGHTS[:, np.newaxis], 2, axis=1)
    shadows = np.zeros((len(rays), 1, 1, 1), np.float32)
    scattered = np.zeros(len(rays))
    for ray, ends in enumerate(rays):
        x, y, z = (int(units(end)) for end in ends[3:])
        cell = Raster(x=np.array([x]), y=np.array([y]), z=z)
        add_shadows(shadows[ray], obstacles, *classes, table, [ends[:3]], cell)
        scattered[ray] = scattered_loss_db(
            obstacles, *classes, table, [ends[:3]], [ends[3:]]
        ).item()
    return shadows.ravel(), scattered


@pytest.mark.parametrize("seed", range(8))
def test_fast_forms_on_a_lattice(seed: int) -> None:
    plan, rays = lattice_plan(np.random.default_rng(seed), 1.0, 3)
    expected = exact_counts(plan, rays)
    assert expected.max() > 400.0
    for counts in fast_counts(plan, rays):
        assert np.array_equal(counts, expected)


@pytest.mark.parametrize("seed", range(4))
def test_fast_forms_in_general_position(seed: int) -> None:
    rng = np.random.default_rng(400 + seed)
    plan, rays = lattice_plan(rng, 1.0, 3)
    plan.walls = [(*(rng.uniform(-3, 3, 4)), w[4], w[5]) for w in plan.walls]
    plan.openings = [(w, 0.3, 0.9, sill, head) for w, _, _, sill, head in plan.openings]
    rays = np.rint((rays + rng.uniform(-0.4, 0.4, rays.shape)) * UNIT) / UNIT
    expected = exact_counts(plan, rays)
    for counts in fast_counts(plan, rays):
        assert np.array_equal(counts, expected)


@pytest.mark.parametrize("seed", range(8))
def test_on_a_lattice_where_nearly_every_case_is_a_tie(seed: int) -> None:
    plan, rays = lattice_plan(np.random.default_rng(seed), 1.0, 3)
    assert compiled_crossings(plan, rays) == exact_crossings(plan, rays)


@pytest.mark.parametrize("seed", range(4))
def test_at_the_limits_of_size_where_whole_numbers_are_largest(seed: int) -> None:
    plan, rays = lattice_plan(np.random.default_rng(100 + seed), 256.0, 2)
    rays[:, [2, 5]] = np.random.default_rng(seed).choice([-2000.0, 0.0, 512.0, 2000.0], (150, 2))
    plan.walls = [(*w[:4], -2000.0, 2000.0 if i % 2 else 256.0) for i, w in enumerate(plan.walls)]
    assert compiled_crossings(plan, rays) == exact_crossings(plan, rays)


@pytest.mark.parametrize("seed", range(4))
def test_in_general_position(seed: int) -> None:
    rng = np.random.default_rng(200 + seed)
    plan, rays = lattice_plan(rng, 1.0, 3)
    plan.walls = [(*(rng.uniform(-3, 3, 4)), w[4], w[5]) for w in plan.walls]
    plan.openings = [(w, 0.3, 0.9, sill, head) for w, _, _, sill, head in plan.openings]
    rays = rays + rng.uniform(-0.4, 0.4, rays.shape)
    assert compiled_crossings(plan, rays) == exact_crossings(plan, rays)


def test_many_crossings_were_compared() -> None:
    """The lattice holds what it is meant to: every kind, and rays through corners."""
    plan, rays = lattice_plan(np.random.default_rng(0), 1.0, 3)
    found = exact_crossings(plan, rays)
    assert {kind for _, kind, _ in found} == {WALL, OPENING, SLAB}
    assert len(found) > 200
    lines = shapely.linestrings(rays[:, [0, 1, 3, 4]].reshape(-1, 2, 2))
    corners = shapely.points([wall[:2] for wall in plan.walls])
    assert np.sum(shapely.distance(lines[:, None], corners[None, :]) == 0) > 50


@pytest.mark.parametrize("seed", range(3))
def test_shapely_agrees_where_nothing_touches(seed: int) -> None:
    rng = np.random.default_rng(300 + seed)
    ends = np.rint(rng.uniform(-20, 20, (60, 4)) * UNIT) / UNIT
    outline = shapely.Point(0, 0).buffer(12).exterior.coords[:-1]
    hole = shapely.Point(2, 3).buffer(4).exterior.coords[:-1]
    plan = Plan([(*end, -10.0, 10.0) for end in ends], [], [(0.0, [outline, hole])])
    rays = np.rint(rng.uniform(-20, 20, (500, 6)) * UNIT) / UNIT
    rays[:, 2], rays[:, 5] = -5.0, 5.0

    found = crossings(plan.obstacles(), rays[:, :3], rays[:, 3:])
    lines = shapely.linestrings(rays[:, [0, 1, 3, 4]].reshape(-1, 2, 2))
    walls = shapely.linestrings(ends.reshape(-1, 2, 2))
    expected = shapely.intersects(lines[:, None], walls[None, :])
    counted = np.zeros_like(expected)
    counted[found.pair[found.kind == WALL], found.index[found.kind == WALL]] = True
    assert np.array_equal(counted, expected)

    area = shapely.Polygon(outline, [hole])
    middle = shapely.points((rays[:, 0:2] + rays[:, 3:5]) / 2)
    on_floor = np.isin(np.arange(len(rays)), found.pair[found.kind == SLAB])
    assert np.array_equal(on_floor, shapely.contains(area, middle))
