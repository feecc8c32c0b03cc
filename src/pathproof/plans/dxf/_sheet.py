"""One drawing read: its walls, openings and unit, in metres."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from pathproof.plans.dxf import _layers, _openings, _units
from pathproof.plans.dxf._drawn import Drawn, read_pieces
from pathproof.plans.dxf._layers import Kind, LayerSum
from pathproof.plans.dxf._notes import DrawingNotes, StoreyNote
from pathproof.plans.dxf._openings import Placed, Swing
from pathproof.plans.dxf._pieces import FloatArray, Pieces
from pathproof.plans.dxf._reader import open_dxf
from pathproof.plans.dxf._units import METRES, Unit
from pathproof.plans.report import ReportBuilder
from pathproof.terms import PlanError

_FURTHEST_M = 512.0
_RADIUS_M = (0.5, 1.4)
_WALL_THINGS = {"HATCH", "SOLID", "TRACE", "3DFACE", "SPLINE", "REGION", "3DSOLID", "IMAGE"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Choice:
    """What a person chose for the reading of drawings."""

    walls: Sequence[str] = ()
    without: Sequence[str] = ()
    unit: Unit | None = None
    notes: DrawingNotes = field(default_factory=DrawingNotes)

    def note(self, file: str) -> StoreyNote:
        """What the person says of a file."""
        return self.notes.storeys.get(file, StoreyNote())


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing in metres, not yet moved to the plan's origin."""

    file: str
    layers: tuple[str, ...]
    walls: Pieces
    opening_lines: FloatArray
    opening_kinds: tuple[Kind, ...]
    swings: tuple[Swing, ...]
    blocks: tuple[Placed, ...]


def read_sheet(path: Path, choice: Choice, report: ReportBuilder, largest_bytes: int) -> Sheet:
    """What a drawing holds of a plan.

    Raises
    ------
    PlanError
        It cannot be read, holds no walls that can be told, or its unit is doubtful.
    """
    drawing, faults = open_dxf(path, largest_bytes)
    if faults:
        report.warn(f"{path.name} is damaged ({faults} faults mended); things may be missing.")
    drawn = read_pieces(drawing, lambda name: _layers.kind_by_name(name) is not None)
    if drawn.attached:
        report.warn(_attached(path.name, drawn.attached))
    if not drawn.pieces.count:
        raise PlanError(
            f"{path.name} shows no lines in its model space, which is where a plan is drawn; "
            "layouts and blocks that are not inserted are not read."
            + (" " + _attached(path.name, drawn.attached) if drawn.attached else "")
        )
    taken = _wall_layers(path.name, drawn, choice, report)
    numbers = [drawn.layers.index(x.name) for x in taken]
    walls = drawn.pieces.of_layers(numbers)
    found = _swings(drawn, numbers)
    radii = [float(np.hypot(*(s.shut[0] - s.hinge))) for s in found]
    sizes = _units.sizes(drawing, walls, radii)
    unit = _units.unit_of(path.name, drawing, choice.unit, sizes, report)
    _report(drawn, taken, METRES[unit], report)
    return _sheet(path.name, drawn, walls, found, METRES[unit], choice, report)


def _attached(file: str, count: int) -> str:
    return (
        f"{file} shows {count} drawing{'s' * (count > 1)} attached from other files, and does not "
        "hold them: their walls are missing. Bind them in the program it came from, then save it "
        "again."
    )


def _wall_layers(file: str, drawn: Drawn, choice: Choice, report: ReportBuilder) -> list[LayerSum]:
    found = _layers.sums(drawn)
    singles = [x for x in found if _layers.matches(x.name, list(choice.notes.single_lines))]
    try:
        taken, doubtful = _layers.wall_layers(
            file, found, drawn.hidden, choice.walls, choice.without
        )
    except PlanError:
        if choice.walls or choice.without or not singles:
            raise
        taken, doubtful = [], []
    for layer in doubtful:
        why = f"perhaps walls of another kind; {layer.count} lines. --walls takes them"
        report.left_out(f"layer {layer.name}", why)
    return taken + [x for x in singles if x not in taken]


def _swings(drawn: Drawn, walls: Sequence[int]) -> list[Swing]:
    """Door swings on layers of walls and openings and in blocks; on all layers if none is there."""
    kinds = {i: kind for i, name in enumerate(drawn.layers) if (kind := _layers.kind_by_name(name))}
    doors = [i for i, kind in kinds.items() if kind is Kind.DOOR]
    found = _openings.swings(drawn.pieces.of_layers([*kinds, *walls]), doors)
    return found or _openings.swings(drawn.pieces)


def _report(drawn: Drawn, taken: Sequence[LayerSum], scale: float, report: ReportBuilder) -> None:
    for layer in taken:
        what = f"{layer.count} lines, {layer.length * scale:.0f} m in all"
        report.guessed(f"layer {layer.name}", "walls", what)
    for name, state in sorted(drawn.hidden.items()):
        report.left_out(f"layer {name}", f"it is {state} in the drawing")
    for why, count in drawn.faults.items():
        report.left_out("thing in the drawing", why, count)
    numbers = {drawn.layers.index(x.name) for x in taken}
    for (kind, number), count in sorted(drawn.unread.items()):
        if number in numbers and kind in _WALL_THINGS:
            report.left_out(
                f"{kind} on a wall layer", "only lines, arcs and blocks are read", count
            )


def _sheet(
    file: str,
    drawn: Drawn,
    walls: Pieces,
    found: Sequence[Swing],
    scale: float,
    choice: Choice,
    report: ReportBuilder,
) -> Sheet:
    move = np.array(choice.note(file).move_m)
    kinds = [_layers.kind_by_name(name) for name in drawn.layers]
    pieces = drawn.pieces
    on_named = np.array([kinds[i] is not None for i in pieces.line_layer], dtype=bool)
    radii = np.array([np.hypot(*(s.shut[0] - s.hinge)) * scale for s in found])
    as_door = (radii >= _RADIUS_M[0]) & (radii <= _RADIUS_M[1])
    why = "its leaf is shorter than {} m or longer than {} m".format(*_RADIUS_M)
    report.left_out("swing of a door", why, int(np.sum(~as_door)))
    swings = [
        Swing(s.hinge * scale + move, (s.shut[0] * scale + move, s.shut[1] * scale + move))
        for s, fits in zip(found, as_door, strict=True)
        if fits
    ]
    blocks = [
        Placed(kind, b.pieces.points() * scale + move)
        for b in drawn.blocks
        if (kind := _layers.kind_by_name(b.name)) is not None
    ]
    return Sheet(
        file,
        tuple(drawn.layers),
        _near(walls.scaled(scale).moved(move), report),
        pieces.lines[on_named] * scale + move,
        tuple(k for i in pieces.line_layer[on_named] if (k := kinds[i]) is not None),
        tuple(swings),
        tuple(blocks),
    )


def _near(walls: Pieces, report: ReportBuilder) -> Pieces:
    """The walls without stray lines far from most of them."""
    line = walls.lines.mean(axis=1)
    middle = np.median(np.vstack([line, walls.curves[:, 0]]), axis=0)
    far = [
        np.abs(walls.lines - middle).max(axis=(1, 2)) > _FURTHEST_M,
        np.abs(walls.curves[:, 0] - middle).max(axis=1) > _FURTHEST_M,
    ]
    count = int(sum(f.sum() for f in far))
    why = f"further than {_FURTHEST_M:.0f} m from most walls"
    report.left_out("line on a wall layer", why, count)
    return walls.kept(~far[0], ~far[1])
