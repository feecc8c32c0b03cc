"""Double lines to walls: each face with the nearest one beside it, closets and stairs left out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from pathproof.plans.dxf._faces import Faces
from pathproof.plans.dxf._pieces import BoolArray, FloatArray, IntArray
from pathproof.plans.report import ReportBuilder
from pathproof.terms import PlanError

THINNEST_M, THICKEST_M = 0.05, 0.5
LONGEST_GAP_M = 2.5
"""Up to this long a hole without lines in it is taken for a door; shorter panes are a window's."""

_SLACK_M = 0.002
_SAME_M = 0.003
_EQUAL_M = 0.01
_SHORTEST_M = 0.02
_COVERED_RATIO = 0.5
_ALL_ALONG_RATIO = 0.95
_TREADS = 4
_LONG_RATIO = 3.0  # shorter than this times its thickness, and in no line of walls: a post
_AT_END_M = 0.005
_MOST_BESIDE = 40  # more lines beside one, within the thickest wall, at one place are a hatch
_PLASTER_M = 0.05
_CHUNK = 2000
_MOST_PAIRS = 1_000_000
_MOST_WALLS = 50_000


@dataclass(frozen=True, slots=True)
class Pair:
    """A stretch of wall between two faces of one direction."""

    lower: int
    upper: int
    group: int
    low: float
    high: float
    """Ends along the direction. [m]"""
    middle: float
    """Offset of the centre line. [m]"""
    thickness_m: float

    @property
    def length_m(self) -> float:
        """Length. [m]"""
        return self.high - self.low


@dataclass(frozen=True, slots=True)
class Paired:
    """What became of faces."""

    walls: list[Pair]
    single: IntArray
    """Faces of which less than half became a wall's, by number."""
    panes: list[Pair]
    """Stretches in line with walls that lines along them show to be windows."""


def paired(faces: Faces, report: ReportBuilder, thickest_m: float = THICKEST_M) -> Paired:
    """Walls between faces up to `thickest_m` apart; what only looks like one is reported.

    Raises
    ------
    PlanError
        So many parallel lines lie beside each other that they cannot be walls.
    """
    lower, upper, apart = _beside(faces, report, thickest_m)
    overlap = np.minimum(faces.high[lower], faces.high[upper]) - np.maximum(
        faces.low[lower], faces.low[upper]
    )
    long = overlap >= 0.95 * apart
    taken = _Taken()
    first = list(_assigned(faces, lower[long], upper[long], apart[long], taken))
    known = np.unique(np.round([p.thickness_m for p in first], 3))
    caps = _caps(faces, first)
    short = ~long & _any_near(apart, known) & ~caps[lower] & ~caps[upper]
    found = first + list(_assigned(faces, lower[short], upper[short], apart[short], taken))
    _check_count(len(found), _MOST_WALLS)
    used = np.zeros(faces.count)
    for p in found:
        used[[p.lower, p.upper]] += p.length_m
    walls, panes = _without_strips(_drawn_once(found, report), report, thickest_m)
    _say_touching(walls, report)
    single = np.flatnonzero(used < 0.5 * faces.length_m)
    return Paired(_joined_at_branches(walls, thickest_m), single, panes)


def _beside(
    faces: Faces, report: ReportBuilder, thickest_m: float
) -> tuple[IntArray, IntArray, FloatArray]:
    """Every two faces that overlap at a wall's distance, the nearest first."""
    empty = np.zeros(0, dtype=np.int64)
    if faces.count < 2:
        return empty, empty, np.zeros(0)
    row = faces.offset + faces.group * (4.0 * np.abs(faces.offset).max() + 4.0)
    tree = shapely.STRtree(shapely.box(faces.low, row, faces.high, row + 1e-6))
    parts, hatch, total = [], 0, 0
    for k in range(0, faces.count, _CHUNK):
        some = slice(k, k + _CHUNK)
        zone = shapely.box(
            faces.low[some] + _SHORTEST_M,
            row[some] + THINNEST_M - _SLACK_M,
            np.maximum(faces.high[some] - _SHORTEST_M, faces.low[some] + _SHORTEST_M),
            row[some] + thickest_m + _SLACK_M,
        )
        i, j = tree.query(zone, "intersects")
        many = _depth(faces, i + k, j)[some] > _MOST_BESIDE
        hatch += int(many.sum())
        parts.append(np.stack([i[~many[i]] + k, j[~many[i]]]))
        total += parts[-1].shape[1]
        _check_count(total, _MOST_PAIRS)
    report.left_out("line on a wall layer", "so many beside it that it is a hatch", hatch)
    lower, upper = np.concatenate(parts, axis=1)
    apart = faces.offset[upper] - faces.offset[lower]
    order = np.lexsort((upper, lower, np.round(apart, 4)))
    return lower[order], upper[order], apart[order]


