"""Which walls, openings and floors a straight ray crosses. Array code, compiled.

Importing this module loads the compiler (its results are kept on disk); nothing else in
`calc.radio` does.

The rule counts joints and corners once. Lengths are snapped to 1/1024 m, so that every test is
made in whole numbers and is exact: a ray never slips between two walls that meet, and never counts
both. Where a ray runs exactly through a wall's end, or starts on a wall, all walls and floors are
thought to be shifted by a vanishing (e, e^2) in plan, which settles each such case in one way for
all at once. Therefore the answer does not depend on the direction of the ray, on the order of a
wall's ends, on the order of walls, or on whether a wall is drawn in one piece or several. A ray
within a wall's plane does not cross it.

In height a wall reaches from its base up to, but not including, its top; an opening likewise from
sill to head. A floor is crossed by a ray with one end below it and one at it or above. Heights are
those at the crossing point itself, not shifted.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pathproof.calc._arrays import require_finite, require_not_negative, require_positive
from pathproof.calc._compiled import compiled
from pathproof.terms import InvalidInputError, OutOfRangeError

__all__ = [
    "HEIGHT_LIMIT_M",
    "OPENING",
    "PLAN_LIMIT_M",
    "SLAB",
    "WALL",
    "Crossings",
    "Obstacles",
    "crossed_loss_db",
    "crossings",
]

IntArray = NDArray[np.int64]

PLAN_LIMIT_M = 512.0
HEIGHT_LIMIT_M = 2000.0
UNITS_PER_M = 1024

# Why no whole number overflows 63 bits. Plan coordinates are below 2^19 units, differences 2^20,
# determinants 2^41. Places along a wall are in 2^-20 of its length: times a determinant, 2^61.
# Heights differ by less than 2^22 units (4000 m): times a determinant, just below 2^63. A point on
# a floor is scaled by such a height difference, 2^42: times a ring's edge, both terms, below 2^63.
_WHOLE_WALL = 1 << 20

WALL, OPENING, SLAB = 0, 1, 2
_MISSED, _SOLID = -2, -1

_INTS = "Array(int64, 1, 'C', readonly=True)"
_ROWS = "Array(int64, 2, 'C', readonly=True)"
_TABLE = "Array(float64, 2, 'C', readonly=True)"
_WALLS = f"Tuple(({_ROWS}, {_INTS}, {_ROWS}))"
_SLABS = f"Tuple(({_INTS}, {_INTS}, {_INTS}, {_ROWS}))"
WallArrays = tuple[IntArray, IntArray, IntArray]  # walls, opening_first, openings
SlabArrays = tuple[IntArray, IntArray, IntArray, IntArray]  # slab_z to vertices


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
class Crossings:
    """What each ray crosses, by ray and along it; all arrays have shape (K,)."""

    pair: IntArray
    """Which ray. [index]"""
    kind: IntArray
    """``WALL`` 0, ``OPENING`` 1 or ``SLAB`` 2."""
    index: IntArray
    """Which wall, opening or slab of the input. [index]"""
    cos_incidence: NDArray[np.float64]
    """Cosine of the angle between the ray and the obstacle's normal, in space. [ratio]"""
    share: NDArray[np.float64]
    """Place along the ray, 0 at its start and 1 at its end. [ratio]"""


def crossings(obstacles: Obstacles, from_m: ArrayLike, to_m: ArrayLike) -> Crossings:
    """What each straight ray crosses, in the order it meets it.

    Parameters
    ----------
    obstacles : Obstacles
        Walls, openings and floors.
    from_m, to_m : array, shape (N, 3)
        Ends of each ray: x, y and height. [m]

    Returns
    -------
    crossings : Crossings
        Sorted by ray, then along the ray. An opening stands in place of its wall.

    Raises
    ------
    InvalidInputError
        Shapes that do not fit, or values that are not finite.
    OutOfRangeError
        Plan coordinates beyond 512 m, or heights beyond 2000 m, of the origin.

    Notes
    -----
    The rule stands at the head of this module. It is exact for ends snapped to 1/1024 m.
    """
    rays = _snapped_rays(from_m, to_m)
    arrays = obstacles.wall_arrays, obstacles.slab_arrays
    count = _list_crossings(rays, *arrays, np.empty((0, 3), np.int64), np.empty((0, 2)))
    what, where = np.empty((count, 3), np.int64), np.empty((count, 2))
    _list_crossings(rays, *arrays, what, where)
    pair, kind, index = what.T
    index[kind == OPENING] = obstacles.opening_index[index[kind == OPENING]]
    cos_incidence, share = where.T
    order = np.lexsort((index, kind, share, pair))
    return Crossings(
        pair=pair[order],
        kind=kind[order],
        index=index[order],
        cos_incidence=cos_incidence[order],
        share=share[order],
    )


