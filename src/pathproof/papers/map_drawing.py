"""A map of a storey on its plan: a raster in five steps, and the requirement as a smooth line."""

import io
from collections.abc import Iterator

import numpy as np
import shapely
from contourpy import contour_generator
from numpy.typing import NDArray
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from pathproof.assess.floor_map import FloorMap
from pathproof.papers.drawing import GREY, HAIR_MM, LINE_MM, Drawing, Lines, PointMm, Raster, Shape
from pathproof.papers.margin_steps import CIVIDIS, steps_of, tint, tint_rgb
from pathproof.papers.plan_frame import Frame

_Array = NDArray[np.float64]
_NOTHING = len(CIVIDIS)
"""Colour number of cells outside the storey or left blank."""
_UNSEEN_MM = 0.03


def raster_png(floor_map: FloorMap) -> bytes:
    """A map alone as PNG: a pixel for each cell, largest y on top, transparent where there is none.

    Transparent is what lies outside the storey or was left blank. The text chunks `origin_m` (lower
    left corner, x and y) and `cell_m` (side of a pixel) say where on the site it lies. [m]
    """
    steps = steps_of(floor_map.unit, floor_map.required).of(floor_map.values)
    colours = np.where(steps < 0, _NOTHING, steps).astype(np.uint8)
    rows, columns = colours.shape
    picture = Image.frombytes("P", (columns, rows), colours[::-1].tobytes())
    picture.putpalette([c for step in range(_NOTHING) for c in tint_rgb(step)] + [255] * 3)
    place = PngInfo()
    place.add_text("origin_m", "{:.6g} {:.6g}".format(*floor_map.origin_m))
    place.add_text("cell_m", f"{floor_map.cell_m:.6g}")
    file = io.BytesIO()
    picture.save(file, "PNG", transparency=_NOTHING, pnginfo=place)
    return file.getvalue()


def extent_m(floor_map: FloorMap) -> list[tuple[float, float]]:
    """Lower left and upper right corner of what is mapped; of the grid where nothing is. [m]"""
    rows, columns = np.nonzero(~np.isnan(floor_map.values))
    high, wide = floor_map.values.shape
    low, top = (rows.min(), rows.max() + 1) if rows.size else (0, high)
    left, right = (columns.min(), columns.max() + 1) if rows.size else (0, wide)
    (x, y), cell = floor_map.origin_m, floor_map.cell_m
    return [(x + left * cell, y + low * cell), (x + right * cell, y + top * cell)]


def draw_map(floor_map: FloorMap, frame: Frame) -> Iterator[Shape]:
    """The cells in the colours of their steps, and the line where the requirement is just met."""
    rows, columns = floor_map.values.shape
    (x, y), cell = floor_map.origin_m, floor_map.cell_m
    yield Raster(
        at=frame((x, y + rows * cell)),
        width_mm=columns * cell * frame.mm_per_m,
        height_mm=rows * cell * frame.mm_per_m,
        png=raster_png(floor_map),
    )
    lines = [_simpler([frame(p) for p in line]) for line in requirement_lines_m(floor_map)]
    if lines:
        yield Lines(lines=tuple(lines), width_mm=LINE_MM)


def requirement_lines_m(floor_map: FloorMap) -> list[list[tuple[float, float]]]:
    """Lines along which the requirement is just met, up to the edge of what is mapped. [m]

    Notes
    -----
    Marching squares between the middles of cells. So that the line does not end half a cell short
    of the outer walls, values are carried on by one cell, and the line is cut off at the edge of
    the outermost cell.
    """
    values = floor_map.values
    if floor_map.required is None or not np.isfinite(values).any():
        return []
    rows, columns = values.shape
    generator = contour_generator(
        x=np.arange(-1, columns + 1) + 0.5,
        y=np.arange(-1, rows + 1) + 0.5,
        z=np.ma.masked_invalid(_carried_on(values)),
    )
    inside = np.pad(~np.isnan(values), 1)
    (x, y), cell = floor_map.origin_m, floor_map.cell_m
    return [
        [(float(x + u * cell), float(y + v * cell)) for u, v in piece]
        for line in generator.lines(floor_map.required)
        for piece in _pieces_inside(np.asarray(line), inside)
    ]


