"""What must not change what a ray crosses, on plans where almost everything touches."""

from typing import Any, NamedTuple

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from pathproof.calc.radio.crossings import (
    OPENING,
    WALL,
    Obstacles,
    crossed_loss_db,
    crossings,
)

places = st.integers(-4, 4)
points = st.tuples(places, places)
heights = st.integers(0, 4)
spans = st.sampled_from([(low, high) for low in range(5) for high in range(low + 1, 5)])


class Wall(NamedTuple):
    """One wall of whole metres, with at most one opening that fits it."""

    start: tuple[int, int]
    end: tuple[int, int]
    base: int
    top: int
    opening: tuple[float, float, int, int] | None  # from, to as shares of the wall; sill, head


shares = [(a, b) for a in (0.0, 0.25, 0.5) for b in (0.5, 0.75, 1.0) if a < b]
openings = st.none() | st.builds(lambda o, span: (*o, *span), st.sampled_from(shares), spans)
walls = st.builds(
    lambda start, end, span, opening: Wall(
        start, end if end != start else (end[0] + 1, end[1]), *span, opening
    ),
    points,
    points,
    spans,
    openings,
)
plans = st.lists(walls, min_size=1, max_size=8)
ends = st.tuples(places, places, heights)
rays = st.lists(st.tuples(ends, ends), min_size=1, max_size=12)


def length_m(wall: Wall) -> float:
    return float(np.hypot(wall.end[0] - wall.start[0], wall.end[1] - wall.start[1]))


def obstacles(plan: list[Wall], **slabs: Any) -> Obstacles:
    held = [(i, length_m(w), *w.opening) for i, w in enumerate(plan) if w.opening]
    return Obstacles.from_arrays(
        [w.start for w in plan],
        [w.end for w in plan],
        [w.base for w in plan],
        [w.top for w in plan],
        opening_wall=[i for i, *_ in held],
        opening_offset_m=[length * begin for _, length, begin, *_ in held],
        opening_width_m=[length * (end - begin) for _, length, begin, end, *_ in held],
        opening_sill_m=[sill for *_, sill, _ in held],
        opening_head_m=[head for *_, head in held],
        **slabs,
    )


def what_is_met(plan: list[Wall], start: Any, end: Any) -> list[tuple[int, int, Any]]:
    """Ray, kind and which wall (by what it is, not its number) for every crossing, sorted."""
    found = crossings(obstacles(plan), start, end)
    owners = [i for i, wall in enumerate(plan) if wall.opening]
    wall_of = {WALL: range(len(plan)), OPENING: owners}
    met = zip(found.pair.tolist(), found.kind.tolist(), found.index.tolist(), strict=True)
    return sorted(((pair, kind, plan[wall_of[kind][i]]) for pair, kind, i in met), key=repr)


def counted(plan: list[Wall], start: Any, end: Any) -> list[tuple[int, int]]:
    """Ray and kind of every crossing, sorted; for plans whose walls were cut up."""
    found = crossings(obstacles(plan), start, end)
    return sorted(zip(found.pair.tolist(), found.kind.tolist(), strict=True))


@given(plans, rays, st.lists(st.tuples(points, heights), max_size=2))
def test_direction_of_the_ray(
    plan: list[Wall], pairs: list[Any], floors: list[tuple[tuple[int, int], int]]
) -> None:
    slabs = {
        "slab_z_m": [z for _, z in floors],
        "slab_ring_slab": list(range(len(floors))),
        "slab_rings_m": [[(x, y), (x + 3, y), (x + 3, y + 2), (x, y + 3)] for (x, y), _ in floors],
    }
    start, end = zip(*pairs, strict=True)
    there = crossings(obstacles(plan, **slabs), start, end)
    back = crossings(obstacles(plan, **slabs), end, start)
    key_there = np.lexsort((there.index, there.kind, there.pair))
    key_back = np.lexsort((back.index, back.kind, back.pair))
    for name in ("pair", "kind", "index", "cos_incidence"):
        assert np.array_equal(getattr(there, name)[key_there], getattr(back, name)[key_back])
    assert np.allclose(there.share[key_there], 1.0 - back.share[key_back], rtol=0, atol=1e-12)

    table = np.linspace(9.0, 4.0, 65)[np.newaxis, :]
    classes = [np.zeros(len(x), int) for x in (plan, [w for w in plan if w.opening], floors)]
    losses = [
        crossed_loss_db(obstacles(plan, **slabs), *classes, table, *ray)
        for ray in ((start, end), (end, start))
    ]
    assert np.array_equal(losses[0], losses[1])


