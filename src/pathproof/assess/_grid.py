"""The raster that a storey is mapped on, and which of its cells lie within the storey."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from pathproof.assess._storey_area import REACH_M, StoreyArea
from pathproof.job import Site, Wall
from pathproof.terms import JobError

USUAL_CELL_M = 0.5
"""Side of a cell where nobody asks for another. [m]"""
USUAL_MOST_CELLS = 120
"""Along a side; where nobody asks for a size, a larger storey gets larger cells."""
MOST_CELLS = 1_000_000
"""In a whole raster."""
FARTHEST_M = 512.0
"""From the origin, along either axis, for the middle of a cell: the crossing rule's own limit."""
_ROUNDING = 1e-6
"""Of a cell; bounds that come out of shapes are not exact."""
_Line = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, eq=False)
class StoreyGrid:
    """Square cells over a storey."""

    origin_m: tuple[float, float]
    """Lower left corner. [m]"""
    cell_m: float
    """Side of a cell. [m]"""
    inside: NDArray[np.bool_]
    """Cells whose middle is within the storey; rows from the smallest y up."""
    area: StoreyArea
    """That of the storey."""

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

    def after(self, site: Site, floor_id: str, changed: Collection[Wall]) -> "StoreyGrid | None":
        """The same cells, and which of them are within the storey once walls came or went.

        None where none are.

        Raises
        ------
        JobError
            Nothing drawn on the storey has an area.
        """
        if self.area.stays_without(changed):
            return self
        rows, columns = self.inside.shape
        axes_m = _lattice_m(self.origin_m, self.cell_m, (rows, columns))
        inside = _inside(self.area.of(site, floor_id), *axes_m)
        return replace(self, inside=inside) if inside.any() else None

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
        Over the storey's `StoreyArea`.

    Raises
    ------
    JobError
        No such storey, nothing drawn on it that has an area, or cells too small or too large.
    """
    storey_area = StoreyArea()
    area = storey_area.of(site, floor_id)
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
    origin_m = (float(left), float(low))
    x, y = _lattice_m(origin_m, cell_m, (rows, columns))
    inside = _inside(area, x, y)
    if not inside.any():
        raise JobError(
            f"Cells of {cell_m:g} m are too large for storey {floor_id!r} ({width_m:.1f} m by "
            f"{depth_m:.1f} m): the middle of none lies within it; use smaller ones."
        )
    if max(abs(x).max(), abs(y).max()) > FARTHEST_M:
        raise JobError(
            f"Cells of {cell_m:g} m on storey {floor_id!r} reach farther than {FARTHEST_M:g} m "
            "from the site's origin; use smaller cells, or move the plan nearer to its origin."
        )
    return StoreyGrid(origin_m=origin_m, cell_m=cell_m, inside=inside, area=storey_area)


def _lattice_m(
    origin_m: tuple[float, float], cell_m: float, shape: tuple[int, int]
) -> tuple[_Line, _Line]:
    """Middles of the columns and of the rows of a raster. [m]"""
    rows, columns = shape
    along_x, along_y = np.arange(columns) + 0.5, np.arange(rows) + 0.5
    return origin_m[0] + along_x * np.float64(cell_m), origin_m[1] + along_y * np.float64(cell_m)


def _inside(area: shapely.Geometry, x_m: _Line, y_m: _Line) -> NDArray[np.bool_]:
    shapely.prepare(area)
    inside: NDArray[np.bool_] = shapely.contains_xy(area, *np.meshgrid(x_m, y_m))
    return inside
