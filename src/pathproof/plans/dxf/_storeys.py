"""Storeys of several drawings, from the lowest up."""

from collections.abc import Sequence
from dataclasses import dataclass

from pathproof.plans.dxf._notes import StoreyNote
from pathproof.plans.report import ReportBuilder
from pathproof.terms import PlanError

GUESSED_HEIGHT_M = 2.7
_LOWEST_M, _HIGHEST_M = 1.8, 100.0


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
