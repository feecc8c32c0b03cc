"""Doors, windows and voids of walls, measured from the hole's own body."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from pathproof.plans.constructions import ConstructionBook, Ready
from pathproof.plans.ifc import _lines
from pathproof.plans.ifc._bodies import Body
from pathproof.plans.ifc._layers import filling_label, material_names
from pathproof.plans.ifc._runs import Run
from pathproof.plans.report import ReportBuilder

_SMALLEST_M = 0.2
_THROUGH_RATIO = 0.9
_NEAR_M = 0.3
_TOUCHING_M = 0.05
_PARALLEL = np.cos(np.deg2rad(1.0))
_NEARLY_PARALLEL = np.cos(np.deg2rad(10.0))


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole in a run, by stations along its line and heights above the building's zero."""

    step_id: int
    """Of what fills it, or of the opening itself where it is empty."""
    run: int
    start_m: float
    end_m: float
    z_min: float
    z_max: float
    filling: Any = None
    """Door or window; none where it is empty."""
    in_neighbour: bool = False
    """Whether it belongs to a wall that touches this run."""


def wall_voids(file: Any, hosts: Mapping[int, Any]) -> list[tuple[Any, Any]]:
    """Openings of the given hosts, each with its host, in the file's order."""
    pairs = [
        (rel.RelatedOpeningElement, rel.RelatingBuildingElement)
        for rel in file.by_type("IfcRelVoidsElement")
        if rel.RelatingBuildingElement is not None and is_opening(rel.RelatedOpeningElement)
    ]
    return sorted(
        ((o, host) for o, host in pairs if host.id() in hosts), key=lambda pair: pair[0].id()
    )


def is_opening(thing: Any) -> bool:
    """Whether it is an opening, as a damaged file may name any other thing for one."""
    return thing is not None and thing.is_a("IfcOpeningElement")


def without_host(file: Any) -> list[Any]:
    """Doors and windows that fill no opening."""
    found = [*file.by_type("IfcDoor"), *file.by_type("IfcWindow")]
    return sorted((e for e in found if not e.FillsVoids), key=lambda e: e.id())


def holes(
    voids: Sequence[tuple[Any, Any]],
    runs: Sequence[Run],
    twins: Mapping[int, int],
    bodies: Mapping[int, Body],
    report: ReportBuilder,
) -> list[Hole]:
    """The holes of hosted openings; also cut into a wall that stands face to face with the host.

    `twins` names the wall that stands for a host which was dropped as its duplicate.
    """
    by_host: dict[int, list[int]] = {}
    for i, run in enumerate(runs):
        by_host.setdefault(run.step_id, []).append(i)
    found: list[Hole] = []
    through: list[tuple[Hole, Body]] = []
    for opening, host in sorted(voids, key=lambda pair: pair[1].id() in twins):
        body = bodies.get(opening.id())
        mine = by_host.get(twins.get(host.id(), host.id()), [])
        if not mine:
            continue  # the wall itself is reported as left out
        if body is None:
            report.left_out("opening", "it has no body")
            continue
        hole = _hosted(opening, body, mine, runs, report)
        if hole is not None and not (host.id() in twins and _taken(hole, found)):
            found.append(hole)
            through.append((hole, body))
    return found + list(_in_neighbours(through, found, runs))


def _taken(hole: Hole, found: Sequence[Hole]) -> bool:
    return any(other.run == hole.run and _overlap(hole, other) for other in found)


def _hosted(
    opening: Any, body: Body, mine: Sequence[int], runs: Sequence[Run], report: ReportBuilder
) -> Hole | None:
    best = max(mine, key=lambda i: body.footprint.intersection(runs[i].footprint).area)
    filling = _filling(opening)
    hole = _measured(opening.id() if filling is None else filling.id(), best, runs[best], body)
    if hole is None:
        report.left_out("opening", "it lies outside its wall")
        return None
    if filling is not None:
        return replace(hole, filling=filling)
    if not _passes(runs[best], body):
        report.left_out("recess", "it does not go through the wall")
        return None
    if min(hole.end_m - hole.start_m, hole.z_max - hole.z_min) < _SMALLEST_M:
        report.left_out("hole", f"narrower than {_SMALLEST_M} m")
        return None
    return hole


def fillings_of(opening: Any) -> list[Any]:
    """What fills an opening, in the file's order."""
    found = [rel.RelatedBuildingElement for rel in opening.HasFillings]
    elements = [f for f in found if f is not None and f.is_a("IfcElement")]
    return sorted(elements, key=lambda f: f.id())


def has_door(opening: Any) -> bool:
    """Whether a door stands in an opening."""
    return any(f.is_a("IfcDoor") for f in fillings_of(opening))


def _filling(opening: Any) -> Any:
    fillings = fillings_of(opening)
    doors = [f for f in fillings if f.is_a("IfcDoor")]
    return (doors or fillings or [None])[0]


