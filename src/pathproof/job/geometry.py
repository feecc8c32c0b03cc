"""The site as arrays: places in space and what can stand between them."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from pathproof.job._model import PANEL_ID
from pathproof.job.site import (
    UNKNOWN_FLOOR,
    Device,
    Floor,
    Opening,
    Panel,
    Repeater,
    Site,
    Slab,
    Spot,
    Wall,
)

if TYPE_CHECKING:
    from pathproof.calc.radio.crossings import Obstacles

Position = tuple[float, float, float]

WALL, OPENING, SLAB = 0, 1, 2
"""Kinds of obstacle, as the crossing kernel numbers them."""


@dataclass(frozen=True, kw_only=True)
class Crossed:
    """One thing that a path crosses."""

    thing: str
    """Id of the wall, opening or slab."""
    construction: str | None
    """Its construction; none for an empty opening."""
    incidence_deg: float
    """Angle between the path and the normal of the surface. [deg]"""
    share: float
    """Where along the path, 0 to 1."""
    kind: Literal["wall", "opening", "floor"]
    """What it is."""


class SiteGeometry:
    """Obstacles of a site for the crossing kernel, and positions of its things."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self._elevation_m = {f.id: f.elevation_m for f in site.floors}
        self._height_m = {f.id: f.height_m for f in site.floors}
        self.walls: list[Wall] = list(site.walls)
        self.openings: list[tuple[int, Opening]] = [
            (i, o) for i, w in enumerate(site.walls) for o in w.openings
        ]
        self.slabs: list[Slab] = [
            slab
            for floor in site.floors
            for slab in (floor.slabs or ([unknown_slab(floor)] if floor in upper(site) else []))
        ]

    @property
    def has_plan(self) -> bool:
        """Whether the site has storeys to place things in."""
        return bool(self._site.floors)

    @cached_property
    def obstacles(self) -> "Obstacles":
        """Walls, openings and slabs as the kernel takes them."""
        # The compiler behind the kernel takes most of a second to load: only where it is needed.
        from pathproof.calc.radio.crossings import Obstacles

        walls, openings, slabs = self.walls, self.openings, self.slabs
        base = [self._elevation_m[w.floor] + (w.base_m or 0.0) for w in walls]
        top = [
            self._elevation_m[w.floor] + (self._height_m[w.floor] if w.top_m is None else w.top_m)
            for w in walls
        ]
        foot = [self._elevation_m[walls[i].floor] for i, _ in openings]
        rings = [
            (k, ring)
            for k, s in enumerate(slabs)
            if s.outline is not None
            for ring in (s.outline, *s.holes)
        ]
        return Obstacles.from_arrays(
            wall_start_m=_points([w.start for w in walls]),
            wall_end_m=_points([w.end for w in walls]),
            wall_base_m=np.array(base, dtype=np.float64),
            wall_top_m=np.array(top, dtype=np.float64),
            opening_wall=np.array([i for i, _ in openings], dtype=np.int64),
            opening_offset_m=np.array([o.offset_m for _, o in openings], dtype=np.float64),
            opening_width_m=np.array([o.width_m for _, o in openings], dtype=np.float64),
            opening_sill_m=np.array(
                [z + o.sill_m for z, (_, o) in zip(foot, openings, strict=True)], dtype=np.float64
            ),
            opening_head_m=np.array(
                [z + o.head_m for z, (_, o) in zip(foot, openings, strict=True)], dtype=np.float64
            ),
            slab_z_m=np.array([s.elevation_m for s in slabs], dtype=np.float64),
            slab_ring_slab=np.array([k for k, _ in rings], dtype=np.int64),
            slab_rings_m=[_points(ring) for _, ring in rings],
        )

    def position(self, thing: Device | Repeater | Panel | Spot) -> Position | None:
        """Where a thing is, or none if it is not on a plan. [m]"""
        if thing.floor is None or thing.at is None:
            return None
        height_m = 1.5 if isinstance(thing, Spot) else thing.height_m
        return (*thing.at, self._elevation_m[thing.floor] + height_m)

    def crossed(self, start: Position, end: Position) -> list[Crossed]:
        """What the straight path crosses, in order from start to end."""
        from pathproof.calc.radio.crossings import crossings

        found = crossings(self.obstacles, np.array([start]), np.array([end]))
        return [
            self._describe(int(kind), int(index), float(cosine), float(share))
            for kind, index, cosine, share in zip(
                found.kind, found.index, found.cos_incidence, found.share, strict=True
            )
        ]

    def construction_of(self, kind: int, index: int) -> str | None:
        """The construction of a wall, opening or slab by its number."""
        if kind == WALL:
            return self.walls[index].construction
        if kind == OPENING:
            return self.openings[index][1].construction
        return self.slabs[index].construction

    def _describe(self, kind: int, index: int, cosine: float, share: float) -> Crossed:
        thing, what = self._named(kind, index)
        return Crossed(
            thing=thing,
            construction=self.construction_of(kind, index),
            incidence_deg=float(np.degrees(np.arccos(min(1.0, max(0.0, cosine))))),
            share=share,
            kind=what,
        )

    def _named(self, kind: int, index: int) -> tuple[str, Literal["wall", "opening", "floor"]]:
        if kind == WALL:
            return self.walls[index].id, "wall"
        if kind == OPENING:
            return self.openings[index][1].id, "opening"
        return self.slabs[index].id, "floor"


def upper(site: Site) -> list[Floor]:
    """Storeys with another one below them."""
    lowest = min((f.elevation_m for f in site.floors), default=0.0)
    return [f for f in site.floors if f.elevation_m > lowest]


def unknown_slab(floor: Floor) -> Slab:
    """What a storey lies on where nobody said it: a floor of unknown build-up, everywhere."""
    return Slab(id=f"{floor.id}.floor", construction=UNKNOWN_FLOOR, elevation_m=floor.elevation_m)


def things(site: Site) -> dict[str, Device | Repeater | Panel]:
    """Devices, repeaters and the panel by the id that links use."""
    found: dict[str, Device | Repeater | Panel] = {d.id: d for d in site.devices}
    found.update((r.id, r) for r in site.repeaters)
    if site.panel is not None:
        found[PANEL_ID] = site.panel
    return found


def _points(points: list[tuple[float, float]]) -> NDArray[np.float64]:
    return np.array(points, dtype=np.float64).reshape(-1, 2)
