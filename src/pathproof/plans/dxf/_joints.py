"""Centre lines joined: corners and branches closed, gaps bridged where something stands in them."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pathproof.plans.dxf._pieces import BoolArray, FloatArray, IntArray
from pathproof.plans.dxf._strips import LONGEST_GAP_M, THICKEST_M
from pathproof.terms import PlanError

_SLACK_M = 0.05
_LEAST_ANGLE = np.sin(np.deg2rad(15.0))
_PARALLEL = np.cos(np.deg2rad(2.0))
_BACK_M = 0.02
_SAME_PLACE_M = 0.002
_ASIDE_M = 0.02
_SAME_THICKNESS_M = 0.012
_SMALLEST_GAP_M = 0.3  # shorter ones are faults of the drawing and become wall
_LONGEST_TOLD_M = 6.0  # a hole as long as this needs lines along it, as a garage door
_TOUCH_M = 0.15
_SQUARE_RATIO = 1.2  # free on both sides and not longer than this times its thickness: a post
_PIER_M = 1.0  # walls that touch no other and are shorter than this together

_CHUNK = 500
_MOST_NEAR = 2_000_000


@dataclass(frozen=True, slots=True)
class Strip:
    """A straight piece of wall by its centre line. [m]"""

    start: FloatArray
    end: FloatArray
    thickness_m: float
    layer: int

    @property
    def length_m(self) -> float:
        """Length. [m]"""
        return float(np.hypot(*(self.end - self.start)))

    @property
    def direction(self) -> FloatArray:
        """Unit vector from start to end."""
        way = self.end - self.start
        return np.asarray(way / np.hypot(*way))

    @property
    def left(self) -> FloatArray:
        """Unit vector to the left of the direction."""
        d = self.direction
        return np.array([-d[1], d[0]])

    def frame(self, points: FloatArray) -> FloatArray:
        """Points as distance along from the start and to the left. [m]"""
        return np.asarray((points - self.start) @ np.column_stack([self.direction, self.left]))


@dataclass(frozen=True, slots=True)
class Gap:
    """A hole between two stretches of one wall, along from its start. [m]"""

    start_m: float
    end_m: float


@dataclass(frozen=True, slots=True)
class WallLine:
    """A wall with the holes that its drawing leaves."""

    strip: Strip
    gaps: tuple[Gap, ...] = ()


Filled = Callable[[Strip, bool], bool]
"""Whether something is drawn in a hole, given as a strip; or, where True is given, along all of
it."""


def closed(strips: Sequence[Strip]) -> tuple[list[Strip], BoolArray]:
    """The strips run on to where their middles meet those of others, and which ends did so.

    An end that meets another wall's side runs on to its centre line. The second answer has shape
    (n, 2), start and end.
    """
    if not strips:
        return [], np.zeros((0, 2), dtype=bool)
    step, abuts = _steps(strips)
    moved = _moved(strips, step)
    # Where three walls form a corner, the third meets the other two only once these have met.
    later, _ = _steps(moved)
    later[np.isfinite(step)] = np.inf
    return _moved(moved, later), np.isfinite(step) | np.isfinite(later) | abuts


def _moved(strips: Sequence[Strip], step: FloatArray) -> list[Strip]:
    known = np.where(np.isfinite(step), step, 0.0)
    return [
        replace(s, start=s.start - s.direction * a, end=s.end + s.direction * b)
        if s.length_m + a + b > _SAME_PLACE_M
        else s  # shorter than the walls it meets are thick
        for s, (a, b) in zip(strips, known, strict=True)
    ]


def _steps(strips: Sequence[Strip]) -> tuple[FloatArray, BoolArray]:
    """How far each end is from the nearest wall's middle ahead, and whether it ends in a wall.

    Infinite where there is none within that wall's thickness; shape (n, 2), start and end.
    """
    walls = _Lines(*_arrays(strips))
    tree = shapely.STRtree(shapely.linestrings(np.stack([walls.start, walls.end], axis=1)))
    near = 2 * max(THICKEST_M, 2 * float(walls.half.max())) + _SLACK_M
    step = np.full((len(strips), 2), np.inf)
    abuts = np.zeros((len(strips), 2), dtype=bool)
    for side, (point, out) in enumerate(((walls.start, -walls.way), (walls.end, walls.way))):
        for i, j in _near(tree, shapely.points(point), near):
            own = i != j
            _step(walls, i[own], j[own], point, out, step[:, side], abuts[:, side])
    return step, abuts


class _Lines(NamedTuple):
    start: FloatArray
    end: FloatArray
    way: FloatArray
    half: FloatArray


def _step(
    walls: _Lines,
    i: IntArray,
    j: IntArray,
    point: FloatArray,
    out: FloatArray,
    step: FloatArray,
    abuts: BoolArray,
) -> None:
    """Fill in the answers of `_steps` for ends i with all walls j that are near them."""
    start, end, way, half = walls
    length = np.einsum("nk,nk->n", end[j] - start[j], way[j])
    apart = start[j] - point[i]
    across, slope = _cross(out[i], way[j]), np.abs(np.einsum("nk,nk->n", out[i], way[j]))
    sharp = np.abs(across) >= _LEAST_ANGLE
    safe = np.where(sharp, across, 1.0)
    ahead, along = _cross(apart, way[j]) / safe, _cross(apart, out[i]) / safe
    reach = (half[j] + slope * half[i]) / np.abs(safe) + _SLACK_M
    beyond = (half[i] + slope * half[j]) / np.abs(safe) + _SLACK_M
    hit = sharp & (ahead >= -_BACK_M) & (ahead <= reach)
    hit &= (along >= -beyond) & (along <= length + beyond)
    np.minimum.at(step, i[hit], ahead[hit])
    to_end = np.minimum(np.hypot(*apart.T), np.hypot(*(end[j] - point[i]).T))
    step[i[to_end <= _SAME_PLACE_M]] = 0.0
    foot = np.einsum("nk,nk->n", way[j], -apart)
    inside = np.abs(_cross(way[j], -apart)) <= half[j] + _SLACK_M
    inside &= ~sharp & (foot >= -_SLACK_M) & (foot <= length + _SLACK_M)
    abuts[i[inside]] = True


def _near(
    tree: shapely.STRtree, things: NDArray[np.object_], distance: float
) -> Iterator[tuple[IntArray, IntArray]]:
    """Numbers of things and of what is near each in a tree, all of a thing in one piece.

    Raises
    ------
    PlanError
        So much is near each other that it cannot be walls.
    """
    total = 0
    for k in range(0, len(things), _CHUNK):
        i, j = tree.query(things[k : k + _CHUNK], "dwithin", distance=distance)
        total += len(i)
        if total > _MOST_NEAR:
            raise PlanError(
                "Thousands of the walls found meet in one place, which no building has. Pick the "
                "layers of walls alone with --walls, without hatches and symbols."
            )
        yield i + k, j


def without_piers(walls: Sequence[WallLine]) -> tuple[list[WallLine], int]:
    """The walls that belong to a building, and how many piers and posts there are beside them."""
    if not walls:
        return [], 0
    start, end, _, _ = _arrays([w.strip for w in walls])
    tree = shapely.STRtree(shapely.linestrings(np.stack([start, end], axis=1)))
    first = list(range(len(walls)))

    def root(k: int) -> int:
        while first[k] != k:
            first[k] = first[first[k]]
            k = first[k]
        return k

    for point in (start, end):
        for some, others in _near(tree, shapely.points(point), _TOUCH_M):
            for i, j in zip(some.tolist(), others.tolist(), strict=True):
                first[root(i)] = root(j)
    total: dict[int, float] = {}
    for k, wall in enumerate(walls):
        total[root(k)] = total.get(root(k), 0.0) + wall.strip.length_m
    small = {r for r, length in total.items() if length < _PIER_M}
    return [w for k, w in enumerate(walls) if root(k) not in small], len(small)


def bridged(strips: Sequence[Strip], meets: BoolArray, filled: Filled) -> list[WallLine]:
    """Walls through the holes in which something is drawn, or that both walls end at with a line.

    `filled` says what is drawn in a hole.
    """
    if not strips:
        return []
    start, end, way, _ = _arrays(strips)
    lines = shapely.linestrings(np.stack([start, end], axis=1))
    tree = shapely.STRtree(lines)
    free = np.argwhere(~meets)
    number, last = free[:, 0], free[:, 1:] == 1
    at = np.where(last, end[number], start[number])
    to = np.where(last, way[number], -way[number])
    partner: dict[tuple[int, int], tuple[int, int]] = {}
    reach: dict[tuple[int, int], tuple[float, float]] = {}
    for a, b in _facing(strips, free, at, to):
        hole = _hole(strips[free[a][0]], at[a], at[b])
        ends = (int(free[a][0]), int(free[b][0]))
        if _blocked(tree, hole, ends):
            continue
        posts = any(_is_post(strips[k], meets[k]) for k in ends)
        if _uneven(strips, ends):
            # Its ends are not in one line: the longer wall alone goes on through the hole.
            if _is_filled(hole, filled, True):
                longer = max((a, b), key=lambda k: strips[free[k][0]].length_m)
                number, side = free[longer].tolist()
                far = float((at[b] - at[a]) @ to[a])
                reach[number, side] = (far, far)
            continue
        if (hole.length_m < _SMALLEST_GAP_M and not posts) or _is_filled(hole, filled, posts):
            one, two = (int(free[a, 0]), int(free[a, 1])), (int(free[b, 0]), int(free[b, 1]))
            partner |= {one: two, two: one}
    for k, (strip, side) in enumerate(free.tolist()):
        if (strip, side) in partner or (strip, side) in reach:
            continue
        found = _to_side(strips, tree, strip, at[k], to[k], filled)
        if found is not None:
            reach[strip, side] = found
    return _chained(strips, partner, reach)


def _arrays(
    strips: Sequence[Strip],
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    start = np.array([s.start for s in strips])
    end = np.array([s.end for s in strips])
    way = end - start
    way /= np.hypot(*way.T)[:, None]
    return start, end, way, np.array([s.thickness_m / 2 for s in strips])


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def _facing(
    strips: Sequence[Strip], free: IntArray, at: FloatArray, to: FloatArray
) -> list[tuple[int, int]]:
    """Free ends that look at each other along one line, each the other's nearest."""
    if len(free) < 2:
        return []
    rays = shapely.linestrings(np.stack([at, at + to * _LONGEST_TOLD_M], axis=1))
    thick = np.array([strips[k].thickness_m for k, _ in free])
    wide = _ASIDE_M + float(np.ptp(thick)) / 2
    parts = [np.stack(found) for found in _near(shapely.STRtree(shapely.points(at)), rays, wide)]
    i, j = np.concatenate(parts, axis=1)
    opposite = np.einsum("nk,nk->n", to[i], to[j]) <= -_PARALLEL
    ahead = np.einsum("nk,nk->n", at[j] - at[i], to[i])
    # walls of unequal thickness may have one face in one line, not their middles
    in_line = np.abs(_cross(to[i], at[j] - at[i])) <= _ASIDE_M + np.abs(thick[i] - thick[j]) / 2
    keep = (i != j) & in_line & opposite & (ahead > 0.0) & (free[i, 0] != free[j, 0])
    i, j, ahead = i[keep], j[keep], ahead[keep]
    nearest: dict[int, int] = {}
    for k in np.lexsort((j, ahead)).tolist():
        nearest.setdefault(int(i[k]), int(j[k]))
    return [(a, b) for a, b in nearest.items() if a < b and nearest.get(b) == a]


