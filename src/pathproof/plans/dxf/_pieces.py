"""Lines and curves of a drawing.

Curves are kept as centre and two half axes, which any scale, mirror or turn of a block moves like
points.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

_FURTHEST = 1e12


@dataclass(frozen=True, slots=True)
class Pieces:
    """Lines and curves in drawing units, with their layers by number."""

    lines: FloatArray
    """Both ends of each, shape (n, 2, 2)."""
    line_layer: IntArray
    line_width: FloatArray
    """Width of the polyline that each is of, 0 for what has none."""
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
        return self.kept(line, curve)

    def finite(self) -> "Pieces":
        """Those whose coordinates are numbers that a drawing can have."""
        with np.errstate(invalid="ignore"):
            line = np.all(np.abs(self.lines) < _FURTHEST, axis=(1, 2))
            curve = np.all(np.abs(self.curves) < _FURTHEST, axis=(1, 2)) & np.isfinite(self.sweep)
        return self.kept(np.asarray(line), np.asarray(curve))

    def scaled(self, scale: float) -> "Pieces":
        """The same in another unit."""
        return replace(
            self,
            lines=self.lines * scale,
            line_width=self.line_width * scale,
            curves=self.curves * scale,
        )

    def moved(self, by: FloatArray) -> "Pieces":
        """The same, further along by so much."""
        curves = self.curves.copy()
        curves[:, 0] += by
        return replace(self, lines=self.lines + by, curves=curves)

    def placed(self, at: FloatArray, turn: FloatArray) -> "Pieces":
        """The same after a linear map and a move, as of a block."""
        curves = self.curves @ turn
        curves[:, 0] += at
        return replace(
            self,
            lines=self.lines @ turn + at,
            line_width=self.line_width * np.sqrt(np.abs(np.linalg.det(turn))),
            curves=curves,
        )

    def kept(self, line: BoolArray, curve: BoolArray) -> "Pieces":
        """Those of the lines and curves that are marked."""
        return Pieces(
            self.lines[line],
            self.line_layer[line],
            self.line_width[line],
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


def joined(parts: Sequence[Pieces]) -> Pieces:
    """All pieces of several."""
    return Pieces(
        np.concatenate([p.lines for p in parts]),
        np.concatenate([p.line_layer for p in parts]),
        np.concatenate([p.line_width for p in parts]),
        np.concatenate([p.curves for p in parts]),
        np.concatenate([p.sweep for p in parts]),
        np.concatenate([p.curve_layer for p in parts]),
    )
