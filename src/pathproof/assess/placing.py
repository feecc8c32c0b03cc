"""Findings on where things are placed: storeys without walls, and things far outside of theirs."""

from collections.abc import Iterator, Mapping

import shapely

from pathproof.assess.context import Context
from pathproof.assess.drawn import said_of_bare
from pathproof.assess.naming import named
from pathproof.assess.types import Link
from pathproof.assess.way import Way
from pathproof.job import Site
from pathproof.job.geometry import things
from pathproof.terms import Severity

OUTSIDE_M = 1.0
"""Farther out than this a thing stands outside; a sounder on an outer wall does not (house choice,
no source). [m]"""
FAR_OUTSIDE_M = 30.0
"""Farther out than this a thing is most often misplaced; a contact on a yard's gate is nearer
(house choice, no source). [m]"""
_LEAST_THINGS = 3
"""Of fewer things on a storey, it says little how many of them stand outside."""
_NAMES_SHOWN = 12


def placing_findings(
    ctx: Context, links: Mapping[str, Link], ways: Mapping[str, Way]
) -> Iterator[tuple[Severity, str, str, str]]:
    """Severity, what it is about, text and what to do, of each finding."""
    ends = [
        end for i, w in ways.items() if w.on_bare_storey for end in (links[i].start, links[i].end)
    ]
    there = things(ctx.site)
    for text in said_of_bare(ctx.site, {there[end].floor for end in ends}):
        yield (
            Severity.GAP,
            "site",
            text,
            "Draw the walls there, or import a plan that holds them; until then go by levels heard "
            "in place and walk tests.",
        )
    out = outside_m(ctx.site)
    if out:
        shown = [f"{named(ctx, i)} by {m:.0f} m" for i, m in out.items()][:_NAMES_SHOWN]
        more = f" and {len(out) - _NAMES_SHOWN} more" if len(out) > _NAMES_SHOWN else ""
        yield (
            Severity.ADVICE,
            ", ".join(out),
            "These stand outside everything that the walls of their storey span: "
            f"{', '.join(shown)}{more}.",
            "See whether walls are still to be drawn, the plan came with another origin or scale, "
            "or a thing is on the wrong storey. If they do stand there, nothing.",
        )


def outside_m(site: Site) -> dict[str, float]:
    """How far things that are most likely misplaced stand outside, by id. [m]

    Outside is what lies beyond a line drawn tight round all walls of the storey. Named are things
    more than `FAR_OUTSIDE_M` beyond it; and where more than half of a storey's things are more than
    `OUTSIDE_M` beyond it, all of those, as when a plan came again with another origin.
    """
    found: dict[str, float] = {}
    for floor_id, spanned in _spanned(site).items():
        away_m = {
            i: float(shapely.distance(spanned, shapely.Point(thing.at)))
            for i, thing in things(site).items()
            if thing.floor == floor_id and thing.at is not None
        }
        out = {i: m for i, m in away_m.items() if m > OUTSIDE_M}
        most = len(away_m) >= _LEAST_THINGS and 2 * len(out) > len(away_m)
        found |= {i: m for i, m in out.items() if most or m > FAR_OUTSIDE_M}
    return found


def _spanned(site: Site) -> dict[str, shapely.Geometry]:
    """What the walls of each storey span, by storey; without those that span no area."""
    corners: dict[str, list[tuple[float, float]]] = {}
    for wall in site.walls:
        corners.setdefault(wall.floor, []).extend((wall.start, wall.end))
    hulls = {i: shapely.MultiPoint(points).convex_hull for i, points in corners.items()}
    return {i: hull for i, hull in hulls.items() if hull.area > 0.0}
