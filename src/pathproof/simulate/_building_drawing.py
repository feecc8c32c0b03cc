"""Where generated buildings are drawn: runs of wall in frames, and the rooms between them."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from pathproof.job import Floor, Opening, Slab, Wall

Point = tuple[float, float]

_MM = 3
"""Decimals that places are rounded to: ends drawn at one place of a frame are the same numbers."""


@dataclass(frozen=True, kw_only=True)
class Frame:
    """A part of a building with an origin and a direction of its own."""

    origin_m: Point = (0.0, 0.0)
    angle_deg: float = 0.0

    def at(self, point: Point) -> Point:
        """A place of the frame on the site. [m]"""
        cos, sin = math.cos(math.radians(self.angle_deg)), math.sin(math.radians(self.angle_deg))
        x = self.origin_m[0] + cos * point[0] - sin * point[1]
        y = self.origin_m[1] + sin * point[0] + cos * point[1]
        return round(x, _MM), round(y, _MM)

    def ring(self, *points: Point) -> list[Point]:
        """Places of the frame on the site. [m]"""
        return [self.at(p) for p in points]


@dataclass(frozen=True)
class Gap:
    """A door, window or passage, by where its middle lies along a run of wall."""

    middle_m: float
    width_m: float
    sill_m: float
    head_m: float
    construction: str | None


def door(
    middle_m: float,
    width_m: float = 0.9,
    construction: str | None = "timber_door_hollow",
    head_m: float = 2.1,
) -> Gap:
    """A door, or a passage where nothing fills it."""
    return Gap(middle_m, width_m, 0.0, head_m, construction)


def window(
    middle_m: float,
    width_m: float = 1.4,
    construction: str = "double_glazing_4_16_4",
    sill_m: float = 0.9,
    head_m: float = 2.2,
) -> Gap:
    """A window."""
    return Gap(middle_m, width_m, sill_m, head_m, construction)


@dataclass(frozen=True, kw_only=True)
class Room:
    """A clear part of a room, as a rectangle of a frame; things can hang anywhere in it."""

    floor: str
    frame: Frame
    low_m: Point
    high_m: Point


@dataclass(kw_only=True)
class Drawing:
    """A building as far as it is drawn."""

    floors: list[Floor]
    walls: list[Wall] = field(default_factory=list)
    rooms: list[Room] = field(default_factory=list)

    def slab(
        self, floor: str, construction: str, outline: list[Point], *holes: list[Point]
    ) -> None:
        """A piece of what lies under a storey, its middle 0.15 m below the finished floor."""
        k = next(i for i, f in enumerate(self.floors) if f.id == floor)
        storey = self.floors[k]
        piece = Slab(
            id=f"slab_{floor}_{len(storey.slabs) + 1}",
            construction=construction,
            elevation_m=round(storey.elevation_m - 0.15, _MM),
            outline=outline,
            holes=list(holes),
        )
        self.floors[k] = storey.model_copy(update={"slabs": [*storey.slabs, piece]})


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One storey of a drawing, in one frame."""

    drawing: Drawing
    floor: str
    frame: Frame = Frame()

    def run(
        self,
        start: Point,
        end: Point,
        construction: str,
        gaps: Sequence[Gap] = (),
        *,
        cuts_m: Iterable[float] = (),
        heights_m: tuple[float | None, float | None] = (None, None),
    ) -> None:
        """A straight run of wall, in one piece or in several from cut to cut along it."""
        length_m = math.dist(start, end)
        u, v = (end[0] - start[0]) / length_m, (end[1] - start[1]) / length_m
        inner = sorted({round(c, _MM) for c in cuts_m if 0.01 < c < length_m - 0.01})
        places = [start, *((start[0] + u * c, start[1] + v * c) for c in inner), end]
        for (p, q), (low, high) in zip(
            pairwise(places), pairwise([0.0, *inner, length_m]), strict=True
        ):
            name = f"wall_{len(self.drawing.walls) + 1:05d}"
            inside = [g for g in gaps if low < g.middle_m < high]
            self.drawing.walls.append(
                Wall(
                    id=name,
                    floor=self.floor,
                    start=self.frame.at(p),
                    end=self.frame.at(q),
                    construction=construction,
                    base_m=heights_m[0],
                    top_m=heights_m[1],
                    openings=[_opening(f"{name}_{k}", g, low) for k, g in enumerate(inside, 1)],
                )
            )

    def room(self, corner: Point, opposite: Point) -> None:
        """A clear rectangle of the frame."""
        (u0, u1), (v0, v1) = (sorted(c) for c in zip(corner, opposite, strict=True))
        self.drawing.rooms.append(
            Room(floor=self.floor, frame=self.frame, low_m=(u0, v0), high_m=(u1, v1))
        )


def _opening(opening_id: str, gap: Gap, piece_start_m: float) -> Opening:
    return Opening(
        id=opening_id,
        offset_m=round(gap.middle_m - gap.width_m / 2 - piece_start_m, _MM),
        width_m=gap.width_m,
        sill_m=gap.sill_m,
        head_m=gap.head_m,
        construction=gap.construction,
    )