def _uneven(strips: Sequence[Strip], ends: tuple[int, int]) -> bool:
    a, b = (strips[k].thickness_m for k in ends)
    return abs(a - b) > _SAME_THICKNESS_M


def _hole(wall: Strip, start: FloatArray, end: FloatArray) -> Strip:
    return Strip(start, end, wall.thickness_m, wall.layer)


def _blocked(tree: shapely.STRtree, hole: Strip, ends: tuple[int, ...]) -> bool:
    """Whether another wall stands in the hole."""
    line = shapely.LineString([hole.start, hole.end])
    return bool(set(tree.query(line, "intersects").tolist()) - set(ends))


def _is_filled(hole: Strip, filled: Filled, posts: bool) -> bool:
    if hole.length_m > _LONGEST_TOLD_M:
        return False
    return filled(hole, posts or hole.length_m > LONGEST_GAP_M)


def _is_post(strip: Strip, meets: BoolArray) -> bool:
    return not meets.any() and strip.length_m <= _SQUARE_RATIO * strip.thickness_m


def _to_side(
    strips: Sequence[Strip],
    tree: shapely.STRtree,
    number: int,
    at: FloatArray,
    to: FloatArray,
    filled: Filled,
) -> tuple[float, float] | None:
    """How far an end is from the face and the middle of the wall ahead, a door between them."""
    ray = shapely.LineString([at + to * _SLACK_M, at + to * (LONGEST_GAP_M + THICKEST_M)])
    best: tuple[float, float] | None = None
    for k in tree.query(ray, "intersects").tolist():
        other = strips[k]
        across = float(to[0] * other.direction[1] - to[1] * other.direction[0])
        if k == number or abs(across) < _LEAST_ANGLE:
            continue
        away = other.start - at
        middle = float(away[0] * other.direction[1] - away[1] * other.direction[0]) / across
        face = middle - other.thickness_m / 2 / abs(across)
        if best is None or middle < best[1]:
            best = (face, middle)
    if best is None or not _SMALLEST_GAP_M <= best[0] <= LONGEST_GAP_M:
        return None
    return best if filled(_hole(strips[number], at, at + to * best[0]), True) else None


