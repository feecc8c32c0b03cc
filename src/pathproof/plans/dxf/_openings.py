"""What is drawn in and on walls: door swings, blocks, and lines across a hole."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import shapely

from pathproof.plans.dxf._joints import Gap, Strip, WallLine
from pathproof.plans.dxf._layers import Kind
from pathproof.plans.dxf._pieces import FloatArray, Pieces
from pathproof.plans.report import ReportBuilder

_SWING_RAD = (np.deg2rad(20.0), np.deg2rad(105.0))  # a door is often drawn half open
_LEAF_RATIO = 0.12
_ROUND_RATIO = 0.01
_BAND_M = 0.06  # how far beside a wall's faces its doors and windows are drawn
_FULL_RATIO, _PART_RATIO = 0.85, 0.3
_IN_FACE_M = 0.015
_JAMB_M = 0.03
_SQUARE = np.sin(np.deg2rad(5.0))
_SMALLEST_M, _LARGEST_M = 0.3, 6.0
_NEAR_M = 0.3
_GARAGE_M = 2.5


class Fill(StrEnum):
    """What fills a hole in a wall."""

    DOOR = "door"
    SLIDING = "sliding door"
    WIDE_DOOR = "wide door"
    WINDOW = "window"
    PASSAGE = "passage"


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole in a wall, along from its start. [m]"""

    start_m: float
    end_m: float
    fill: Fill
    why: str
    """What in the drawing told it."""


@dataclass(frozen=True, slots=True)
class Swing:
    """A door by the arc it swings along. [m]"""

    hinge: FloatArray
    shut: tuple[FloatArray, FloatArray]
    """Both ends of the arc: one is where the leaf shuts."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A door or window block by its points. [m]"""

    kind: Kind
    points: FloatArray


