"""A plan put into a site that may already hold one."""

import re

from pydantic import ValidationError

from pathproof.job import Floor, Site, Wall, explain
from pathproof.plans.ifc import PREFIX
from pathproof.plans.result import PlanImport
from pathproof.terms import PlanError

_FROM_PLAN = re.compile(rf"{PREFIX}(\d|-)")


def merge_plan(site: Site, plan: PlanImport) -> Site:
    """The site with the plan's floors, walls and constructions in place of an earlier plan's.

    What was drawn by hand stays, and so do devices and everything else. Things that came from a
    plan are known by their ids. Where the site already holds a plan, the new one is moved to that
    plan's origin, so that placed devices stay where they are.

    Raises
    ------
    PlanError
        Something in the site stands on a storey that the new plan does not have, or the plans lie
        too far apart.
    """
    known = any(_from_plan(f.id) for f in site.floors)
    origin = site.plan_origin_m if known else plan.origin_m
    dx, dy = plan.origin_m[0] - origin[0], plan.origin_m[1] - origin[1]
    walls = [w for w in site.walls if not _from_plan(w.id)]
    floors = [f for f in site.floors if not _from_plan(f.id)]
    used = {w.construction for w in walls} | {s.construction for f in floors for s in f.slabs}
    used |= {o.construction for w in walls for o in w.openings if o.construction}
    constructions = {i: c for i, c in site.constructions.items() if not _from_plan(i) or i in used}
    parts = {
        "floors": [*floors, *(_moved_floor(f, dx, dy) for f in plan.floors)],
        "walls": [*walls, *(_moved_wall(w, dx, dy) for w in plan.walls)],
        "constructions": {**constructions, **plan.constructions},
        "plan_origin_m": origin,
    }
    try:
        return Site.model_validate({**dict(site), **parts})
    except ValidationError as error:
        raise PlanError(
            f"The plan does not fit the site:\n{explain(error, {**dict(site), **parts})}\n"
            "Place what stands on a storey that is gone on another one, then import again."
        ) from error


def _from_plan(thing_id: str) -> bool:
    return _FROM_PLAN.match(thing_id) is not None


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