def crossed_loss_db(
    obstacles: Obstacles,
    wall_class: ArrayLike,
    opening_class: ArrayLike,
    slab_class: ArrayLike,
    table_db: ArrayLike,
    from_m: ArrayLike,
    to_m: ArrayLike,
) -> NDArray[np.float64]:
    """The summed loss of everything each straight ray crosses, for maps.

    Parameters
    ----------
    obstacles : Obstacles
        Walls, openings and floors.
    wall_class, opening_class, slab_class : array of int, shapes (W,), (O,), (S,)
        Which row of the table each one loses by. [index]
    table_db : array, shape (C, n)
        Loss over the cosine of the angle of incidence, n equally spaced nodes from 0 to 1, read
        by linear interpolation; 0 or above. [dB]
    from_m, to_m : array, shape (N, 3)
        Ends of each ray: x, y and height. [m]

    Returns
    -------
    loss_db : ndarray, shape (N,)
        0 where a ray crosses nothing. [dB]

    Raises
    ------
    InvalidInputError
        Shapes that do not fit, values that are not finite, a class with no row in the table, a
        negative loss.
    OutOfRangeError
        Plan coordinates beyond 512 m, or heights beyond 2000 m, of the origin.

    Notes
    -----
    The rule stands at the head of this module; it is that of :func:`crossings`.
    """
    table = np.ascontiguousarray(require_not_negative(table_db, "table_db"))
    if table.ndim != 2 or table.shape[1] < 2:
        raise InvalidInputError(
            f"table_db had shape {table.shape}; it must be (classes, nodes), with 2 nodes or more."
        )
    openings = _indices(opening_class, "opening_class", len(table), len(obstacles.openings))
    classes = (
        _indices(wall_class, "wall_class", len(table), obstacles.walls.shape[1]),
        openings[obstacles.opening_index],
        _indices(slab_class, "slab_class", len(table), len(obstacles.slab_z)),
    )
    rays = _snapped_rays(from_m, to_m)
    loss_db = np.empty(len(rays))
    _sum_losses(rays, obstacles.wall_arrays, obstacles.slab_arrays, *classes, table, loss_db)
    return loss_db


# -- the compiled rule -----------------------------------------------------------------------------


@compiled("boolean(int64, int64)")
def _left(det: int, tie: int) -> bool:
    """Side of a line by a determinant; where that is 0, by the tie of 1 or -1."""
    return 2 * det + tie > 0


@compiled("int64(int64, int64)")
def _tie(x: int, y: int) -> int:
    """Side of a line in direction (x, y) on which a point of it lands when shifted by (e, e^2)."""
    return 1 if y < 0 or (y == 0 and x > 0) else -1


@compiled(f"void({_ROWS}, int64, {_ROWS}, boolean[::1])")
def _mark_crossed(rays: IntArray, ray: int, walls: IntArray, crossed: NDArray[np.bool_]) -> None:
    """Which walls a ray crosses in plan; without branches, so several walls go at once."""
    x1, y1 = rays[ray, 0], rays[ray, 1]
    qx, qy = rays[ray, 3] - x1, rays[ray, 4] - y1
    tie = _tie(qx, qy)
    for wall in range(walls.shape[1]):
        to_x, to_y = walls[0, wall] - x1, walls[1, wall] - y1
        ex, ey = walls[2, wall], walls[3, wall]
        turn = qx * ey - qy * ex
        start = qx * to_y - qy * to_x  # the wall's start seen along the ray; its end: + turn
        near = ey * to_x - ex * to_y  # the ray's start seen along the wall; its end: - turn
        crossed[wall] = (_left(start, tie) != _left(start + turn, tie)) & (
            _left(near, walls[6, wall]) != _left(near - turn, walls[6, wall])
        )


