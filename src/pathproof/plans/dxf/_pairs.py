"""Double lines to walls: each face with the nearest one beside it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from pathproof.plans.dxf._faces import Faces
from pathproof.plans.dxf._pieces import BoolArray, FloatArray, IntArray
from pathproof.plans.dxf._strips import (
    CHUNK,
    EQUAL_M,
    MOST_PAIRS,
    SAME_M,
    SLACK_M,
    THICKEST_M,
    THINNEST_M,
    Pair,
    check_count,
    drawn_once,
    say_touching,
    without_strips,
)
from pathproof.plans.report import ReportBuilder

_SHORTEST_M = 0.02
_AT_END_M = 0.005
_MOST_BESIDE = 40  # more lines beside one, within the thickest wall, at one place are a hatch
_MOST_WALLS = 50_000


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
    check_count(len(found), _MOST_WALLS)
    used = np.zeros(faces.count)
    for p in found:
        used[[p.lower, p.upper]] += p.length_m
    walls, panes = without_strips(drawn_once(found, report), report, thickest_m)
    say_touching(walls, report)
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
    for k in range(0, faces.count, CHUNK):
        some = slice(k, k + CHUNK)
        zone = shapely.box(
            faces.low[some] + _SHORTEST_M,
            row[some] + THINNEST_M - SLACK_M,
            np.maximum(faces.high[some] - _SHORTEST_M, faces.low[some] + _SHORTEST_M),
            row[some] + thickest_m + SLACK_M,
        )
        i, j = tree.query(zone, "intersects")
        many = _depth(faces, i + k, j)[some] > _MOST_BESIDE
        hatch += int(many.sum())
        parts.append(np.stack([i[~many[i]] + k, j[~many[i]]]))
        total += parts[-1].shape[1]
        check_count(total, MOST_PAIRS)
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
    return np.minimum(np.abs(known[left] - value), np.abs(known[right] - value)) <= SAME_M


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
            if shared and after.low - last.high <= thickest_m + EQUAL_M:
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
    same = a.group == b.group and abs(a.middle - b.middle) <= SAME_M
    return same and abs(a.thickness_m - b.thickness_m) <= SAME_M
