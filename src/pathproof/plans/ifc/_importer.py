"""The import from file to site parts."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from pathproof.job import Floor, Slab
from pathproof.plans.constructions import ConstructionBook
from pathproof.plans.ifc import _curtain, _openings, _slabs, _storeys, _tidy, _walls
from pathproof.plans.ifc._bodies import Body, Progress, bodies, joined
from pathproof.plans.ifc._emit import walls_of
from pathproof.plans.ifc._ids import PREFIX, Ids
from pathproof.plans.ifc._openings import Hole
from pathproof.plans.ifc._reader import BROKEN, LARGEST_BYTES, open_ifc, parts_within
from pathproof.plans.ifc._runs import Run
from pathproof.plans.ifc._storeys import Storey
from pathproof.plans.materials import MaterialMap
from pathproof.plans.report import ReportBuilder
from pathproof.plans.result import PlanImport

_FAR_M = 500.0  # coordinates beyond this are moved to a local origin
_LARGEST_M = 512.0
_NOT_PLANS = {
    "IfcFurnishingElement": "furniture",
    "IfcFurniture": "furniture",
    "IfcRailing": "railing",
    "IfcStair": "stair",
    "IfcStairFlight": "stair",
    "IfcRamp": "ramp",
    "IfcRampFlight": "ramp",
    "IfcBeam": "beam",
    "IfcFooting": "footing",
    "IfcPile": "footing",
    "IfcBuildingElementProxy": "thing of no kind",
}


def import_ifc(
    path: str | Path,
    *,
    materials: MaterialMap | None = None,
    progress: Callable[[int, int, str], None] | None = None,
    largest_bytes: int = LARGEST_BYTES,
) -> PlanImport:
    """Floors, walls and constructions of an IFC file, with a report.

    Parameters
    ----------
    path : str or Path
        An .ifc file (IFC2X3, IFC4 or IFC4X3, STEP text form).
    materials : MaterialMap, optional
        A person's own mapping of names, tried before the keyword table.
    progress : callable, optional
        Called with (done, total, what) while bodies are made.
    largest_bytes : int
        A larger file is refused before it is read.

    Raises
    ------
    PlanError
        The file cannot be read as IFC. A single element that cannot be read is left out and
        reported instead.

    Notes
    -----
    Ids come from the things' GlobalIds, so that another import of the plan gives the same ids, also
    when it was exported anew. Names of people, firms and addresses are never read.
    """
    file, faults = open_ifc(Path(path), largest_bytes)
    report = ReportBuilder()
    if faults:
        report.warn(f"The file is damaged ({faults} faults); things may be missing.")
    source = _read(file, progress)
    book = ConstructionBook(materials or MaterialMap(), report, PREFIX)
    return _assemble(source, book)


@dataclass(frozen=True, slots=True)
class _Source:
    """The open file with the bodies of what matters."""

    file: Any
    scale: float
    walls: Mapping[int, Any]
    curtains: Sequence[Any]
    columns: Sequence[Any]
    voids: Sequence[tuple[Any, Any]]
    loose: Sequence[Any]
    floors: Sequence[Any]
    bodies: Mapping[int, Body]
    origin_m: tuple[float, float]


def _read(file: Any, progress: Progress | None) -> _Source:
    import ifcopenshell.util.unit

    scale = float(ifcopenshell.util.unit.calculate_unit_scale(file))
    walls = {w.id(): w for w in sorted(file.by_type("IfcWall"), key=lambda w: w.id())}
    curtains = sorted(file.by_type("IfcCurtainWall"), key=lambda c: c.id())
    plates = [p for c in curtains for p in parts_within(c) if p.is_a("IfcPlate")]
    columns = sorted(file.by_type("IfcColumn"), key=lambda c: c.id())
    voids = _openings.wall_voids(file, walls)
    loose = _openings.without_host(file)
    floors = _slabs.floor_elements(file)
    uncut = [*walls.values(), *plates, *columns, *(o for o, _ in voids), *loose]
    parts = {e.id(): _parts_of(e) for e in (*walls.values(), *floors)}
    uncut += [p for e in walls for p in parts[e]]
    flat = [*floors, *(p for e in floors for p in parts[e.id()])]
    found = bodies(file, uncut, cut_openings=False, progress=progress, what="walls and openings")
    found |= bodies(file, flat, cut_openings=True, progress=progress, what="floors and ceilings")
    for step_id, pieces in parts.items():
        whole = joined([found[p.id()] for p in pieces if p.id() in found])
        if whole is not None:
            found.setdefault(step_id, whole)
    origin = _origin([found[i] for i in walls if i in found] or list(found.values()))
    zero = _storeys.building_zero(file, scale)
    moved = {i: body.moved((*origin, zero)) for i, body in found.items()}
    return _Source(file, scale, walls, curtains, columns, voids, loose, floors, moved, origin)


def _parts_of(element: Any) -> list[Any]:
    """The parts of a wall or floor that has no body of its own."""
    if element.Representation is not None:
        return []
    return [p for p in parts_within(element) if p.is_a("IfcElement")]


def _origin(found: Sequence[Body]) -> tuple[float, float]:
    """The lower left corner in whole metres where coordinates are large, else (0, 0).

    A few stray bodies far from the others do not count.
    """
    if not found:
        return (0.0, 0.0)
    low = np.array([b.vertices[:, :2].min(axis=0) for b in found])
    high = np.array([b.vertices[:, :2].max(axis=0) for b in found])
    near = np.abs(low - np.median(low, axis=0)).max(axis=1) <= _LARGEST_M
    if np.abs(np.vstack([low[near], high[near]])).max() <= _FAR_M:
        return (0.0, 0.0)
    x, y = np.floor(low[near].min(axis=0)).tolist()
    return (float(x), float(y))


def _assemble(source: _Source, book: ConstructionBook) -> PlanImport:
    report = book.report
    runs = _runs(source, report)
    storeys = _storeys_of(source, runs, report)
    runs, twins = _tidy.without_duplicates(runs, report)
    for run in runs:
        if _storeys.stand_in(run.z_min, run.z_max, storeys):
            _walls.report_fit(run, report)
    runs = _tidy.with_closed_corners(runs)
    outlines = _tidy.outlines(runs, storeys)
    sided = [_sided(run, storeys, outlines) for run in runs]
    holes = _holes(source, [run for run, _ in sided], twins, report)
    ids = Ids(source.file)
    walls = tuple(walls_of(sided, holes, storeys, book, ids))
    slabs = _slabs.slabs_of(source.floors, source.bodies, storeys, source.scale, book, ids)
    _report_the_rest(source, report)
    book.warn_of_names_met_nowhere()
    if not walls:
        report.warn("The plan holds no walls. Draw them by hand, or export the architecture.")
    floors = tuple(_floor(storey, slabs[storey.step_id], ids) for storey in storeys)
    used = {w.floor for w in walls}
    return PlanImport(
        floors=floors,
        walls=walls,
        constructions=book.made,
        origin_m=source.origin_m,
        report=report.finish(
            storeys=len(used),
            walls=len(walls),
            openings=sum(len(w.openings) for w in walls),
            slabs=sum(len(f.slabs) for f in floors),
        ),
    )


def _runs(source: _Source, report: ReportBuilder) -> list[Run]:
    found: list[Run] = []
    for step_id, wall in source.walls.items():
        body = source.bodies.get(step_id)
        if body is None:
            report.left_out("wall", "it has no body")
        else:
            found += _wall_runs(wall, body, source.scale, report)
    for curtain in source.curtains:
        panes = _curtain.curtain_runs(curtain, source.bodies)
        if not panes:
            report.left_out("curtain wall", "it has no panes with a body")
        report.left_out("mullion of a curtain wall", "not modelled", _curtain.mullions(curtain))
        found += panes
    for column in source.columns:
        body = source.bodies.get(column.id())
        run = None if body is None else _curtain.wall_like(column, body, source.scale)
        if run is None:
            report.left_out("column", "too narrow to be a wall")
        else:
            report.guessed("column", "wall", "at least 1 m long and three times its thickness")
            found.append(run)
    return [run for run in found if _near(run, report)]


def _wall_runs(wall: Any, body: Body, scale: float, report: ReportBuilder) -> list[Run]:
    try:
        return _walls.runs_of(wall, body, scale, report)
    except (*BROKEN, shapely.errors.GEOSException):
        report.left_out("wall", "its data in the file is broken")
        return []


def _near(run: Run, report: ReportBuilder) -> bool:
    if float(np.abs(run.line).max()) < _LARGEST_M - 5.0:
        return True
    report.left_out("wall", f"further than {_LARGEST_M:.0f} m from the plan's origin")
    return False


def _storeys_of(source: _Source, runs: Sequence[Run], report: ReportBuilder) -> list[Storey]:
    doors = [o for o, _ in source.voids if _openings.has_door(o)]
    doors += [e for e in source.loose if e.is_a("IfcDoor")]
    feet = [source.bodies[d.id()].z_min for d in doors if d.id() in source.bodies]
    zero = _storeys.building_zero(source.file, source.scale)
    levels = _storeys.read_levels(source.file, source.scale, zero, feet, report)
    return _storeys.habitable(levels, runs, report)


def _sided(run: Run, storeys: Sequence[Storey], outlines: Mapping[int, Any]) -> tuple[Run, bool]:
    """The run with its outside on the left, judged in the first storey it stands in."""
    for storey in _storeys.stand_in(run.z_min, run.z_max, storeys):
        return _tidy.outside_left(run, outlines[storey.step_id])
    return run, False


def _holes(
    source: _Source, runs: Sequence[Run], twins: Mapping[int, int], report: ReportBuilder
) -> dict[int, list[Hole]]:
    found = _openings.holes(source.voids, runs, twins, source.bodies, report)
    found += _openings.loose_holes(source.loose, runs, source.bodies, report)
    by_run: dict[int, list[Hole]] = {}
    for hole in found:
        by_run.setdefault(hole.run, []).append(hole)
    return by_run


def _floor(storey: Storey, slabs: list[Slab], ids: Ids) -> Floor:
    return Floor(
        id=ids.of(storey.step_id),
        name=storey.name,
        elevation_m=round(storey.elevation_m, 4) + 0.0,
        height_m=round(storey.height_m, 4),
        slabs=slabs,
    )


def _report_the_rest(source: _Source, report: ReportBuilder) -> None:
    """Lines for what is in the file and cannot be in a plan of walls and floors."""
    counts = Counter(
        what
        for kind, what in _NOT_PLANS.items()
        for element in _of_kind(source.file, kind)
        if element.is_a() in _NOT_PLANS
    )
    for what, count in sorted(counts.items()):
        report.left_out(what, "neither a wall, a floor nor an opening", count)
    coverings = _slabs.other_coverings(source.file)
    report.left_out("covering", "neither a flooring nor a ceiling", coverings)
    for rel in source.file.by_type("IfcRelVoidsElement"):
        host, opening = rel.RelatingBuildingElement, rel.RelatedOpeningElement
        if host is None or opening is None:
            continue
        if not _openings.is_opening(opening):
            report.left_out("opening", "it is of another kind, or its data in the file is broken")
        elif host.is_a("IfcWall"):
            continue
        elif _openings.fillings_of(opening):
            report.left_out("door or window in a roof or floor", "only walls have openings")
        elif not host.is_a("IfcSlab"):
            report.left_out("hole", "not in a wall or floor")


def _of_kind(file: Any, kind: str) -> list[Any]:
    try:
        return list(file.by_type(kind, include_subtypes=False))
    except RuntimeError:  # the schema has no such kind
        return []