def _depth(faces: Faces, of: IntArray, beside: IntArray) -> FloatArray:
    """How many lines lie beside each face at one place, on average along it."""
    overlap = np.minimum(faces.high[of], faces.high[beside]) - np.maximum(
        faces.low[of], faces.low[beside]
    )
    shared = np.bincount(of, weights=np.maximum(overlap, 0.0), minlength=faces.count)
    depth: FloatArray = shared / np.maximum(faces.length_m, _SHORTEST_M)
    return depth


def _check_count(count: int, most: int) -> None:
    if count > most:
        raise PlanError(
            f"The layers taken for walls hold more than {most:,} pairs of lines beside each other, "
            "which no building has. Pick the layers of walls alone with --walls, without hatches."
        )


class _Taken:
    """Which stretches of each side of each face are a wall's already."""

    def __init__(self) -> None:
        self._by_side: dict[tuple[int, bool], list[tuple[float, float]]] = {}

    def free(
        self, lower: int, upper: int, low: float, high: float
    ) -> Iterator[tuple[float, float]]:
        """What is left of a stretch, which is then taken."""
        above = self._by_side.setdefault((lower, True), [])
        below = self._by_side.setdefault((upper, False), [])
        at = low
        left = []
        for a, b in sorted(x for x in (*above, *below) if x[1] > low and x[0] < high):
            if a - at > _SHORTEST_M:
                left.append((at, a))
            at = max(at, b)
        if high - at > _SHORTEST_M:
            left.append((at, high))
        above += left
        below += left
        yield from left


def _assigned(
    faces: Faces, lower: IntArray, upper: IntArray, apart: FloatArray, taken: _Taken
) -> Iterator[Pair]:
    low = np.maximum(faces.low[lower], faces.low[upper])
    high = np.minimum(faces.high[lower], faces.high[upper])
    middle = (faces.offset[lower] + faces.offset[upper]) / 2
    group = faces.group[lower]
    rows = zip(*(x.tolist() for x in (lower, upper, group, low, high, middle, apart)), strict=True)
    for i, j, g, a, b, m, t in rows:
        for start, end in taken.free(i, j, a, b):
            yield Pair(i, j, g, start, end, m, t)


def _any_near(value: FloatArray, known: FloatArray) -> BoolArray:
    if not len(known):
        return np.zeros(len(value), dtype=bool)
    right = np.clip(np.searchsorted(known, value), 0, len(known) - 1)
    left = np.maximum(right - 1, 0)
    return np.minimum(np.abs(known[left] - value), np.abs(known[right] - value)) <= _SAME_M


def _caps(faces: Faces, found: Sequence[Pair]) -> BoolArray:
    """Which faces close the end of a wall: from face to face of it, across."""
    caps = np.zeros(faces.count, dtype=bool)
    if not found:
        return caps
    lines = faces.lines()
    tree = shapely.STRtree(shapely.points(lines.mean(axis=1)))
    ends = np.array([faces.at(p.group, s, p.middle) for p in found for s in (p.low, p.high)])
    thick = np.repeat([p.thickness_m for p in found], 2)
    end, face = tree.query(shapely.points(ends), "dwithin", distance=_AT_END_M)
    fits = np.abs(faces.length_m[face] - thick[end]) <= 2 * _AT_END_M
    caps[face[fits]] = True
    return caps


def _drawn_once(found: Sequence[Pair], report: ReportBuilder) -> list[Pair]:
    """The walls without those within another, whose lines are its plaster's inner edges."""
    within: set[int] = set()
    for k, i in _side_by_side(found, _PLASTER_M):
        inner, outer = (k, i) if found[k].thickness_m < found[i].thickness_m else (i, k)
        if _is_within(found[inner], found[outer]):
            within.add(inner)
    report.left_out("two parallel lines", "within another wall, such as its plaster", len(within))
    return [p for k, p in enumerate(found) if k not in within]


