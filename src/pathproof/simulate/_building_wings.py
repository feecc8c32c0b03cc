"""Wings of generated buildings: a corridor with rooms on one side or both.

A wing lies in a frame of its own: u along the corridor, v across it. The rooms of the right side
lie between v = 0 and the corridor, those of the left side beyond it. The first room on the right
is the stairs.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto
from itertools import pairwise

import numpy as np

from pathproof.simulate._building_drawing import (
    Drawing,
    Frame,
    Gap,
    Point,
    Sheet,
    door,
    window,
)

STAIRS_M = 3.2
_FIRE_DOORS_M = 24.0
_CUPBOARD_M = (2.0, 1.3)
_CUBICLE_M = (1.5, 0.9)
_CUBICLE_BASE_M, _CUBICLE_TOP_M = 0.15, 2.0


class Fitting(Enum):
    """What divides a room further."""

    NONE = auto()
    CUPBOARD = auto()  # a walled cupboard in the corner at the corridor
    STORE = auto()  # a store room behind another one
    CUBICLES = auto()  # a row of cubicles, their walls neither to floor nor ceiling


class End(Enum):
    """How a wing ends."""

    NONE = auto()  # at another wing's wall
    OUTSIDE = auto()  # an outer wall, with a door on the lowest storey
    LINKED = auto()  # an outer wall, with a door on every storey to a passage


@dataclass(frozen=True)
class RoomUse:
    """A kind of room, how wide it may be and how often it is met."""

    narrowest_m: float
    widest_m: float
    share: float
    fitting: Fitting = Fitting.NONE


@dataclass(frozen=True, kw_only=True)
class Style:
    """What a building is made of, and what rooms it has."""

    outer: str
    corridor: str
    partitions: tuple[str, ...]
    glazing: tuple[str, ...]
    slab: str
    uses: tuple[RoomUse, ...]


@dataclass(frozen=True, kw_only=True)
class Wing:
    """One wing; `across_m` are v of the corridor's right and left wall and of the outer wall."""

    frame: Frame
    length_m: float
    across_m: tuple[float, float, float]
    lattice: bool = True
    """Rooms begin at whole decimetres; otherwise anywhere."""
    split: bool = True
    """Walls end where others meet them; otherwise they run on."""
    near_end: End = End.OUTSIDE
    """How it ends at u = 0."""
    far_end: End = End.OUTSIDE
    """How it ends at u = `length_m`."""
    ways_out: tuple[float, ...] = ()
    """Middles of passages out of a corridor with no rooms on its left. [m]"""
    joints: tuple[float, ...] = ()
    """Where other wings' walls meet that side. [m]"""
    notched: bool = False
    """Its slabs leave out the stairs by a notch; otherwise by a hole."""


@dataclass(frozen=True, kw_only=True)
class _Bay:
    """The room between two partitions; depths count from the outer wall."""

    u0: float
    u1: float
    v_outer: float
    v_corridor: float

    @property
    def depth_m(self) -> float:
        return abs(self.v_corridor - self.v_outer)

    def v(self, depth_m: float) -> float:
        """Where a depth lies across the wing."""
        share = depth_m if self.v_corridor > self.v_outer else -depth_m
        return round(self.v_outer + share, 3)


@dataclass(frozen=True, kw_only=True)
class _Met:
    """Where what divides a room meets the walls round it: depths, and places along the corridor."""

    at_start: tuple[float, ...] = ()
    at_end: tuple[float, ...] = ()
    at_corridor: tuple[float, ...] = ()


