"""Every compiled function of the crossing rule: the plain ones, and the fast ones.

They stand in one file because the compiler, when it decides whether a result kept on disk still
holds, looks at the file of the function itself and not at those of the functions and constants it
uses. Therefore it imports nothing of the project but the way in which functions are compiled.

`crossings` states the rule; the plain functions here are its readable form, and the fast ones give
the same answers.
"""

import numpy as np
from numpy.typing import NDArray

from pathproof.calc._compiled import compiled

IntArray = NDArray[np.int64]
WallArrays = tuple[IntArray, IntArray, IntArray]  # walls, opening_first, openings
SlabArrays = tuple[IntArray, IntArray, IntArray, IntArray]  # slab_z to vertices

WALL, OPENING, SLAB = 0, 1, 2
_MISSED, _SOLID = -2, -1

# Why no whole number overflows 63 bits. Plan coordinates are below 2^19 units, differences 2^20,
# determinants 2^41. Places along a wall are in 2^-20 of its length: times a determinant, 2^61.
# Heights differ by less than 2^22 units (4000 m): times a determinant, just below 2^63. A point on
# a floor is scaled by such a height difference, 2^42: times a ring's edge, both terms, below 2^63.
WHOLE_WALL = 1 << 20

_INTS = "Array(int64, 1, 'C', readonly=True)"
_ROWS = "Array(int64, 2, 'C', readonly=True)"
_TABLE = "Array(float64, 2, 'C', readonly=True)"
_WALLS = f"Tuple(({_ROWS}, {_INTS}, {_ROWS}))"
_SLABS = f"Tuple(({_INTS}, {_INTS}, {_INTS}, {_ROWS}))"

# -- the rule, plainly -----------------------------------------------------------------------------


@compiled("boolean(int64, int64)", inline=True)
def _left(det: int, tie: int) -> bool:
    """Side of a line by a determinant; where that is 0, by the tie of 1 or -1."""
    return 2 * det + tie > 0


@compiled("int64(int64, int64)", inline=True)
def _tie(x: int, y: int) -> int:
    """Side of a line in direction (x, y) on which a point of it lands when shifted by (e, e^2)."""
    return 1 if y < 0 or (y == 0 and x > 0) else -1


@compiled("boolean(int64, int64, int64)", inline=True)
def _astride(one: int, other: int, tie: int) -> bool:
    """Whether two ends lie on different sides of a line."""
    return _left(one, tie) != _left(other, tie)


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
        crossed[wall] = _astride(start, start + turn, tie) & _astride(
            near, near - turn, walls[6, wall]
        )


@compiled("boolean(int64, int64, int64, int64, int64, int64)", inline=True)
def _reaches(z1: int, dz: int, near: int, turn: int, low: int, high: int) -> bool:
    """Whether low <= z1 + dz near / turn < high, without dividing."""
    over_low = (z1 - low) * turn + dz * near
    over_high = (z1 - high) * turn + dz * near
    if turn > 0:
        return over_low >= 0 and over_high < 0
    return over_low <= 0 and over_high > 0


@compiled(f"Tuple((int64, float64, float64))({_ROWS}, int64, {_WALLS}, int64)", inline=True)
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
        if _astride(start + turn * openings[i, 0], start + turn * openings[i, 1], tie) and _reaches(
            z1, dz, near, turn, openings[i, 2], openings[i, 3]
        ):
            met = i
            break
    length = np.sqrt(float(ex * ex + ey * ey)) * np.sqrt(float(qx * qx + qy * qy + dz * dz))
    return met, abs(turn) / length, near / turn


@compiled("boolean(int64, int64, int64, UniTuple(int64, 4))", inline=True)
def _before_edge(x: int, y: int, scale: int, edge: tuple[int, int, int, int]) -> bool:
    """Whether (x, y) / scale lies left of a ring's edge that passes its row, or on it."""
    ax, ay, bx, by = edge
    det = (bx - ax) * (y - ay * scale) - (by - ay) * (x - ax * scale)
    return det >= 0 if by > ay else det <= 0


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
            passes = (ay * scale >= y) != (by * scale >= y)
            if passes and _before_edge(x, y, scale, (ax, ay, bx, by)):
                inside = not inside
            ax, ay = bx, by
    return inside