def _chained(
    strips: Sequence[Strip],
    partner: dict[tuple[int, int], tuple[int, int]],
    reach: dict[tuple[int, int], tuple[float, float]],
) -> list[WallLine]:
    """Walls of strips that go on through holes."""
    done: set[int] = set()
    walls = []
    for k in range(len(strips)):
        if k in done or ((k, 0) in partner and (k, 1) in partner):
            continue
        side = 1 if (k, 0) not in partner else 0
        chain = [(k, side)]
        while chain[-1] in partner:
            number, near = partner[chain[-1]]
            chain.append((number, 1 - near))
        done |= {number for number, _ in chain}
        walls.append(_one_wall(strips, chain, reach))
    return walls


def _one_wall(
    strips: Sequence[Strip],
    chain: Sequence[tuple[int, int]],
    reach: dict[tuple[int, int], tuple[float, float]],
) -> WallLine:
    ends = []
    for number, side in chain:
        strip = strips[number]
        ends.append((strip.start, strip.end) if side == 1 else (strip.end, strip.start))
    first, last = ends[0][0], ends[-1][1]
    d = (last - first) / np.hypot(*(last - first))
    before = reach.get((chain[0][0], 1 - chain[0][1]))
    after = reach.get(chain[-1])
    start = first - d * before[1] if before else first
    end = last + d * after[1] if after else last

    def along(point: FloatArray) -> float:
        return float((point - start) @ d)

    holes = [Gap(along(a[1]), along(b[0])) for a, b in pairwise(ends)]
    if before:
        holes.append(Gap(before[1] - before[0], before[1]))
    if after:
        holes.append(Gap(along(last), along(last) + after[0]))
    longest = max((strips[number] for number, _ in chain), key=lambda s: s.length_m)
    kept = tuple(g for g in sorted(holes, key=lambda g: g.start_m) if _wide(g))
    return WallLine(Strip(start, end, longest.thickness_m, longest.layer), kept)


def _wide(gap: Gap) -> bool:
    return gap.end_m - gap.start_m >= _SMALLEST_GAP_M
