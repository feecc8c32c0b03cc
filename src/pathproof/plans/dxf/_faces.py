"""Straight lines of walls as faces: collinear pieces merged, lines of one direction together."""

from dataclasses import dataclass

import numpy as np

from pathproof.plans.dxf._pieces import FloatArray, IntArray

_SAME_DIRECTION = np.deg2rad(0.05)
_WIDEST_GROUP = 4.0  # times the above: a chain of ever so slightly turned lines ends somewhere
_SAME_LINE_M = 0.001
_SHORTEST_M = 0.005


@dataclass(frozen=True, slots=True)
class Faces:
    """Merged lines. A point at `s` along face k is direction * s + normal * offset. [m]"""

    direction: FloatArray
    """Unit vector of each group, shape (groups, 2)."""
    group: IntArray
    offset: FloatArray
    low: FloatArray
    high: FloatArray
    layer: IntArray
    width: FloatArray
    """Width of the polylines that each is of, 0 where it is of none. [m]"""

    @property
    def count(self) -> int:
        """How many."""
        return len(self.group)

    @property
    def length_m(self) -> FloatArray:
        """Length of each. [m]"""
        return self.high - self.low

    def at(self, group: int, along: float, offset: float) -> FloatArray:
        """A place by its distance along and across a group's direction. [m]"""
        d = self.direction[group]
        return np.asarray(d * along + np.array([-d[1], d[0]]) * offset)

    def lines(self) -> FloatArray:
        """Both ends of each, shape (n, 2, 2). [m]"""
        d = self.direction[self.group]
        across = np.column_stack([-d[:, 1], d[:, 0]]) * self.offset[:, None]
        ends = [d * s[:, None] + across for s in (self.low, self.high)]
        return np.stack(ends, axis=1)


def merged(lines: FloatArray, layer: IntArray, width: FloatArray | None = None) -> Faces:
    """Faces of lines in metres; what lies on one line and touches or overlaps is one face."""
    width = np.zeros(len(lines)) if width is None else width
    way = lines[:, 1] - lines[:, 0]
    length = np.hypot(*way.T)
    keep = length >= _SHORTEST_M
    lines, way, length = lines[keep], way[keep], length[keep]
    layer, width = layer[keep], width[keep]
    angle = np.arctan2(way[:, 1], way[:, 0]) % np.pi
    angle[angle > np.pi - _SAME_DIRECTION] -= np.pi
    group = _clusters(angle, np.zeros(len(angle)), _SAME_DIRECTION, _WIDEST_GROUP)
    count = int(group.max()) + 1 if len(group) else 0
    weight = np.bincount(group, length, minlength=count)
    mean = np.bincount(group, length * angle, minlength=count) / np.maximum(weight, 1e-12)
    direction = np.column_stack([np.cos(mean), np.sin(mean)])
    d = direction[group]
    along = np.einsum("nkx,nx->nk", lines, d)
    offset = lines.mean(axis=1)[:, 1] * d[:, 0] - lines.mean(axis=1)[:, 0] * d[:, 1]
    low, high = along.min(axis=1), along.max(axis=1)
    line = _clusters(offset, group.astype(np.float64), _SAME_LINE_M, 2.0)
    return _joined(Faces(direction, group, offset, low, high, layer, width), line)


def _clusters(value: FloatArray, apart: FloatArray, gap: float, widest: float) -> IntArray:
    """Numbers of clusters of values that follow each other within `gap`, in order.

    Values with different `apart` are never together; no cluster is wider than `widest` gaps.
    """
    order = np.lexsort((value, apart))
    new = np.ones(len(value), dtype=bool)
    if len(value):
        v, a = value[order], apart[order]
        new[1:] = (np.diff(v) > gap) | (np.diff(a) != 0)
        first = np.maximum.accumulate(np.where(new, np.arange(len(v)), 0))
        step = np.floor((v - v[first]) / (gap * widest))
        new[1:] |= np.diff(step) > 0
    number = np.empty(len(value), dtype=np.int64)
    number[order] = np.cumsum(new) - 1
    return number


def _joined(faces: Faces, line: IntArray) -> Faces:
    if not len(line):
        return faces
    order = np.lexsort((faces.low, line))
    line, low, high = line[order], faces.low[order], faces.high[order]
    room = 2.0 * (np.abs(low).max() + np.abs(high).max() + 1.0)
    reach = np.maximum.accumulate(high + line * room) - line * room
    new = np.ones(len(line), dtype=bool)
    new[1:] = (np.diff(line) > 0) | (low[1:] > reach[:-1] + _SAME_LINE_M)
    first = np.flatnonzero(new)
    length = np.maximum(high - low, 1e-9)
    offset = np.add.reduceat(faces.offset[order] * length, first)
    return Faces(
        faces.direction,
        faces.group[order][first],
        offset / np.add.reduceat(length, first),
        low[first],
        np.maximum.reduceat(high, first),
        faces.layer[order][first],
        np.maximum.reduceat(faces.width[order], first),
    )
