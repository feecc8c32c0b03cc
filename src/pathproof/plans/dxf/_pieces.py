"""Lines and curves of a drawing's model space, blocks taken apart.

Every block is read once and then moved as a whole by each insert of it. Curves are kept as centre
and two half axes, which any scale, mirror or turn of a block moves like points.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pathproof.plans.dxf._reader import broken
from pathproof.terms import PlanError

if TYPE_CHECKING:
    from ezdxf.document import Drawing

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

_MOST_PIECES = 2_000_000
_MOST_COPIES = 10_000
_DEEPEST = 40
_FURTHEST = 1e12
_INHERITED = -1  # layer "0" inside a block is the layer of its insert
_UP = (0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Pieces:
    """Lines and curves in drawing units, with their layers by number."""

    lines: FloatArray
    """Both ends of each, shape (n, 2, 2)."""
    line_layer: IntArray
    curves: FloatArray
    """Centre, half axis to the start, half axis a quarter turn on, shape (n, 3, 2)."""
    sweep: FloatArray
    """How far each curve turns. [rad]"""
    curve_layer: IntArray

    @property
    def count(self) -> int:
        """Lines and curves together."""
        return len(self.lines) + len(self.curves)

    def of_layers(self, layers: Iterable[int]) -> "Pieces":
        """Those on some layers."""
        wanted = np.array(sorted(layers), dtype=np.int64)
        line, curve = np.isin(self.line_layer, wanted), np.isin(self.curve_layer, wanted)
        return self._kept(line, curve)

    def finite(self) -> "Pieces":
        """Those whose coordinates are numbers that a drawing can have."""
        with np.errstate(invalid="ignore"):
            line = np.all(np.abs(self.lines) < _FURTHEST, axis=(1, 2))
            curve = np.all(np.abs(self.curves) < _FURTHEST, axis=(1, 2)) & np.isfinite(self.sweep)
        return self._kept(np.asarray(line), np.asarray(curve))

    def scaled(self, scale: float) -> "Pieces":
        """The same in another unit."""
        return Pieces(
            self.lines * scale, self.line_layer, self.curves * scale, self.sweep, self.curve_layer
        )

    def moved(self, by: FloatArray) -> "Pieces":
        """The same, further along by so much."""
        curves = self.curves.copy()
        curves[:, 0] += by
        return Pieces(self.lines + by, self.line_layer, curves, self.sweep, self.curve_layer)

    def _kept(self, line: BoolArray, curve: BoolArray) -> "Pieces":
        return Pieces(
            self.lines[line],
            self.line_layer[line],
            self.curves[curve],
            self.sweep[curve],
            self.curve_layer[curve],
        )

    def points(self) -> FloatArray:
        """Ends of lines, and ends and middles of curves."""
        centre, u, v = (self.curves[:, k] for k in range(3))
        turns = np.linspace(0.0, 1.0, 5)[:, None] * self.sweep
        on = [centre + np.cos(t)[:, None] * u + np.sin(t)[:, None] * v for t in turns]
        return np.vstack([self.lines.reshape(-1, 2), *on])


@dataclass(frozen=True, slots=True)
class Block:
    """A block as it stands in the drawing."""

    name: str
    pieces: Pieces


@dataclass(slots=True)
class Drawn:
    """What a drawing shows."""

    layers: list[str]
    """Names of layers by number."""
    hidden: dict[str, str]
    """Layers that do not show: name to "off" or "frozen"."""
    pieces: Pieces
    blocks: list[Block]
    """Inserted blocks of some names, taken apart like all others."""
    unread: Counter[tuple[str, int]]
    """Things of kinds that hold no walls, by kind and layer."""
    faults: Counter[str]
    """Why things were left out."""


@dataclass(slots=True)
class _Raw:
    """Things of one block or of the model space while they are read."""

    lines: list[tuple[float, float, float, float]] = field(default_factory=list)
    line_layer: list[int] = field(default_factory=list)
    curves: list[tuple[float, ...]] = field(default_factory=list)
    curve_layer: list[int] = field(default_factory=list)
    parts: list[Pieces] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)

    @property
    def count(self) -> int:
        return len(self.lines) + len(self.curves) + sum(p.count for p in self.parts)

    def joined(self) -> Pieces:
        curves = np.array(self.curves, dtype=np.float64).reshape(-1, 7)
        own = Pieces(
            np.array(self.lines, dtype=np.float64).reshape(-1, 2, 2),
            np.array(self.line_layer, dtype=np.int64),
            curves[:, :6].reshape(-1, 3, 2),
            curves[:, 6],
            np.array(self.curve_layer, dtype=np.int64),
        )
        return joined([own, *self.parts])


def joined(parts: Sequence[Pieces]) -> Pieces:
    """All pieces of several."""
    return Pieces(
        np.concatenate([p.lines for p in parts]),
        np.concatenate([p.line_layer for p in parts]),
        np.concatenate([p.curves for p in parts]),
        np.concatenate([p.sweep for p in parts]),
        np.concatenate([p.curve_layer for p in parts]),
    )


def read_pieces(drawing: "Drawing", is_of_interest: Callable[[str], bool]) -> Drawn:
    """What the model space shows; blocks whose name is of interest are also given by themselves.

    Raises
    ------
    PlanError
        Blocks in blocks make more pieces than any plan has.
    """
    return _Reader(drawing, is_of_interest).read()


class _Reader:
    def __init__(self, drawing: "Drawing", is_of_interest: Callable[[str], bool]) -> None:
        self._drawing = drawing
        self._is_of_interest = is_of_interest
        self._number: dict[str, int] = {}
        self._names: list[str] = []
        self._done: dict[str, _Raw] = {}
        self._whole: dict[str, Pieces] = {}
        self._unread: Counter[tuple[str, int]] = Counter()
        self._faults: Counter[str] = Counter()
        self._hidden: dict[str, str] = {}
        for layer in drawing.layers:
            state = "frozen" if layer.is_frozen() else "off" if layer.is_off() else ""
            if state:
                self._hidden[layer.dxf.name] = state
        self._hidden_keys = {name.lower(): state for name, state in self._hidden.items()}

    def read(self) -> Drawn:
        raw = _Raw()
        for entity in self._drawing.modelspace():
            self._take(entity, raw, inside=())
        pieces = self._visible(raw.joined())
        kept = pieces.finite()
        self._faults["its coordinates are not numbers of a plan"] += pieces.count - kept.count
        blocks = [Block(b.name, self._visible(b.pieces).finite()) for b in raw.blocks]
        return Drawn(
            self._names,
            self._hidden,
            kept,
            [b for b in blocks if b.pieces.count],
            self._unread,
            self._faults,
        )

    def _visible(self, pieces: Pieces) -> Pieces:
        shown = [i for i, name in enumerate(self._names) if name.lower() not in self._hidden_keys]
        return pieces.of_layers(shown)

    def _layer(self, name: str, inside: tuple[str, ...]) -> int:
        if inside and name == "0":
            return _INHERITED
        key = name.lower()
        if key not in self._number:
            self._number[key] = len(self._names)
            self._names.append(name)
        return self._number[key]

    def _take(self, entity: Any, raw: _Raw, inside: tuple[str, ...]) -> None:
        try:
            layer = self._layer(str(entity.dxf.layer), inside)
            if not entity.dxf.get("invisible", 0):
                self._take_visible(entity, layer, raw, inside)
        except broken():
            self._faults["its data in the file is broken"] += 1

    def _take_visible(self, entity: Any, layer: int, raw: _Raw, inside: tuple[str, ...]) -> None:
        kind = entity.dxftype()
        if kind == "LINE":
            start, end = entity.dxf.start, entity.dxf.end
            raw.lines.append((start.x, start.y, end.x, end.y))
            raw.line_layer.append(layer)
        elif kind == "INSERT":
            self._insert(entity, layer, raw, inside)
        elif kind in _CURVES:
            raw.curves.append(_CURVES[kind](entity))
            raw.curve_layer.append(layer)
        elif kind in _POLYLINES:
            _add_polyline(_POLYLINES[kind](entity), entity, layer, raw)
        elif kind == "MLINE":
            for part in entity.virtual_entities():
                self._take_visible(part, layer, raw, inside)
        else:
            self._unread[kind, layer] += 1

    def _insert(self, insert: Any, layer: int, raw: _Raw, inside: tuple[str, ...]) -> None:
        if self._hidden_keys.get(str(insert.dxf.layer).lower()) == "frozen":
            return
        if insert.mcount > _MOST_COPIES:
            self._faults[f"a block repeated more than {_MOST_COPIES:,} times"] += 1
            return
        name = str(insert.dxf.name)
        content = self._block(name, inside)
        if content is None:
            return
        whole = self._whole[name.lower()]
        copies = list(insert.multi_insert()) if insert.mcount > 1 else [insert]
        if raw.count + whole.count * len(copies) > _MOST_PIECES:
            raise PlanError(
                f"The drawing's blocks hold each other so often that it comes to more than "
                f"{_MOST_PIECES:,} lines. Save one storey alone, without furniture and site plan."
            )
        for copy in copies:
            self._place(copy, name, content, whole, layer, raw)

    def _place(
        self, copy: Any, name: str, content: _Raw, whole: Pieces, layer: int, raw: _Raw
    ) -> None:
        matrix = copy.matrix44()
        origin, x, y = (matrix.transform(p) for p in ((0, 0, 0), (1, 0, 0), (0, 1, 0)))
        at = np.array([origin.x, origin.y])
        turn = np.array([[x.x, x.y], [y.x, y.y]]) - at
        placed = _placed(whole, at, turn, layer)
        raw.parts.append(placed)
        if self._is_of_interest(name):
            raw.blocks.append(Block(name, placed))
        for block in content.blocks if len(raw.blocks) < _MOST_COPIES else []:
            raw.blocks.append(Block(block.name, _placed(block.pieces, at, turn, layer)))

    def _block(self, name: str, inside: tuple[str, ...]) -> _Raw | None:
        key = name.lower()
        if key in inside:
            self._faults["a block that holds itself"] += 1
            return None
        if key in self._done:
            return self._done[key]
        if len(inside) >= _DEEPEST:
            self._faults[f"a block in more than {_DEEPEST} others"] += 1
            return None
        layout: Any = self._drawing.blocks.get(name)
        if layout is None:
            self._faults["a block that the file does not hold"] += 1
            return None
        raw = _Raw()
        for entity in layout:
            self._take(entity, raw, (*inside, key))
        self._done[key] = raw
        self._whole[key] = raw.joined()
        return raw


def _placed(pieces: Pieces, at: FloatArray, turn: FloatArray, layer: int) -> Pieces:
    curves = pieces.curves @ turn
    curves[:, 0] += at
    own = (pieces.line_layer == _INHERITED, pieces.curve_layer == _INHERITED)
    return Pieces(
        pieces.lines @ turn + at,
        np.where(own[0], layer, pieces.line_layer),
        curves,
        pieces.sweep,
        np.where(own[1], layer, pieces.curve_layer),
    )


def _upright(entity: Any) -> bool:
    return not entity.dxf.hasattr("extrusion") or tuple(entity.dxf.extrusion) == _UP


def _arc(entity: Any) -> tuple[float, ...]:
    start, end = 0.0, 360.0
    if entity.dxftype() == "ARC":
        start, end = float(entity.dxf.start_angle), float(entity.dxf.end_angle)
    sweep = (end - start) % 360.0 or 360.0
    angle, radius = np.deg2rad(start), float(entity.dxf.radius)
    u = radius * np.array([np.cos(angle), np.sin(angle), 0.0])
    v = np.array([-u[1], u[0], 0.0])
    centre = np.array(tuple(entity.dxf.center))
    points = [centre, centre + u, centre + v]
    if not _upright(entity):
        points = [np.array(tuple(p)) for p in entity.ocs().points_to_wcs(map(tuple, points))]
    c, a, b = (p[:2] for p in points)
    return (*c, *(a - c), *(b - c), float(np.deg2rad(sweep)))


def _ellipse(entity: Any) -> tuple[float, ...]:
    c, a, b = (
        np.array(tuple(p))[:2]
        for p in (entity.dxf.center, entity.dxf.major_axis, entity.minor_axis)
    )
    start = float(entity.dxf.start_param)
    sweep = (float(entity.dxf.end_param) - start) % (2 * np.pi) or 2 * np.pi
    u = np.cos(start) * a + np.sin(start) * b
    v = -np.sin(start) * a + np.cos(start) * b
    return (*c, *u, *v, sweep)


def _light_points(entity: Any) -> tuple[FloatArray, FloatArray, bool]:
    given = np.array(entity.get_points("xyb"), dtype=np.float64).reshape(-1, 3)
    level = np.full(len(given), float(entity.dxf.get("elevation", 0.0)))
    return np.column_stack([given[:, :2], level]), given[:, 2], bool(entity.closed)


def _heavy_points(entity: Any) -> tuple[FloatArray, FloatArray, bool]:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        raise ValueError("a mesh")
    corners = [v for v in entity.vertices if not v.dxf.flags & 16]  # without spline frames
    at = np.array([tuple(v.dxf.location) for v in corners], dtype=np.float64).reshape(-1, 3)
    bulge = np.array([float(v.dxf.get("bulge", 0.0)) for v in corners], dtype=np.float64)
    return at, bulge * entity.is_2d_polyline, bool(entity.is_closed)


def _in_space(entity: Any) -> bool:
    """Whether its corners are in world coordinates, and not in a plane of its own."""
    return entity.dxftype() == "POLYLINE" and bool(entity.is_3d_polyline)


def _add_polyline(
    told: tuple[FloatArray, FloatArray, bool], entity: Any, layer: int, raw: _Raw
) -> None:
    at, bulge, closed = told
    if not _upright(entity) and not _in_space(entity):
        at = np.array([tuple(p) for p in entity.ocs().points_to_wcs(map(tuple, at))])
        bulge = bulge * np.sign(float(entity.dxf.extrusion.z) or 1.0)
    last = len(at) if closed else len(at) - 1
    for k in range(last):
        p, q = at[k, :2], at[(k + 1) % len(at), :2]
        if bulge[k] == 0.0:
            raw.lines.append((p[0], p[1], q[0], q[1]))
            raw.line_layer.append(layer)
        else:
            raw.curves.append(_bulged(p, q, float(bulge[k])))
            raw.curve_layer.append(layer)


def _bulged(p: FloatArray, q: FloatArray, bulge: float) -> tuple[float, ...]:
    """The arc of a polyline; its bulge is the tangent of a quarter of its angle."""
    way = q - p
    centre = (p + q) / 2 + np.array([-way[1], way[0]]) * (1 - bulge * bulge) / (4 * bulge)
    u = p - centre
    v = np.array([-u[1], u[0]]) * np.sign(bulge)
    return (*centre, *u, *v, 4 * float(np.arctan(abs(bulge))))


_CURVES = {"ARC": _arc, "CIRCLE": _arc, "ELLIPSE": _ellipse}
_POLYLINES = {"LWPOLYLINE": _light_points, "POLYLINE": _heavy_points}
