"""The import from files to site parts."""

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from pathproof.job import Construction, Floor, Wall
from pathproof.plans.constructions import ConstructionBook
from pathproof.plans.dxf import _curves, _emit, _joints, _layers, _pairs, _storeys, _units
from pathproof.plans.dxf._emit import StoreyWalls
from pathproof.plans.dxf._faces import Faces, merged
from pathproof.plans.dxf._ids import PREFIX, Ids
from pathproof.plans.dxf._joints import Strip
from pathproof.plans.dxf._layers import Kind
from pathproof.plans.dxf._notes import LARGEST_THICKNESS_M, DrawingNotes, StoreyNote
from pathproof.plans.dxf._openings import Drawings, Placed, Swing
from pathproof.plans.dxf._pairs import Paired
from pathproof.plans.dxf._pieces import FloatArray
from pathproof.plans.dxf._reader import LARGEST_BYTES
from pathproof.plans.dxf._sheet import Choice, Sheet, read_sheet
from pathproof.plans.dxf._storeys import Storey, storeys
from pathproof.plans.dxf._strips import THINNEST_M, Pair
from pathproof.plans.dxf._units import Unit
from pathproof.plans.materials import MaterialMap, normalised
from pathproof.plans.report import ReportBuilder
from pathproof.plans.result import PlanImport
from pathproof.terms import PlanError

_FAR_M = 500.0
_LARGEST_M = 512.0
_SINGLE_M = 0.1  # shorter single lines are ends of walls and the like
_BUILDING_M2 = 20.0

Progress = Callable[[int, int, str], None]

_MOST_ALONE_RATIO = 0.2
"""Of the length of lines that may be in no wall without a warning."""


def import_dxf(
    paths: str | Path | Sequence[str | Path],
    *,
    walls: Sequence[str] = (),
    without: Sequence[str] = (),
    unit: Unit | None = None,
    storey_height_m: float | None = None,
    notes: DrawingNotes | None = None,
    materials: MaterialMap | None = None,
    progress: Progress | None = None,
    largest_bytes: int = LARGEST_BYTES,
) -> PlanImport:
    """Floors, walls and constructions of DXF files, one storey each, with a report.

    Parameters
    ----------
    paths : str, Path or sequence of them
        .dxf files, from the lowest storey up.
    walls, without : sequence of str
        Patterns of layers that hold walls and of layers to leave out; by name if none is given.
    unit : Unit, optional
        The unit the drawings are in, whatever their headers say.
    storey_height_m : float, optional
        From floor to floor, where the notes do not say it; guessed if not given. [m]
    notes : DrawingNotes, optional
        Constructions by layer, walls drawn as one line, names and heights of storeys.
    materials : MaterialMap, optional
        A person's own mapping of names, as the report prints them.
    progress : callable, optional
        Called with (done, total, what).
    largest_bytes : int
        A larger file is refused before it is read.

    Raises
    ------
    PlanError
        A file cannot be read as DXF, it is not clear which layers hold walls, or header and
        drawing disagree about the unit.

    Notes
    -----
    Ids come from where things are, so that an unchanged wall keeps its id on every import. Text of
    the drawing, such as names in its title block, is never read.
    """
    files = [Path(paths)] if isinstance(paths, str | Path) else [Path(p) for p in paths]
    if not files:
        raise PlanError("No file was given; give .dxf files from the lowest storey up.")
    names = [f.name for f in files]
    notes = notes or DrawingNotes()
    report = ReportBuilder()
    choice = Choice(walls=walls, without=without, unit=unit, notes=notes)
    levels = storeys([choice.note(name) for name in names], storey_height_m, report)
    tell = progress or (lambda done, total, what: None)
    steps = 2 * len(files)
    sheets = []
    for k, path in enumerate(files):
        tell(k, steps, f"reading {path.name}")
        sheets.append(read_sheet(path, choice, report, largest_bytes))
    origin = _origin(sheets)
    found = []
    for k, (sheet, level) in enumerate(zip(sheets, levels, strict=True)):
        tell(len(files) + k, steps, f"pairing the lines of {sheet.file}")
        found.append(_storey_walls(sheet, level, notes, origin, report))
    tell(steps, steps, "putting it together")
    _check_notes(notes, sheets, found, report)
    own = _with_layers(materials or MaterialMap(), notes, found)
    return _assemble(found, ConstructionBook(own, report, PREFIX), origin)


