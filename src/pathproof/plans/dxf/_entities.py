"""Lines and curves of one thing of a drawing, in the drawing's own coordinates."""

from collections.abc import Iterator
from typing import Any, Final

import numpy as np

from pathproof.plans.dxf._pieces import FloatArray

Line = tuple[float, float, float, float]
"""Both ends."""
Curve = tuple[float, float, float, float, float, float, float]
"""Centre, half axis to the start, half axis a quarter turn on, and how far it turns. [rad]"""

_UP = (0.0, 0.0, 1.0)


def _upright(entity: Any) -> bool:
    return not entity.dxf.hasattr("extrusion") or tuple(entity.dxf.extrusion) == _UP


def _arc(entity: Any) -> Curve:
    start, end = 0.0, 360.0
    if entity.dxftype() == "ARC":
        start, end = float(entity.dxf.start_angle), float(entity.dxf.end_angle)
    sweep = (end - start) % 360.0 or 360.0
    angle, radius = np.deg2rad(start), float(entity.dxf.radius)
    u = radius * np.array([np.cos(angle), np.sin(angle), 0.0])
    v = np.array([-u[1], u[0], 0.0])
    centre = np.array(tuple(entity.dxf.center))
    points = [centre, centre + u, centre + v]
    if not _upright(entity):
        points = [np.array(tuple(p)) for p in entity.ocs().points_to_wcs(map(tuple, points))]
    c, a, b = (p[:2] for p in points)
    return (*c, *(a - c), *(b - c), float(np.deg2rad(sweep)))


def _ellipse(entity: Any) -> Curve:
    c, a, b = (
        np.array(tuple(p))[:2]
        for p in (entity.dxf.center, entity.dxf.major_axis, entity.minor_axis)
    )
    start = float(entity.dxf.start_param)
    sweep = (float(entity.dxf.end_param) - start) % (2 * np.pi) or 2 * np.pi
    u = np.cos(start) * a + np.sin(start) * b
    v = -np.sin(start) * a + np.cos(start) * b
    return (*c, *u, *v, sweep)


def _light_points(entity: Any) -> tuple[FloatArray, FloatArray, bool]:
    given = np.array(entity.get_points("xyb"), dtype=np.float64).reshape(-1, 3)
    level = np.full(len(given), float(entity.dxf.get("elevation", 0.0)))
    return np.column_stack([given[:, :2], level]), given[:, 2], bool(entity.closed)


def _heavy_points(entity: Any) -> tuple[FloatArray, FloatArray, bool]:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        raise ValueError("a mesh")
    corners = [v for v in entity.vertices if not v.dxf.flags & 16]  # without spline frames
    at = np.array([tuple(v.dxf.location) for v in corners], dtype=np.float64).reshape(-1, 3)
    bulge = np.array([float(v.dxf.get("bulge", 0.0)) for v in corners], dtype=np.float64)
    return at, bulge * entity.is_2d_polyline, bool(entity.is_closed)


def _in_space(entity: Any) -> bool:
    """Whether its corners are in world coordinates, and not in a plane of its own."""
    return entity.dxftype() == "POLYLINE" and bool(entity.is_3d_polyline)


def sides_of(entity: Any) -> Iterator[Line | Curve]:
    """The sides of a polyline, bulged ones as curves."""
    at, bulge, closed = POLYLINES[entity.dxftype()](entity)
    if not _upright(entity) and not _in_space(entity):
        at = np.array([tuple(p) for p in entity.ocs().points_to_wcs(map(tuple, at))])
        bulge = bulge * np.sign(float(entity.dxf.extrusion.z) or 1.0)
    last = len(at) if closed else len(at) - 1
    for k in range(last):
        p, q = at[k, :2], at[(k + 1) % len(at), :2]
        yield (*p, *q) if bulge[k] == 0.0 else _bulged(p, q, float(bulge[k]))


def width_of(entity: Any) -> float:
    """How wide a polyline is drawn, 0 where it is thin or not as wide all along."""
    if entity.dxftype() != "LWPOLYLINE":
        return 0.0
    return abs(float(entity.dxf.get("const_width", 0.0)))


def _bulged(p: FloatArray, q: FloatArray, bulge: float) -> Curve:
    """The arc of a polyline; its bulge is the tangent of a quarter of its angle."""
    way = q - p
    centre = (p + q) / 2 + np.array([-way[1], way[0]]) * (1 - bulge * bulge) / (4 * bulge)
    u = p - centre
    v = np.array([-u[1], u[0]]) * np.sign(bulge)
    return (*centre, *u, *v, 4 * float(np.arctan(abs(bulge))))


CURVES: Final = {"ARC": _arc, "CIRCLE": _arc, "ELLIPSE": _ellipse}
"""What gives a thing's centre, both half axes and how far it turns, by its kind."""
POLYLINES: Final = {"LWPOLYLINE": _light_points, "POLYLINE": _heavy_points}
"""What gives a polyline's corners, bulges, and whether it is closed, by its kind."""
