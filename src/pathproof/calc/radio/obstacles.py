"""Walls, openings and floors in whole units of 1/1024 m, as the crossing rule takes them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pathproof.calc._arrays import require_finite, require_not_negative, require_positive
from pathproof.calc.radio._kernels import WHOLE_WALL, IntArray, SlabArrays, WallArrays
from pathproof.terms import InvalidInputError, OutOfRangeError

PLAN_LIMIT_M = 512.0
HEIGHT_LIMIT_M = 2000.0
UNITS_PER_M = 1024


@dataclass(frozen=True, kw_only=True, eq=False)
class Obstacles:
    """Walls, openings and floors in units of 1/1024 m; build it with :meth:`from_arrays`."""

    walls: IntArray
    """(7, W): start x, y; from start to end x, y; base, top; side of a ray's end on its line."""
    opening_first: IntArray
    """(W + 1,): where each wall's openings begin in ``openings``."""
    openings: IntArray
    """(O, 4), by wall: from and to in 2^-20 of the wall's length; sill, head."""
    opening_index: IntArray
    """(O,): which opening of the input each row of ``openings`` was."""
    slab_z: IntArray
    """(S,): height of each floor."""
    ring_first: IntArray
    """(S + 1,): where each floor's rings begin; none means it covers everything."""
    vertex_first: IntArray
    """(R + 1,): where each ring's corners begin in ``vertices``."""
    vertices: IntArray
    """(V, 2): corners, x and y."""

    @property
    def wall_arrays(self) -> WallArrays:
        """What the compiled rule takes of the walls."""
        return self.walls, self.opening_first, self.openings

    @property
    def slab_arrays(self) -> SlabArrays:
        """What the compiled rule takes of the floors."""
        return self.slab_z, self.ring_first, self.vertex_first, self.vertices

    @classmethod
    def from_arrays(
        cls,
        wall_start_m: ArrayLike = (),
        wall_end_m: ArrayLike = (),
        wall_base_m: ArrayLike = (),
        wall_top_m: ArrayLike = (),
        *,
        opening_wall: ArrayLike = (),
        opening_offset_m: ArrayLike = (),
        opening_width_m: ArrayLike = (),
        opening_sill_m: ArrayLike = (),
        opening_head_m: ArrayLike = (),
        slab_z_m: ArrayLike = (),
        slab_ring_slab: ArrayLike = (),
        slab_rings_m: Sequence[ArrayLike] = (),
    ) -> Self:
        """Obstacles from plain arrays in metres.

        Parameters
        ----------
        wall_start_m, wall_end_m : array, shape (W, 2)
            Ends of each wall in plan, within 512 m of the origin. [m]
        wall_base_m, wall_top_m : array, shape (W,)
            Heights on the scale of the site, not of the storey; base below top. [m]
        opening_wall : array of int, shape (O,)
            Which wall each opening is in. [index]
        opening_offset_m, opening_width_m : array, shape (O,)
            Place along the wall from its start, and width, above 0; only what lies between the
            wall's ends counts. [m]
        opening_sill_m, opening_head_m : array, shape (O,)
            Heights on the scale of the site; sill below head. Openings may be stacked. Where two
            overlap, the one listed first counts. [m]
        slab_z_m : array, shape (S,)
            Height of each floor. [m]
        slab_ring_slab : array of int, shape (R,)
            Which floor each ring belongs to. A floor without a ring covers everything. [index]
        slab_rings_m : sequence of R arrays, shape (n, 2), n of 3 or more
            Corners of outlines and holes alike; a point is on the floor where it is inside an odd
            number of them. The last corner joins the first. [m]

        Returns
        -------
        obstacles : Obstacles
            Snapped and checked.

        Raises
        ------
        InvalidInputError
            Shapes that do not fit, values that are not finite, an index of no wall or floor, a
            wall without length or height, an opening without width or height.
        OutOfRangeError
            Plan coordinates beyond 512 m, or heights beyond 2000 m, of the origin.
        """
        walls = _snapped_walls(wall_start_m, wall_end_m, wall_base_m, wall_top_m)
        count = walls.shape[1]
        wall = _indices(opening_wall, "opening_wall", count)
        length_m = np.hypot(*(_rows(wall_end_m, 2, "") - _rows(wall_start_m, 2, "")).T)
        openings = _snapped_openings(
            length_m[wall], opening_offset_m, opening_width_m, opening_sill_m, opening_head_m
        )
        by_wall = np.argsort(wall, kind="stable")
        slab_z = _snapped(_column(slab_z_m, None, "slab_z_m"), HEIGHT_LIMIT_M, "slab_z_m")
        slab = _indices(slab_ring_slab, "slab_ring_slab", len(slab_z))
        if len(slab) != len(slab_rings_m):
            raise InvalidInputError(
                f"slab_ring_slab has {len(slab)} entries for {len(slab_rings_m)} rings; "
                "give one for each."
            )
        by_slab = np.argsort(slab, kind="stable")
        rings = [_snapped_ring(slab_rings_m[i], f"slab_rings_m[{i}]") for i in by_slab]
        return cls(
            walls=_frozen(walls),
            opening_first=_first(wall, count),
            openings=_frozen(openings[by_wall]),
            opening_index=_frozen(by_wall),
            slab_z=_frozen(slab_z),
            ring_first=_first(slab, len(slab_z)),
            vertex_first=_frozen(np.cumsum([0, *map(len, rings)])),
            vertices=_frozen(np.concatenate([np.empty((0, 2), np.int64), *rings])),
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class Classes:
    """Which row of a table of losses each obstacle of a site loses by; checked."""

    walls: IntArray
    """(W,): row of each wall. [index]"""
    openings: IntArray
    """(O,): row of each opening, in the order of ``Obstacles.openings``. [index]"""
    slabs: IntArray
    """(S,): row of each floor. [index]"""
    table_db: NDArray[np.float64]
    """(C, n): loss over the cosine of the angle of incidence, equally spaced from 0 to 1. [dB]"""

    @property
    def arrays(self) -> tuple[IntArray, IntArray, IntArray]:
        """What the compiled rule takes of the classes."""
        return self.walls, self.openings, self.slabs

    @classmethod
    def checked(
        cls,
        obstacles: Obstacles,
        wall_class: ArrayLike,
        opening_class: ArrayLike,
        slab_class: ArrayLike,
        table_db: ArrayLike,
    ) -> Self:
        """Classes and table for some obstacles.

        Raises
        ------
        InvalidInputError
            Shapes that do not fit, values that are not finite, a class with no row in the table,
            a negative loss.
        """
        table = np.ascontiguousarray(require_not_negative(table_db, "table_db"))
        if table.ndim != 2 or table.shape[1] < 2:
            raise InvalidInputError(
                f"table_db had shape {table.shape}; it must be (classes, nodes), with 2 nodes or "
                "more."
            )
        count = len(table)
        openings = _indices(opening_class, "opening_class", count, len(obstacles.openings))
        return cls(
            walls=_indices(wall_class, "wall_class", count, obstacles.walls.shape[1]),
            openings=openings[obstacles.opening_index],
            slabs=_indices(slab_class, "slab_class", count, len(obstacles.slab_z)),
            table_db=table,
        )


# -- checking and snapping -------------------------------------------------------------------------


def snapped_places(place_m: ArrayLike, name: str) -> IntArray:
    """Places of shape (n, 3) in units; the name is for messages."""
    place = _rows(place_m, 3, name)
    plan = _snapped(place[:, :2], PLAN_LIMIT_M, name)
    return np.ascontiguousarray(np.hstack([plan, _snapped(place[:, 2:], HEIGHT_LIMIT_M, name)]))


def snapped_line(value_m: ArrayLike, limit_m: float, name: str) -> IntArray:
    """Numbers of shape (n,) in units; the name is for messages."""
    return _snapped(_column(value_m, None, name), limit_m, name)


def _frozen(array: IntArray) -> IntArray:
    array = np.ascontiguousarray(array, dtype=np.int64)
    array.flags.writeable = False
    return array


def _first(owner: IntArray, count: int) -> IntArray:
    """Where each owner's things begin once they are sorted by owner."""
    return _frozen(np.searchsorted(np.sort(owner), np.arange(count + 1)))


def _column(value: ArrayLike, count: int | None, name: str) -> NDArray[np.float64]:
    """Finite numbers of shape (count,)."""
    array = require_finite(value, name)
    if array.ndim != 1 or (count is not None and len(array) != count):
        wanted = "(n,)" if count is None else f"({count},)"
        raise InvalidInputError(f"{name} had shape {array.shape}; it must be {wanted}.")
    return array


def _rows(value: ArrayLike, width: int, name: str) -> NDArray[np.float64]:
    """Finite numbers of shape (n, width); an empty list will do for n = 0."""
    array = require_finite(value, name)
    if array.size == 0:
        return np.empty((0, width))
    if array.ndim != 2 or array.shape[1] != width:
        raise InvalidInputError(f"{name} had shape {array.shape}; it must be (n, {width}).")
    return array


def _indices(value: ArrayLike, name: str, below: int, count: int | None = None) -> IntArray:
    """Whole numbers from 0 up to below, of shape (count,)."""
    array = _column(value, count, name)
    bad = (array < 0) | (array >= below) | (array != np.floor(array))
    if np.any(bad):
        i = int(np.argmax(bad))
        raise InvalidInputError(
            f"{name}[{i}] was {array[i]:g}; it must be a whole number from 0 to {below - 1}."
        )
    return array.astype(np.int64)


def _snapped(value_m: NDArray[np.float64], limit_m: float, name: str) -> IntArray:
    """Metres as whole units of 1/1024 m."""
    beyond = np.abs(value_m) > limit_m
    if np.any(beyond):
        where = tuple(int(i) for i in np.argwhere(beyond)[0])
        at = ", ".join(map(str, where))
        source = "the exact crossing rule (metres from the site's own origin)"
        raise OutOfRangeError(
            f"{name}[{at}]", float(value_m[where]), -limit_m, limit_m, "m", source
        )
    return np.rint(value_m * UNITS_PER_M).astype(np.int64)


def _snapped_walls(
    start_m: ArrayLike, end_m: ArrayLike, base_m: ArrayLike, top_m: ArrayLike
) -> IntArray:
    """(7, W), as in :class:`Obstacles`."""
    start = _snapped(_rows(start_m, 2, "wall_start_m"), PLAN_LIMIT_M, "wall_start_m")
    end = _snapped(_rows(end_m, 2, "wall_end_m"), PLAN_LIMIT_M, "wall_end_m")
    if len(start) != len(end):
        raise InvalidInputError(
            f"wall_start_m has {len(start)} rows and wall_end_m {len(end)}; give the same number."
        )
    base, top = _snapped_span(base_m, top_m, len(start), "wall_base_m", "wall_top_m")
    no_length = np.all(start == end, axis=1)
    if np.any(no_length):
        raise InvalidInputError(
            f"wall {int(np.argmax(no_length))} starts and ends at the same point (to 1/1024 m); "
            "leave it out or give it length."
        )
    x, y = (end - start).T
    # the wall moves, the ray's end stays: the tie of the other direction
    tie = np.where((y > 0) | ((y == 0) & (x < 0)), 1, -1)
    return np.array([*start.T, x, y, base, top, tie])


def _snapped_span(
    low_m: ArrayLike, high_m: ArrayLike, count: int, low_name: str, high_name: str
) -> tuple[IntArray, IntArray]:
    """Two heights for each of a number of things, the first below the second."""
    low = _snapped(_column(low_m, count, low_name), HEIGHT_LIMIT_M, low_name)
    high = _snapped(_column(high_m, count, high_name), HEIGHT_LIMIT_M, high_name)
    if np.any(low >= high):
        i = int(np.argmax(low >= high))
        raise InvalidInputError(
            f"{low_name}[{i}] was {low[i] / UNITS_PER_M:g} and {high_name}[{i}] "
            f"{high[i] / UNITS_PER_M:g}; the first must be below the second."
        )
    return low, high


def _snapped_openings(
    wall_length_m: NDArray[np.float64],
    offset_m: ArrayLike,
    width_m: ArrayLike,
    sill_m: ArrayLike,
    head_m: ArrayLike,
) -> IntArray:
    """(O, 4): from and to in shares of the wall, sill and head."""
    count = len(wall_length_m)
    offset = _column(offset_m, count, "opening_offset_m")
    width = _column(require_positive(width_m, "opening_width_m"), count, "opening_width_m")
    sill, head = _snapped_span(sill_m, head_m, count, "opening_sill_m", "opening_head_m")
    ends = np.column_stack([offset, offset + width]) / wall_length_m[:, np.newaxis]
    shares = np.rint(np.clip(ends, 0.0, 1.0) * WHOLE_WALL).astype(np.int64)
    return np.column_stack([shares, sill, head])


def _snapped_ring(ring_m: ArrayLike, name: str) -> IntArray:
    ring = _snapped(_rows(ring_m, 2, name), PLAN_LIMIT_M, name)
    if len(np.unique(ring, axis=0)) < 3:
        raise InvalidInputError(f"{name} has fewer than 3 different corners; an area needs 3.")
    return ring
