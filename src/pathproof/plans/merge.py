"""A plan put into a site that may already hold one."""

import re
from collections.abc import Mapping, Sequence
from typing import TypeVar

from pydantic import ValidationError

from pathproof.job import Device, Floor, Panel, Place, Repeater, Site, Spot, Wall, explain
from pathproof.plans import dxf, ifc
from pathproof.plans.result import PlanImport
from pathproof.terms import PlanError

_SAME_HEIGHT_M = 0.1
_LARGEST_M = 512.0  # what a job file can hold
Thing = TypeVar("Thing", Wall, Device, Repeater, Spot, Panel, Place)
_FROM_PLAN = re.compile(rf"{ifc.PREFIX}(\d|-)|{dxf.PREFIX}-")


def merge_plan(site: Site, plan: PlanImport) -> Site:
    """The site with the plan's floors, walls and constructions in place of an earlier plan's.

    What was drawn by hand stays, and so do devices and everything else. Things that came from a
    plan are known by their ids. A storey of the earlier plan on which something stands is the new
    plan's of the same id, else of the same name and height. Where the site already holds a plan,
    the new one is moved to that plan's origin, so that placed devices stay where they are.

    Raises
    ------
    PlanError
        Something in the site stands on a storey that the new plan does not have, or the plans lie
        too far apart.
    """
    known = any(_from_plan(f.id) for f in site.floors)
    origin = site.plan_origin_m if known else plan.origin_m
    dx, dy = plan.origin_m[0] - origin[0], plan.origin_m[1] - origin[1]
    new_floors = [_moved_floor(f, dx, dy) for f in plan.floors]
    site = _on_new_storeys(site, plan)
    walls = [w for w in site.walls if not _from_plan(w.id)]
    floors = [f for f in site.floors if not _from_plan(f.id)]
    used = {w.construction for w in walls} | {s.construction for f in floors for s in f.slabs}
    used |= {o.construction for w in walls for o in w.openings if o.construction}
    constructions = {i: c for i, c in site.constructions.items() if not _from_plan(i) or i in used}
    parts = {
        "floors": [*floors, *_with_underlays(new_floors, site, plan)],
        "walls": [*walls, *(_moved_wall(w, dx, dy) for w in plan.walls)],
        "constructions": {**constructions, **plan.constructions},
        "plan_origin_m": origin,
    }
    _check_within(plan, dx, dy)
    try:
        return Site.model_validate({**dict(site), **parts})
    except ValidationError as error:
        raise PlanError(
            f"The plan does not fit the site:\n{explain(error, {**dict(site), **parts})}\n"
            "Correct that in the job file, then import again."
        ) from error


def _from_plan(thing_id: str) -> bool:
    return _FROM_PLAN.match(thing_id) is not None


def _on_new_storeys(site: Site, plan: PlanImport) -> Site:
    """The site with what stands on storeys of an earlier plan on those of the new one."""
    new = {floor.id for floor in plan.floors}
    gone = {f.id: f for f in site.floors if _from_plan(f.id) and f.id not in new}
    panel = site.panel
    drawn = [w for w in site.walls if not _from_plan(w.id)]
    placed: list[Wall | Device | Repeater | Spot | Panel | Place]
    placed = [*drawn, *site.devices, *site.repeaters, *site.spots]
    placed += [] if panel is None else [panel, *panel.candidates]
    used = {thing.floor for thing in placed}
    now = {i: _same_storey(floor, plan) for i, floor in gone.items() if i in used}
    if panel is not None:
        panel = _renamed([panel], now)[0]
        panel = panel.model_copy(update={"candidates": _renamed(panel.candidates, now)})
    return site.model_copy(
        update={
            "walls": _renamed(site.walls, now),
            "devices": _renamed(site.devices, now),
            "repeaters": _renamed(site.repeaters, now),
            "spots": _renamed(site.spots, now),
            "panel": panel,
        }
    )


def _with_underlays(floors: Sequence[Floor], before: Site, plan: PlanImport) -> list[Floor]:
    """The new plan's storeys with the pictures that lay under those of the earlier one."""
    new = {floor.id for floor in floors}
    pictures = {
        f.id if f.id in new else _same_storey(f, plan): f.underlay
        for f in before.floors
        if _from_plan(f.id) and f.underlay is not None
    }
    return [
        f.model_copy(update={"underlay": pictures[f.id]}) if f.id in pictures else f for f in floors
    ]


def _renamed(things: Sequence[Thing], now: Mapping[str, str]) -> list[Thing]:
    """The things with their storeys by the ids they have now."""
    return [
        t if t.floor is None else t.model_copy(update={"floor": now.get(t.floor, t.floor)})
        for t in things
    ]


def _same_storey(old: Floor, plan: PlanImport) -> str:
    for floor in plan.floors:
        if floor.name == old.name and abs(floor.elevation_m - old.elevation_m) <= _SAME_HEIGHT_M:
            return floor.id
    has = ", ".join(f"{f.name!r} at {f.elevation_m:.2f} m" for f in plan.floors) or "none"
    raise PlanError(
        f"The plan does not fit the site: things stand on storey {old.name!r} at "
        f"{old.elevation_m:.2f} m, and the new plan has none of that name and height. It has: "
        f"{has}. In the job file give the floor {old.id!r} the name and elevation_m of the "
        "one it is now, then import again."
    )


def _check_within(plan: PlanImport, dx: float, dy: float) -> None:
    points = [p for w in plan.walls for p in (w.start, w.end)]
    points += [p for f in plan.floors for s in f.slabs for p in s.outline or []]
    furthest = max((max(abs(x + dx), abs(y + dy)) for x, y in points), default=0.0)
    if furthest > _LARGEST_M:
        raise PlanError(
            f"The plan lies too far from the one in the site: it reaches {furthest:.0f} m from the "
            f"site's origin; allowed: {_LARGEST_M:.0f} m. Export it with the coordinates of the "
            "earlier plan, or import it into a job file of its own."
        )


def _moved_floor(floor: Floor, dx: float, dy: float) -> Floor:
    slabs = [
        s
        if s.outline is None
        else s.model_copy(
            update={
                "outline": [(x + dx, y + dy) for x, y in s.outline],
                "holes": [[(x + dx, y + dy) for x, y in hole] for hole in s.holes],
            }
        )
        for s in floor.slabs
    ]
    return floor.model_copy(update={"slabs": slabs})


def _moved_wall(wall: Wall, dx: float, dy: float) -> Wall:
    (x0, y0), (x1, y1) = wall.start, wall.end
    return wall.model_copy(update={"start": (x0 + dx, y0 + dy), "end": (x1 + dx, y1 + dy)})