@compiled(f"Tuple((int64, float64, float64))({_ROWS}, int64, {_SLABS}, int64)", inline=True)
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


@compiled(f"float64({_TABLE}, int64, float64)", inline=True)
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


# -- maps: the shadow of each piece of wall, row by row --------------------------------------------

_PIECES = "Array(int64, 2, 'C', readonly=True)"
_MAP, _LINE = "float32[:, ::1]", "float32[::1]"
_CELLS = f"Tuple(({_INTS}, {_INTS}, UniTuple(float64, 6)))"
_FAN = f"Tuple((UniTuple(int64, 4), {_LINE}, {_LINE}, {_MAP}, boolean[::1]))"
_LINES = "Array(float32, 2, 'C', readonly=True)"

Floats32 = NDArray[np.float32]
Cells = tuple[IntArray, IntArray, tuple[float, float, float, float, float, float]]
"""Columns and rows in units; first, step and the most that one is off it, in steps, of each."""
Fan = tuple[tuple[int, int, int, int], Floats32, Floats32, Floats32, NDArray[np.bool_]]
"""Of one transmitter: its x, y, z and the cells' z; x of each column from it, and its square; one
over the distance to each cell, or room for one row of that; and which rows of it are filled in."""
_SLACK_UNITS = 1e-6
_ROUNDING_UNITS2 = 2.0**-8
"""More than what a difference of two products of lengths loses in floating point."""
_FEW = 12
"""With fewer pieces than this, distances are worked out just for the cells that need them."""
_TO_STEP = np.float32(1.5 * 2**12)
"""Added and taken away again, it rounds a loss of up to 2048 dB either way to the last place of a
number between 4096 and 8192 in single precision: 2**-11 dB."""


@compiled("boolean(int64, UniTuple(int64, 3), UniTuple(int64, 5), UniTuple(int64, 4))")
def _crosses_piece(
    qx: int,
    ray: tuple[int, int, int],
    wall: tuple[int, int, int, int, int],
    piece: tuple[int, int, int, int],
) -> bool:
    """Whether a ray (qx, qy) crosses a piece of a wall, by the plain rule."""
    qy, z1, dz = ray
    to_x, to_y, ex, ey, side = wall
    begin, end, low, high = piece
    turn = qx * ey - qy * ex
    near = ey * to_x - ex * to_y
    start = (qx * to_y - qy * to_x) * WHOLE_WALL
    return (
        _astride(near, near - turn, side)
        and _astride(start + turn * begin, start + turn * end, _tie(qx, qy))
        and _reaches(z1, dz, near, turn, low, high)
    )


@compiled("UniTuple(float64, 2)(float64, int64, int64, int64, int64)")
def _turns_between(near: float, z1: int, dz: int, low: int, high: int) -> tuple[float, float]:
    """Least and most turn at which a ray passes between two heights; most below least: never.

    `near` and the turn are those of the crossing rule, without sign; near / turn is the share of
    the ray at the wall, so a turn of `near` ends at the wall and a longer ray turns more.
    """
    least, most = near, np.inf
    if near == 0.0:  # the ray starts at the wall
        return (0.0, np.inf) if low <= z1 < high else (1.0, 0.0)
    if (z1 < low and dz <= 0) or (z1 >= high and dz >= 0) or (z1 == low and dz < 0):
        return 1.0, 0.0
    rise = abs(dz) * near
    if z1 < low:
        most = rise / (low - z1)
    elif z1 > low and dz < 0:
        least = max(least, rise / (z1 - low))
    if z1 > high:
        most = min(most, rise / (z1 - high))
    elif z1 < high and dz > 0:
        least = max(least, rise / (high - z1))
    return least, most


@compiled("UniTuple(float64, 2)(float64, float64, float64, float64)")
def _reach(a: float, b: float, near: float, far: float) -> tuple[float, float]:
    """Least and most of a, b times near and far, where far may be infinite."""
    low, high = min(a, b), max(a, b)
    least = low * far if low < 0 else low * near
    most = high * far if high > 0 else high * near
    return least, most


