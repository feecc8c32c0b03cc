"""The unit a drawing is in: what its header says, and what its sizes look like."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final

import numpy as np

from pathproof.plans.dxf._faces import merged
from pathproof.plans.dxf._pieces import FloatArray, IntArray, Pieces
from pathproof.plans.report import ReportBuilder
from pathproof.terms import PlanError

if TYPE_CHECKING:
    from ezdxf.document import Drawing


class Unit(StrEnum):
    """Units that a plan is drawn in."""

    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "in"
    FOOT = "ft"


METRES: Final = {Unit.MM: 0.001, Unit.CM: 0.01, Unit.M: 1.0, Unit.INCH: 0.0254, Unit.FOOT: 0.3048}
"""Length of each unit. [m]"""

_NAMES = {
    Unit.MM: "millimetres",
    Unit.CM: "centimetres",
    Unit.M: "metres",
    Unit.INCH: "inches",
    Unit.FOOT: "feet",
}
_HEADER = {1: Unit.INCH, 2: Unit.FOOT, 4: Unit.MM, 5: Unit.CM, 6: Unit.M}
_DOOR_M = (0.55, 1.15)  # facts: 0.6 to 1.1 m, a twentieth of a metre wider
_WALL_M = (0.08, 0.5)
_ANY_WALL_M = (0.05, 0.5)  # what is taken for a wall at all
_EXTENT_M = (4.0, 200.0)
_FEET_AND_INCHES = (3, 4)
_ENOUGH = 2  # so much more evidence for another unit than for the header's
_NEIGHBOURS = 200  # lines in a row, as of rooms along a corridor, before the one beside them


@dataclass(frozen=True, slots=True)
class Sizes:
    """What tells the unit of a drawing, in drawing units."""

    doors: tuple[float, ...]
    """Radii of door swings."""
    wall: float | None
    """The most frequent distance of parallel wall lines."""
    extent: tuple[float, float]
    feet_and_inches: bool
    """Whether dimensions are written in feet and inches."""


def sizes(drawing: "Drawing", walls: Pieces, radii: Sequence[float]) -> Sizes:
    """The telling sizes of a drawing."""
    points = walls.points()
    low, high = points.min(axis=0), points.max(axis=0)
    styles = Counter(d.dxf.get("dimstyle") for d in drawing.modelspace().query("DIMENSION"))
    units = {s.dxf.name: s.dxf.get("dimlunit", 2) for s in drawing.dimstyles}
    feet = sum(n for style, n in styles.items() if units.get(style) in _FEET_AND_INCHES)
    return Sizes(
        tuple(sorted(radii)),
        usual_distance(walls.lines),
        (float(high[0] - low[0]), float(high[1] - low[1])),
        2 * feet > sum(styles.values()),
    )


def unit_of(
    file: str, drawing: "Drawing", told: Unit | None, found: Sizes, report: ReportBuilder
) -> Unit:
    """The unit to read the drawing in.

    The person's word counts first. The header's unit stands where door swings fit it and nothing
    else does clearly better, or where no other fits as well. A header that names none is filled in
    where one unit stands out.

    Raises
    ------
    PlanError
        Header and sizes disagree, or neither tells; `--unit` decides.
    """
    header = _HEADER.get(int(drawing.header.get("$INSUNITS", 0)))
    fits = {unit: _score(found, unit) for unit in Unit}
    best = max(Unit, key=lambda u: (fits[u], u is header))
    if told is not None:
        if header is not None and header is not told:
            why = f"by --unit; the header says {_NAMES[header]}"
            report.guessed(f"unit of {file}", _NAMES[told], why, first=True)
        if _holds_no_walls(found, told) and fits[best] > fits[told]:
            report.warn(
                f"{file} is read in {_NAMES[told]}, by --unit, but it looks like {_NAMES[best]}: "
                f"{_evidence(found, best)}; in {_NAMES[told]} {_extent_in(found, told)}."
            )
        return told
    if header is not None and fits[header] > fits[best] - _ENOUGH:
        return _headers(file, header, found, fits, report)
    others = max(fits[u] for u in Unit if u is not best)
    if header is None and fits[best] - others >= _ENOUGH:
        why = f"its header names no unit; {_evidence(found, best)}"
        report.guessed(f"unit of {file}", _NAMES[best], why, first=True)
        return best
    raise PlanError(_question(file, header, best, found, fits[best]))


def _headers(
    file: str, header: Unit, found: Sizes, fits: Mapping[Unit, int], report: ReportBuilder
) -> Unit:
    """The header's unit, where nothing speaks clearly against it."""
    others = [u for u in Unit if u is not header]
    rival = max(others, key=lambda u: (fits[u], _fits_walls(found, u)))
    if _most_are_doors(found, header):
        if fits[header] < fits[rival]:
            report.warn(
                f"{file} is read in {_NAMES[header]}, as its header says; {_NAMES[rival]} would "
                f"fit its sizes better ({_evidence(found, rival)}). Give --unit if the plan comes "
                "out too large or too small."
            )
        return header
    if fits[rival] >= fits[header] and _fits_walls(found, rival):
        raise PlanError(
            f"{file}: the header says {_NAMES[header]}, but the drawing may as well be in "
            f"{_NAMES[rival]}, and no door tells: {_evidence(found, rival)}; in {_NAMES[header]} "
            f"{_extent_in(found, header)}. Import again with --unit {rival}, or --unit {header} "
            "if the header is right."
        )
    why = f"its header; no door swing bears it out, {_extent_in(found, header)}"
    report.guessed("unit of a drawing", _NAMES[header], why, first=True)
    return header


