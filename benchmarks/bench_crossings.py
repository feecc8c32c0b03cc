"""The crossing kernels against Shapely's tree on generated buildings: nanoseconds a pair, one run.

A pair is one device to one place. Shapely only tells which walls touch the line in plan; the
kernels also sort out joints, heights, openings and floors, and sum the losses. One thread each,
except where two are named. Then counts of crossings, which must not differ, and one wall moved.
"""

import resource
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from pathproof.calc.radio.crossings import Obstacles, crossed_loss_db
from pathproof.calc.radio.scattered import scattered_loss_db
from pathproof.calc.radio.shadows import Raster, add_shadows
from pathproof.job.geometry import SiteGeometry
from pathproof.simulate.buildings import BuildingKind, generated_site

SEED = 1
SIZES = {
    BuildingKind.SCHOOL: (400, 100_000),
    BuildingKind.HOUSE: (25, 10_000),
    BuildingKind.CLINIC: (50, 40_000),
    BuildingKind.WAREHOUSE: (50, 40_000),
}
"""Transmitters and cells; the largest first, so that its memory shows."""
WANTED = {BuildingKind.CLINIC: 250, BuildingKind.SCHOOL: 400}
"""How many times as fast as Shapely the maps are to be."""
SAMPLE = 20_000
REPEATS = 3
PART = 20
"""Transmitters that a thread takes at a time."""
HEIGHT_M = 1.2


@dataclass(frozen=True)
class Building:
    """A generated building, ready for the kernels."""

    walls: NDArray[np.float64]
    obstacles: Obstacles
    classes: tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]
    transmitters: NDArray[np.float64]
    raster: Raster


def building(kind: BuildingKind) -> Building:
    """A building with its devices as transmitters, and a raster over all of it."""
    transmitters, cells = SIZES[kind]
    site = generated_site(kind, devices=transmitters, seed=SEED)
    geometry = SiteGeometry(site)
    walls = np.array([(w.start, w.end) for w in site.walls])
    low, high = walls.min(axis=(0, 1)), walls.max(axis=(0, 1))
    cell = float(np.sqrt(np.prod(high - low) / cells))
    columns, rows = (int(n) for n in np.round((high - low) / cell))
    things = len(geometry.walls), len(geometry.openings), len(geometry.slabs)
    places = [geometry.position(d) for d in site.devices]
    return Building(
        walls=walls,
        obstacles=geometry.obstacles,
        classes=tuple(np.full(n, i) for i, n in enumerate(things)),  # type: ignore[arg-type]
        transmitters=np.array(places, dtype=np.float64),
        raster=Raster.from_grid((float(low[0]), float(low[1])), cell, (rows, columns), HEIGHT_M),
    )


def best_s(work: Callable[[], object]) -> float:
    """The shortest of several runs."""
    times = []
    for _ in range(REPEATS):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times)


def by_threads(b: Building, table: NDArray[np.float64], maps: NDArray[np.float32], n: int) -> None:
    """All maps, with so many threads."""

    def part(first: int) -> None:
        few = slice(first, first + PART)
        add_shadows(maps[few], b.obstacles, *b.classes, table, b.transmitters[few], b.raster)

    maps[:] = 0.0
    with ThreadPoolExecutor(n) as pool:
        list(pool.map(part, range(0, len(maps), PART)))


def sample(b: Building) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Transmitter, row and column of some pairs."""
    rng = np.random.default_rng(SEED)
    rows, columns = b.raster.shape
    of, row, column = (rng.integers(0, n, SAMPLE) for n in (len(b.transmitters), rows, columns))
    return of, row, column


def compare(kind: BuildingKind) -> bool:
    """Print what each kernel takes for a pair, and the ratio to Shapely; whether all is well."""
    b = building(kind)
    table = np.array([np.linspace(12.0, 6.0, 65), np.linspace(3.0, 1.0, 65), np.full(65, 18.0)])
    maps = np.zeros((len(b.transmitters), *b.raster.shape), np.float32)
    one_s = best_s(lambda: by_threads(b, table, maps, 1))
    two_s = best_s(lambda: by_threads(b, table, maps, 2))
    used_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    of, row, column = sample(b)
    start = b.transmitters[of]
    end = np.column_stack([b.raster.x[column], b.raster.y[row], np.full(SAMPLE, b.raster.z)]) / 1024
    lines = shapely.linestrings(np.stack([start[:, :2], end[:, :2]], axis=1))
    tree = shapely.STRtree(shapely.linestrings(b.walls))
    shapely_ns = best_s(lambda: tree.query(lines, predicate="intersects")) / SAMPLE * 1e9
    few = slice(0, SAMPLE // 10)
    plain_s = best_s(lambda: crossed_loss_db(b.obstacles, *b.classes, table, start[few], end[few]))
    scattered_s = best_s(
        lambda: scattered_loss_db(b.obstacles, *b.classes, table, b.transmitters[:10], end[few])
    )
    print(f"{kind}: {len(b.walls)} walls, {len(maps)} transmitters, {maps[0].size} cells")
    fast_ns = one_s / maps.size * 1e9
    for name, ns in (
        ("Shapely", shapely_ns),
        ("plain", plain_s / (SAMPLE // 10) * 1e9),
        ("scattered", scattered_s / (SAMPLE // 10 * min(10, len(maps))) * 1e9),
        ("shadows", fast_ns),
    ):
        print(f"  {name:10}{ns:10.1f} ns a pair   Shapely / it {shapely_ns / ns:8.1f}")
    most = " (wanted: below 400 MB)" if kind is BuildingKind.SCHOOL else ""
    about = " (wanted: about 1 s on two)" if kind is BuildingKind.SCHOOL else ""
    wanted = f" (wanted {WANTED[kind]})" if kind in WANTED else ""
    print(f"  maps: {shapely_ns / fast_ns:.0f} times Shapely{wanted}")
    print(f"  whole map {one_s:.2f} s on one thread, {two_s:.2f} s on two{about}")
    print(f"  most memory of the whole process until then {used_mb:.0f} MB{most}")
    differing = count(b, maps, (of, row, column), end)
    return differing == 0 and shapely_ns / fast_ns >= WANTED.get(kind, 0)


def count(
    b: Building,
    maps: NDArray[np.float32],
    pairs: tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]],
    end: NDArray[np.float64],
) -> int:
    """Print and give for how many pairs the plain rule counts other walls, openings or floors."""
    table = np.repeat(np.array([1.0, 16.0, 256.0])[:, None], 2, axis=1)
    by_threads(b, table, maps, 2)
    plain = crossed_loss_db(b.obstacles, *b.classes, table, b.transmitters[pairs[0]], end)
    differing = np.count_nonzero(maps[pairs] != plain)
    print(f"  {SAMPLE} pairs counted by the plain rule, in whole numbers: {differing} differ")
    return int(differing)


def main() -> int:
    """Print it all; 1 if counts differ or a map is not as many times as fast as wanted."""
    return 0 if all([compare(kind) for kind in SIZES]) else 1


if __name__ == "__main__":
    sys.exit(main())