@compiled("int64(float64, int64)")
def _within(place: float, count: int) -> int:
    """A whole number from -1 to count for a place that may be far away or infinite."""
    return int(min(max(place, -1.0), float(count)))


@compiled(f"int64({_FAN}, int64, int64, int64, int64)")
def _invert_distances(fan: Fan, row: int, first: int, last: int, rest2: int) -> int:
    """Work out one over the distance to some cells of a row, and in which row that is to be found.

    `rest2` is what rows and heights add to the square of the distance.
    """
    _, _, dx2, inverse, ready = fan
    if len(inverse) == 1:
        row = 0
    else:
        first, last = 0, len(dx2) - 1
        ready[row] = True
    rest = np.float32(rest2)
    for c in range(first, last + 1):
        inverse[row, c] = np.float32(1.0) / np.sqrt(dx2[c] + rest)
    return row


@compiled(
    f"void({_MAP}, int64, int64, int64, {_FAN}, int64, float64, float64, {_LINES}, int64, float32)"
)
def _fill(
    into: Floats32,
    row: int,
    first: int,
    last: int,
    fan: Fan,
    inverse_row: int,
    k: float,
    m: float,
    lines: Floats32,
    of: int,
    sign: float,
) -> None:
    """Add the losses of a class to cells of a row; the cosine is |dx k - m| over the distance.

    `lines` has for each class, by node of the cosine, the line through it: the loss that it has at
    cosine 0, and then, behind those of all nodes, its slope.
    """
    _, dx, _, inverse, _ = fan
    # unsigned, so that the compiler knows that no index counts from an array's end
    count = np.uint32(lines.shape[1] // 2)
    k32, m32 = np.float32(k * (count - 1)), np.float32(m * (count - 1))
    r, i, t = np.uint64(row), np.uint64(inverse_row), np.uint64(of)
    for c in range(np.uint64(first), np.uint64(last + 1)):
        place = abs(dx[c] * k32 - m32) * inverse[i, c]
        node = np.uint32(np.int32(place))
        loss = lines[t, node] + place * lines[t, node + count]
        into[r, c] += sign * ((loss + _TO_STEP) - _TO_STEP)


@compiled(
    "int64(float64[:, ::1], float64, UniTuple(float64, 4), UniTuple(float64, 2),"
    " UniTuple(float64, 2), UniTuple(float64, 3))"
)
def _find_limits(
    limits: NDArray[np.float64],
    sigma: float,
    ends: tuple[float, float, float, float],
    along: tuple[float, float],
    turns: tuple[float, float],
    across: tuple[float, float, float],
) -> int:
    """Write the straight edges of a shadow, and how many there are.

    Each is k qx >= m0 + m1 qy for a ray (qx, qy). Written are: 1 for a first column, -1 for a
    last one, and the column as const + slope qy, with what it may be wrong by; or 0 where the edge
    lies along the rows, and m0 + m1 qy, which must not be above 0, with what that may be wrong by.
    """
    ax, ay, bx, by = ends
    ex, ey = along
    shift, step, slack = across
    count = 0
    for edge in range(4):
        m0, doubt = 0.0, 0.0
        if edge == 0:
            k, m1 = -sigma * ay, -sigma * ax
        elif edge == 1:
            k, m1 = sigma * by, sigma * bx
        elif edge == 2:
            k, m0, m1, doubt = sigma * ey, turns[0], sigma * ex, _ROUNDING_UNITS2
        else:
            k, m0, m1, doubt = -sigma * ey, -turns[1], -sigma * ex, _ROUNDING_UNITS2
            if turns[1] == np.inf:
                break
        if k == 0.0:
            limits[count, 0], limits[count, 1] = 0.0, m0
            limits[count, 2], limits[count, 3] = m1, doubt
        else:
            limits[count, 0] = 1.0 if k > 0.0 else -1.0
            limits[count, 1], limits[count, 2] = (m0 / k + shift) / step, m1 / k / step
            limits[count, 3] = slack + (_SLACK_UNITS + doubt / abs(k)) / step
        count += 1
    return count


@compiled("UniTuple(int64, 4)(float64[:, ::1], int64, float64, int64)")
def _span(
    limits: NDArray[np.float64], count: int, qy: float, columns: int
) -> tuple[int, int, int, int]:
    """First column, first and last that are surely in the shadow, and last, of a row."""
    low, high, wrong, unsure = 0.0, columns - 1.0, 0.0, False
    for i in range(count):
        kind, doubt = limits[i, 0], limits[i, 3]
        bound = limits[i, 1] + limits[i, 2] * qy
        if kind > 0.0:
            low, wrong = max(low, bound), max(wrong, doubt)
        elif kind < 0.0:
            high, wrong = min(high, bound), max(wrong, doubt)
        elif bound > doubt:
            return 0, 0, -1, -1
        elif bound >= -doubt:
            unsure = True
    if low - wrong > high + wrong:
        return 0, 0, -1, -1
    first = max(int(np.ceil(low - wrong)), 0)
    last = min(int(np.floor(high + wrong)), columns - 1)
    sure_first = first if first >= low + wrong else int(np.ceil(low + wrong))
    sure_last = last if last <= high - wrong else int(np.floor(high - wrong))
    if unsure or sure_first > sure_last:
        return first, last + 1, first - 1, last
    return first, sure_first, sure_last, last


@compiled(f"UniTuple(int64, 2)({_CELLS}, {_FAN}, UniTuple(float64, 4), float64, float64)")
def _rows_between(
    cells: Cells, fan: Fan, ends: tuple[float, float, float, float], near: float, far: float
) -> tuple[int, int]:
    """First and last row that a shadow may reach, last below first if it is beside the raster.

    It lies between the wall's ends, seen from the transmitter, times near and far.
    """
    (px, py, _, _), _, _, _, _ = fan
    xs, ys, (x0, x_step, x_slack, y0, y_step, y_slack) = cells
    ax, ay, bx, by = ends
    low, high = _reach(ax, bx, near, far)
    if (high + px - x0) / x_step < -1.0 - x_slack or (low + px - x0) / x_step > len(xs) + x_slack:
        return 0, -1
    low, high = _reach(ay, by, near, far)
    first = _within((low + py - y0) / y_step - y_slack, len(ys))
    last = _within((high + py - y0) / y_step + y_slack + 1.0, len(ys))
    return max(first, 0), min(last, len(ys) - 1)


@compiled(f"void({_MAP}, {_CELLS}, {_FAN}, {_ROWS}, {_PIECES}, int64, {_LINES}, float64[:, ::1])")
def _add_piece(
    into: Floats32,
    cells: Cells,
    fan: Fan,
    walls: IntArray,
    pieces: IntArray,
    piece: int,
    lines: Floats32,
    limits: NDArray[np.float64],
) -> None:
    """Add what one piece of wall takes from one transmitter's rays to all cells."""
    (px, py, z1, z2), _, _, _, ready = fan
    xs, ys, (x0, x_step, x_slack, _, _, _) = cells
    wall, begin, end = pieces[piece, 0], pieces[piece, 1], pieces[piece, 2]
    low, high = pieces[piece, 3], pieces[piece, 4]
    of, sign = pieces[piece, 5], float(pieces[piece, 6])
    to_x, to_y = walls[0, wall] - px, walls[1, wall] - py
    ex, ey, side = walls[2, wall], walls[3, wall], walls[6, wall]
    near, dz = ey * to_x - ex * to_y, z2 - z1
    turns = _turns_between(float(abs(near)), z1, dz, low, high)
    if turns[1] < turns[0] * (1.0 - 1e-12):
        return
    # the ends of the piece as seen from the transmitter, in 2^-20 units
    ends = (
        float(to_x * WHOLE_WALL + ex * begin),
        float(to_y * WHOLE_WALL + ey * begin),
        float(to_x * WHOLE_WALL + ex * end),
        float(to_y * WHOLE_WALL + ey * end),
    )
    first_row, last_row = 0, len(ys) - 1
    if near != 0:
        unit = 1.0 / (abs(float(near)) * WHOLE_WALL)
        first_row, last_row = _rows_between(cells, fan, ends, turns[0] * unit, turns[1] * unit)
    elif ends[0] * ends[2] + ends[1] * ends[3] > 0.0:
        return  # the transmitter is on the wall's line, beside the piece
    sigma = 1.0 if _left(near, side) else -1.0
    along, across = (float(ex), float(ey)), (px - x0, x_step, x_slack)
    count = _find_limits(limits, sigma, ends, along, turns, across)
    length = np.sqrt(along[0] * along[0] + along[1] * along[1])
    k, m_each = along[1] / length, along[0] / length
    seen, extent = (to_x, to_y, ex, ey, side), (begin, end, low, high)
    for r in range(first_row, last_row + 1):
        qy = ys[r] - py
        first, sure_first, sure_last, last = _span(limits, count, float(qy), len(xs))
        if first > last:
            continue
        at = r
        if not ready[r]:
            at = _invert_distances(fan, r, first, last, qy * qy + dz * dz)
        m = qy * m_each
        ray = (qy, z1, dz)
        while first < sure_first and not _crosses_piece(xs[first] - px, ray, seen, extent):
            first += 1
        while last > sure_last and not _crosses_piece(xs[last] - px, ray, seen, extent):
            last -= 1
        _fill(into, r, first, last, fan, at, k, m, lines, of, sign)


@compiled(f"int64({_INTS}, float64, float64, int64, int64, int64, UniTuple(int64, 4), int64)")
def _columns_before(
    xs: IntArray,
    x0: float,
    x_step: float,
    px: int,
    scale: int,
    share: int,
    edge: tuple[int, int, int, int],
    y: int,
) -> int:
    """How many cells of a row have their ray meet the floor's height not beyond a ring's edge."""
    ax, ay, bx, by = edge
    columns = len(xs)
    guess = 0
    if share != 0:
        rise = float(y - ay * scale) / float(by - ay)
        x = (float(ax * scale) + rise * float(bx - ax) - float(scale * px)) / float(share)
        guess = max(_within((x + px - x0) / x_step, columns), 0)
    while guess < columns and _before_edge(scale * px + share * (xs[guess] - px), y, scale, edge):
        guess += 1
    while guess > 0 and not _before_edge(scale * px + share * (xs[guess - 1] - px), y, scale, edge):
        guess -= 1
    return guess


@compiled(f"void({_CELLS}, {_FAN}, {_SLABS}, int64, int64, int64[::1])")
def _find_toggles(
    cells: Cells, fan: Fan, slab_arrays: SlabArrays, slab: int, row: int, toggles: IntArray
) -> None:
    """Count at each column how many edges of a floor's rings end the cells before it, in a row."""
    (px, py, z1, z2), _, _, _, _ = fan
    slab_z, ring_first, vertex_first, vertices = slab_arrays
    xs, ys, (x0, x_step, _, _, _, _) = cells
    turn = 1 if z2 > z1 else -1
    scale, share = turn * (z2 - z1), turn * (slab_z[slab] - z1)
    y = scale * py + share * (ys[row] - py)
    toggles[:] = 0
    for ring in range(ring_first[slab], ring_first[slab + 1]):
        begin, end = vertex_first[ring], vertex_first[ring + 1]
        ax, ay = vertices[end - 1, 0], vertices[end - 1, 1]
        for i in range(begin, end):
            bx, by = vertices[i, 0], vertices[i, 1]
            if (ay * scale >= y) != (by * scale >= y):
                edge = (ax, ay, bx, by)
                toggles[_columns_before(xs, x0, x_step, px, scale, share, edge, y)] += 1
            ax, ay = bx, by


@compiled(f"void({_MAP}, {_CELLS}, {_FAN}, {_SLABS}, {_ROWS}, int64, {_LINES}, int64[::1])")
def _add_slab(
    into: Floats32,
    cells: Cells,
    fan: Fan,
    slab_arrays: SlabArrays,
    slabs: IntArray,
    number: int,
    lines: Floats32,
    toggles: IntArray,
) -> None:
    """Add what one floor takes from one transmitter's rays to all cells."""
    slab, of, sign = slabs[number, 0], slabs[number, 1], float(slabs[number, 2])
    slab_z, ring_first, _, _ = slab_arrays
    (_, py, z1, z2), _, _, _, ready = fan
    xs, ys, _ = cells
    if (z1 < slab_z[slab]) == (z2 < slab_z[slab]):
        return
    dz = z2 - z1
    everywhere = ring_first[slab] == ring_first[slab + 1]
    for r in range(len(ys)):
        qy = ys[r] - py
        at = r
        if not ready[r]:
            at = _invert_distances(fan, r, 0, len(xs) - 1, qy * qy + dz * dz)
        if everywhere:
            _fill(into, r, 0, len(xs) - 1, fan, at, 0.0, float(dz), lines, of, sign)
            continue
        _find_toggles(cells, fan, slab_arrays, slab, r, toggles)
        last = len(xs) - 1
        inside = toggles[last + 1] % 2 == 1
        for c in range(len(xs) - 1, -1, -1):  # cells from c to `last` are all inside, or none is
            if c > 0 and toggles[c] % 2 == 0:
                continue
            if inside:
                _fill(into, r, c, last, fan, at, 0.0, float(dz), lines, of, sign)
            inside, last = not inside, c - 1


@compiled(
    f"void(float32[:, :, ::1], {_ROWS}, {_CELLS}, int64, {_ROWS}, {_PIECES}, {_SLABS}, {_ROWS},"
    f" {_LINES})"
)
def add_shadows_of(
    into: Floats32,
    transmitters: IntArray,
    cells: Cells,
    z2: int,
    walls: IntArray,
    pieces: IntArray,
    slab_arrays: SlabArrays,
    slabs: IntArray,
    lines: Floats32,
) -> None:
    """Add what pieces of wall and floors take from each transmitter's rays to all cells.

    A piece is wall, from and to in 2^-20 of its length, low, high, row of `lines`, and sign; a row
    of `slabs` is floor, row of `lines`, and sign.
    """
    xs, ys, _ = cells
    rows, columns = len(ys), len(xs)
    few = len(pieces) + len(slabs) < _FEW
    inverse = np.empty((1 if few else rows, columns), np.float32)
    dx, dx2 = np.empty(columns, np.float32), np.empty(columns, np.float32)
    ready = np.empty(rows, np.bool_)
    limits, toggles = np.empty((4, 4)), np.empty(columns + 1, np.int64)
    for t in range(len(transmitters)):
        px, py, z1 = transmitters[t, 0], transmitters[t, 1], transmitters[t, 2]
        for c in range(columns):
            dx[c] = np.float32(xs[c] - px)
            dx2[c] = dx[c] * dx[c]
        ready[:] = False
        fan = ((px, py, z1, z2), dx, dx2, inverse, ready)
        its = into[t]
        for piece in range(len(pieces)):
            _add_piece(its, cells, fan, walls, pieces, piece, lines, limits)
        for i in range(len(slabs)):
            _add_slab(its, cells, fan, slab_arrays, slabs, i, lines, toggles)


# -- scattered places: walls sorted by direction round each transmitter ----------------------------


@compiled("float64(float64, float64)")
def _direction(x: float, y: float) -> float:
    """A number from 0 to below 4 that grows with the angle of (x, y), anticlockwise from x."""
    size = abs(x) + abs(y)
    if size == 0.0:
        return 0.0
    if x < 0.0:
        return 2.0 - y / size
    return y / size if y >= 0.0 else 4.0 + y / size


@compiled(f"UniTuple(int64, 2)(int64, int64, {_ROWS}, int64, int64)")
def _sectors_of(px: int, py: int, walls: IntArray, wall: int, sectors: int) -> tuple[int, int]:
    """First sector round a transmitter that a wall is seen in, and how many; 0 if it is edge on."""
    ax, ay = walls[0, wall] - px, walls[1, wall] - py
    bx, by = ax + walls[2, wall], ay + walls[3, wall]
    area = ax * by - ay * bx
    if area == 0:
        beside = float(ax) * float(bx) + float(ay) * float(by) > 0.0
        return 0, 0 if beside else sectors
    low, high = _direction(float(ax), float(ay)), _direction(float(bx), float(by))
    if area < 0:
        low, high = high, low
    scale = sectors / 4.0
    first = int(np.floor(low * scale - 1e-6))
    last = int(np.floor(high * scale + 1e-6))
    if high < low:
        last += sectors
    return first % sectors, min(last - first + 1, sectors)


@compiled(f"void(int64, int64, {_ROWS}, int64[::1], int64, int64[::1], int64[::1])")
def _sort_into_sectors(
    px: int, py: int, walls: IntArray, chosen: IntArray, count: int, first: IntArray, seen: IntArray
) -> None:
    """Of each sector where its walls begin in `seen`, and these, as far as there is room."""
    sectors = len(first) - 1
    first[:] = 0
    for i in range(count):
        begin, number = _sectors_of(px, py, walls, chosen[i], sectors)
        for k in range(begin, begin + number):
            first[k % sectors + 1] += 1
    for k in range(sectors):
        first[k + 1] += first[k]
    if first[sectors] > len(seen):
        return
    filled = np.zeros(sectors, np.int64)
    for i in range(count):
        begin, number = _sectors_of(px, py, walls, chosen[i], sectors)
        for k in range(begin, begin + number):
            k %= sectors
            seen[first[k] + filled[k]] = chosen[i]
            filled[k] += 1


@compiled(
    f"void(float32[:, ::1], {_ROWS}, {_ROWS}, {_WALLS}, {_SLABS}, {_INTS}, {_INTS}, {_INTS},"
    f" {_TABLE}, int64)"
)
def sum_losses_by_sector(
    loss_db: Floats32,
    transmitters: IntArray,
    receivers: IntArray,
    wall_arrays: WallArrays,
    slab_arrays: SlabArrays,
    wall_class: IntArray,
    opening_class: IntArray,
    slab_class: IntArray,
    table: NDArray[np.float64],
    sectors: int,
) -> None:
    """The table's losses between each transmitter and each receiver."""
    walls, slab_z = wall_arrays[0], slab_arrays[0]
    if len(receivers) == 0:
        return
    lowest, highest = receivers[:, 2].min(), receivers[:, 2].max()
    first, chosen = np.empty(sectors + 1, np.int64), np.empty(walls.shape[1], np.int64)
    seen = np.empty(4 * walls.shape[1], np.int64)
    rays = np.empty((1, 6), np.int64)
    for t in range(len(transmitters)):
        px, py, z1 = transmitters[t, 0], transmitters[t, 1], transmitters[t, 2]
        count = 0
        for wall in range(walls.shape[1]):
            if walls[4, wall] <= max(z1, highest) and walls[5, wall] > min(z1, lowest):
                chosen[count] = wall
                count += 1
        _sort_into_sectors(px, py, walls, chosen, count, first, seen)
        if first[sectors] > len(seen):
            seen = np.empty(first[sectors], np.int64)
            _sort_into_sectors(px, py, walls, chosen, count, first, seen)
        rays[0, :3] = transmitters[t]
        for r in range(len(receivers)):
            rays[0, 3:] = receivers[r]
            qx, qy = receivers[r, 0] - px, receivers[r, 1] - py
            tie = _tie(qx, qy)
            sector = int(_direction(float(qx), float(qy)) * (sectors / 4.0)) % sectors
            loss = 0.0
            for i in range(first[sector], first[sector + 1]):
                wall = seen[i]
                to_x, to_y = walls[0, wall] - px, walls[1, wall] - py
                ex, ey = walls[2, wall], walls[3, wall]
                turn = qx * ey - qy * ex
                start, near = qx * to_y - qy * to_x, ey * to_x - ex * to_y
                if not (
                    _astride(start, start + turn, tie) & _astride(near, near - turn, walls[6, wall])
                ):
                    continue
                met, cos, _ = _meet_wall(rays, 0, wall_arrays, wall)
                if met == _SOLID:
                    loss += _read_table(table, wall_class[wall], cos)
                elif met != _MISSED:
                    loss += _read_table(table, opening_class[met], cos)
            for slab in range(len(slab_z)):
                if (z1 < slab_z[slab]) == (receivers[r, 2] < slab_z[slab]):
                    continue
                met, cos, _ = _meet_slab(rays, 0, slab_arrays, slab)
                if met != _MISSED:
                    loss += _read_table(table, slab_class[slab], cos)
            loss_db[t, r] = np.float32(loss)