def _side_by_side(found: Sequence[Pair], most_m: float) -> Iterator[tuple[int, int]]:
    """Every two walls of one direction whose middles are up to so far from each other."""
    if not found:
        return
    group, middle, low, high = np.array([(p.group, p.middle, p.low, p.high) for p in found]).T
    row = middle + group * (4.0 * np.abs(middle).max() + 4.0)
    lines = shapely.linestrings(np.stack([low, row, high, row], axis=1).reshape(-1, 2, 2))
    tree, total = shapely.STRtree(lines), 0
    for k in range(0, len(found), _CHUNK):
        some, others = tree.query(lines[k : k + _CHUNK], "dwithin", distance=most_m)
        total += len(some)
        _check_count(total, _MOST_PAIRS)
        yield from (
            (i + k, j) for i, j in zip(some.tolist(), others.tolist(), strict=True) if i + k < j
        )


def _is_within(inner: Pair, outer: Pair) -> bool:
    spare = (outer.thickness_m - inner.thickness_m) / 2
    off = abs(outer.middle - inner.middle)
    both_sides = spare - off > _SAME_M and spare + off <= _PLASTER_M
    return both_sides and _covered(inner, [outer])


def _without_strips(
    found: Sequence[Pair], report: ReportBuilder, thickest_m: float
) -> tuple[list[Pair], list[Pair]]:
    """The walls without what only looks like one, and the windows among the latter."""
    above, below = _neighbours(found)
    ends = _ends(found)
    dropped: dict[int, str] = {}
    wider: dict[int, Pair] = {}
    panes: list[Pair] = []
    for chain in _equal_chains(found, above):
        members = [found[k] for k in chain]
        one = _all_of(members)
        if len(chain) >= _TREADS and _as_long(members):
            dropped |= dict.fromkeys(chain, "four or more strips of one width, such as stairs")
        elif one.length_m <= LONGEST_GAP_M and _in_line(one, ends):
            dropped |= dict.fromkeys(chain, "panes of a window")
            panes.append(one)
        elif one.length_m <= min(_LONG_RATIO * one.thickness_m, LONGEST_GAP_M):
            dropped |= dict.fromkeys(chain, "panes of a window, or posts")
        elif len(chain) == 2 and _is_one_wall(members, thickest_m):
            wider[chain[0]] = one
            dropped[chain[1]] = ""
    for k, p in enumerate(found):
        if k in dropped or k in wider:
            continue
        if _is_room([p, *(found[i] for i in above[k])], [p, *(found[i] for i in below[k])]):
            dropped[k] = "a strip of room between two walls, such as a closet"
    for why in dropped.values():
        if why:
            report.left_out("two parallel lines", why)
    return [wider.get(k, p) for k, p in enumerate(found) if k not in dropped], panes


def _is_room(up: Sequence[Pair], down: Sequence[Pair]) -> bool:
    """Whether a strip, the first of both, is a narrow room between the others, its walls.

    One between walls as long as it, or wider than what stands against it; what is not, is a wall
    with linings, shafts or piers on both sides.
    """
    strip = up[0]
    walls = [*up[1:], *down[1:]]
    wide = all(p.thickness_m < strip.thickness_m for p in walls)
    least = _COVERED_RATIO if wide else _ALL_ALONG_RATIO
    return all(_covered(strip, side[1:], least) for side in (up, down))


def _as_long(members: Sequence[Pair]) -> bool:
    lengths = [p.length_m for p in members]
    return min(lengths) >= _COVERED_RATIO * max(lengths)


def _all_of(members: Sequence[Pair]) -> Pair:
    """One strip from the outer faces of several side by side."""
    ordered = sorted(members, key=lambda p: p.middle)
    first, last = ordered[0], ordered[-1]
    lower, upper = first.middle - first.thickness_m / 2, last.middle + last.thickness_m / 2
    low, high = min(p.low for p in members), max(p.high for p in members)
    return Pair(first.lower, last.upper, first.group, low, high, (lower + upper) / 2, upper - lower)


def _is_one_wall(members: Sequence[Pair], thickest_m: float) -> bool:
    """Whether two strips are as long, with their middle line between them.

    What is shorter is a pier, a shaft or another room against a wall.
    """
    a, b = members
    uneven = max(abs(a.low - b.low), abs(a.high - b.high))
    return uneven <= a.thickness_m + b.thickness_m <= thickest_m + _SLACK_M


