"""What the model space of a drawing shows, blocks taken apart.

Every block is read once and then moved as a whole by each insert of it.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from pathproof.plans.dxf._entities import CURVES, POLYLINES, Curve, Line, sides_of, width_of
from pathproof.plans.dxf._pieces import FloatArray, Pieces, joined
from pathproof.plans.dxf._reader import broken
from pathproof.terms import PlanError

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_MOST_PIECES = 2_000_000
_MOST_COPIES = 10_000
_DEEPEST = 40
_INHERITED = -1  # layer "0" inside a block is the layer of its insert


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
    attached: int
    """Drawings that this one shows and does not hold."""


@dataclass(slots=True)
class _Raw:
    """Things of one block or of the model space while they are read."""

    lines: list[Line] = field(default_factory=list)
    line_layer: list[int] = field(default_factory=list)
    line_width: list[float] = field(default_factory=list)
    curves: list[Curve] = field(default_factory=list)
    curve_layer: list[int] = field(default_factory=list)
    parts: list[Pieces] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)

    @property
    def count(self) -> int:
        return len(self.lines) + len(self.curves) + sum(p.count for p in self.parts)

    def add_line(self, line: Line, layer: int, width: float = 0.0) -> None:
        self.lines.append(line)
        self.line_layer.append(layer)
        self.line_width.append(width)

    def add_curve(self, curve: Curve, layer: int) -> None:
        self.curves.append(curve)
        self.curve_layer.append(layer)

    def joined(self) -> Pieces:
        curves = np.array(self.curves, dtype=np.float64).reshape(-1, 7)
        own = Pieces(
            np.array(self.lines, dtype=np.float64).reshape(-1, 2, 2),
            np.array(self.line_layer, dtype=np.int64),
            np.array(self.line_width, dtype=np.float64),
            curves[:, :6].reshape(-1, 3, 2),
            curves[:, 6],
            np.array(self.curve_layer, dtype=np.int64),
        )
        return joined([own, *self.parts])


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
        self._attached = 0
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
            self._attached,
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
            raw.add_line((start.x, start.y, end.x, end.y), layer)
        elif kind == "INSERT":
            self._insert(entity, layer, raw, inside)
        elif kind in CURVES:
            raw.add_curve(CURVES[kind](entity), layer)
        elif kind in POLYLINES:
            width = width_of(entity)
            for side in sides_of(entity):
                if len(side) == 4:
                    raw.add_line(side, layer, width)
                else:
                    raw.add_curve(side, layer)
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
        if layout.block is not None and (layout.block.is_xref or layout.block.is_xref_overlay):
            self._attached += not len(layout)
        raw = _Raw()
        for entity in layout:
            self._take(entity, raw, (*inside, key))
        self._done[key] = raw
        self._whole[key] = raw.joined()
        return raw


def _placed(pieces: Pieces, at: FloatArray, turn: FloatArray, layer: int) -> Pieces:
    own = (pieces.line_layer == _INHERITED, pieces.curve_layer == _INHERITED)
    return replace(
        pieces.placed(at, turn),
        line_layer=np.where(own[0], layer, pieces.line_layer),
        curve_layer=np.where(own[1], layer, pieces.curve_layer),
    )