def _origin(sheets: Sequence[Sheet]) -> FloatArray:
    """The lower left corner in whole metres where coordinates are large, else (0, 0)."""
    points = np.vstack([s.walls.points() for s in sheets])
    if not len(points) or np.abs(points).max() <= _FAR_M:
        return np.zeros(2)
    return np.asarray(np.floor(points.min(axis=0)))


def _storey_walls(
    sheet: Sheet, level: Storey, notes: DrawingNotes, origin: FloatArray, report: ReportBuilder
) -> StoreyWalls:
    thickest = notes.thickest_wall_m
    pieces = sheet.walls.moved(-origin)
    faces = merged(pieces.lines, pieces.line_layer, pieces.line_width)
    found = _pairs.paired(faces, report, thickest)
    strips = _strips(found, faces, sheet, notes, report)
    curved, left = _curves.curved_walls(pieces, thickest)
    report.left_out("curve on a wall layer", "no second one beside it, round its centre", left)
    strips = [s for s in strips + curved if _within(s, report)]
    joined, meets = _joints.closed(strips)
    panes = np.array([_ends(faces, p) for p in found.panes]).reshape(-1, 2, 2)
    drawings = Drawings(
        np.concatenate([pieces.lines, sheet.opening_lines - origin, panes]),
        [None] * len(pieces.lines) + [*sheet.opening_kinds, *[Kind.WINDOW] * len(panes)],
        [_moved_swing(s, origin) for s in sheet.swings],
        [Placed(b.kind, b.points - origin) for b in sheet.blocks],
    )
    walls, piers = _joints.without_piers(_joints.bridged(joined, meets, drawings.fills))
    report.left_out("pier or post", "it touches no wall", piers)
    if not walls:
        raise PlanError(_no_walls(sheet.file, faces, notes))
    holes = drawings.holes(walls, report)
    labels = [_label(sheet.layers[w.strip.layer], w.strip.thickness_m) for w in walls]
    ground = _emit.outline(walls)
    _check_buildings(sheet.file, ground, report)
    return StoreyWalls(level, walls, holes, labels, ground)


def _no_walls(file: str, faces: Faces, notes: DrawingNotes) -> str:
    return (
        f"{file}: no two lines on the layers of walls make a wall"
        f"{_thicker(faces.lines(), notes.thickest_wall_m)} Pick other layers with --walls, or "
        "another --unit; where walls are drawn as one line, give their thickness under "
        "[single_lines] in --notes."
    )


def _moved_swing(swing: Swing, origin: FloatArray) -> Swing:
    return Swing(swing.hinge - origin, (swing.shut[0] - origin, swing.shut[1] - origin))


def _ends(faces: Faces, pair: Pair) -> tuple[FloatArray, FloatArray]:
    low, high = (faces.at(pair.group, s, pair.middle) for s in (pair.low, pair.high))
    return low, high


def _strips(
    found: Paired, faces: Faces, sheet: Sheet, notes: DrawingNotes, report: ReportBuilder
) -> list[Strip]:
    """Centre lines of double lines, and single lines where the notes say they are walls."""
    strips = [
        Strip(*_ends(faces, p), p.thickness_m, int(faces.layer[p.lower])) for p in found.walls
    ]
    lines, thickest = faces.lines(), notes.thickest_wall_m
    alone = []
    for k in found.single[faces.length_m[found.single] >= _SINGLE_M].tolist():
        layer = int(faces.layer[k])
        name = sheet.layers[layer]
        thick = [t for p, t in notes.single_lines.items() if _layers.matches(name, [p])]
        if thick:
            strips.append(Strip(lines[k, 0], lines[k, 1], thick[0], layer))
            report.guessed("single line", f"wall of {thick[0]:g} m", "by the notes on the drawing")
        elif THINNEST_M <= (width := float(faces.width[k])) <= thickest:
            strips.append(Strip(lines[k, 0], lines[k, 1], width, layer))
            report.guessed("line as wide as a wall", f"wall of {width:g} m", "it has no second one")
        elif faces.length_m[k] > thickest:
            why = (
                f"no second line 50 to {1000 * thickest:g} mm beside it; [single_lines] in notes "
                "makes it a wall"
            )
            report.left_out(f"line on layer {_layers.bare(name)}", why)
            alone.append(k)
    share = float(faces.length_m[alone].sum() / max(faces.length_m.sum(), _SINGLE_M))
    if share > _MOST_ALONE_RATIO:
        report.warn(
            f"{sheet.file}: {100 * share:.0f} % of the length of the lines on the layers of walls "
            f"has no second line 50 to {1000 * thickest:g} mm beside it, and is in no wall"
            f"{_thicker(lines[alone], thickest)} Walls of one line go under [single_lines] in "
            "--notes. What is missing lets a prediction come out too good."
        )
    return strips