def _measured(step_id: int, index: int, run: Run, body: Body) -> Hole | None:
    along, _ = _lines.offsets(run.line, body.vertices[:, :2])
    start, end = max(0.0, float(along.min())), min(run.length_m, float(along.max()))
    if end - start < 0.05:
        return None
    return Hole(step_id, index, start, end, body.z_min, body.z_max)


def _passes(run: Run, body: Body) -> bool:
    """Whether the body goes through nine tenths of the wall's thickness."""
    _, beside = _lines.offsets(run.line, body.vertices[:, :2])
    half = run.thickness_m / 2.0
    inside = min(half, float(beside.max())) - max(-half, float(beside.min()))
    return inside >= _THROUGH_RATIO * run.thickness_m


def _in_neighbours(
    through: Sequence[tuple[Hole, Body]], found: Sequence[Hole], runs: Sequence[Run]
) -> Iterator[Hole]:
    """The same holes in walls that touch the host with a whole face, such as a lining."""
    if not through:
        return
    tree = shapely.STRtree([run.footprint for run in runs])
    for hole, body in through:
        for i in sorted(tree.query(body.footprint, "intersects").tolist()):
            run = runs[i]
            if i == hole.run or not _face_to_face(runs[hole.run], run) or not _passes(run, body):
                continue
            cut = _measured(hole.step_id, i, run, body)
            if cut is None or cut.z_min >= run.z_max or cut.z_max <= run.z_min:
                continue
            if not _taken(cut, found):
                yield replace(cut, in_neighbour=True)


def _face_to_face(host: Run, other: Run) -> bool:
    if not host.straight or not other.straight:
        return False
    if abs(float(host.direction @ other.direction)) < _PARALLEL:
        return False
    apart = abs(float((other.line[0] - host.line[0]) @ _lines.left_of(host.direction)))
    return apart <= (host.thickness_m + other.thickness_m) / 2.0 + _TOUCHING_M


def _overlap(a: Hole, b: Hole) -> bool:
    wide = min(a.end_m, b.end_m) - max(a.start_m, b.start_m)
    high = min(a.z_max, b.z_max) - max(a.z_min, b.z_min)
    return wide > 0.05 and high > 0.05


def loose_holes(
    fillings: Sequence[Any],
    runs: Sequence[Run],
    bodies: Mapping[int, Body],
    report: ReportBuilder,
) -> list[Hole]:
    """Holes for doors and windows without an opening, in the nearest parallel wall."""
    found = []
    for filling in fillings:
        what = "door" if filling.is_a("IfcDoor") else "window"
        body = bodies.get(filling.id())
        index = None if body is None else _nearest(body, runs)
        hole = None
        if body is not None and index is not None:
            hole = _measured(filling.id(), index, runs[index], body)
        if hole is None or index is None:
            report.left_out(what, f"no parallel wall within {_NEAR_M} m")
            continue
        report.guessed(
            f"{what} without an opening", "in the nearest wall", f"within {_NEAR_M} m, parallel"
        )
        found.append(replace(hole, filling=filling))
    return found


def _nearest(body: Body, runs: Sequence[Run]) -> int | None:
    box = body.footprint.minimum_rotated_rectangle
    if box.geom_type != "Polygon":
        return None
    corners = np.array(box.exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    along = _lines.unit(sides[int(np.hypot(*sides.T).argmax())])
    centre = body.footprint.centroid
    height = (body.z_min + body.z_max) / 2.0
    near = [
        (shapely.LineString(run.line).distance(centre), i)
        for i, run in enumerate(runs)
        if run.z_min < height < run.z_max and abs(float(run.direction @ along)) > _NEARLY_PARALLEL
    ]
    if not near or min(near)[0] > _NEAR_M + runs[min(near)[1]].thickness_m / 2.0:
        return None
    return min(near)[1]


def filling_construction(filling: Any, outer: bool, book: ConstructionBook) -> str:
    """What a door or window is made of: by its materials, its name, or its kind and place."""
    label = filling_label(filling)
    what = f"{'outer' if outer else 'inner'} {'door' if filling.is_a('IfcDoor') else 'window'}"
    told = book.door_or_window(material_names(filling))
    named = told or book.door_or_window([label])
    if named is not None:
        ready = Ready.PANE if named is Ready.DOUBLE_GLAZING and not outer else named
        why = "by its material's name" if told else "by its own name"
    elif filling.is_a("IfcDoor"):
        ready = Ready.DOOR if outer else Ready.INNER_DOOR
        why = "the plan names no material; steel would be in the 20-30 dB class"
    else:
        ready = Ready.DOUBLE_GLAZING if outer else Ready.PANE
        why = "the plan names no material; coated glass would be in the 20-30 dB class"
    return book.of_kind(label, ready, why, what=what)
