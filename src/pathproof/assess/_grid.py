"""The raster that a storey is mapped on, and which of its cells lie within the storey."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from pathproof.job import Floor, Site, Wall
from pathproof.terms import JobError

USUAL_CELL_M = 0.5
"""Side of a cell where nobody asks for another. [m]"""
USUAL_MOST_CELLS = 120
"""Along a side; where nobody asks for a size, a larger storey gets larger cells."""
MOST_CELLS = 1_000_000
"""In a whole raster."""
REACH_M = 0.3
"""Gaps between walls up to twice this count as closed. [m]"""
_LEAST_AREA_M2 = 0.5
_ROUNDING = 1e-6
"""Of a cell; bounds that come out of shapes are not exact."""


@dataclass(frozen=True, kw_only=True, eq=False)
class StoreyGrid:
    """Square cells over a storey."""

    origin_m: tuple[float, float]
    """Lower left corner. [m]"""
    cell_m: float
    """Side of a cell. [m]"""
    inside: NDArray[np.bool_]
    """Cells whose middle is within the storey; rows from the smallest y up."""

    def centres_m(self) -> NDArray[np.float64]:
        """Middles of the cells within the storey, (N, 2), row by row. [m]"""
        rows, columns = np.nonzero(self.inside)
        return np.column_stack(
            [
                self.origin_m[0] + (columns + 0.5) * self.cell_m,
                self.origin_m[1] + (rows + 0.5) * self.cell_m,
            ]
        )

    def filled(self, values: ArrayLike) -> NDArray[np.float64]:
        """An array of the raster's shape with one value for each of `centres_m`, NaN outside."""
        array = np.full(self.inside.shape, np.nan)
        array[self.inside] = values
        return array

    def covers(self, points: Iterable[tuple[float, float]]) -> bool:
        """Whether all of these points lie on the raster, or no farther off than walls reach."""
        rows, columns = self.inside.shape
        (x, y), side = self.origin_m, self.cell_m
        right, top = x + columns * side + REACH_M, y + rows * side + REACH_M
        return all(x - REACH_M <= a <= right and y - REACH_M <= b <= top for a, b in points)


def storey_grid(site: Site, floor_id: str, cell_m: float | None = None) -> StoreyGrid:
    """The raster of a storey.

    Parameters
    ----------
    site : Site
        Site with that storey.
    floor_id : str
        The storey.
    cell_m : float, optional
        Side of a cell; `USUAL_CELL_M` unless given, and then larger where a side would have more
        than `USUAL_MOST_CELLS`. [m]

    Returns
    -------
    grid : StoreyGrid
        Over what the walls enclose, small gaps closed; where they enclose nothing, over the
        outlines of the storey's slabs; without those, over the area that the walls span.

    Raises
    ------
    JobError
        No such storey, nothing drawn on it that has an area, or cells too small or too large.
    """
    area = _area(site, floor_id)
    left, low, right, high = area.bounds
    width_m, depth_m = right - left, high - low
    if cell_m is None:
        cell_m = max(USUAL_CELL_M, max(width_m, depth_m) / USUAL_MOST_CELLS)
    if not 0.0 < cell_m < np.inf:
        raise JobError(f"The side of a cell was {cell_m:g} m; it must be above 0, such as 0.25.")
    if width_m / cell_m * (depth_m / cell_m) > MOST_CELLS:
        least_m = float(np.ceil((width_m * depth_m / MOST_CELLS) ** 0.5 * 100) / 100)
        raise JobError(
            f"Cells of {cell_m:g} m on storey {floor_id!r} ({width_m:.1f} m by {depth_m:.1f} m) "
            f"are more than {MOST_CELLS:,}; use cells of {least_m:g} m or more."
        )
    columns, rows = (int(np.ceil(m / cell_m - _ROUNDING)) for m in (width_m, depth_m))
    x = left + (np.arange(columns) + 0.5) * cell_m
    y = low + (np.arange(rows) + 0.5) * cell_m
    shapely.prepare(area)
    inside = shapely.contains_xy(area, *np.meshgrid(x, y))
    if not inside.any():
        raise JobError(
            f"Cells of {cell_m:g} m are too large for storey {floor_id!r} ({width_m:.1f} m by "
            f"{depth_m:.1f} m): the middle of none lies within it; use smaller ones."
        )
    return StoreyGrid(origin_m=(float(left), float(low)), cell_m=cell_m, inside=inside)


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


def _area(site: Site, floor_id: str) -> shapely.Geometry:
    floor = storey(site, floor_id)
    walls = [w for w in site.walls if w.floor == floor_id]
    outlines = [shapely.Polygon(s.outline, s.holes) for s in floor.slabs if s.outline is not None]
    spanned = shapely.MultiPoint([p for w in walls for p in (w.start, w.end)]).convex_hull
    for area in (_enclosed(walls), shapely.union_all(shapely.make_valid(outlines)), spanned):
        if area.area > _LEAST_AREA_M2:
            return area
    raise JobError(
        f"Nothing with an area is drawn on storey {floor_id!r}; draw its outer walls, or give one "
        "of its slabs an outline."
    )


def _enclosed(walls: list[Wall]) -> shapely.Geometry:
    """What walls enclose; strips round the walls meet where a gap is small."""
    lines = [shapely.LineString([w.start, w.end]) for w in walls]
    strips = shapely.union_all(shapely.buffer(lines, REACH_M))
    parts = shapely.get_parts([strips])
    rings = [shapely.Polygon(p.exterior) for p in parts if isinstance(p, shapely.Polygon)]
    return shapely.buffer(shapely.union_all(rings), -REACH_M)
