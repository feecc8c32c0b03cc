"""Plane geometry of wall lines: points, normals, cuts along a line."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from pathproof.plans.ifc._bodies import FloatArray

_STRAIGHT_M = 0.002
_CHORD_M = 0.5
_SAGITTA_M = 0.02


def unit(vector: FloatArray) -> FloatArray:
    """The vector with length 1."""
    return np.asarray(vector / np.hypot(vector[0], vector[1]), dtype=np.float64)


def left_of(direction: FloatArray) -> FloatArray:
    """The direction turned a quarter to the left."""
    return np.array([-direction[1], direction[0]])


def is_straight(points: FloatArray) -> bool:
    """Whether all corners lie within 2 mm of the line from first to last."""
    chord = points[-1] - points[0]
    if np.hypot(*chord) < 1e-6:
        return False
    return bool(np.abs((points - points[0]) @ left_of(unit(chord))).max() <= _STRAIGHT_M)


def is_closed(points: FloatArray) -> bool:
    """Whether the line comes back to its start."""
    return bool(np.hypot(*(points[-1] - points[0])) < _STRAIGHT_M)


def length(points: FloatArray) -> float:
    """Length of a line of corners. [m]"""
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def stations(points: FloatArray) -> FloatArray:
    """Distance of each corner from the line's start, shape (n,). [m]"""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])


def offsets(line: FloatArray, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Where points lie along a line (station, may pass its ends) and beside it (left positive).

    The ends are taken to go on straight.
    """
    start = stations(line)[:-1]
    steps = np.diff(line, axis=0)
    lengths = np.hypot(*steps.T)
    along = ((points[:, None, :] - line[:-1]) * steps).sum(axis=2) / lengths
    low, high = np.zeros(len(steps)), lengths.copy()
    low[0], high[-1] = -np.inf, np.inf
    along = np.clip(along, low, high)
    foot = line[:-1] + along[..., None] * (steps / lengths[:, None])
    apart = np.linalg.norm(points[:, None, :] - foot, axis=2)
    nearest = apart.argmin(axis=1)
    rows = np.arange(len(points))
    away = points - line[nearest]
    side = steps[nearest, 0] * away[:, 1] - steps[nearest, 1] * away[:, 0]
    return (
        start[nearest] + along[rows, nearest],
        np.copysign(apart[rows, nearest], side),
    )


def shifted(line: FloatArray, distance_m: float) -> FloatArray:
    """The line moved sideways, to the left where positive."""
    if abs(distance_m) < 1e-9:
        return line
    if len(line) == 2:
        return line + distance_m * left_of(unit(line[1] - line[0]))
    if is_closed(line):
        return _shifted_ring(line, distance_m)
    moved = shapely.LineString(line).offset_curve(distance_m, join_style="mitre")
    if moved.geom_type != "LineString" or moved.is_empty:
        return line
    return np.array(moved.coords)


def _shifted_ring(ring: FloatArray, distance_m: float) -> FloatArray:
    turns_left = shapely.LinearRing(ring).is_ccw
    grown = shapely.Polygon(ring).buffer(
        -distance_m if turns_left else distance_m, join_style="mitre"
    )
    if grown.geom_type != "Polygon" or grown.is_empty:
        return ring
    moved = np.array(grown.exterior.coords)
    return moved if grown.exterior.is_ccw == turns_left else moved[::-1]


def stretched(line: FloatArray, before_m: float, after_m: float) -> FloatArray:
    """The line made longer at both ends, or shorter where negative, along its end pieces."""
    out = line.copy()
    out[0] -= before_m * unit(line[1] - line[0])
    out[-1] += after_m * unit(line[-1] - line[-2])
    return out


def trimmed_to(line: FloatArray, footprint: BaseGeometry, reach_m: float) -> FloatArray:
    """The line cut, or run on by at most `reach_m`, to where it enters and leaves a footprint."""
    long = stretched(line, reach_m, reach_m)
    curve = shapely.LineString(long)
    inside = curve.intersection(footprint)
    ends = [
        curve.project(shapely.Point(c))
        for part in shapely.get_parts(inside)
        if part.geom_type == "LineString"
        for c in (part.coords[0], part.coords[-1])
    ]
    if not ends or max(ends) - min(ends) < 0.01:
        return line
    return part_of(long, min(ends), max(ends))


def part_of(line: FloatArray, start_m: float, end_m: float) -> FloatArray:
    """The piece of a line between two stations."""
    at = stations(line)
    inner = line[(at > start_m + 1e-6) & (at < end_m - 1e-6)]
    ends = [[np.interp(s, at, line[:, 0]), np.interp(s, at, line[:, 1])] for s in (start_m, end_m)]
    return np.vstack([ends[0], *inner, ends[1]])


def chords(line: FloatArray) -> FloatArray:
    """Corners left when an arc becomes chords of at most 0.5 m with 20 mm sagitta.

    Straight stretches stay whole, and so do real corners.
    """
    kept = [0]
    for i in range(2, len(line)):
        first, last = kept[-1], i
        between = line[first + 1 : last]
        chord = line[last] - line[first]
        size = float(np.hypot(*chord))
        away = np.abs((between - line[first]) @ left_of(unit(chord))).max() if size > 1e-9 else 1.0
        if away > _SAGITTA_M or (size > _CHORD_M and away > _STRAIGHT_M):
            kept.append(i - 1)
    kept.append(len(line) - 1)
    return line[kept]
