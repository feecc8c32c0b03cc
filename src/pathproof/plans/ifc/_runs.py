"""A run: one wall's centre line with its thickness, heights and build-up, before storeys."""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from pathproof.plans.ifc import _lines
from pathproof.plans.ifc._bodies import Body, FloatArray, shadow
from pathproof.plans.ifc._layers import BuildUp, NamedLayer

_FLAT_RATIO = 0.97  # below it a wall's top or foot is not level
_MOST_SLICES = 8
_RISE_M = 0.6


@dataclass(frozen=True, slots=True)
class Slice:
    """A stretch of a run with level foot and top."""

    start_m: float
    end_m: float
    z_min: float
    z_max: float


@dataclass(frozen=True, slots=True)
class SidedLayers:
    """Layers from the left of a line to its right."""

    layers: tuple[NamedLayer, ...]
    first_left: bool | None
    """Whether the file's first layer is on the left; none where the file does not say."""
    removed: tuple[str, ...] = ()
    """Names of layers of which something was cut away."""

    def turned(self) -> "SidedLayers":
        """As seen from the other end; layers of unknown side stay as listed."""
        if self.first_left is None:
            return self
        return replace(self, layers=self.layers[::-1], first_left=not self.first_left)


@dataclass(frozen=True)
class Run:
    """One wall as a line, in plan coordinates, z above the building's zero."""

    step_id: int
    line: FloatArray
    """Corners of the centre line, shape (n, 2); chords where it is curved. [m]"""
    thickness_m: float
    z_min: float
    z_max: float
    footprint: BaseGeometry
    build_up: BuildUp
    layers: SidedLayers | None
    """Its layers; none where the file gives no thicknesses."""
    slices: tuple[Slice, ...]
    volume_m3: float
    part: str = ""
    """Suffix of the id where one element gives several runs."""

    @property
    def length_m(self) -> float:
        """Length of the centre line. [m]"""
        return _lines.length(self.line)

    @property
    def straight(self) -> bool:
        """Whether the line has just two ends."""
        return len(self.line) == 2

    @property
    def direction(self) -> FloatArray:
        """Unit vector along the line, of a curved one at its start."""
        return _lines.unit(self.line[1] - self.line[0])

    def reversed(self) -> "Run":
        """The same run from its end to its start: left and right change places."""
        total = self.length_m
        return replace(
            self,
            line=self.line[::-1],
            layers=self.layers and self.layers.turned(),
            slices=tuple(
                Slice(total - s.end_m, total - s.start_m, s.z_min, s.z_max)
                for s in reversed(self.slices)
            ),
        )

    def with_ends(self, before_m: float, after_m: float) -> "Run":
        """The same run made longer at its ends, or shorter where negative."""
        line = _lines.stretched(self.line, before_m, after_m)
        total = _lines.length(line)
        moved = [
            replace(s, start_m=max(0.0, s.start_m + before_m), end_m=s.end_m + before_m)
            for s in self.slices
        ]
        moved[0] = replace(moved[0], start_m=0.0)
        moved = [replace(s, end_m=min(s.end_m, total)) for s in moved if s.start_m < total - 0.01]
        moved[-1] = replace(moved[-1], end_m=total)
        return replace(self, line=line, slices=tuple(moved))


def level_slices(line: FloatArray, body: Body) -> tuple[Slice, ...]:
    """The run cut where its foot or top steps or slopes; one slice for an ordinary wall.

    The wall is looked at from the side; a sloping stretch is cut so that the top changes by at
    most 0.6 m within a slice, and takes its mean height.
    """
    total = _lines.length(line)
    whole = (Slice(0.0, total, body.z_min, body.z_max),)
    if len(line) > 2:
        return whole
    along = (body.vertices[:, :2] - line[0]) @ _lines.unit(line[1] - line[0])
    view = shadow(np.column_stack([along, body.vertices[:, 2]]), body.faces)
    view = view.intersection(shapely.box(0.0, body.z_min - 1.0, total, body.z_max + 1.0))
    if view.area >= _FLAT_RATIO * total * (body.z_max - body.z_min):
        return whole
    cuts = _cuts(view, total)
    slices = [_slice(view, a, b) for a, b in pairwise(cuts)]
    return tuple(s for s in slices if s is not None) or whole


def _cuts(view: BaseGeometry, total: float) -> list[float]:
    corners = shapely.get_coordinates(view.simplify(0.01))[:, 0]
    steps = [0.0]
    for s in sorted(corners):
        if s - steps[-1] > 0.05 and total - s > 0.05:
            steps.append(float(s))
    steps.append(total)
    if len(steps) - 1 > _MOST_SLICES:
        return [float(s) for s in np.linspace(0.0, total, 6)]
    cuts = [0.0]
    for a, b in pairwise(steps):
        rise = abs(_top(view, b - 0.01) - _top(view, a + 0.01))
        pieces = min(5, max(1, int(np.ceil(rise / _RISE_M))))
        cuts += [a + (b - a) * (i + 1) / pieces for i in range(pieces)]
    return cuts


def _top(view: BaseGeometry, s: float) -> float:
    cut = view.intersection(shapely.LineString([(s, -1e4), (s, 1e4)]))
    return 0.0 if cut.is_empty else float(cut.bounds[3])


def _slice(view: BaseGeometry, a: float, b: float) -> Slice | None:
    piece = view.intersection(shapely.box(a, -1e4, b, 1e4))
    if piece.area < 1e-4:
        return None
    z_min = float(piece.bounds[1])
    return Slice(a, b, z_min, z_min + piece.area / (b - a))
