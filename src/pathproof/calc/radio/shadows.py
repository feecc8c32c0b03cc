"""Losses from transmitters to a whole raster of places at one height. Array code, compiled.

The crossing rule is that of :mod:`pathproof.calc.radio.crossings`, and so are the answers, only
many times faster: instead of asking of each ray which walls it crosses, the shadow that a wall
throws from a transmitter is filled row by row. The edges of a shadow are straight lines, so a
row's first and last cell are known; a cell so near to an edge that rounding could matter is asked
by the exact rule.

Sums are kept in single precision, in whole steps of 2**-11 dB. Below 8192 dB they are exact, so
walls may be added and taken away in any order, and the map is the same as made anew.
"""

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pathproof.calc._arrays import require_positive
from pathproof.calc.radio._kernels import WHOLE_WALL, IntArray, add_shadows_of
from pathproof.calc.radio.obstacles import (
    HEIGHT_LIMIT_M,
    PLAN_LIMIT_M,
    Classes,
    Obstacles,
    snapped_line,
    snapped_places,
)
from pathproof.terms import InvalidInputError, OutOfRangeError

__all__ = ["MOST_DB", "STEP_DB", "Raster", "add_shadows"]

STEP_DB = 2.0**-11
"""Each crossing's loss is rounded to this. [dB]"""
MOST_DB = 512.0
"""The most that one crossing may take; far more than any radio link could lose. [dB]"""


@dataclass(frozen=True, kw_only=True, eq=False)
class Raster:
    """Centres of the cells of a raster at one height, in whole units of 1/1024 m."""

    x: IntArray
    """(columns,): from the smallest up."""
    y: IntArray
    """(rows,): from the smallest up."""
    z: int

    @classmethod
    def from_grid(
        cls, origin_m: tuple[float, float], cell_m: float, shape: tuple[int, int], z_m: float
    ) -> Self:
        """Centres of the square cells of a grid.

        Parameters
        ----------
        origin_m : (float, float)
            Lower left corner of the grid. [m]
        cell_m : float
            Side of a cell, 2/1024 m or more. [m]
        shape : (int, int)
            Rows and columns, 1 or more.
        z_m : float
            Height of all places, on the scale of the site. [m]

        Returns
        -------
        raster : Raster
            Snapped to 1/1024 m.

        Raises
        ------
        InvalidInputError
            No rows or columns, or cells that are too small.
        OutOfRangeError
            Plan coordinates beyond 512 m, or heights beyond 2000 m, of the origin.
        """
        rows, columns = shape
        if rows < 1 or columns < 1:
            raise InvalidInputError(f"shape was {shape}; give 1 row and 1 column or more.")
        cell = float(require_positive(cell_m, "cell_m"))
        x = snapped_line(origin_m[0] + (np.arange(columns) + 0.5) * cell, PLAN_LIMIT_M, "x_m")
        y = snapped_line(origin_m[1] + (np.arange(rows) + 0.5) * cell, PLAN_LIMIT_M, "y_m")
        if np.any(np.diff(x) < 1) or np.any(np.diff(y) < 1):
            raise InvalidInputError(f"cell_m was {cell:g}; give 2/1024 m or more.")
        z = snapped_line([z_m], HEIGHT_LIMIT_M, "z_m")
        return cls(x=x, y=y, z=int(z[0]))

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return len(self.y), len(self.x)


def add_shadows(
    into_db: NDArray[np.float32],
    obstacles: Obstacles,
    wall_class: ArrayLike,
    opening_class: ArrayLike,
    slab_class: ArrayLike,
    table_db: ArrayLike,
    transmitters_m: ArrayLike,
    raster: Raster,
    *,
    sign: ArrayLike = 1,
) -> None:
    """Maps with the losses added of what stands between each transmitter and each cell.

    Parameters
    ----------
    into_db : ndarray of float32, shape (T, rows, columns), C-contiguous
        One map for each transmitter; changed in place. [dB]
    obstacles : Obstacles
        Walls, openings and floors.
    wall_class, opening_class, slab_class : array of int, shapes (W,), (O,), (S,)
        Which row of the table each one loses by. [index]
    table_db : array, shape (C, n)
        Loss over the cosine of the angle of incidence, n equally spaced nodes from 0 to 1, read
        by linear interpolation; from 0 to `MOST_DB`. A row of zeros costs no time. [dB]
    transmitters_m : array, shape (T, 3)
        Places of the transmitters: x, y and height. [m]
    raster : Raster
        The cells.
    sign : int or array of int, shape (W,)
        1 adds and -1 takes away: all obstacles, or each wall with its openings.

    Returns
    -------
    None
        The result is in `into_db`.

    Raises
    ------
    InvalidInputError
        Shapes or types that do not fit, values that are not finite, a class with no row in the
        table, a negative loss, another sign, signs by wall where there are floors too.
    OutOfRangeError
        A loss above `MOST_DB`; plan coordinates beyond 512 m, or heights beyond 2000 m, of the
        origin.

    Notes
    -----
    A loss is read off the table's lines in single precision: to 2**-24 of what the line would have
    at cosine 0, so to a thousandth of a decibel even where 300 dB are lost from node to node.

    The memory used beside the maps is one number a cell and a few for each piece of wall. The
    compiled part releases the interpreter's lock, so threads may work side by side, each on the
    maps of some transmitters.
    """
    classes = Classes.checked(obstacles, wall_class, opening_class, slab_class, table_db)
    highest = float(classes.table_db.max(initial=0.0))
    if highest > MOST_DB:
        raise OutOfRangeError("table_db", highest, 0.0, MOST_DB, "dB", "steps of 2**-11 dB")
    transmitters = snapped_places(transmitters_m, "transmitters_m")
    wanted = (len(transmitters), *raster.shape)
    if into_db.dtype != np.float32 or into_db.shape != wanted or not into_db.flags.c_contiguous:
        raise InvalidInputError(
            f"into_db is of {into_db.dtype} and shape {into_db.shape}; give a C-contiguous array "
            f"of float32 and shape {wanted}."
        )
    wall_sign, slab_sign = _signs(obstacles, sign)
    silent = ~np.any(classes.table_db, axis=1)
    slabs = np.flatnonzero(~silent[classes.slabs])
    pieces, rows_db = _pieces(obstacles, classes, wall_sign)
    add_shadows_of(
        into_db,
        transmitters,
        (raster.x, raster.y, (*_spacing(raster.x), *_spacing(raster.y))),
        raster.z,
        obstacles.walls,
        pieces,
        obstacles.slab_arrays,
        np.column_stack([slabs, classes.slabs[slabs], slab_sign[slabs]]),
        _lines(rows_db),
    )


