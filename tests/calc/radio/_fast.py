"""Plans for the fast crossing kernels, many of them with everything on one lattice."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pathproof.calc.radio.crossings import Obstacles, crossed_loss_db
from pathproof.calc.radio.shadows import Raster, add_shadows

CLASSES = 4
SPAN = 8


@dataclass(frozen=True)
class Case:
    """A plan with its losses, transmitters and raster."""

    obstacles: Obstacles
    classes: tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]
    transmitters_m: NDArray[np.float64]
    raster: Raster

    def places_m(self) -> NDArray[np.float64]:
        """(rows * columns, 3): the cells' centres."""
        x, y = np.meshgrid(self.raster.x / 1024, self.raster.y / 1024)
        return np.column_stack([x.ravel(), y.ravel(), np.full(x.size, self.raster.z / 1024)])

    def plain(self, table_db: NDArray[np.float64]) -> NDArray[np.float64]:
        """The losses by the plain kernel."""
        places = self.places_m()
        return np.array(
            [
                crossed_loss_db(
                    self.obstacles,
                    *self.classes,
                    table_db,
                    np.broadcast_to(t, places.shape),
                    places,
                ).reshape(self.raster.shape)
                for t in self.transmitters_m
            ]
        )

    def shadows(self, table_db: NDArray[np.float64]) -> NDArray[np.float32]:
        """The losses by shadows."""
        maps = np.zeros((len(self.transmitters_m), *self.raster.shape), np.float32)
        add_shadows(maps, self.obstacles, *self.classes, table_db, self.transmitters_m, self.raster)
        return maps


def random_case(seed: int, *, walls: int = 12, cells: int = 40) -> Case:
    """A plan of up to so many walls; on a lattice of 1, 0.5 or 0.1 m in three of four.

    On a lattice, rays go through corners and along walls, transmitters and cells stand on walls,
    and walls lie in one line.
    """
    rng = np.random.default_rng([20, seed])
    lattice = float(rng.choice([0.0, 1.0, 0.5, 0.1]))

    def places(count: int) -> NDArray[np.float64]:
        if lattice:
            return rng.integers(-SPAN, SPAN + 1, (count, 2)) * lattice
        return rng.uniform(-SPAN, SPAN, (count, 2))

    count = int(rng.integers(1, walls + 1))
    start, end = places(count), places(count)
    end[np.all(np.abs(start - end) < 0.01, axis=1), 0] += 1.0
    base = rng.integers(0, 3, count)
    length = np.hypot(*(end - start).T)
    holes = int(rng.integers(0, 7))
    owner = rng.integers(0, count, holes)
    sill = rng.integers(0, 3, holes)
    floors = int(rng.integers(0, 3))
    rings = [
        (s, places(int(rng.integers(3, 6)))) for s in range(floors) for _ in range(rng.integers(3))
    ]
    rings = [(s, r) for s, r in rings if len(np.unique(np.rint(r * 1024), axis=0)) >= 3]
    cell = float(rng.choice([lattice or 0.3, (lattice or 0.3) / 2, 0.3, 0.11]))
    origin = (-SPAN * lattice - cell / 2,) * 2 if lattice else tuple(rng.uniform(-9, 0, 2).tolist())
    return Case(
        obstacles=Obstacles.from_arrays(
            start,
            end,
            base,
            base + rng.integers(1, 4, count),
            opening_wall=owner,
            opening_offset_m=length[owner] * rng.choice([0.0, 0.25, 0.5], holes),
            opening_width_m=length[owner] * rng.choice([0.25, 0.5], holes),
            opening_sill_m=sill,
            opening_head_m=sill + rng.integers(1, 3, holes),
            slab_z_m=rng.integers(0, 5, floors),
            slab_ring_slab=[s for s, _ in rings],
            slab_rings_m=[r for _, r in rings],
        ),
        classes=tuple(rng.integers(0, CLASSES, n) for n in (count, holes, floors)),  # type: ignore[arg-type]
        transmitters_m=np.column_stack([places(4), rng.integers(0, 5, 4)]),
        raster=Raster.from_grid(
            origin,  # type: ignore[arg-type]
            cell,
            tuple(rng.integers(1, cells, 2).tolist()),
            float(rng.integers(0, 5)),
        ),
    )