@compiled("boolean(int64, int64, int64, int64, int64, int64)")
def _reaches(z1: int, dz: int, near: int, turn: int, low: int, high: int) -> bool:
    """Whether low <= z1 + dz near / turn < high, without dividing."""
    over_low = (z1 - low) * turn + dz * near
    over_high = (z1 - high) * turn + dz * near
    if turn > 0:
        return over_low >= 0 and over_high < 0
    return over_low <= 0 and over_high > 0


@compiled(f"Tuple((int64, float64, float64))({_ROWS}, int64, {_WALLS}, int64)")
def _meet_wall(
    rays: IntArray, ray: int, wall_arrays: WallArrays, wall: int
) -> tuple[int, float, float]:
    """What a ray meets of a wall that it crosses in plan, cosine and share.

    Missed (over or under it), solid, or a row of openings.
    """
    walls, opening_first, openings = wall_arrays
    x1, y1, z1 = rays[ray, 0], rays[ray, 1], rays[ray, 2]
    qx, qy, dz = rays[ray, 3] - x1, rays[ray, 4] - y1, rays[ray, 5] - z1
    to_x, to_y = walls[0, wall] - x1, walls[1, wall] - y1
    ex, ey = walls[2, wall], walls[3, wall]
    turn = qx * ey - qy * ex
    near = ey * to_x - ex * to_y  # near / turn is the place along the ray
    if not _reaches(z1, dz, near, turn, walls[4, wall], walls[5, wall]):
        return _MISSED, 0.0, 0.0
    met = _SOLID
    start = (qx * to_y - qy * to_x) * _WHOLE_WALL  # changes evenly along the wall, by turn
    tie = _tie(qx, qy)
    for i in range(opening_first[wall], opening_first[wall + 1]):
        left_from = _left(start + turn * openings[i, 0], tie)
        left_to = _left(start + turn * openings[i, 1], tie)
        if left_from != left_to and _reaches(z1, dz, near, turn, openings[i, 2], openings[i, 3]):
            met = i
            break
    length = np.sqrt(float(ex * ex + ey * ey)) * np.sqrt(float(qx * qx + qy * qy + dz * dz))
    return met, abs(turn) / length, near / turn


@compiled(f"boolean(int64, int64, int64, {_INTS}, {_ROWS}, int64, int64)")
def _inside(
    x: int, y: int, scale: int, vertex_first: IntArray, vertices: IntArray, first: int, last: int
) -> bool:
    """Whether (x, y) / scale lies inside an odd number of rings, shifted by (e, e^2)."""
    inside = False
    for ring in range(first, last):
        begin, end = vertex_first[ring], vertex_first[ring + 1]
        ax, ay = vertices[end - 1, 0], vertices[end - 1, 1]
        for i in range(begin, end):
            bx, by = vertices[i, 0], vertices[i, 1]
            if (ay * scale >= y) != (by * scale >= y):
                det = (bx - ax) * (y - ay * scale) - (by - ay) * (x - ax * scale)
                if (by > ay and det >= 0) or (by < ay and det <= 0):
                    inside = not inside
            ax, ay = bx, by
    return inside


@compiled(f"Tuple((int64, float64, float64))({_ROWS}, int64, {_SLABS}, int64)")
def _meet_slab(
    rays: IntArray, ray: int, slab_arrays: SlabArrays, slab: int
) -> tuple[int, float, float]:
    """What a ray meets of a floor (missed or solid), cosine and share."""
    slab_z, ring_first, vertex_first, vertices = slab_arrays
    x1, y1, z1 = rays[ray, 0], rays[ray, 1], rays[ray, 2]
    x2, y2, z2 = rays[ray, 3], rays[ray, 4], rays[ray, 5]
    z = slab_z[slab]
    if (z1 < z) == (z2 < z):
        return _MISSED, 0.0, 0.0
    dx, dy, dz = x2 - x1, y2 - y1, z2 - z1
    sign = 1 if dz > 0 else -1
    x, y = sign * (x1 * dz + (z - z1) * dx), sign * (y1 * dz + (z - z1) * dy)
    first, last = ring_first[slab], ring_first[slab + 1]
    if first < last and not _inside(x, y, sign * dz, vertex_first, vertices, first, last):
        return _MISSED, 0.0, 0.0
    length = np.sqrt(float(dx * dx + dy * dy + dz * dz))
    return _SOLID, abs(dz) / length, (z - z1) / dz


