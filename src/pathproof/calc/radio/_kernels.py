"""Every compiled function of the crossing rule: the plain ones, and the fast ones.

They stand in one file because the compiler, when it decides whether a result kept on disk still
holds, looks at the file of the function itself and not at those of the functions it calls.

`crossings` states the rule; the plain functions here are its readable form, and the fast ones give
the same answers.
"""

import numpy as np
from numpy.typing import NDArray

from pathproof.calc._compiled import compiled
from pathproof.calc.radio.obstacles import (
    OPENING,
    SLAB,
    WALL,
    WHOLE_WALL,
    IntArray,
    SlabArrays,
    WallArrays,
)

_MISSED, _SOLID = -2, -1

_INTS = "Array(int64, 1, 'C', readonly=True)"
_ROWS = "Array(int64, 2, 'C', readonly=True)"
_TABLE = "Array(float64, 2, 'C', readonly=True)"
_WALLS = f"Tuple(({_ROWS}, {_INTS}, {_ROWS}))"
_SLABS = f"Tuple(({_INTS}, {_INTS}, {_INTS}, {_ROWS}))"

# -- the rule, plainly -----------------------------------------------------------------------------


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
    start = (qx * to_y - qy * to_x) * WHOLE_WALL  # changes evenly along the wall, by turn
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
def list_crossings(
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
def sum_losses(
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
