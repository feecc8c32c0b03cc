"""Runs made fit for a plan: duplicates dropped, corners closed, outside on the left."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from pathproof.plans.ifc import _lines
from pathproof.plans.ifc._bodies import FloatArray
from pathproof.plans.ifc._runs import Run
from pathproof.plans.ifc._storeys import Storey, stand_in
from pathproof.plans.report import ReportBuilder

_SAME_DIRECTION = np.cos(np.deg2rad(1.0))
_SAME_VOLUME_RATIO = 0.6
_LEAST_ANGLE = np.sin(np.deg2rad(20.0))
_SLACK_M = 0.05
_OUTSIDE_M = 0.6
_GAP_M = 0.3


def without_duplicates(
    runs: Sequence[Run], report: ReportBuilder
) -> tuple[list[Run], dict[int, int]]:
    """The runs without those that share most of their volume with a better one, and its twin.

    Walls that touch face to face are real and stay; of two in the same place the one with fewer
    layers goes. The second answer gives, by step number, the wall that stands for a dropped one.
    """
    prints = np.array([r.footprint for r in runs], dtype=object)
    pairs = shapely.STRtree(prints).query(prints, "intersects").T.tolist()
    dropped: dict[int, int] = {}
    for i, j in sorted(pairs):
        if i < j and not dropped.keys() & {i, j} and _same_place(runs[i], runs[j]):
            worse, better = (j, i) if _layer_count(runs[i]) >= _layer_count(runs[j]) else (i, j)
            dropped[worse] = better
            report.left_out("wall", "stands in the same place as another wall")
    twins = {runs[worse].step_id: runs[_last(dropped, worse)].step_id for worse in dropped}
    return [r for k, r in enumerate(runs) if k not in dropped], twins


def _last(dropped: Mapping[int, int], index: int) -> int:
    while index in dropped:
        index = dropped[index]
    return index


def _layer_count(run: Run) -> int:
    return len(run.build_up.layers)


def _same_place(a: Run, b: Run) -> bool:
    if a.step_id == b.step_id or abs(float(a.direction @ b.direction)) < _SAME_DIRECTION:
        return False
    height = min(a.z_max, b.z_max) - max(a.z_min, b.z_min)
    if height <= 0:
        return False
    shared = height * float(a.footprint.intersection(b.footprint).area)
    smaller = min(r.footprint.area * (r.z_max - r.z_min) for r in (a, b))
    return bool(shared > _SAME_VOLUME_RATIO * smaller)


@dataclass(frozen=True, slots=True)
class _End:
    run: int
    last: bool
    at: FloatArray
    outward: FloatArray
    half_m: float


def with_closed_corners(runs: Sequence[Run]) -> list[Run]:
    """The runs with the ends of two walls that form a corner moved to where their middles meet.

    Thick walls come first, so that a lining does not take the corner of the walls it lines.

    Without it a ray could slip through the corner between two centre lines that end at each
    other's faces. Where a wall ends at the side of another there is no such gap.
    """
    ends = [e for i, run in enumerate(runs) for e in _ends(i, run)]
    if not ends:
        return list(runs)
    reach = [shapely.Point(e.at).buffer(2 * e.half_m + _SLACK_M) for e in ends]
    found: list[tuple[float, float, int, int, float, float]] = []
    for i, j in shapely.STRtree(reach).query(reach, "intersects").T.tolist():
        if i < j and ends[i].run != ends[j].run and _overlap_in_height(runs, ends[i], ends[j]):
            steps = _to_corner(ends[i], ends[j])
            if steps is not None:
                thinner = round(min(ends[i].half_m, ends[j].half_m), 3)
                found.append((-thinner, abs(steps[0]) + abs(steps[1]), i, j, *steps))
    moves = np.zeros((len(runs), 2))
    used: set[int] = set()
    for _, _, i, j, step_i, step_j in sorted(found):
        if not used & {i, j}:
            used |= {i, j}
            moves[ends[i].run, int(ends[i].last)] = step_i
            moves[ends[j].run, int(ends[j].last)] = step_j
    return [_moved(run, *move) for run, move in zip(runs, moves, strict=True)]


def _moved(run: Run, before_m: float, after_m: float) -> Run:
    first, last = (float(np.hypot(*(run.line[k + 1] - run.line[k]))) for k in (0, -2))
    left = min(first + before_m, last + after_m, run.length_m + before_m + after_m)
    if left < _SLACK_M:
        return run
    return run.with_ends(before_m, after_m) if before_m or after_m else run


def _ends(index: int, run: Run) -> list[_End]:
    line, half = run.line, run.thickness_m / 2.0
    if _lines.is_closed(line):
        return []
    return [
        _End(index, False, line[0], _lines.unit(line[0] - line[1]), half),
        _End(index, True, line[-1], _lines.unit(line[-1] - line[-2]), half),
    ]


def _overlap_in_height(runs: Sequence[Run], a: _End, b: _End) -> bool:
    one, two = runs[a.run], runs[b.run]
    height = min(one.z_max, two.z_max) - max(one.z_min, two.z_min)
    return height > 0.5 * min(one.z_max - one.z_min, two.z_max - two.z_min)


def _to_corner(a: _End, b: _End) -> tuple[float, float] | None:
    """How far each end goes on (or back, negative) to where the two centre lines meet."""
    across = float(a.outward[0] * b.outward[1] - a.outward[1] * b.outward[0])
    if abs(across) < _LEAST_ANGLE:
        return None
    way = b.at - a.at
    step_a = float(way[0] * b.outward[1] - way[1] * b.outward[0]) / across
    step_b = float(way[0] * a.outward[1] - way[1] * a.outward[0]) / across
    slope = abs(float(a.outward @ b.outward))
    if abs(step_a) > (b.half_m + slope * a.half_m) / abs(across) + _SLACK_M:
        return None
    if abs(step_b) > (a.half_m + slope * b.half_m) / abs(across) + _SLACK_M:
        return None
    return step_a, step_b


def outlines(runs: Sequence[Run], storeys: Sequence[Storey]) -> dict[int, BaseGeometry]:
    """Per storey (its step number) the ground its walls enclose, walls included."""
    found = {}
    for storey in storeys:
        prints = [r.footprint for r in runs if stand_in(r.z_min, r.z_max, [storey])]
        joined = shapely.union_all(prints).buffer(_GAP_M / 2, join_style="mitre")
        filled = shapely.union_all(
            [
                shapely.Polygon(part.exterior)
                for part in shapely.get_parts(joined)
                if part.geom_type == "Polygon"
            ]
        )
        found[storey.step_id] = filled.buffer(-_GAP_M / 2, join_style="mitre")
    return found


def outside_left(run: Run, outline: BaseGeometry) -> tuple[Run, bool]:
    """The run turned so that the outside lies on its left, and whether it is an outer wall.

    A wall between rooms is turned so that the file's first layer lies on its left.
    """
    left, right = _outside(run, outline, 1.0), _outside(run, outline, -1.0)
    if left == right:
        turn = run.layers is not None and run.layers.first_left is False
        return (run.reversed() if turn else run), False
    return (run if left else run.reversed()), True


def _outside(run: Run, outline: BaseGeometry, side: float) -> bool:
    """Whether most of the ground 0.6 m beside a face is outside the outline."""
    away = side * (run.thickness_m / 2.0 + _OUTSIDE_M)
    at = _lines.stations(run.line)
    points = []
    for share in (0.2, 0.35, 0.5, 0.65, 0.8):
        s = share * at[-1]
        k = min(int(np.searchsorted(at, s, side="right")) - 1, len(run.line) - 2)
        along = _lines.unit(run.line[k + 1] - run.line[k])
        points.append(run.line[k] + along * (s - at[k]) + away * _lines.left_of(along))
    inside = shapely.contains_xy(outline, *np.array(points).T)
    return bool(inside.sum() < 3)