class WingDrawer:
    """Draws one wing on one storey."""

    def __init__(
        self, drawing: Drawing, style: Style, wing: Wing, floor: str, rng: np.random.Generator
    ) -> None:
        self._drawing, self._style, self._wing, self._rng = drawing, style, wing, rng
        self._sheet = Sheet(drawing=drawing, floor=floor, frame=wing.frame)
        self._ground = floor == drawing.floors[0].id

    def draw(self) -> None:
        """All of the wing's walls, its rooms, and the slab under it."""
        wing = self._wing
        right, left, outer = wing.across_m
        self._side(0.0, right, stairs=True)
        if outer > left:
            self._side(outer, left, stairs=False)
        else:
            self._corridor_outside()
        self._ends()
        for u in np.arange(_FIRE_DOORS_M, wing.length_m - 6.0, _FIRE_DOORS_M).tolist():
            doors = door((left - right) / 2, 1.6, "glazed_door")
            self._run((u, right), (u, left), self._style.corridor, [doors])
        self._sheet.room((0.0, right), (wing.length_m, left))
        if not self._ground:
            self._slab()

    def _side(self, v_outer: float, v_corridor: float, *, stairs: bool) -> None:
        """The rooms between an outer wall and the corridor."""
        ends, uses = self._room_ends(stairs=stairs)
        cuts: dict[float, list[float]] = {u: [] for u in ends}
        corridor_cuts = list(ends)
        corridor_doors: list[Gap] = []
        windows: list[Gap] = []
        for (u0, u1), use in zip(pairwise(ends), uses, strict=True):
            bay = _Bay(u0=u0, u1=u1, v_outer=v_outer, v_corridor=v_corridor)
            met = self._fit(use.fitting, bay)
            cuts[u0] += met.at_start
            cuts[u1] += met.at_end
            corridor_cuts += met.at_corridor
            corridor_doors.append(door(self._anywhere(max([u0, *met.at_corridor]), u1)))
            windows += self._windows(u0, u1)
        for u in ends[1:-1]:
            construction = str(self._rng.choice(self._style.partitions))
            self._run((u, v_outer), (u, v_corridor), construction, cuts=cuts[u])
        self._along(v_corridor, self._style.corridor, corridor_doors, corridor_cuts)
        self._along(v_outer, self._style.outer, windows, ends)

    def _room_ends(self, *, stairs: bool) -> tuple[list[float], list[RoomUse]]:
        """Where rooms begin and end along the wing, and what they are used for."""
        known = self._style.uses
        shares = np.array([use.share for use in known])
        first = STAIRS_M if stairs else 0.0
        widths: list[float] = []
        uses: list[RoomUse] = []
        while sum(widths) < self._wing.length_m - first:
            uses.append(known[int(self._rng.choice(len(known), p=shares / shares.sum()))])
            widths.append(self._rng.uniform(uses[-1].narrowest_m, uses[-1].widest_m))
        ends = first + np.cumsum(widths) * (self._wing.length_m - first) / sum(widths)
        decimals = 1 if self._wing.lattice else 3
        found = [0.0, *([first] if stairs else []), *np.round(ends, decimals).tolist()]
        found[-1] = self._wing.length_m
        return found, [*([RoomUse(0.0, 0.0, 0.0)] if stairs else []), *uses]

    def _fit(self, fitting: Fitting, bay: _Bay) -> _Met:
        """Divides a room further; tells where that meets the walls round it."""
        if fitting is Fitting.CUPBOARD:
            return self._cupboard(bay)
        if fitting is Fitting.STORE:
            return self._store(bay)
        if fitting is Fitting.CUBICLES:
            return self._cubicles(bay)
        self._clear(bay, bay.u0, 0.0, bay.depth_m)
        return _Met()

    def _cupboard(self, bay: _Bay) -> _Met:
        wide_m, deep_m = _CUPBOARD_M
        depth_m, u = bay.depth_m - deep_m, round(bay.u0 + wide_m, 3)
        partition = str(self._rng.choice(self._style.partitions))
        self._run((u, bay.v_corridor), (u, bay.v(depth_m)), partition)
        cupboard_door = door(wide_m / 2, 0.8)
        self._run((u, bay.v(depth_m)), (bay.u0, bay.v(depth_m)), partition, [cupboard_door])
        self._clear(bay, bay.u0, 0.0, depth_m)
        return _Met(at_start=(depth_m,), at_corridor=(u,))

    def _store(self, bay: _Bay) -> _Met:
        depth_m = round(0.55 * bay.depth_m, 1)
        partition = str(self._rng.choice(self._style.partitions))
        through = door((bay.u1 - bay.u0) / 2, 0.8)
        self._run((bay.u0, bay.v(depth_m)), (bay.u1, bay.v(depth_m)), partition, [through])
        self._clear(bay, bay.u0, 0.0, depth_m)
        self._clear(bay, bay.u0, depth_m, bay.depth_m)
        return _Met(at_start=(depth_m,), at_end=(depth_m,))

    def _cubicles(self, bay: _Bay) -> _Met:
        wide_m, pitch_m = _CUBICLE_M
        u = round(bay.u0 + wide_m, 3)
        depths = [round((k + 1) * pitch_m, 3) for k in range(int((bay.depth_m - 1.6) / pitch_m))]
        for depth_m in depths:
            self._cubicle_wall((bay.u0, bay.v(depth_m)), (u, bay.v(depth_m)))
        fronts = [
            Gap(d - pitch_m / 2, 0.6, _CUBICLE_BASE_M, _CUBICLE_TOP_M, "timber_door_hollow")
            for d in depths
        ]
        self._cubicle_wall((u, bay.v_outer), (u, bay.v(depths[-1])), fronts, depths)
        self._clear(bay, u, 0.0, bay.depth_m)
        return _Met()

    def _cubicle_wall(
        self,
        start: Point,
        end: Point,
        gaps: list[Gap] | None = None,
        cuts: list[float] | None = None,
    ) -> None:
        heights = (_CUBICLE_BASE_M, _CUBICLE_TOP_M)
        self._run(start, end, "timber_partition", gaps, cuts, heights_m=heights)

    def _clear(self, bay: _Bay, u0: float, from_m: float, to_m: float) -> None:
        self._sheet.room((u0, bay.v(from_m)), (bay.u1, bay.v(to_m)))

    def _anywhere(self, u0: float, u1: float) -> float:
        """Somewhere a door fits between two walls. [m]"""
        return round(self._rng.uniform(u0 + 0.6, u1 - 0.6), 1 if self._wing.lattice else 3)

    def _windows(self, u0: float, u1: float) -> Iterator[Gap]:
        """One window in a small room, two in a wide one."""
        count = 1 if u1 - u0 < 4.5 else 2
        share_m = (u1 - u0) / count
        glazing = str(self._rng.choice(self._style.glazing))
        for k in range(count):
            yield window(u0 + (k + 0.5) * share_m, round(min(0.6 * share_m, 2.4), 2), glazing)

    def _corridor_outside(self) -> None:
        """The outer wall of a corridor with no rooms on its left: windows, and ways out."""
        wing = self._wing
        joints = sorted({0.0, wing.length_m, *wing.joints})
        gaps = [door(u, 1.8, "glazed_door") for u in wing.ways_out]
        gaps += [
            window((low + high) / 2, 1.8)
            for low, high in pairwise(joints)
            if high - low > 2.4 and not any(low < u < high for u in wing.ways_out)
        ]
        self._along(wing.across_m[1], self._style.outer, gaps, joints)

    def _ends(self) -> None:
        """Outer walls across the wing, with a door or a window at the corridor."""
        wing = self._wing
        right, left, outer = wing.across_m
        near, far = ((0.0, 0.0), (0.0, outer)), ((wing.length_m, outer), (wing.length_m, 0.0))
        if wing.near_end is not End.NONE:
            gap = self._at_end(wing.near_end, (right + left) / 2)
            self._run(*near, self._style.outer, [gap], [right, left])
        if wing.far_end is not End.NONE:
            gap = self._at_end(wing.far_end, outer - (right + left) / 2)
            self._run(*far, self._style.outer, [gap], [outer - left, outer - right])

    def _at_end(self, end: End, middle_m: float) -> Gap:
        if end is End.LINKED:
            return door(middle_m, 1.6, "glazed_door")
        return door(middle_m, 1.2, "steel_door") if self._ground else window(middle_m)

    def _slab(self) -> None:
        wing, at = self._wing, self._wing.frame.ring
        right, _, outer = wing.across_m
        length_m, construction = wing.length_m, self._style.slab
        around = [(length_m, 0.0), (length_m, outer), (0.0, outer)]
        if wing.notched:
            notch = [(0.0, right), (STAIRS_M, right), (STAIRS_M, 0.0)]
            self._drawing.slab(self._sheet.floor, construction, at(*around, *notch))
            return
        low, high, inner = 0.4, STAIRS_M - 0.4, right - 1.4
        hole = at((low, 0.4), (high, 0.4), (high, inner), (low, inner))
        self._drawing.slab(self._sheet.floor, construction, at((0.0, 0.0), *around), hole)

    def _along(self, v: float, construction: str, gaps: list[Gap], joints: list[float]) -> None:
        """A run along the whole wing, so that an outer wall has the outside on its left."""
        length_m = self._wing.length_m
        if v > 0.0:
            self._run((0.0, v), (length_m, v), construction, gaps, joints)
            return
        turned = [
            Gap(length_m - g.middle_m, g.width_m, g.sill_m, g.head_m, g.construction) for g in gaps
        ]
        self._run((length_m, v), (0.0, v), construction, turned, [length_m - u for u in joints])

    def _run(
        self,
        start: Point,
        end: Point,
        construction: str,
        gaps: list[Gap] | None = None,
        cuts: list[float] | None = None,
        heights_m: tuple[float | None, float | None] = (None, None),
    ) -> None:
        self._sheet.run(
            start,
            end,
            construction,
            gaps or [],
            cuts_m=(cuts or []) if self._wing.split else [],
            heights_m=heights_m,
        )