def swings(pieces: Pieces, of_doors: Collection[int] = ()) -> list[Swing]:
    """Arcs of up to a quarter circle with a leaf drawn from the hinge to one of their ends.

    On layers `of_doors`, by number, they need no leaf.
    """
    centre, u, v = (pieces.curves[:, k] for k in range(3))
    radius, other = np.hypot(*u.T), np.hypot(*v.T)
    turn = (pieces.sweep >= _SWING_RAD[0]) & (pieces.sweep <= _SWING_RAD[1])
    even = (np.abs(radius - other) <= _ROUND_RATIO * radius) & (
        np.abs(np.einsum("nk,nk->n", u, v)) <= _ROUND_RATIO * radius * other
    )
    some = np.flatnonzero(turn & even & (radius > 0.0))
    bare = set(some[np.isin(pieces.curve_layer[some], list(of_doors))].tolist())
    end = centre + np.cos(pieces.sweep)[:, None] * u + np.sin(pieces.sweep)[:, None] * v
    near = _LEAF_RATIO * radius[some]
    tree = shapely.STRtree(shapely.points(pieces.lines.reshape(-1, 2)))
    arc, point = tree.query(shapely.points(centre[some]), "dwithin", distance=near)
    k = some[arc]
    far = pieces.lines[point // 2, 1 - point % 2]
    leaf = np.zeros(len(arc), dtype=bool)
    for tip in (centre + u, end):
        leaf |= np.hypot(*(far - tip[k]).T) <= near[arc]
    return [
        Swing(centre[i], (centre[i] + u[i], end[i])) for i in sorted(bare | set(k[leaf].tolist()))
    ]


class Drawings:
    """Everything that can stand in a wall, ready to be looked up by place. [m]"""

    def __init__(
        self,
        lines: FloatArray,
        kinds: Sequence[Kind | None],
        found: Sequence[Swing],
        blocks: Sequence[Placed],
    ) -> None:
        self._lines = lines
        self._kinds = kinds
        self._tree = shapely.STRtree(shapely.linestrings(lines))
        windows = [k for k, kind in enumerate(kinds) if kind is Kind.WINDOW]
        self._windows = lines[windows]
        self._window_tree = shapely.STRtree(shapely.linestrings(self._windows))
        self._swings = list(found)
        self._hinges = shapely.STRtree(
            shapely.points(np.array([s.hinge for s in found]).reshape(-1, 2))
        )
        self._blocks = list(blocks)
        self._block_tree = shapely.STRtree([shapely.MultiPoint(b.points) for b in blocks])

    def fills(self, hole: Strip, along_all: bool) -> bool:
        """Whether a door or window is drawn in a hole, or lines close the walls at both its ends.

        Where `along_all` is asked for, closed ends are not enough.
        """
        if self._hole_fill(hole)[0] is not Fill.PASSAGE:
            return True
        return not along_all and all(self._has_jamb(hole, p) for p in (hole.start, hole.end))

    def holes(self, walls: Sequence[WallLine], report: ReportBuilder) -> list[list[Hole]]:
        """The holes of every wall, from its gaps and from what is drawn on it."""
        found = [[self._of_gap(w.strip, gap) for gap in w.gaps] for w in walls]
        if not walls:
            return found
        tree = shapely.STRtree([shapely.LineString([w.strip.start, w.strip.end]) for w in walls])
        for swing in self._swings:
            if why := self._set_swing(swing, walls, tree, found):
                report.left_out("door", why)
        for block in self._blocks:
            if why := self._set_block(block, walls, tree, found):
                report.left_out(f"{block.kind} block", why)
        for wall, own in zip(walls, found, strict=True):
            own += self._drawn_over(wall.strip, own, report)
            own.sort(key=lambda h: h.start_m)
        return found

    def _of_gap(self, wall: Strip, gap: Gap) -> Hole:
        d = wall.direction
        part = Strip(
            wall.start + d * gap.start_m, wall.start + d * gap.end_m, wall.thickness_m, wall.layer
        )
        fill, why = self._hole_fill(part)
        return Hole(gap.start_m, gap.end_m, fill, why)

    def _hole_fill(self, hole: Strip) -> tuple[Fill, str]:
        for swing in self._swings_near(hole):
            if _shut_in(swing, hole) is not None:
                return Fill.DOOR, "its swing is drawn"
        for k in self._block_tree.query(_box(hole), "intersects").tolist():
            return _fill(self._blocks[k].kind, hole.length_m), "by the name of its block"
        return self._by_lines(hole)

    def _by_lines(self, hole: Strip) -> tuple[Fill, str]:
        """By lines along the hole: over all of it, panes or a threshold; over a part, leaves."""
        panes = leaves = faces = 0
        kinds: set[Kind] = set()
        for k in self._tree.query(_box(hole), "intersects").tolist():
            kind = self._kinds[k]
            if kind is None:
                continue
            at = hole.frame(self._lines[k])
            if abs(at[1, 1] - at[0, 1]) > _SQUARE * max(abs(at[1, 0] - at[0, 0]), 1e-9):
                continue
            low, high = np.clip(np.sort(at[:, 0]), 0.0, hole.length_m)
            if abs(at[:, 1].mean()) > hole.thickness_m / 2 + _BAND_M:
                continue
            share = (high - low) / hole.length_m
            if share >= _FULL_RATIO:
                inner = abs(at[:, 1].mean()) < hole.thickness_m / 2 - _IN_FACE_M
                panes, faces = panes + inner, faces + (not inner)
            elif share >= _PART_RATIO:
                leaves += 1
            if share >= _PART_RATIO:
                kinds.add(kind)
        return _by_counts(hole, panes, leaves, faces, kinds)

    def _has_jamb(self, hole: Strip, end: FloatArray) -> bool:
        for k in self._tree.query(shapely.Point(end), "dwithin", distance=_JAMB_M).tolist():
            way = self._lines[k, 1] - self._lines[k, 0]
            if abs(float(way @ hole.direction)) <= _SQUARE * float(np.hypot(*way)):
                return True
        return False

    def _swings_near(self, hole: Strip) -> list[Swing]:
        near = self._hinges.query(
            shapely.LineString([hole.start, hole.end]), "dwithin", distance=_NEAR_M
        )
        return [self._swings[k] for k in near.tolist()]

    def _set_swing(
        self,
        swing: Swing,
        walls: Sequence[WallLine],
        tree: shapely.STRtree,
        found: Sequence[list[Hole]],
    ) -> str:
        """Why no wall has the door already or takes it now; nothing where one does."""
        best: tuple[float, int, float, float] | None = None
        for k in sorted(
            tree.query(shapely.Point(swing.hinge), "dwithin", distance=_NEAR_M).tolist()
        ):
            shut = _shut_in(swing, walls[k].strip)
            if shut is not None and (best is None or shut[2] < best[0]):
                best = (shut[2], k, shut[0], shut[1])
        if best is None:
            return "no wall beside its swing"
        _, k, low, high = best
        hole = Hole(low, high, Fill.DOOR, "its swing is drawn")
        return _put(hole, walls[k].strip, found[k])

    def _set_block(
        self,
        block: Placed,
        walls: Sequence[WallLine],
        tree: shapely.STRtree,
        found: Sequence[list[Hole]],
    ) -> str:
        best: tuple[float, int, float, float] | None = None
        near = tree.query(shapely.MultiPoint(block.points), "dwithin", distance=_BAND_M)
        for k in sorted(near.tolist()):
            wall = walls[k].strip
            at = wall.frame(block.points)
            inside = np.abs(at[:, 1]) <= wall.thickness_m / 2 + _BAND_M
            if not inside.any():
                continue
            low, high = (float(f(at[inside, 0])) for f in (np.min, np.max))
            low, high = max(0.0, low), min(wall.length_m, high)
            if high - low >= _SMALLEST_M and (best is None or high - low > best[0]):
                best = (high - low, k, low, high)
        if best is None:
            return "no wall beside it"
        _, k, low, high = best
        hole = Hole(low, high, _fill(block.kind, high - low), "by the name of its block")
        return _put(hole, walls[k].strip, found[k])

    def _drawn_over(self, wall: Strip, known: Sequence[Hole], report: ReportBuilder) -> list[Hole]:
        """Windows whose lines are drawn on a wall that goes on under them."""
        spans = []
        for k in self._window_tree.query(_box(wall), "intersects").tolist():
            at = wall.frame(self._windows[k])
            if abs(at[1, 1] - at[0, 1]) > _SQUARE * abs(at[1, 0] - at[0, 0]):
                continue
            if np.abs(at[:, 1]).max() <= wall.thickness_m / 2 + _BAND_M:
                low, high = np.clip(np.sort(at[:, 0]), 0.0, wall.length_m)
                spans.append((float(low), float(high)))
        found: list[Hole] = []
        for low, high in _unions(spans):
            hole = Hole(low, high, Fill.WINDOW, "by the name of its layer")
            if any(_overlap(hole, h) > 0 for h in known):
                continue
            if _SMALLEST_M <= high - low <= _LARGEST_M:
                found.append(hole)
            else:
                report.left_out("window on a wall", "shorter than 0.3 m or longer than 6 m")
        return found


def _by_counts(
    hole: Strip, panes: int, leaves: int, faces: int, kinds: set[Kind]
) -> tuple[Fill, str]:
    if Kind.WINDOW in kinds:
        return Fill.WINDOW, "by the name of its layer"
    if Kind.DOOR in kinds:
        return _fill(Kind.DOOR, hole.length_m), "by the name of its layer"
    if leaves and panes < 2:
        return Fill.SLIDING, "leaves along the wall"
    if panes:
        return Fill.WINDOW, "lines across the hole"
    if faces and hole.length_m > _GARAGE_M:
        return Fill.WIDE_DOOR, "a line across a wide hole"
    return Fill.PASSAGE, "nothing in the hole"


def _fill(kind: Kind, width_m: float) -> Fill:
    if kind is Kind.WINDOW:
        return Fill.WINDOW
    return Fill.WIDE_DOOR if width_m > _GARAGE_M else Fill.DOOR


def _box(strip: Strip) -> shapely.Polygon:
    across = strip.left * (strip.thickness_m / 2 + _BAND_M)
    corners = [strip.start - across, strip.end - across, strip.end + across, strip.start + across]
    return shapely.Polygon(np.array(corners))


def _shut_in(swing: Swing, wall: Strip) -> tuple[float, float, float] | None:
    """From where to where along the wall the door is when shut, and how far beside its middle."""
    best = None
    for tip in swing.shut:
        at = wall.frame(np.array([swing.hinge, tip]))
        low, high = sorted(at[:, 0].tolist())
        aside = float(np.abs(at[:, 1]).max())
        turned = abs(at[1, 1] - at[0, 1]) > 0.3 * (high - low)
        past = max(0.0, -low) + max(0.0, high - wall.length_m)
        if turned or aside > wall.thickness_m / 2 + 2 * _BAND_M or past > _NEAR_M:
            continue
        if best is None or aside < best[2]:
            best = (max(0.0, low), min(wall.length_m, high), aside)
    return best


def _put(hole: Hole, wall: Strip, known: list[Hole]) -> str:
    """Why the hole is neither there already nor added now; nothing where it is."""
    there = [h for h in known if _overlap(hole, h) > 0.3 * (hole.end_m - hole.start_m)]
    if there:
        glass = any(Fill.WINDOW in (h.fill, hole.fill) and h.fill is not hole.fill for h in there)
        return f"a {there[0].fill} in the same place of the wall" if glass else ""
    low = max(
        [0.0, *(h.end_m for h in known if h.end_m <= hole.end_m and h.start_m < hole.start_m)]
    )
    start = max(hole.start_m, low)
    after = [h.start_m for h in known if h.start_m > hole.start_m]
    end = min([hole.end_m, wall.length_m, *after])
    if end - start < _SMALLEST_M:
        return "less than 0.3 m of wall for it"
    known.append(Hole(start, end, hole.fill, hole.why))
    return ""


def _overlap(a: Hole, b: Hole) -> float:
    return min(a.end_m, b.end_m) - max(a.start_m, b.start_m)


def _unions(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + _IN_FACE_M:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return joined
