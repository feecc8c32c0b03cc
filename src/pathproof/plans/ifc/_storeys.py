"""Which storeys people use, how high they are, and which walls stand in them."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pathproof.plans.ifc._reader import BROKEN, parts_within
from pathproof.plans.ifc._runs import Run
from pathproof.plans.report import ReportBuilder
from pathproof.terms import PlanError

_PRESENT_M = 1.2  # height at which a wall matters for a device
_LOW_M = 0.3  # walls that rise less than this above a storey belong below it
_FOOT_M = 0.5  # how near to a storey's level its walls stand
_ROOM_M = 1.8  # lowest height of a storey for people
_APART_M = 1.5  # two levels closer than this are one storey
_GUESSED_HEIGHT_M = 2.7
_ELEVATIONS_M = (-100.0, 1000.0)
_HIGHEST_M = 100.0
_NOT_FOR_PEOPLE = re.compile(
    r"fdn|footing|foundation|fundament|fondation|b\.?o\.?f|t\.?o\.?s|\broof\b|\bdach\b|toiture",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Level:
    """A storey of the file."""

    step_id: int
    name: str
    elevation_m: float
    """Above the building's zero. [m]"""
    spaces: int
    doors: int
    structural: bool
    """Whether walls or slabs are filed under it."""

    @property
    def content(self) -> tuple[int, int, bool]:
        """What speaks for it as a storey, the strongest first."""
        return self.spaces, self.doors, self.structural


@dataclass(frozen=True, slots=True)
class Storey:
    """A storey for people."""

    step_id: int
    name: str
    elevation_m: float
    height_m: float

    @property
    def top_m(self) -> float:
        """Where the next storey or the roof begins. [m]"""
        return self.elevation_m + self.height_m


def building_zero(file: Any, scale: float) -> float:
    """Height of the building's own zero in the file's coordinates. [m]"""
    for building in file.by_type("IfcBuilding"):
        z = _placed_z(building)
        if z is not None:
            return z * scale
    return 0.0


def _placed_z(element: Any) -> float | None:
    """Height of an element's placement in file units; none where it has none that can be read."""
    from ifcopenshell.util.placement import get_local_placement

    if element.ObjectPlacement is None:
        return None
    try:
        z = float(get_local_placement(element.ObjectPlacement)[2, 3])
    except BROKEN:
        return None
    return z if math.isfinite(z) else None


def read_levels(
    file: Any, scale: float, zero_m: float, door_feet_m: Sequence[float], report: ReportBuilder
) -> list[Level]:
    """The file's storeys from the lowest up; `door_feet_m` are the lower edges of its doors."""
    levels = []
    for storey in file.by_type("IfcBuildingStorey"):
        elevation = _elevation(storey, scale, zero_m, report)
        parts = parts_within(storey)
        levels.append(
            Level(
                step_id=storey.id(),
                name=str(storey.Name or storey.LongName or f"Storey at {elevation:.2f} m")[:200],
                elevation_m=elevation,
                spaces=sum(p.is_a("IfcSpace") for p in parts),
                doors=sum(abs(foot - elevation) < _PRESENT_M / 2 for foot in door_feet_m),
                structural=any(
                    p.is_a("IfcWall") or p.is_a("IfcSlab") or p.is_a("IfcRoof") for p in parts
                ),
            )
        )
    return sorted(levels, key=lambda level: (level.elevation_m, level.step_id))


def _elevation(storey: Any, scale: float, zero_m: float, report: ReportBuilder) -> float:
    told = None if storey.Elevation is None else float(storey.Elevation) * scale
    z = _placed_z(storey)
    if z is None:
        return told or 0.0
    placed = z * scale - zero_m
    if told is not None and abs(told - placed) > 0.01:
        report.guessed(
            f"elevation of storey {str(storey.Name or '')[:60]}".strip(),
            f"{placed:.3f} m, by its placement",
            f"the file also says {told:.3f} m",
        )
    return placed