def _ends(found: Sequence[Pair]) -> dict[tuple[int, int], list[Pair]]:
    """The walls by direction and by the place of their ends along it, in steps of 0.1 m."""
    ends: dict[tuple[int, int], list[Pair]] = {}
    for p in found:
        for place in {round(10 * p.low), round(10 * p.high)}:
            ends.setdefault((p.group, place), []).append(p)
    return ends


def _in_line(strip: Pair, ends: dict[tuple[int, int], list[Pair]]) -> bool:
    """Whether a wall as thick as the strip goes on where that ends."""
    for at in (strip.low, strip.high):
        for place in range(round(10 * at) - 1, round(10 * at) + 2):
            for p in ends.get((strip.group, place), []):
                off = abs(p.middle - strip.middle) + abs(p.thickness_m - strip.thickness_m) / 2
                if off <= _EQUAL_M and _overlap(p, strip) <= _EQUAL_M:
                    return True
    return False


def _neighbours(found: Sequence[Pair]) -> tuple[list[list[int]], list[list[int]]]:
    """For each wall those that share its upper and its lower face on the other side."""
    of_lower: dict[int, list[int]] = {}
    of_upper: dict[int, list[int]] = {}
    for k, p in enumerate(found):
        of_lower.setdefault(p.lower, []).append(k)
        of_upper.setdefault(p.upper, []).append(k)
    return (
        [[i for i in of_lower.get(p.upper, []) if _overlap(p, found[i]) > 0] for p in found],
        [[i for i in of_upper.get(p.lower, []) if _overlap(p, found[i]) > 0] for p in found],
    )


def _say_touching(walls: Sequence[Pair], report: ReportBuilder) -> None:
    above, _ = _neighbours(walls)
    for k, p in enumerate(walls):
        for i in above[k]:
            if _overlap(p, walls[i]) >= _COVERED_RATIO * min(p.length_m, walls[i].length_m):
                why = "perhaps two layers of one wall; [layers] in the notes says what each is"
                report.guessed("two parallel walls that touch", "walls of their own", why)


def _overlap(a: Pair, b: Pair) -> float:
    return min(a.high, b.high) - max(a.low, b.low)


def _covered(p: Pair, others: Sequence[Pair], least: float = _COVERED_RATIO) -> bool:
    return sum(_overlap(p, other) for other in others) >= least * p.length_m


def _equal_chains(found: Sequence[Pair], above: Sequence[Sequence[int]]) -> list[list[int]]:
    """Strips of one width side by side, two or more of them."""
    chain = list(range(len(found)))

    def first(k: int) -> int:
        while chain[k] != k:
            chain[k] = chain[chain[k]]
            k = chain[k]
        return k

    for k, p in enumerate(found):
        for i in above[k]:
            q = found[i]
            if (
                abs(p.thickness_m - q.thickness_m) <= _EQUAL_M
                and _covered(p, [q])
                and _covered(q, [p])
            ):
                chain[first(i)] = first(k)
    members: dict[int, list[int]] = {}
    for k in range(len(found)):
        members.setdefault(first(k), []).append(k)
    return [m for m in members.values() if len(m) > 1]


def _joined_at_branches(found: Sequence[Pair], thickest_m: float) -> list[Pair]:
    """The walls without the gaps that a branch leaves in one of the faces."""
    ordered = sorted(found, key=lambda p: (p.group, round(p.middle, 2), p.low))
    by_line: list[list[Pair]] = []
    for p in ordered:
        if by_line and _go_on(by_line[-1][-1], p):
            by_line[-1].append(p)
        else:
            by_line.append([p])
    joined = []
    for row in by_line:
        run = [row[0]]
        for after in row[1:]:
            last = run[-1]
            shared = last.lower == after.lower or last.upper == after.upper
            if shared and after.low - last.high <= thickest_m + _EQUAL_M:
                run[-1] = Pair(
                    last.lower,
                    last.upper,
                    last.group,
                    last.low,
                    max(last.high, after.high),
                    last.middle,
                    last.thickness_m,
                )
            else:
                run.append(after)
        joined += run
    return joined


def _go_on(a: Pair, b: Pair) -> bool:
    same = a.group == b.group and abs(a.middle - b.middle) <= _SAME_M
    return same and abs(a.thickness_m - b.thickness_m) <= _SAME_M
