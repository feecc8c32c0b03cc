"""Storeys of several drawings, from the lowest up."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from pathproof.plans.dxf._notes import StoreyNote
from pathproof.plans.report import ReportBuilder
from pathproof.terms import PlanError

GUESSED_HEIGHT_M = 2.7
_LOWEST_M, _HIGHEST_M = 1.8, 100.0
_LEAST_RATIO = 0.5
_BETTER_RATIO = 0.03
_IN_LINE_RATIO = 0.95


@dataclass(frozen=True, slots=True)
class Storey:
    """One storey."""

    name: str
    elevation_m: float
    height_m: float


def storeys(
    notes: Sequence[StoreyNote], height_m: float | None, report: ReportBuilder
) -> list[Storey]:
    """The storeys, each on top of the one before unless its notes say where it is.

    Raises
    ------
    PlanError
        A storey does not lie above the one before.
    """
    if height_m is not None and not _LOWEST_M <= height_m <= _HIGHEST_M:
        raise PlanError(
            f"The storey height was {height_m:g} m; allowed: {_LOWEST_M:g} to {_HIGHEST_M:g} m."
        )
    found: list[Storey] = []
    for k, note in enumerate(notes):
        name = note.name or f"Storey {k + 1}"
        elevation = note.elevation_m
        if elevation is None:
            elevation = found[-1].elevation_m + found[-1].height_m if found else 0.0
        above = notes[k + 1].elevation_m if k + 1 < len(notes) else None
        if note.height_m is not None:
            height = note.height_m
        elif above is not None:
            height = above - elevation
        elif height_m is not None:
            height = height_m
        else:
            height = GUESSED_HEIGHT_M
            why = "a plan tells no heights; --storey-height says"
            report.guessed(f"height of {name}", f"{height:g} m", why)
        if height < _LOWEST_M or (found and elevation < found[-1].elevation_m + _LOWEST_M):
            raise PlanError(
                f"{name} at {elevation:g} m is not a storey above the one before or below the "
                "next. Name the files from the lowest storey up, or correct elevation_m."
            )
        found.append(Storey(name, elevation, height))
    return found


def out_of_line(
    file: str, lower: BaseGeometry, upper: BaseGeometry, move_m: tuple[float, float]
) -> str:
    """A sentence on a storey that does not lie above the one below, with where it would; or none.

    Parameters
    ----------
    file : str
        The upper storey's.
    lower, upper : shapely geometry
        What the walls of both enclose. [m]
    move_m : tuple of float
        How far the notes move the upper one already. [m]
    """
    if lower.is_empty or upper.is_empty:
        return ""
    here = _shared_ratio(lower, upper)
    best, shift = max(
        (
            (_shared_ratio(lower, affinity.translate(upper, x, y)), (x, y))
            for x, y in _shifts(lower, upper)
        ),
        key=lambda found: found[0],
    )
    better = best - here > _BETTER_RATIO and best > _IN_LINE_RATIO
    if here >= _LEAST_RATIO and not better:
        return ""
    x, y = (round(m + s, 3) + 0.0 for m, s in zip(move_m, shift, strict=True))
    return (
        f"{file} does not lie above the storey below it: of the smaller of both {100 * here:.0f} % "
        f"lie on the other. With move_m = [{x:g}, {y:g}] under [storeys] in the notes it would be "
        f"{100 * best:.0f} %; or draw both from one base point."
    )


def _shifts(lower: BaseGeometry, upper: BaseGeometry) -> list[tuple[float, float]]:
    """Moves of the upper outline that lay sides or middles of both on each other."""
    both = np.array([lower.bounds, upper.bounds]).reshape(2, 2, 2)  # outline, corner, axis
    by = both[0] - both[1]
    x, y = ([by[0, axis], by[1, axis], by[:, axis].mean()] for axis in (0, 1))
    return [(float(a), float(b)) for a in x for b in y]


def _shared_ratio(a: BaseGeometry, b: BaseGeometry) -> float:
    return float(a.intersection(b).area / min(a.area, b.area))
