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

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pathproof.calc.radio._kernels import OPENING, SLAB, WALL, IntArray, list_crossings, sum_losses
from pathproof.calc.radio.obstacles import (
    HEIGHT_LIMIT_M,
    PLAN_LIMIT_M,
    Classes,
    Obstacles,
    snapped_places,
)
from pathproof.terms import InvalidInputError

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
    count = list_crossings(rays, *arrays, np.empty((0, 3), np.int64), np.empty((0, 2)))
    what, where = np.empty((count, 3), np.int64), np.empty((count, 2))
    list_crossings(rays, *arrays, what, where)
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
    classes = Classes.checked(obstacles, wall_class, opening_class, slab_class, table_db)
    rays = _snapped_rays(from_m, to_m)
    loss_db = np.empty(len(rays))
    sum_losses(
        rays,
        obstacles.wall_arrays,
        obstacles.slab_arrays,
        *classes.arrays,
        classes.table_db,
        loss_db,
    )
    return loss_db


def _snapped_rays(from_m: ArrayLike, to_m: ArrayLike) -> IntArray:
    start, end = snapped_places(from_m, "from_m"), snapped_places(to_m, "to_m")
    if len(start) != len(end):
        raise InvalidInputError(
            f"from_m has {len(start)} rows and to_m {len(end)}; give the same number."
        )
    return np.ascontiguousarray(np.hstack([start, end]))
