"""Curved walls: arcs round one centre paired like straight lines, then cut into chords."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from pathproof.plans.dxf._joints import Strip
from pathproof.plans.dxf._pieces import FloatArray, Pieces
from pathproof.plans.dxf._strips import THINNEST_M

_SAME_CENTRE_M = 0.01
_ROUND_RATIO = 0.001
_SLACK_M = 0.002
_CHORD_M = 0.5
_SAGITTA_M = 0.02
_SHORTEST_M = 0.05


def curved_walls(pieces: Pieces, thickest_m: float) -> tuple[list[Strip], int]:
    """Chords of curved walls, and how many curves are no wall's face. Pieces are in metres."""
    centre, u, v = (pieces.curves[:, k] for k in range(3))
    radius = np.hypot(*u.T)
    even = np.abs(radius - np.hypot(*v.T)) <= _ROUND_RATIO * radius
    square = np.abs(np.einsum("nk,nk->n", u, v)) <= _ROUND_RATIO * radius * radius
    some = np.flatnonzero(even & square & (radius > 0.0))
    tree = shapely.STRtree(shapely.points(centre[some]))
    i, j = tree.query(shapely.points(centre[some]), "dwithin", distance=_SAME_CENTRE_M)
    i, j = some[i], some[j]
    apart = radius[j] - radius[i]
    fits = (apart >= THINNEST_M - _SLACK_M) & (apart <= thickest_m + _SLACK_M)
    order = np.flatnonzero(fits)[np.argsort(apart[fits], kind="stable")]
    used: set[int] = set()
    strips: list[Strip] = []
    for inner, outer, thick in zip(
        i[order].tolist(), j[order].tolist(), apart[order].tolist(), strict=True
    ):
        if used & {inner, outer}:
            continue
        low, high = _shared(_span(pieces, inner), _span(pieces, outer))
        middle = float(radius[inner]) + thick / 2
        if (high - low) * middle < _SHORTEST_M:
            continue
        used |= {inner, outer}
        layer = int(pieces.curve_layer[inner])
        at = _chords(centre[inner], middle, low, high)
        strips += [Strip(a, b, thick, layer) for a, b in pairwise(at)]
    return strips, len(pieces.curves) - len(used)


def _span(pieces: Pieces, k: int) -> tuple[float, float]:
    """From which to which angle a curve goes, against the clock. [rad]"""
    (ux, uy), (vx, vy) = pieces.curves[k, 1].tolist(), pieces.curves[k, 2].tolist()
    start, sweep = float(np.arctan2(uy, ux)), float(pieces.sweep[k])
    return (start, start + sweep) if ux * vy - uy * vx > 0 else (start - sweep, start)


def _shared(a: tuple[float, float], b: Sequence[float]) -> tuple[float, float]:
    turns = [2 * np.pi * k for k in (-2, -1, 0, 1, 2)]
    both = [(max(a[0], b[0] + t), min(a[1], b[1] + t)) for t in turns]
    return max(both, key=lambda x: x[1] - x[0])


def _chords(centre: FloatArray, radius: float, low: float, high: float) -> FloatArray:
    widest = 2 * np.arccos(max(0.0, 1 - _SAGITTA_M / radius))
    count = max(1, int(np.ceil((high - low) / min(widest, _CHORD_M / radius))))
    angle = np.linspace(low, high, count + 1)
    return np.asarray(centre + radius * np.column_stack([np.cos(angle), np.sin(angle)]))
