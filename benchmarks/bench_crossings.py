"""The crossing kernel against Shapely's tree on a generated house: nanoseconds a pair, one run.

A pair is one device to one place. Shapely only tells which walls touch the line in plan; the
kernel also sorts out joints, heights, openings and floors, and sums the losses.
"""

import time
from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import NDArray

from pathproof.calc.radio.crossings import Obstacles, crossed_loss_db

SEED = 20
STOREY_M = 2.75
DEVICES = 25
PLACES = 2000
REPEATS = 5


def house(rng: np.random.Generator) -> NDArray[np.float64]:
    """40 walls of one storey, 12 m by 10 m: (40, 4) as x, y, x, y."""
    outer = [(0, 0, 12, 0), (12, 0, 12, 10), (12, 10, 0, 10), (0, 10, 0, 0)]
    inner = []
    for i in range(36):
        x, y = rng.uniform(0, (9, 7))
        length = rng.uniform(1.0, 3.0)
        inner.append((x, y, x + length, y) if i % 2 else (x, y, x, y + length))
    return np.array([*outer, *inner], dtype=np.float64)


def best_ns_per_pair(work: Callable[[], object], pairs: int) -> float:
    """The shortest of several runs."""
    times = []
    for _ in range(REPEATS):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times) / pairs * 1e9


def main() -> None:
    """Print both and their ratio."""
    rng = np.random.default_rng(SEED)
    walls = house(rng)
    count = len(walls)
    obstacles = Obstacles.from_arrays(
        walls[:, :2],
        walls[:, 2:],
        np.zeros(count),
        np.full(count, STOREY_M),
        opening_wall=np.arange(0, count, 4),
        opening_offset_m=np.full(10, 0.3),
        opening_width_m=np.full(10, 0.6),
        opening_sill_m=np.zeros(10),
        opening_head_m=np.full(10, 2.0),
        slab_z_m=[0.0, STOREY_M],
    )
    pairs = DEVICES * PLACES
    starts = np.repeat(rng.uniform((0, 0, 0.2), (12, 10, 2.4), (DEVICES, 3)), PLACES, axis=0)
    ends = np.tile(rng.uniform((0, 0, 0.2), (12, 10, 2.4), (PLACES, 3)), (DEVICES, 1))
    table = np.linspace((12.0, 3.0), (6.0, 1.0), 65).T
    classes = np.zeros(count, int), np.ones(10, int), np.zeros(2, int)
    lines = shapely.linestrings(np.stack([starts[:, :2], ends[:, :2]], axis=1))
    tree = shapely.STRtree(shapely.linestrings(walls.reshape(-1, 2, 2)))

    kernel = best_ns_per_pair(
        lambda: crossed_loss_db(obstacles, *classes, table, starts, ends), pairs
    )
    shapely_ns = best_ns_per_pair(lambda: tree.query(lines, predicate="intersects"), pairs)
    print(f"house of {count} walls, {pairs} pairs, seed {SEED}")
    print(f"kernel   {kernel:8.0f} ns a pair")
    print(f"Shapely  {shapely_ns:8.0f} ns a pair")
    print(f"ratio    {shapely_ns / kernel:8.1f}")


if __name__ == "__main__":
    main()
