"""What lies within a storey, and what a change of some walls means for it."""

from collections.abc import Collection, Iterable

import shapely

from pathproof.job import Floor, Site, Wall
from pathproof.terms import JobError

REACH_M = 0.3
"""Gaps between walls up to twice this count as closed. [m]"""
LEAST_COURT_M2 = 30.0
"""What slabs leave open amid a storey is a court if it is larger, and else stairs or a shaft
(practice). [m^2]"""
_LEAST_AREA_M2 = 0.5
"""Less is what rounding leaves of a strip. [m^2]"""
_TILE_M = 24.0
"""Walls are put together tile by tile, so that a change costs its tile and not the storey. [m]"""
_Tile = tuple[int, int]


class StoreyArea:
    """The area of one storey as it was asked for last.

    It is what the walls enclose, small gaps closed and without the courts that slabs leave open;
    where walls enclose nothing, the outlines of the storey's slabs; without those, what the walls
    span.
    """

    def __init__(self) -> None:
        self._tiles: dict[_Tile, tuple[list[Wall], shapely.Geometry]] = {}
        self._filled: shapely.Geometry | None = None

    def of(self, site: Site, floor_id: str) -> shapely.Geometry:
        """The area of a storey as it is on a site; always of the same storey.

        Raises
        ------
        JobError
            No such storey, or nothing drawn on it that has an area.
        """
        floor = storey(site, floor_id)
        walls = [w for w in site.walls if w.floor == floor_id]
        self._filled = self._strips_filled(walls)
        shapely.prepare(self._filled)
        pulled_back = shapely.get_parts(shapely.buffer(self._filled, -REACH_M))
        walled = shapely.union_all([p for p in pulled_back if p.area > _LEAST_AREA_M2])
        slabs = _slabs(floor)
        if not walled.is_empty:
            return walled if slabs.is_empty else shapely.difference(walled, _courts(walled, slabs))
        self._filled = None
        spanned = shapely.MultiPoint([p for w in walls for p in (w.start, w.end)]).convex_hull
        for area in (slabs, spanned):
            if area.area > _LEAST_AREA_M2:
                return area
        raise JobError(
            f"Nothing with an area is drawn on storey {floor_id!r}; draw its outer walls, or give "
            "one of its slabs an outline."
        )

    def stays_without(self, changed: Iterable[Wall]) -> bool:
        """Whether the area is the same with and without some walls, since they lie well within it.

        What the strips of all walls enclose is told by its rim alone; a strip that does not touch
        the rim neither opens nor moves it.
        """
        if self._filled is None:
            return False
        inner = shapely.contains_properly(self._filled, _strips(list(changed)))
        return bool(inner.all())

    def _strips_filled(self, walls: Collection[Wall]) -> shapely.Geometry:
        """Strips round the walls, which meet where a gap is small, and what they enclose."""
        by_tile: dict[_Tile, list[Wall]] = {}
        for wall in walls:
            by_tile.setdefault(_tile(wall), []).append(wall)
        before, self._tiles = self._tiles, {}
        for tile, some in by_tile.items():
            known = before.get(tile)
            shape = known[1] if known is not None and known[0] == some else _filled(_strips(some))
            self._tiles[tile] = (some, shape)
        return _filled([shape for _, shape in self._tiles.values()])


def storey(site: Site, floor_id: str) -> Floor:
    """The storey of that id.

    Raises
    ------
    JobError
        There is none; the message names those that there are.
    """
    found = next((f for f in site.floors if f.id == floor_id), None)
    if found is None:
        known = ", ".join(f.id for f in site.floors) or "none"
        raise JobError(f"There is no storey {floor_id!r}; this site has: {known}.")
    return found


def _tile(wall: Wall) -> _Tile:
    x, y = wall.start[0] + wall.end[0], wall.start[1] + wall.end[1]
    return int(x // (2.0 * _TILE_M)), int(y // (2.0 * _TILE_M))


def _strips(walls: Collection[Wall]) -> list[shapely.Geometry]:
    lines = [shapely.LineString([w.start, w.end]) for w in walls]
    return list(shapely.buffer(lines, REACH_M))


def _filled(shapes: Collection[shapely.Geometry]) -> shapely.Geometry:
    """All of some shapes, and what they enclose."""
    parts = shapely.get_parts([shapely.union_all(list(shapes))])
    return shapely.union_all(
        [shapely.Polygon(p.exterior) for p in parts if isinstance(p, shapely.Polygon)]
    )


def _slabs(floor: Floor) -> shapely.Geometry:
    outlines = [shapely.Polygon(s.outline, s.holes) for s in floor.slabs if s.outline is not None]
    return shapely.union_all(shapely.make_valid(outlines))


def _courts(walled: shapely.Geometry, slabs: shapely.Geometry) -> shapely.Geometry:
    """What no slab covers in the midst of an area; gaps along walls are none."""
    open_parts = shapely.get_parts(shapely.difference(walled, shapely.buffer(slabs, REACH_M)))
    rim = shapely.boundary(walled)
    shapes = [shapely.buffer(p, REACH_M) for p in open_parts if not shapely.intersects(p, rim)]
    return shapely.union_all([s for s in shapes if s.area > LEAST_COURT_M2])
