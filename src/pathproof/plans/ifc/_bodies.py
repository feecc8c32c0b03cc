"""Meshes of elements in plan coordinates: footprints, heights, volumes."""

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

FloatArray = NDArray[np.float64]
Progress = Callable[[int, int, str], None]

_GRID_M = 1e-4  # joins triangles that meet within 0.1 mm


@dataclass(frozen=True)
class Body:
    """The mesh of one element, in metres; z above the building's zero."""

    vertices: FloatArray
    """Corners, shape (n, 3). [m]"""
    faces: NDArray[np.int32]
    """Triangles as rows of three corner numbers, shape (m, 3)."""
    placement: FloatArray
    """Local to plan coordinates, shape (4, 4). [m]"""

    @property
    def z_min(self) -> float:
        """Lowest point. [m]"""
        return float(self.vertices[:, 2].min())

    @property
    def z_max(self) -> float:
        """Highest point. [m]"""
        return float(self.vertices[:, 2].max())

    @cached_property
    def footprint(self) -> BaseGeometry:
        """The body seen from above."""
        return shadow(self.vertices[:, :2], self.faces)

    @cached_property
    def volume_m3(self) -> float:
        """Volume inside the mesh; of no use where the mesh is open. [m3]"""
        a, b, c = (self.vertices[self.faces[:, i]] - self.vertices.mean(axis=0) for i in range(3))
        return abs(float(np.einsum("ij,ij->", a, np.cross(b, c)))) / 6.0

    def moved(self, offset_m: Sequence[float]) -> "Body":
        """The same body with `offset_m` (x, y, z) taken off."""
        placement = self.placement.copy()
        placement[:3, 3] -= offset_m
        return Body(self.vertices - np.asarray(offset_m), self.faces, placement)


def shadow(points: FloatArray, faces: NDArray[np.int32]) -> BaseGeometry:
    """The union of triangles in a plane; `points` has shape (n, 2)."""
    triangles = points[faces]
    u, v = triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    area = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2.0
    solid = triangles[area > 1e-9]
    if len(solid) == 0:
        return shapely.Polygon()
    return shapely.union_all(shapely.polygons(solid), grid_size=_GRID_M)


def joined(parts: Sequence[Body]) -> Body | None:
    """The parts of one thing as one body, placed like the first; none without parts."""
    if not parts:
        return None
    starts = np.cumsum([0, *(len(p.vertices) for p in parts[:-1])])
    faces = [p.faces + np.int32(k) for p, k in zip(parts, starts, strict=True)]
    vertices = np.vstack([p.vertices for p in parts])
    return Body(vertices, np.vstack(faces), parts[0].placement)


def bodies(
    file: Any,
    elements: Sequence[Any],
    *,
    cut_openings: bool,
    progress: Progress | None = None,
    what: str = "",
) -> dict[int, Body]:
    """Meshes by step number; an element without a usable body is not among them.

    Coordinates are those of the file, in metres, worked out in double precision.
    """
    found: dict[int, Body] = {}
    if not elements:
        return found
    for shape in _shapes(file, elements, cut_openings, progress, what):
        local = np.frombuffer(shape.geometry.verts_buffer, dtype=np.float64).reshape(-1, 3)
        faces = np.frombuffer(shape.geometry.faces_buffer, dtype=np.int32).reshape(-1, 3)
        placement = np.array(shape.transformation.matrix, dtype=np.float64).reshape(4, 4).T
        vertices = local @ placement[:3, :3].T + placement[:3, 3]
        if len(faces) and np.isfinite(vertices).all():
            found[shape.id] = Body(vertices, faces.copy(), placement)
    return found


def _shapes(
    file: Any,
    elements: Sequence[Any],
    cut_openings: bool,
    progress: Progress | None,
    what: str,
) -> Iterator[Any]:
    import ifcopenshell.geom

    settings = ifcopenshell.geom.settings()
    settings.set("disable-opening-subtractions", not cut_openings)
    threads = min(4, os.cpu_count() or 1)
    iterator = ifcopenshell.geom.iterator(settings, file, threads, include=list(elements))
    if not iterator.initialize():
        return
    done = 0
    while True:
        yield iterator.get()
        done += 1
        if progress is not None and done % 20 == 0:
            progress(done, len(elements), what)
        if not iterator.next():
            break
    if progress is not None:
        progress(len(elements), len(elements), what)
