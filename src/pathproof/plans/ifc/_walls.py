"""Wall bodies to runs: centre line from the axis and the body, or from the body alone."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from pathproof.plans.ifc import _lines
from pathproof.plans.ifc._axis import reference_line
from pathproof.plans.ifc._bodies import Body, FloatArray
from pathproof.plans.ifc._layers import BuildUp, Told, fit, read_build_up
from pathproof.plans.ifc._runs import Run, SidedLayers, Slice, level_slices
from pathproof.plans.report import ReportBuilder

_THICKEST_M = 1.5
_RECTANGLE_RATIO = 0.9
_AXIS_RATIO = 0.6
_CURVE_REACH_M = 0.5
_THIN_RATIO = 0.97


def runs_of(wall: Any, body: Body, scale: float, report: ReportBuilder) -> list[Run]:
    """The wall as runs; empty, with a line in the report, where its shape cannot be read."""
    build_up = read_build_up(wall, scale)
    axis = _axis_in_plan(wall, body)
    run = _along_axis(wall.id(), axis, body, build_up) if axis is not None else None
    if run is not None:
        return [run]
    runs = list(_from_footprint(wall.id(), body, build_up))
    if not runs:
        report.left_out("wall", "its shape is neither a line with a thickness nor a rectangle")
    return runs


def report_fit(run: Run, report: ReportBuilder) -> None:
    """Lines for layers that were cut away, bodies thicker than their layers, thin stretches."""
    fitted, build_up = run.layers, run.build_up
    if fitted is None:
        return
    if fitted.removed:
        report.guessed(
            build_up.label,
            f"without {', '.join(n or 'air gap' for n in fitted.removed)}",
            "the layers are thicker than the wall's body; taken off the side that was cut",
        )
    thickness = sum(layer.thickness_m for layer in fitted.layers)
    if run.thickness_m > thickness + 0.01:
        report.guessed(
            build_up.label,
            f"the layers' {thickness:.3f} m",
            f"the body is thicker, {run.thickness_m:.3f} m; nothing was added",
        )
    solid = sum((s.end_m - s.start_m) * (s.z_max - s.z_min) for s in run.slices) * run.thickness_m
    if 0.3 < run.volume_m3 / solid < _THIN_RATIO:
        report.guessed(
            build_up.label,
            "all layers along the whole wall",
            "part of the wall's body is thinner than its layers",
        )


def _axis_in_plan(wall: Any, body: Body) -> FloatArray | None:
    local = reference_line(wall)
    if local is None or abs(abs(body.placement[2, 2]) - 1.0) > 1e-3:
        return None
    return local @ body.placement[:2, :2].T + body.placement[:2, 3]


def _along_axis(step_id: int, axis: FloatArray, body: Body, build_up: BuildUp) -> Run | None:
    if _lines.is_straight(axis):
        axis = axis[[0, -1]]
    faces = _faces(axis, body)
    if faces is None:
        return None
    low, high = faces
    thickness = high - low
    line = _lines.shifted(axis, (low + high) / 2.0)
    if not _lines.is_closed(line):
        reach = _extent(body) if len(axis) == 2 else _CURVE_REACH_M
        line = _lines.trimmed_to(line, body.footprint, reach)
    if not 0.005 < thickness <= _THICKEST_M:
        return None
    if body.footprint.area < _AXIS_RATIO * thickness * _lines.length(line):
        return None
    line = _lines.chords(line)
    return Run(
        step_id=step_id,
        line=line,
        thickness_m=thickness,
        z_min=body.z_min,
        z_max=body.z_max,
        footprint=body.footprint,
        build_up=build_up,
        layers=_left_to_right(build_up, axis, body, low, high),
        slices=level_slices(line, body),
        volume_m3=body.volume_m3,
    )


def _extent(body: Body) -> float:
    """As far as a straight axis may have to run on to reach the body's ends. [m]"""
    return float(np.hypot(*np.ptp(body.vertices[:, :2], axis=0)))


def _faces(axis: FloatArray, body: Body) -> tuple[float, float] | None:
    """Distances of the two faces from the axis, left positive."""
    along, beside = _lines.offsets(axis, body.vertices[:, :2])
    if len(axis) > 2:  # beyond the ends of an arc nothing can be said
        total = _lines.length(axis)
        beside = beside[(along > -0.01) & (along < total + 0.01)]
    if len(beside) == 0:
        return None
    return float(beside.min()), float(beside.max())


def _left_to_right(
    build_up: BuildUp, axis: FloatArray, body: Body, low: float, high: float
) -> SidedLayers | None:
    """The layers from the left of the axis to its right, cut to the body.

    Beside a curved axis y is taken to be its left.
    """
    if build_up.told is not Told.LAYERS:
        return None
    if build_up.sense == 0:
        return _as_listed(build_up, high - low)
    y = body.placement[:2, 1]
    y_is_left = len(axis) > 2 or float(_lines.left_of(axis[1] - axis[0]) @ y) >= 0.0
    fitted = fit(build_up, low, high) if y_is_left else fit(build_up, -high, -low)
    first_left = fitted.first_at_high == y_is_left
    layers = fitted.layers if first_left else fitted.layers[::-1]
    return SidedLayers(layers, first_left, fitted.removed)


