"""Losses between transmitters and places scattered anywhere. Array code, compiled.

The crossing rule is that of :mod:`pathproof.calc.radio.crossings`, and so are the answers, only
sooner where there are many walls: they are sorted by direction round each transmitter, and a place
has to do only with those in its own direction. For a whole raster at one height
:mod:`pathproof.calc.radio.shadows` is several times faster still.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pathproof.calc.radio._kernels import sum_losses_by_sector
from pathproof.calc.radio.obstacles import Classes, Obstacles, snapped_places

__all__ = ["scattered_loss_db"]

_LEAST_SECTORS, _MOST_SECTORS = 64, 4096
_WALLS_A_SECTOR = 2


def scattered_loss_db(
    obstacles: Obstacles,
    wall_class: ArrayLike,
    opening_class: ArrayLike,
    slab_class: ArrayLike,
    table_db: ArrayLike,
    transmitters_m: ArrayLike,
    receivers_m: ArrayLike,
) -> NDArray[np.float32]:
    """The summed loss of everything between each transmitter and each receiver.

    Parameters
    ----------
    obstacles : Obstacles
        Walls, openings and floors.
    wall_class, opening_class, slab_class : array of int, shapes (W,), (O,), (S,)
        Which row of the table each one loses by. [index]
    table_db : array, shape (C, n)
        Loss over the cosine of the angle of incidence, n equally spaced nodes from 0 to 1, read
        by linear interpolation; 0 or above. [dB]
    transmitters_m : array, shape (T, 3)
        Places of the transmitters: x, y and height. [m]
    receivers_m : array, shape (R, 3)
        Places of the receivers. [m]

    Returns
    -------
    loss_db : ndarray of float32, shape (T, R)
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
    Sums are made in double precision and handed out in single. The result takes 4 T R bytes: ask
    for some transmitters at a time where that is too much. The compiled part releases the
    interpreter's lock.
    """
    classes = Classes.checked(obstacles, wall_class, opening_class, slab_class, table_db)
    transmitters = snapped_places(transmitters_m, "transmitters_m")
    receivers = snapped_places(receivers_m, "receivers_m")
    loss_db = np.zeros((len(transmitters), len(receivers)), np.float32)
    sum_losses_by_sector(
        loss_db,
        transmitters,
        receivers,
        obstacles.wall_arrays,
        obstacles.slab_arrays,
        *classes.arrays,
        classes.table_db,
        int(np.clip(obstacles.walls.shape[1] // _WALLS_A_SECTOR, _LEAST_SECTORS, _MOST_SECTORS)),
    )
    return loss_db