@given(plans, rays, st.lists(st.booleans(), min_size=8, max_size=8))
def test_order_of_a_walls_ends(plan: list[Wall], pairs: list[Any], turned: list[bool]) -> None:
    def turn(wall: Wall) -> Wall:
        hole = wall.opening and (1 - wall.opening[1], 1 - wall.opening[0], *wall.opening[2:])
        return Wall(wall.end, wall.start, wall.base, wall.top, hole)

    other = [turn(w) if t else w for w, t in zip(plan, turned, strict=False)]
    start, end = zip(*pairs, strict=True)
    found = [crossings(obstacles(p), start, end) for p in (plan, other)]
    for name in ("pair", "kind", "index", "share", "cos_incidence"):
        assert np.array_equal(getattr(found[0], name), getattr(found[1], name))


@given(plans, rays, st.randoms(use_true_random=False))
def test_order_of_walls(plan: list[Wall], pairs: list[Any], random: Any) -> None:
    other = random.sample(plan, len(plan))
    start, end = zip(*pairs, strict=True)
    assert what_is_met(plan, start, end) == what_is_met(other, start, end)


@given(plans, rays)
def test_a_wall_in_two_pieces(plan: list[Wall], pairs: list[Any]) -> None:
    # in the middle, which is on the lattice of 1/1024 m, and so at the jamb of some openings
    pieces = []
    for wall in plan:
        middle = tuple((a + b) / 2 for a, b in zip(wall.start, wall.end, strict=True))
        begin, end, *span = wall.opening or (0.0, 0.0, 0, 0)
        for (near, far), low, high in (
            ((wall.start, middle), 0.0, 0.5),
            ((middle, wall.end), 0.5, 1.0),
        ):
            inner = (max(begin, low) * 2 - 2 * low, min(end, high) * 2 - 2 * low)
            hole = (*inner, *span) if inner[0] < inner[1] else None
            pieces.append(Wall(near, far, wall.base, wall.top, hole))  # type: ignore[arg-type]
    start, end = zip(*pairs, strict=True)
    assert counted(plan, start, end) == counted(pieces, start, end)


@given(plans, rays, st.sampled_from([0.5, 1.5, 2.0, 2.5]))
def test_a_wall_in_two_heights(plan: list[Wall], pairs: list[Any], at: float) -> None:
    pieces = []
    for wall in plan:
        cut = wall.base < at < wall.top
        spans = [(wall.base, at), (at, wall.top)] if cut else [(wall.base, wall.top)]
        pieces += [wall._replace(base=low, top=high) for low, high in spans]
    start, end = zip(*pairs, strict=True)
    assert counted(plan, start, end) == counted(pieces, start, end)


@given(
    plans,
    walls.map(lambda wall: wall._replace(opening=None)),
    rays,
    st.lists(st.floats(0.0, 40.0), min_size=3, max_size=3),
)
def test_one_more_wall_never_lowers_the_loss(
    plan: list[Wall], more: Wall, pairs: list[Any], losses: list[float]
) -> None:
    table = np.outer(losses, np.linspace(1.5, 1.0, 65))
    start, end = zip(*pairs, strict=True)
    classes = np.arange(len(plan) + 1) % 2
    holes = np.full(sum(w.opening is not None for w in plan), 2)
    before = crossed_loss_db(obstacles(plan), classes[:-1], holes, [], table, start, end)
    after = crossed_loss_db(obstacles([*plan, more]), classes, holes, [], table, start, end)
    assert np.all(after >= before)


@given(points, st.integers(1, 5), st.integers(1, 5), rays)
def test_a_closed_room_is_left_as_often_as_it_is_entered(
    corner: tuple[int, int], w: int, d: int, pairs: list[Any]
) -> None:
    x, y = corner
    ring = [(x, y), (x + w, y), (x + w, y + d), (x, y + d)]
    room = Obstacles.from_arrays(ring, ring[1:] + ring[:1], [-9] * 4, [9] * 4)
    found = crossings(room, *zip(*pairs, strict=True))
    for pair, ends in enumerate(pairs):
        inside = [x < px < x + w and y < py < y + d for px, py, _ in ends]
        outside = [not (x <= px <= x + w and y <= py <= y + d) for px, py, _ in ends]
        if all(a or b for a, b in zip(inside, outside, strict=True)):  # none on a wall
            crossed = np.count_nonzero(found.pair == pair)
            assert crossed % 2 == (inside[0] != inside[1])
            assert crossed <= 2