def habitable(levels: Sequence[Level], runs: Sequence[Run], report: ReportBuilder) -> list[Storey]:
    """The storeys for people, with heights, from the lowest up; the others are reported."""
    kept: list[Level] = []
    others: list[Level] = []
    for level in levels:
        if not _for_people(level, runs):
            others.append(level)
            report.left_out(
                f"storey {level.name}", "not for people: no rooms, doors or walls of full height"
            )
        elif kept and level.elevation_m - kept[-1].elevation_m < _APART_M:
            fuller = level.content > kept[-1].content
            one, other = (level, kept.pop()) if fuller else (kept.pop(), level)
            kept.append(one)
            report.guessed(
                f"storey {other.name}", f"part of storey {one.name}", f"less than {_APART_M} m away"
            )
        else:
            kept.append(level)
    if not kept:
        return _one_storey(runs, report)
    bounds = [level.elevation_m for level in (*kept, *(x for x in others if x.structural))]
    return [_storey(level, bounds, runs, report) for level in kept]


def _for_people(level: Level, runs: Sequence[Run]) -> bool:
    """Whether a storey has rooms, doors or walls of full height; parapets alone make a roof."""
    at = level.elevation_m + _PRESENT_M
    standing = [r for r in runs if r.z_min < at and r.z_max > level.elevation_m + _LOW_M]
    present = [r for r in standing if r.z_max > at]
    if level.doors or (level.spaces and (present or not standing)):
        return True
    tall = any(r.z_max - level.elevation_m >= _ROOM_M for r in present)
    foot = level.structural or any(abs(r.z_min - level.elevation_m) < _FOOT_M for r in present)
    return tall and foot and not _NOT_FOR_PEOPLE.search(level.name)


def _storey(
    level: Level, bounds: Sequence[float], runs: Sequence[Run], report: ReportBuilder
) -> Storey:
    above = [b for b in bounds if b >= level.elevation_m + _APART_M]
    tops = [r.z_max for r in runs if r.z_min < level.elevation_m + _PRESENT_M < r.z_max]
    if above:
        height = min(above) - level.elevation_m
    elif tops:
        height = max(tops) - level.elevation_m
    else:
        height = _GUESSED_HEIGHT_M
        report.guessed(
            f"height of storey {level.name}", f"{height} m", "no storey or wall above tells it"
        )
    return _sensible(Storey(level.step_id, level.name, level.elevation_m, height))


def _sensible(storey: Storey) -> Storey:
    """The storey, unless no building is like that.

    Raises
    ------
    PlanError
        The storey is too far up or too high.
    """
    low, high = _ELEVATIONS_M
    if low <= storey.elevation_m <= high and storey.height_m <= _HIGHEST_M:
        return storey
    raise PlanError(
        f"Storey {storey.name!r} lies at {storey.elevation_m:g} m, {storey.height_m:g} m high; "
        f"allowed are {low:g} to {high:g} m, {_HIGHEST_M:g} m high. The file's length unit or "
        "placements are wrong: export it again, in metres or millimetres."
    )


def _one_storey(runs: Sequence[Run], report: ReportBuilder) -> list[Storey]:
    foot = min((r.z_min for r in runs), default=0.0)
    top = max((r.z_max for r in runs), default=foot + _GUESSED_HEIGHT_M)
    report.guessed(
        "storey",
        f"one storey from {foot:.2f} m, {top - foot:.2f} m high",
        "the file has no storey for people",
        first=True,
    )
    return [_sensible(Storey(0, "Storey", foot, top - foot))]


def stand_in(z_min: float, z_max: float, storeys: Sequence[Storey]) -> list[Storey]:
    """The storeys that a body of these heights belongs to.

    By position: it overlaps the storey by more than half a metre or half of its own height.
    """
    found = []
    for storey in storeys:
        overlap = min(z_max, storey.top_m) - max(z_min, storey.elevation_m)
        if overlap > 0.5 or overlap > 0.5 * (z_max - z_min):
            found.append(storey)
    return found


def cut_by_storey(
    z_min: float, z_max: float, storeys: Sequence[Storey]
) -> list[tuple[Storey, float, float]]:
    """The pieces of a body, one per storey it belongs to, cut at the storeys' floors."""
    inside = stand_in(z_min, z_max, storeys)
    edges = [z_min, *(s.elevation_m for s in inside[1:]), z_max]
    return [(s, a, b) for s, a, b in zip(inside, edges, edges[1:], strict=False)]
