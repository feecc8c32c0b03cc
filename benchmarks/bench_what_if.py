"""Dragging walls about in a generated school: what a change costs against doing all anew, one run.

400 devices, one storey of about 100,000 cells, worst device at each place. Timed is taking the
edited job in, and apart from that the whole map as an answer. The first drag is that of a process
that has just made its first map.
"""

import random
import resource
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from statistics import median
from typing import TypeVar

from pathproof.assess._grid import storey_grid
from pathproof.assess.floor_map import MapOf
from pathproof.assess.what_if import SiteMaps
from pathproof.job import Job, Wall
from pathproof.simulate.buildings import BuildingKind, generated_job

SEED = 20
DEVICES = 400
CELLS = 100_000
FLOOR = "level_1"
DRAGS = 60
STEP_M = 0.5
AS_OF = datetime(2026, 11, 25, 12, tzinfo=UTC)
WORST, ODDS = MapOf.parse("worst"), MapOf.parse("odds")
_T = TypeVar("_T")


def timed(work: Callable[[], _T]) -> tuple[_T, float]:
    """The result and how many milliseconds it took."""
    begin = time.perf_counter()
    result = work()
    return result, (time.perf_counter() - begin) * 1e3


def with_walls(job: Job, walls: list[Wall]) -> Job:
    """The job with other walls; all else is shared."""
    return job.model_copy(update={"site": job.site.model_copy(update={"walls": walls})})


def dragged(job: Job, rng: random.Random) -> Job:
    """The job with one wall half a metre aside, openings and all."""
    number, along_x = rng.randrange(len(job.site.walls)), rng.random() < 0.5
    wall, walls = job.site.walls[number], list(job.site.walls)
    dx, dy = (STEP_M, 0.0) if along_x else (0.0, STEP_M)
    ends = {"start": (wall.start[0] + dx, wall.start[1] + dy)}
    ends["end"] = (wall.end[0] + dx, wall.end[1] + dy)
    walls[number] = wall.model_copy(update=ends)
    return with_walls(job, walls)


def memory_mb() -> float:
    """The most that the process has taken so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> int:
    """Print times and their ratio; 1 where a drag ended elsewhere than doing all anew."""
    job, rng = generated_job(BuildingKind.SCHOOL, devices=DEVICES, seed=SEED), random.Random(SEED)
    cell_m = (storey_grid(job.site, FLOOR, 1.0).inside.size / CELLS) ** 0.5
    maps, before_mb = SiteMaps(job, AS_OF), memory_mb()
    first, first_ms = timed(lambda: maps.floor_map(WORST, FLOOR, cell_m))
    print(f"{len(job.site.walls)} walls, {DEVICES} devices, {first.values.size:,} cells")
    print(f"first map {first_ms:.0f} ms; memory {before_mb:.0f} MB before, {memory_mb():.0f} after")
    drags_ms, answers_ms = [], []
    for _ in range(DRAGS):
        job = dragged(job, rng)
        drags_ms.append(timed(lambda job=job: maps.update(job))[1])
        kept, answer_ms = timed(lambda: maps.floor_map(WORST, FLOOR))
        answers_ms.append(answer_ms)
    maps.redo()
    anew, redo_ms = timed(lambda: maps.floor_map(WORST, FLOOR))
    _, odds_ms = timed(lambda: maps.floor_map(ODDS, FLOOR))
    print(
        f"drag of a wall: first {drags_ms[0]:.1f} ms (wanted: up to 100), "
        f"median {median(drags_ms):.1f} (3), worst {max(drags_ms):.1f} (30)"
    )
    print(
        f"then the worst device everywhere: median {median(answers_ms):.0f} ms; odds {odds_ms:.0f}"
    )
    print(
        f"all anew {redo_ms:.0f} ms: {redo_ms / median(drags_ms):.0f} times the median drag, "
        f"{redo_ms / (median(drags_ms) + median(answers_ms)):.0f} times drag and answer"
    )
    off_db = float(abs(kept.values - anew.values)[anew.values == anew.values].max())
    print(f"largest difference to doing all anew: {off_db:g} dB; memory {memory_mb():.0f} MB")
    return int(off_db > 0.001)


if __name__ == "__main__":
    sys.exit(main())