@compiled(f"int64({_ROWS}, {_WALLS}, {_SLABS}, int64[:, ::1], float64[:, ::1])")
def _list_crossings(
    rays: IntArray,
    wall_arrays: WallArrays,
    slab_arrays: SlabArrays,
    what: IntArray,
    where: NDArray[np.float64],
) -> int:
    """How many crossings there are; writes as many as there is room for."""
    walls = wall_arrays[0]
    crossed = np.empty(walls.shape[1], np.bool_)
    count = 0
    for ray in range(len(rays)):
        _mark_crossed(rays, ray, walls, crossed)
        for wall in range(len(crossed)):
            if not crossed[wall]:
                continue
            met, cos, share = _meet_wall(rays, ray, wall_arrays, wall)
            if met != _MISSED:
                if count < len(what):
                    what[count, 0] = ray
                    what[count, 1] = WALL if met == _SOLID else OPENING
                    what[count, 2] = wall if met == _SOLID else met
                    where[count, 0], where[count, 1] = cos, share
                count += 1
        for slab in range(len(slab_arrays[0])):
            met, cos, share = _meet_slab(rays, ray, slab_arrays, slab)
            if met != _MISSED:
                if count < len(what):
                    what[count, 0], what[count, 1], what[count, 2] = ray, SLAB, slab
                    where[count, 0], where[count, 1] = cos, share
                count += 1
    return count


@compiled(f"float64({_TABLE}, int64, float64)")
def _read_table(table: NDArray[np.float64], row: int, cos: float) -> float:
    """The table's row at a cosine, by linear interpolation."""
    place = cos * (table.shape[1] - 1)
    node = min(int(place), table.shape[1] - 2)
    low, high = table[row, node], table[row, node + 1]
    return float(low + (place - node) * (high - low))


@compiled(f"void({_ROWS}, {_WALLS}, {_SLABS}, {_INTS}, {_INTS}, {_INTS}, {_TABLE}, float64[::1])")
def _sum_losses(
    rays: IntArray,
    wall_arrays: WallArrays,
    slab_arrays: SlabArrays,
    wall_class: IntArray,
    opening_class: IntArray,
    slab_class: IntArray,
    table: NDArray[np.float64],
    loss_db: NDArray[np.float64],
) -> None:
    """The table's losses of all that each ray crosses."""
    walls = wall_arrays[0]
    crossed = np.empty(walls.shape[1], np.bool_)
    for ray in range(len(rays)):
        loss = 0.0
        _mark_crossed(rays, ray, walls, crossed)
        for wall in range(len(crossed)):
            if not crossed[wall]:
                continue
            met, cos, _ = _meet_wall(rays, ray, wall_arrays, wall)
            if met == _SOLID:
                loss += _read_table(table, wall_class[wall], cos)
            elif met != _MISSED:
                loss += _read_table(table, opening_class[met], cos)
        for slab in range(len(slab_arrays[0])):
            met, cos, _ = _meet_slab(rays, ray, slab_arrays, slab)
            if met != _MISSED:
                loss += _read_table(table, slab_class[slab], cos)
        loss_db[ray] = loss


# -- checking and snapping -------------------------------------------------------------------------


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


def _snapped_rays(from_m: ArrayLike, to_m: ArrayLike) -> IntArray:
    ends = [(_rows(from_m, 3, "from_m"), "from_m"), (_rows(to_m, 3, "to_m"), "to_m")]
    if len(ends[0][0]) != len(ends[1][0]):
        raise InvalidInputError(
            f"from_m has {len(ends[0][0])} rows and to_m {len(ends[1][0])}; give the same number."
        )
    parts = [
        part
        for end, name in ends
        for part in (
            _snapped(end[:, :2], PLAN_LIMIT_M, name),
            _snapped(end[:, 2:], HEIGHT_LIMIT_M, name),
        )
    ]
    return np.ascontiguousarray(np.hstack(parts))


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
    shares = np.rint(np.clip(ends, 0.0, 1.0) * _WHOLE_WALL).astype(np.int64)
    return np.column_stack([shares, sill, head])


def _snapped_ring(ring_m: ArrayLike, name: str) -> IntArray:
    ring = _snapped(_rows(ring_m, 2, name), PLAN_LIMIT_M, name)
    if len(np.unique(ring, axis=0)) < 3:
        raise InvalidInputError(f"{name} has fewer than 3 different corners; an area needs 3.")
    return ring
