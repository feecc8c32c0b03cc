"""Curtain walls by their panes, and columns wide enough to be walls."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from pathproof.plans.ifc import _lines
from pathproof.plans.ifc._bodies import Body, FloatArray
from pathproof.plans.ifc._layers import (
    BuildUp,
    NamedLayer,
    Told,
    label_of,
    material_names,
    read_build_up,
)
from pathproof.plans.ifc._reader import parts_within
from pathproof.plans.ifc._runs import Run, SidedLayers, Slice

_SAME_LINE_M = 0.05
_GAP_M = 0.3  # a mullion between two panes
_PARALLEL = np.cos(np.deg2rad(1.0))


@dataclass(frozen=True, slots=True)
class _Pane:
    step_id: int
    line: FloatArray
    thickness_m: float
    z_min: float
    z_max: float


def curtain_runs(curtain: Any, bodies: Mapping[int, Body]) -> list[Run]:
    """One run per straight row of panes of an IfcCurtainWall; none where no pane has a body."""
    plates = [p for p in parts_within(curtain) if p.is_a("IfcPlate") and p.id() in bodies]
    panes = [pane for p in plates if (pane := _pane(p.id(), bodies[p.id()])) is not None]
    rows = _rows(panes)
    names = {p.id(): (material_names(p) or ["Glass pane"])[0] for p in plates}
    return [
        _row_run(curtain, row, names[row[0].step_id], f"-{n}" if len(rows) > 1 else "")
        for n, row in enumerate(rows, start=1)
    ]


def mullions(curtain: Any) -> int:
    """How many bars a curtain wall has."""
    return sum(p.is_a("IfcMember") for p in parts_within(curtain))


def wall_like(column: Any, body: Body, scale: float) -> Run | None:
    """A column as a run, where it is at least 1 m long and three times as long as thick."""
    pane = _pane(column.id(), body)
    if pane is None or body.z_max - body.z_min < 1.8:
        return None
    length = _lines.length(pane.line)
    if length < 1.0 or length < 3 * pane.thickness_m or pane.thickness_m > 0.8:
        return None
    return _run(column.id(), pane.line, [pane], read_build_up(column, scale), None, "")


def _pane(step_id: int, body: Body) -> _Pane | None:
    if body.footprint.is_empty:
        return None
    box = body.footprint.minimum_rotated_rectangle
    if box.geom_type != "Polygon" or body.footprint.area < 0.8 * box.area:
        return None
    corners = np.array(box.exterior.coords)
    sides = np.hypot(*np.diff(corners[:3], axis=0).T)
    k = 0 if sides[0] < sides[1] else 1
    ends = [(corners[k] + corners[k + 1]) / 2, (corners[k + 2] + corners[(k + 3) % 4]) / 2]
    if max(sides) < 0.05:
        return None
    return _Pane(step_id, np.array(ends), float(min(sides)), body.z_min, body.z_max)


def _rows(panes: Sequence[_Pane]) -> list[list[_Pane]]:
    """Panes in one line, next to or above each other, in drawing order."""
    rows: list[list[_Pane]] = []
    for pane in panes:
        touching = [row for row in rows if any(_in_one_row(pane, other) for other in row)]
        rows = [row for row in rows if row not in touching]
        rows.append([pane, *(p for row in touching for p in row)])
    return sorted(rows, key=lambda row: min(p.step_id for p in row))


def _in_one_row(a: _Pane, b: _Pane) -> bool:
    along = _lines.unit(a.line[1] - a.line[0])
    if abs(float(along @ _lines.unit(b.line[1] - b.line[0]))) < _PARALLEL:
        return False
    away = b.line - a.line[0]
    if np.abs(away @ _lines.left_of(along)).max() > _SAME_LINE_M:
        return False
    ends = sorted(away @ along)
    return bool(ends[0] < _lines.length(a.line) + _GAP_M and ends[1] > -_GAP_M)


def _row_run(curtain: Any, row: Sequence[_Pane], material: str, part: str) -> Run:
    thickness = max(p.thickness_m for p in row)
    build_up = BuildUp(label_of(curtain), Told.LAYERS, (NamedLayer(material, thickness),))
    first = row[0].line
    along = _lines.unit(first[1] - first[0])
    ends = np.concatenate([(p.line - first[0]) @ along for p in row])
    line = first[0] + np.outer([ends.min(), ends.max()], along)
    layers = SidedLayers(build_up.layers, None)
    return _run(curtain.id(), line, row, build_up, layers, part)


def _run(
    step_id: int,
    line: FloatArray,
    panes: Sequence[_Pane],
    build_up: BuildUp,
    layers: SidedLayers | None,
    part: str,
) -> Run:
    thickness = max(p.thickness_m for p in panes)
    z_min, z_max = min(p.z_min for p in panes), max(p.z_max for p in panes)
    length = _lines.length(line)
    return Run(
        step_id=step_id,
        line=line,
        thickness_m=thickness,
        z_min=z_min,
        z_max=z_max,
        footprint=shapely.LineString(line).buffer(thickness / 2, cap_style="flat"),
        build_up=build_up,
        layers=layers,
        slices=(Slice(0.0, length, z_min, z_max),),
        volume_m3=length * thickness * (z_max - z_min),
        part=part,
    )