def _as_listed(build_up: BuildUp, thickness: float) -> SidedLayers:
    fitted = fit(replace(build_up, sense=0), 0.0, thickness)
    return SidedLayers(fitted.layers, None, fitted.removed)


def _from_footprint(step_id: int, body: Body, build_up: BuildUp) -> Iterator[Run]:
    lines = list(_middle_lines(_closed(body.footprint)))
    for number, (line, thickness) in enumerate(lines, start=1):
        yield Run(
            step_id=step_id,
            line=line,
            thickness_m=thickness,
            z_min=body.z_min,
            z_max=body.z_max,
            footprint=body.footprint.intersection(
                shapely.LineString(line).buffer(0.55 * thickness, cap_style="square")
            ),
            build_up=build_up,
            layers=_as_listed(build_up, thickness) if build_up.told is Told.LAYERS else None,
            slices=level_slices(line, body) if len(lines) == 1 else _level(line, body),
            volume_m3=body.volume_m3 / len(lines),
            part=f"-{number}" if len(lines) > 1 else "",
        )


def _level(line: FloatArray, body: Body) -> tuple[Slice, ...]:
    return (Slice(0.0, _lines.length(line), body.z_min, body.z_max),)


def _closed(footprint: BaseGeometry) -> BaseGeometry:
    """The footprint with gaps up to 0.2 m filled, such as the hollow of a wall made of sheets."""
    return footprint.buffer(0.1, join_style="mitre").buffer(-0.1, join_style="mitre")


def _middle_lines(footprint: BaseGeometry) -> Iterator[tuple[FloatArray, float]]:
    """Centre lines and thicknesses: of the smallest rectangle, or of pairs of long edges."""
    if footprint.is_empty:
        return
    box = footprint.minimum_rotated_rectangle
    if box.geom_type == "Polygon" and footprint.area > _RECTANGLE_RATIO * box.area:
        corners = np.array(box.exterior.coords)
        sides = np.hypot(*np.diff(corners[:3], axis=0).T)
        a, b = (corners[0], corners[1]) if sides[0] < sides[1] else (corners[1], corners[2])
        c, d = (corners[2], corners[3]) if sides[0] < sides[1] else (corners[3], corners[0])
        thickness = float(min(sides))
        if thickness <= _THICKEST_M:
            yield np.array([(a + b) / 2.0, (c + d) / 2.0]), thickness
        return
    pairs = list(_edge_pairs(footprint))
    covered = sum(_lines.length(line) * thickness for line, thickness in pairs)
    if 0.75 * footprint.area < covered < 1.25 * footprint.area:
        yield from pairs


def _edge_pairs(footprint: BaseGeometry) -> Iterator[tuple[FloatArray, float]]:
    """Pairs of opposite long edges, nearest first; each edge is used once."""
    edges = [
        ring_edges
        for part in shapely.get_parts(footprint)
        if part.geom_type == "Polygon"
        for ring in (part.exterior, *part.interiors)
        for ring_edges in _edges(np.array(ring.simplify(0.005).coords))
    ]
    candidates = []
    for i, first in enumerate(edges):
        for j in range(i + 1, len(edges)):
            found = _between(first, edges[j])
            if found is not None and footprint.contains(shapely.Point(found[0].mean(axis=0))):
                candidates.append((found[1], i, j, found[0]))
    used: set[int] = set()
    for thickness, i, j, line in sorted(candidates, key=lambda c: (c[0], c[1], c[2])):
        if i not in used and j not in used:
            used |= {i, j}
            yield _lines.trimmed_to(line, footprint, thickness), thickness


def _edges(ring: FloatArray) -> Iterator[FloatArray]:
    for a, b in pairwise(ring):
        if np.hypot(*(b - a)) > 0.2:
            yield np.array([a, b])


def _between(first: FloatArray, second: FloatArray) -> tuple[FloatArray, float] | None:
    """The middle line of two antiparallel edges over their overlap, and their distance."""
    along = _lines.unit(first[1] - first[0])
    if _lines.unit(second[1] - second[0]) @ along > -0.9998:  # 1.1 degrees
        return None
    gap = float((second[0] - first[0]) @ _lines.left_of(along))
    ends = sorted((second - first[0]) @ along)
    low, high = max(0.0, ends[0]), min(_lines.length(first), ends[1])
    if not 0.03 <= abs(gap) <= 0.7 or high - low < 0.2:
        return None
    foot = first[0] + _lines.left_of(along) * (gap / 2.0)
    return np.array([foot + along * low, foot + along * high]), abs(gap)
