"""Small DXF drawings made for the tests, so that what has to come out is known."""

import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np

Point = tuple[float, float]

METRES = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254, "ft": 0.3048}
HEADER = {"none": 0, "in": 1, "ft": 2, "mm": 4, "cm": 5, "m": 6}


class Drawing:
    """A drawing under construction; lengths are given in metres whatever its unit."""

    def __init__(self, unit: str = "mm", *, header: str | None = None, layer: str = "WALL") -> None:
        self.doc = ezdxf.new("R2010")
        self.doc.header["$INSUNITS"] = HEADER[header or unit]
        self.space: Any = self.doc.modelspace()
        self.scale = 1.0 / METRES[unit]
        self.layer = layer

    def block(self, name: str) -> Any:
        """A block to draw in: set it as `space`, then `space` back to the model space."""
        return self.doc.blocks.new(name)

    def at(self, point: Point) -> Point:
        """A point in drawing units."""
        return (point[0] * self.scale, point[1] * self.scale)

    def line(self, a: Point, b: Point, layer: str | None = None) -> None:
        """A line."""
        self.space.add_line(self.at(a), self.at(b), {"layer": layer or self.layer})

    def lines(self, *points: Point, layer: str | None = None) -> None:
        """Lines from point to point."""
        for a, b in pairwise(points):
            self.line(a, b, layer)

    def box(self, low: Point, high: Point, layer: str | None = None) -> None:
        """A rectangle as a closed polyline."""
        corners = [low, (high[0], low[1]), high, (low[0], high[1])]
        self.space.add_lwpolyline(
            [self.at(c) for c in corners], close=True, dxfattribs={"layer": layer or self.layer}
        )

    def wall(self, a: Point, b: Point, thick: float = 0.2, *, caps: bool = False) -> None:
        """Two lines along a centre line, closed at both ends if asked for."""
        p, q = np.array(a), np.array(b)
        way = (q - p) / np.hypot(*(q - p))
        left = np.array([-way[1], way[0]]) * thick / 2
        self.line(tuple(p + left), tuple(q + left))
        self.line(tuple(p - left), tuple(q - left))
        if caps:
            self.line(tuple(p - left), tuple(p + left))
            self.line(tuple(q - left), tuple(q + left))

    def room(self, size: Point = (5.0, 4.0), thick: float = 0.2, at: Point = (0.0, 0.0)) -> None:
        """Four walls whose centre lines enclose `size`, the lower left corner `at`."""
        half = thick / 2
        (x, y), (w, h) = at, size
        self.box((x - half, y - half), (x + w + half, y + h + half))
        self.box((x + half, y + half), (x + w - half, y + h - half))

    def swing(self, hinge: Point, radius: float, start_deg: float, layer: str = "DOOR") -> None:
        """A door: a quarter circle and a leaf from the hinge to its end."""
        self.space.add_arc(
            self.at(hinge),
            radius * self.scale,
            start_deg,
            start_deg + 90.0,
            dxfattribs={"layer": layer},
        )
        end = math.radians(start_deg + 90.0)
        tip = (hinge[0] + radius * math.cos(end), hinge[1] + radius * math.sin(end))
        self.line(hinge, tip, layer)

    def save(self, path: Path) -> Path:
        """The file."""
        self.doc.saveas(path)
        return path