def map_key(floor_map: FloorMap) -> Iterator[tuple[Drawing, str]]:
    """Samples of the steps and of the line, each with what it stands for.

    Where all or nothing meets the requirement there is no line, and that is said instead.
    """
    for step, name in enumerate(steps_of(floor_map.unit, floor_map.required).names):
        area = ((0.0, 0.2), (10.0, 0.2), (10.0, 3.2), (0.0, 3.2), (0.0, 0.2))
        yield _sample(Lines(lines=(area,), width_mm=HAIR_MM, ink=GREY, fill=tint(step))), name
    if floor_map.required is None or np.isnan(floor_map.values).all():
        return
    met = floor_map.values[~np.isnan(floor_map.values)] >= floor_map.required
    if met.all() or not met.any():
        where = "that is mapped" if floor_map.blank_cells else "here"
        yield _sample(), f"requirement met {'everywhere' if met.all() else 'nowhere'} {where}"
    else:
        line = Lines(lines=(((0.0, 1.7), (10.0, 1.7)),), width_mm=LINE_MM)
        yield _sample(line), "requirement just met"


def _simpler(line: list[PointMm]) -> tuple[PointMm, ...]:
    """The line without bends that nobody can see."""
    simple = shapely.simplify(shapely.LineString(line), _UNSEEN_MM, preserve_topology=False)
    return tuple((x, y) for x, y in simple.coords)


def _sample(*shapes: Shape) -> Drawing:
    return Drawing(width_mm=10.0, height_mm=3.4, shapes=shapes, alt="")


def _carried_on(values: _Array) -> _Array:
    """The values with a border; each cell beside mapped ones has the mean of these."""
    wide = np.pad(values, 1, constant_values=np.nan)
    around = np.pad(values, 2, constant_values=np.nan)
    rows, columns = wide.shape
    total, count = np.zeros_like(wide), np.zeros_like(wide)
    for down in range(3):
        for across in range(3):
            beside = around[down : down + rows, across : across + columns]
            total += np.nan_to_num(beside)
            count += ~np.isnan(beside)
    mean = np.divide(total, count, out=np.full_like(wide, np.nan), where=count > 0)
    return np.where(np.isnan(wide), mean, wide)


def _pieces_inside(line: _Array, inside: NDArray[np.bool_]) -> Iterator[_Array]:
    """What lies in mapped cells of a line, in cells from the grid's corner; `inside` has a border
    of one cell."""
    points = _cut_at_edges(line)
    columns, rows = np.floor((points[:-1] + points[1:]) / 2).astype(int).T + 1
    flips = np.diff(np.concatenate(([False], inside[rows, columns], [False])).astype(np.int8))
    starts, ends = np.flatnonzero(flips == 1), np.flatnonzero(flips == -1)
    for start, end in zip(starts, ends, strict=True):
        yield points[start : end + 1]


def _cut_at_edges(line: _Array) -> _Array:
    """The line with a point wherever it passes from cell to cell.

    Its pieces run between the middles of four cells, so each passes one edge at most each way.
    """
    start, end = line[:-1], line[1:]
    step = end - start
    edge = np.floor(np.maximum(start, end))
    share = np.divide(edge - start, step, out=np.ones_like(step), where=step != 0.0)
    share = np.sort(np.where(share > 0.0, share, 1.0), axis=1)[:, :, None]
    cuts = np.where(share < 1.0, start[:, None] + share * step[:, None], end[:, None])
    ends = np.concatenate([cuts, end[:, None]], axis=1).reshape(-1, 2)
    points = np.concatenate([line[:1], ends])
    moved = np.any(np.diff(points, axis=0) != 0.0, axis=1)
    return points[np.concatenate(([True], moved))]
