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
_GUESSED_NAME = re.compile(r"Storey \d+")
_FROM_PLAN = re.compile(rf"{ifc.PREFIX}(\d|-)|{dxf.PREFIX}-")


def merge_plan(site: Site, plan: PlanImport) -> Site:
    """The site with the plan's floors, walls and constructions in place of an earlier plan's.

    What was drawn by hand stays, and so do devices and everything else. Things that came from a
    plan are known by their ids. A storey of the earlier plan on which something stands is the new
    plan's of the same name and height, where it is named; else of the same id; else the only one
    at its height, if nobody named that. It keeps the name that a person gave it and the picture
    under it. A storey made for a picture, without a wall on it, becomes the plan's at its height.
    Where the site already holds a plan, the new one is moved to that plan's origin, so that placed
    devices stay where they are.

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
    now = _storeys_now(site, plan)
    new_floors = _kept_names_and_pictures(new_floors, site, now)
    site = _on_new_storeys(site, now)
    walls = [w for w in site.walls if not _from_plan(w.id)]
    floors = [f for f in site.floors if not _from_plan(f.id) and f.id not in now]
    used = {w.construction for w in walls} | {s.construction for f in floors for s in f.slabs}
    used |= {o.construction for w in walls for o in w.openings if o.construction}
    constructions = {i: c for i, c in site.constructions.items() if not _from_plan(i) or i in used}
    parts = {
        "floors": [*floors, *new_floors],
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


def moved_storeys(site: Site, plan: PlanImport) -> tuple[str, ...]:
    """Sentences on what `merge_plan` does that a person may not expect of their storeys.

    Raises
    ------
    PlanError
        As `merge_plan`.
    """
    new = {f.id: f for f in plan.floors}
    now, used = _storeys_now(site, plan), _storeys_in_use(site)
    said = []
    for old in site.floors:
        if old.id in now and old.id in used:
            floor = new[now[old.id]]
            drawn_alike = len(_twins(old, plan.floors)) != len(_twins(old, site.floors))
            said += _moved_to(old, floor, drawn_alike)
        elif old.id not in now and old.underlay is not None and not _from_plan(old.id):
            said += [
                f"Storey {old.name!r}, on which walls are drawn by hand, and the plan's {f.name!r} "
                f"both lie at {f.elevation_m:.2f} m. If they are one, delete what is drawn there "
                "from the job file and import again."
                for f in plan.floors
                if _is_level(old, f)
            ]
    return tuple(said)


def _moved_to(old: Floor, floor: Floor, drawn_alike: bool) -> list[str]:
    at = f"{floor.name!r} at {floor.elevation_m:.2f} m"
    if not _is_alike(old, floor):
        return [
            f"What stands on storey {old.name!r} at {old.elevation_m:.2f} m stands on {at} now, "
            "which is known to be the same by its id. If it is not, correct the floor of those "
            "things."
        ]
    is_named = old.name == floor.name and not _GUESSED_NAME.fullmatch(old.name)
    if is_named or not drawn_alike:
        return []
    return [
        f"What stands on storey {old.name!r} stands on {at} now, by its height alone: other "
        "storeys are drawn alike. If it is another, correct the floor of those things, and name "
        "the storeys in --notes."
    ]


def _is_alike(old: Floor, new: Floor) -> bool:
    named = not any(_GUESSED_NAME.fullmatch(f.name) for f in (old, new))
    return _is_level(old, new) and (not named or old.name == new.name)


def _is_level(a: Floor, b: Floor) -> bool:
    return abs(a.elevation_m - b.elevation_m) <= _SAME_HEIGHT_M


def _storeys_now(site: Site, plan: PlanImport) -> dict[str, str]:
    """Of the storeys that the new plan replaces, which of its storeys each is."""
    walled = {w.floor for w in site.walls}
    used = _storeys_in_use(site)
    now: dict[str, str] = {}
    of_plan = [f for f in site.floors if _from_plan(f.id)]
    level = {f.id: f.elevation_m for f in plan.floors}
    found = {f.id: _same_storey(f, plan) for f in of_plan}

    def off(floor: Floor) -> float:
        there = found[floor.id]
        return abs(level[there] - floor.elevation_m) if there is not None else 0.0

    for floor in sorted(of_plan, key=off):  # two are not one: the nearer one is it
        there = found[floor.id]
        if there is not None and there not in now.values():
            now[floor.id] = there
        elif floor.id in used:
            raise PlanError(_no_such_storey(floor, plan))
    for floor in site.floors:
        if not _from_plan(floor.id) and floor.underlay is not None and floor.id not in walled:
            there = _same_storey(floor, plan)
            if there is not None:
                now[floor.id] = there
    return now


def _storeys_in_use(site: Site) -> set[str | None]:
    """Those on which something stands that did not come from the earlier plan."""
    placed: list[Wall | Device | Repeater | Spot | Panel | Place]
    placed = [w for w in site.walls if not _from_plan(w.id)]
    placed += [*site.devices, *site.repeaters, *site.spots]
    placed += [] if site.panel is None else [site.panel, *site.panel.candidates]
    return {thing.floor for thing in placed}


def _same_storey(old: Floor, plan: PlanImport) -> str | None:
    """The plan's storey that an earlier one is now; equal storeys share all but an id's ending."""
    twins = _twins(old, plan.floors)
    level = [f for f in plan.floors if _is_level(old, f)]
    named = [f for f in level if f.name == old.name]
    told = [] if _GUESSED_NAME.fullmatch(old.name) else named
    nameless = [f for f in level if _GUESSED_NAME.fullmatch(f.name) or not _from_plan(old.id)]
    among = [f for f in twins if f in level] if len(twins) > 1 else twins
    for choice in (told, among, named, nameless):
        if len(choice) == 1:
            return choice[0].id
    return None


def _twins(floor: Floor, among: Sequence[Floor]) -> list[Floor]:
    """Those drawn alike, itself included: their ids share all but the ending."""
    alike = floor.id.partition(".")[0]
    return [f for f in among if f.id.partition(".")[0] == alike]


def _kept_names_and_pictures(
    floors: Sequence[Floor], before: Site, now: Mapping[str, str]
) -> list[Floor]:
    """The new plan's storeys with the names and pictures that a person gave the earlier ones."""
    was = {now[f.id]: f for f in before.floors if f.id in now}
    kept = []
    for floor in floors:
        old = was.get(floor.id)
        if old is not None:
            guessed = _GUESSED_NAME.fullmatch(floor.name) is not None
            name = old.name if guessed else floor.name
            floor = floor.model_copy(update={"name": name, "underlay": old.underlay})
        kept.append(floor)
    return kept


def _on_new_storeys(site: Site, now: Mapping[str, str]) -> Site:
    """The site with what stands on storeys of an earlier plan on those of the new one."""
    panel = site.panel
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


def _renamed(things: Sequence[Thing], now: Mapping[str, str]) -> list[Thing]:
    """The things with their storeys by the ids they have now."""
    return [
        t if t.floor is None else t.model_copy(update={"floor": now.get(t.floor, t.floor)})
        for t in things
    ]


def _no_such_storey(old: Floor, plan: PlanImport) -> str:
    has = ", ".join(f"{f.name!r} at {f.elevation_m:.2f} m" for f in plan.floors) or "none"
    return (
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