def _most_are_doors(found: Sizes, unit: Unit) -> bool:
    """Whether most swings are as wide as doors."""
    doors = [_DOOR_M[0] <= r * METRES[unit] <= _DOOR_M[1] for r in found.doors]
    return bool(doors) and 2 * sum(doors) > len(doors)


def _fits_walls(found: Sizes, unit: Unit) -> bool:
    """Whether parallel lines mostly lie at the distance of walls."""
    return found.wall is not None and _WALL_M[0] <= found.wall * METRES[unit] <= _WALL_M[1]


def _holds_no_walls(found: Sizes, unit: Unit) -> bool:
    """Whether parallel lines mostly lie too near or too far from each other for walls."""
    low, high = _ANY_WALL_M
    return found.wall is not None and not low <= found.wall * METRES[unit] <= high


def _score(found: Sizes, unit: Unit) -> int:
    scale = METRES[unit]
    score = int(_most_are_doors(found, unit))
    score += _fits_walls(found, unit)
    score += _EXTENT_M[0] <= max(found.extent) * scale <= _EXTENT_M[1]
    return score + int(found.feet_and_inches and unit in (Unit.INCH, Unit.FOOT))


def _question(file: str, header: Unit | None, best: Unit, found: Sizes, score: int) -> str:
    says = "names no unit" if header is None else f"says {_NAMES[header]}"
    if score == 0:
        return (
            f"{file}: the header {says}, and no unit fits the drawing: {_extent(found)}. "
            f"Give its unit: --unit {', '.join(Unit)}."
        )
    as_header = "" if header is None else f"; in {_NAMES[header]} {_extent_in(found, header)}"
    last = "" if header is None else f", or --unit {header} if the header is right"
    return (
        f"{file}: the header {says}, but the drawing looks like {_NAMES[best]}: "
        f"{_evidence(found, best)}{as_header}. Import again with --unit {best}{last}."
    )


def _evidence(found: Sizes, unit: Unit) -> str:
    scale = METRES[unit]
    parts = []
    if found.doors:
        parts.append(_doors(found.doors, scale))
    if found.wall is not None:
        as_mm = f"{1000 * found.wall * scale:.0f} mm"
        parts.append(f"wall lines mostly {_short(found.wall)} units apart ({as_mm})")
    if found.feet_and_inches:
        parts.append("dimensions in feet and inches")
    return ", ".join([*parts, f"{_extent(found)}, {_extent_in(found, unit)}"])


def _extent(found: Sizes) -> str:
    return "walls over {} x {} units".format(*map(_short, found.extent))


def _extent_in(found: Sizes, unit: Unit) -> str:
    return "{} x {} m".format(*(_short(e * METRES[unit]) for e in found.extent))


def _doors(radii: Sequence[float], scale: float) -> str:
    usual, _ = Counter(round(r, 3) for r in radii).most_common(1)[0]
    as_metres = f"{_short(usual)} units ({usual * scale:.3g} m)"
    if len(radii) == 1:
        return f"a door swing of {as_metres}"
    return f"{len(radii)} door swings, most often of {as_metres}"


def _short(value: float) -> str:
    """Three digits, or all that stand before the point."""
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"


def usual_distance(lines: FloatArray) -> float | None:
    """The distance at which most wall length has its next parallel line, free of any unit."""
    if not len(lines):
        return None
    extent = float(np.ptp(lines.reshape(-1, 2), axis=0).max())
    if extent <= 0.0:
        return None
    # merged() knows metres: a plan taken as 50 m wide has its millimetre at the right place
    scale = 50.0 / extent
    middle = lines.reshape(-1, 2).mean(axis=0)
    faces = merged((lines - middle) * scale, np.zeros(len(lines), dtype=np.int64))
    if faces.count < 2:
        return None
    order = np.lexsort((faces.low, faces.offset, faces.group))
    first, second, gaps, weights = _next_above(
        faces.group[order], faces.offset[order], faces.low[order], faces.high[order]
    )
    # a room is as wide again and again too, but its faces have a nearer line behind them
    nearest = np.full(len(order), np.inf)
    for end in (first, second):
        np.minimum.at(nearest, end, gaps)
    near = gaps <= np.maximum(nearest[first], nearest[second])
    gaps, weights = gaps[near] / scale, weights[near] / scale
    if not len(gaps):
        return None
    step = np.floor(np.log(gaps) / 0.02).astype(np.int64)
    bins, where = np.unique(step, return_inverse=True)
    in_bin = where == int(np.argmax(np.bincount(where, weights, minlength=len(bins))))
    return float(np.average(gaps[in_bin], weights=weights[in_bin]))


def _next_above(
    group: IntArray, offset: FloatArray, low: FloatArray, high: FloatArray
) -> tuple[IntArray, IntArray, FloatArray, FloatArray]:
    """Each line and the next one that lies beside it above, how far apart and how long beside."""
    open_ = np.arange(len(group))
    first, second, distance, length = [open_[:0]], [open_[:0]], [offset[:0]], [offset[:0]]
    for k in range(1, _NEIGHBOURS + 1):
        open_ = open_[open_ + k < len(group)]
        open_ = open_[group[open_ + k] == group[open_]]
        overlap = np.minimum(high[open_ + k], high[open_]) - np.maximum(low[open_ + k], low[open_])
        apart = offset[open_ + k] - offset[open_]
        hit = (overlap > 0.0) & (apart > 0.002)
        first.append(open_[hit])
        second.append(open_[hit] + k)
        distance.append(apart[hit])
        length.append(overlap[hit])
        open_ = open_[~hit]
    return (
        np.concatenate(first),
        np.concatenate(second),
        np.concatenate(distance),
        np.concatenate(length),
    )