def _signs(obstacles: Obstacles, sign: ArrayLike) -> tuple[IntArray, IntArray]:
    """Of each wall and each floor."""
    walls, slabs = obstacles.walls.shape[1], len(obstacles.slab_z)
    given = np.asarray(sign)
    if not np.isin(given, (1, -1)).all() or given.shape not in ((), (walls,)):
        raise InvalidInputError(
            f"sign was {sign!r}; give 1 to add or -1 to take away, one for all or {walls}, one for "
            "each wall."
        )
    if given.shape and slabs:
        raise InvalidInputError("sign was given by wall, and there are floors; give one for all.")
    whole = given.astype(np.int64)
    return np.broadcast_to(whole, walls), np.full(slabs, 1 if whole.shape else whole)


def _lines(table_db: NDArray[np.float64]) -> NDArray[np.float32]:
    """(C, 2n): of the line from each node to the next the loss at place 0, and the slope.

    A place is a cosine in steps between nodes. From the last node on, the loss stays.
    """
    slope = np.diff(table_db, axis=1, append=table_db[:, -1:])
    return np.hstack([table_db - np.arange(table_db.shape[1]) * slope, slope]).astype(np.float32)


def _spacing(line: IntArray) -> tuple[float, float, float]:
    """First place, even step, and the most that a place is off it, in steps."""
    if len(line) == 1:
        return float(line[0]), 1.0, 0.0
    step = float(line[-1] - line[0]) / (len(line) - 1)
    off = np.abs(line - (line[0] + step * np.arange(len(line)))).max() / step
    return float(line[0]), step, float(off)


def _pieces(
    obstacles: Obstacles, classes: Classes, wall_sign: IntArray
) -> tuple[IntArray, NDArray[np.float64]]:
    """Pieces of wall that take something, and the table of losses that they refer to.

    A piece, of (N, 7), is wall, from and to in 2^-20 of its length, low, high, row and sign. A wall
    is one piece with its whole area; an opening is another one, by what it takes more than the
    wall, which may be less than nothing.
    """
    walls, openings = obstacles.walls, obstacles.openings
    count = walls.shape[1]
    begin, end = np.zeros(count, np.int64), np.full(count, WHOLE_WALL)
    whole = [np.arange(count), begin, end, walls[4], walls[5], classes.walls, wall_sign]
    owner = np.repeat(np.arange(count), np.diff(obstacles.opening_first))
    low = np.maximum(openings[:, 2], walls[4, owner])
    high = np.minimum(openings[:, 3], walls[5, owner])
    both = np.column_stack([classes.openings, classes.walls[owner]])
    pairs, row = np.unique(both, axis=0, return_inverse=True)
    more_db = classes.table_db[pairs[:, 0]] - classes.table_db[pairs[:, 1]]
    table_db = np.concatenate([classes.table_db, more_db])
    row = row.reshape(-1) + len(classes.table_db)
    holes = _apart(np.column_stack([owner, openings[:, :2], low, high, row, wall_sign[owner]]))
    holes = holes[(holes[:, 1] < holes[:, 2]) & (holes[:, 3] < holes[:, 4])]
    pieces = np.concatenate([np.column_stack(whole), holes])
    return pieces[np.any(table_db, axis=1)[pieces[:, 5]]], table_db


def _apart(holes: IntArray) -> IntArray:
    """Openings cut so that none overlap; where two did, the first counts."""
    same = holes[:-1, 0] == holes[1:, 0]
    if not same.any():
        return holes
    apart: list[IntArray] = []
    for owner in np.unique(holes[:-1, 0][same]):
        taken: list[IntArray] = []
        for hole in holes[holes[:, 0] == owner]:
            left = [hole]
            for other in taken:
                left = [rest for piece in left for rest in _without(piece, other)]
            taken += left
        apart += taken
    alone = ~np.isin(holes[:, 0], np.unique(holes[:-1, 0][same]))
    return np.concatenate([holes[alone], np.array(apart).reshape(-1, holes.shape[1])])


def _without(hole: IntArray, other: IntArray) -> list[IntArray]:
    """What is left of an opening outside another one of the same wall, in up to four pieces."""
    owner, begin, end, low, high, *rest = hole
    _, other_begin, other_end, other_low, other_high, *_ = other
    begin_in, end_in = max(begin, other_begin), min(end, other_end)
    low_in, high_in = max(low, other_low), min(high, other_high)
    if begin_in >= end_in or low_in >= high_in:
        return [hole]
    areas = [
        (begin, begin_in, low, high),
        (end_in, end, low, high),
        (begin_in, end_in, low, low_in),
        (begin_in, end_in, high_in, high),
    ]
    return [
        np.array([owner, *area, *rest]) for area in areas if area[0] < area[1] and area[2] < area[3]
    ]
