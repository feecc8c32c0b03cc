"""Walls and openings of a site from the lines of a storey."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from pathproof.job import Opening, Wall
from pathproof.plans.constructions import ConstructionBook, Ready
from pathproof.plans.dxf._ids import Ids
from pathproof.plans.dxf._joints import Strip, WallLine
from pathproof.plans.dxf._openings import Fill, Hole
from pathproof.plans.dxf._pieces import FloatArray
from pathproof.plans.dxf._storeys import Storey

_OUTSIDE_M = 0.6
_CLOSING_M = 0.3
_SHORTEST_M = 0.01
_DOOR_M, _WINDOW_M = (0.0, 2.03), (0.9, 2.1)
_UNDER_CEILING_M = 0.05
_NOMINAL_M = 0.005  # lines of a plan stand for sizes to so much: 4 inches are a wall of 0.10 m


@dataclass(frozen=True, slots=True)
class StoreyWalls:
    """Walls of one storey with the holes in them, in metres from the plan's origin."""

    storey: Storey
    walls: Sequence[WallLine]
    holes: Sequence[Sequence[Hole]]
    labels: Sequence[str]
    """What each wall is called in the report: its layer and thickness."""
    ground: BaseGeometry
    """What the walls enclose."""


def outline(walls: Sequence[WallLine]) -> BaseGeometry:
    """The ground that walls enclose, themselves included."""
    half = np.array([w.strip.thickness_m / 2 for w in walls])
    ends = np.array([[w.strip.start, w.strip.end] for w in walls]).reshape(-1, 2, 2)
    with np.errstate(all="ignore"):  # the geometry library divides by zero on straight corners
        prints = shapely.buffer(shapely.linestrings(ends), half, cap_style="square")
        one = shapely.union_all(prints).buffer(_CLOSING_M / 2, join_style="mitre")
        rings = [shapely.Polygon(p.exterior) for p in shapely.get_parts(one) if not p.is_empty]
        return shapely.union_all(rings).buffer(-_CLOSING_M / 2, join_style="mitre")


def walls_of(
    found: StoreyWalls, floor: str, ids: Ids, book: ConstructionBook, origin: FloatArray
) -> list[Wall]:
    """The storey's walls, outside on the left where they have one."""
    made = []
    for wall, holes, label in zip(found.walls, found.holes, found.labels, strict=True):
        strip = wall.strip
        if strip.length_m < _SHORTEST_M:
            continue
        left, right = (_outside(strip, found.ground, side) for side in (1.0, -1.0))
        outer = left != right
        if outer and right:
            strip = Strip(strip.end, strip.start, strip.thickness_m, strip.layer)
            holes = [
                Hole(strip.length_m - h.end_m, strip.length_m - h.start_m, h.fill, h.why)
                for h in reversed(holes)
            ]
        openings = [_opening(h, strip, outer, found.storey, ids, book, origin) for h in holes]
        nominal = max(_NOMINAL_M, round(strip.thickness_m / _NOMINAL_M) * _NOMINAL_M)
        made.append(
            Wall(
                id=ids.of("wall", *_place(strip.start, strip.end, origin)),
                floor=floor,
                start=_tidy(strip.start),
                end=_tidy(strip.end),
                construction=book.of_names(label, [], nominal),
                openings=openings,
            )
        )
    return made


def storey_id(walls: Sequence[WallLine], ids: Ids, origin: FloatArray) -> str:
    """The storey's id, by all its walls: those of another plan make another storey."""
    places = sorted(_place(w.strip.start, w.strip.end, origin) for w in walls)
    return ids.of("storey", *places)


def _opening(
    hole: Hole,
    strip: Strip,
    outer: bool,
    storey: Storey,
    ids: Ids,
    book: ConstructionBook,
    origin: FloatArray,
) -> Opening:
    d = strip.direction
    ends = (strip.start + d * hole.start_m, strip.start + d * hole.end_m)
    sill, head = _WINDOW_M if hole.fill is Fill.WINDOW else _DOOR_M
    head = min(head, storey.height_m - _UNDER_CEILING_M)
    kind = "window" if hole.fill is Fill.WINDOW else "door"
    if hole.fill is Fill.PASSAGE:
        kind = "passage"
        book.report.guessed("passage", "empty", "a hole between walls in which nothing is drawn")
    book.report.guessed(f"{kind} heights", f"{sill:g} to {head:g} m", "a plan tells no heights")
    start = max(0.0, hole.start_m)
    return Opening(
        id=ids.of("opening", *_place(*ends, origin)),
        offset_m=round(start, 4),
        width_m=round(min(hole.end_m, strip.length_m) - start, 4),
        sill_m=sill,
        head_m=head,
        construction=_filling(hole, outer, book),
    )


def _filling(hole: Hole, outer: bool, book: ConstructionBook) -> str | None:
    where = "outer" if outer else "inner"
    steel = "a plan names no material; steel would be in the 20-30 dB class"
    glass = "a plan names no material; coated glass would be in the 20-30 dB class"
    if hole.fill is Fill.PASSAGE:
        return None
    if hole.fill is Fill.WINDOW or (hole.fill is Fill.SLIDING and outer):
        ready = Ready.DOUBLE_GLAZING if outer else Ready.PANE
        return book.of_kind(hole.fill.value, ready, f"{hole.why}; {glass}", what=where)
    ready = Ready.DOOR if outer or hole.fill is Fill.WIDE_DOOR else Ready.INNER_DOOR
    return book.of_kind(hole.fill.value, ready, f"{hole.why}; {steel}", what=where)


def _outside(strip: Strip, ground: BaseGeometry, side: float) -> bool:
    """Whether most of the ground 0.6 m beside a face is outside."""
    away = strip.left * side * (strip.thickness_m / 2 + _OUTSIDE_M)
    shares = np.array([0.2, 0.35, 0.5, 0.65, 0.8])[:, None]
    points = strip.start + (strip.end - strip.start) * shares + away
    return bool(shapely.contains_xy(ground, *points.T).sum() < 3)


def _place(a: FloatArray, b: FloatArray, origin: FloatArray) -> tuple[tuple[int, int], ...]:
    """Both ends in the drawing's coordinates, in whole millimetres, whichever comes first."""
    ends = [tuple(round(x * 1000) for x in (p + origin).tolist()) for p in (a, b)]
    (ax, ay), (bx, by) = sorted(ends)
    return (ax, ay), (bx, by)


def _tidy(point: FloatArray) -> tuple[float, float]:
    x, y = point.tolist()
    return round(x, 4) + 0.0, round(y, 4) + 0.0