def _thicker(alone: FloatArray, thickest_m: float) -> str:
    """How far most lines without a partner are from the next, where that can be a wall."""
    apart = _units.usual_distance(alone)
    if apart is None or not thickest_m < apart <= LARGEST_THICKNESS_M:
        return "."
    enough = math.ceil(20 * apart - 0.02) / 20
    return (
        f"; most of them are {1000 * apart:.0f} mm apart. If those are walls, write "
        f"thickest_wall_m = {enough:g} into --notes."
    )


def _within(strip: Strip, report: ReportBuilder) -> bool:
    if max(np.abs(strip.start).max(), np.abs(strip.end).max()) < _LARGEST_M - 5.0:
        return True
    report.left_out("wall", f"further than {_LARGEST_M:.0f} m from the plan's origin")
    return False


def _label(layer: str, thickness_m: float) -> str:
    return f"{_layers.bare(layer)} {1000 * thickness_m:.0f} mm"


def _check_buildings(file: str, ground: BaseGeometry, report: ReportBuilder) -> None:
    count = sum(p.area > _BUILDING_M2 for p in shapely.get_parts(ground))
    if count > 1:
        report.warn(
            f"{file} shows {count} separate buildings, or storeys side by side. Of storeys side by "
            "side save each as a file of its own, and give the files from the lowest up."
        )


def _check_notes(
    notes: DrawingNotes,
    sheets: Sequence[Sheet],
    found: Sequence[StoreyWalls],
    report: ReportBuilder,
) -> None:
    """Warn of notes that nothing fits, and of storeys that do not lie above each other."""
    layers = {name for sheet in sheets for name in sheet.layers}
    labels = {label for storey in found for label in storey.labels}
    unmet = [p for p in notes.layers if not any(_layers.matches(x, [p]) for x in layers | labels)]
    unmet += [p for p in notes.single_lines if not any(_layers.matches(x, [p]) for x in layers)]
    unmet += [n for n in notes.storeys if n not in {s.file for s in sheets}]
    for name in unmet:
        report.warn(f"The notes name {name!r}, and nothing here has that name: it changed nothing.")
    for sheet, (lower, upper) in zip(sheets[1:], pairwise(found), strict=True):
        note = notes.storeys.get(sheet.file, StoreyNote())
        if said := _storeys.out_of_line(sheet.file, lower.ground, upper.ground, note.move_m):
            report.warn(said)


def _with_layers(
    materials: MaterialMap, notes: DrawingNotes, found: Sequence[StoreyWalls]
) -> MaterialMap:
    """The map with the constructions of layers by what walls are called; its own come first."""
    by_label: dict[str, Construction] = {}
    for storey in found:
        for label in storey.labels:
            for pattern, construction in notes.layers.items():
                if _fits(label, pattern):
                    by_label.setdefault(normalised(label), construction)
    constructions: Mapping[str, Construction] = {**by_label, **materials.constructions}
    return MaterialMap(
        materials.materials, MappingProxyType(dict(constructions)), materials.written
    )


def _fits(label: str, pattern: str) -> bool:
    layer = label.rsplit(" ", 2)[0]
    return _layers.matches(label, [pattern]) or _layers.matches(layer, [pattern])


def _assemble(
    found: Sequence[StoreyWalls], book: ConstructionBook, origin: FloatArray
) -> PlanImport:
    ids, report = Ids(), book.report
    floors, walls = [], list[Wall]()
    for k, storey in enumerate(found):
        floor = _emit.storey_id(storey.walls, ids, origin)
        level = storey.storey
        if k:
            report.guessed(
                f"floor of {level.name}",
                "Floor, build-up unknown",
                "a plan holds no floors",
                first=True,
            )
        walls += _emit.walls_of(storey, floor, ids, book, origin)
        floors.append(
            Floor(
                id=floor,
                name=level.name,
                elevation_m=round(level.elevation_m, 4),
                height_m=round(level.height_m, 4),
            )
        )
    book.warn_of_names_met_nowhere()
    return PlanImport(
        floors=tuple(floors),
        walls=tuple(walls),
        constructions=book.made,
        origin_m=(float(origin[0]), float(origin[1])),
        report=report.finish(
            storeys=len({w.floor for w in walls}),
            walls=len(walls),
            openings=sum(len(w.openings) for w in walls),
            slabs=0,
        ),
    )
