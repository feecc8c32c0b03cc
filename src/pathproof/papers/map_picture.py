"""A map of one storey as a picture: the plan with the map under it, its legend and its notes."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from pathproof.assess.floor_map import FloorMap, MapKind
from pathproof.job import Job
from pathproof.papers._text import day, shorten
from pathproof.papers.names import keys_of, wireless_devices
from pathproof.papers.plan_drawing import PlanDrawing, PlanMark, draw_plan
from pathproof.papers.render import typeset
from pathproof.terms import JobError

USUAL_WIDTH_PX = 1600
LEAST_WIDTH_PX, MOST_WIDTH_PX = 400, 6000

TEMPLATE = "map_picture.typ"
WIDTH_MM, MARGIN_MM = 200.0, 8.0
"""The sheet that type sizes and line widths refer to."""
ROOM_MM = (WIDTH_MM - 2 * MARGIN_MM, 200.0)
MOST_LISTED = 90
"""Marks that are numbered, and listed by name."""
_MM_PER_INCH = 25.4
_NAME_CHARACTERS = 120

BURGLARS_MAP = (
    "This picture shows where the devices are, which makes it a burglar's map. Keep it with the "
    "job and hand it to nobody."
)
NOT_PROOF = (
    "A prediction, not proof: radio in buildings scatters by several decibels around any "
    "calculation. A walk test settles it."
)
NOT_READ = (
    "Between the spots the level is worked out, not read: a reading at the final spot settles it."
)
PANEL_THERE = "Each place shows what would hold if the panel hung there."
PANEL_NOW = "The panel's mark shows where it hangs now."


@dataclass(frozen=True, kw_only=True)
class MapPicture:
    """What stands on the picture."""

    template: str = TEMPLATE
    width_mm: float = WIDTH_MM
    margin_mm: float = MARGIN_MM
    title: str
    label: str
    about: str
    """Site, and the day that the map speaks for."""
    plan: PlanDrawing
    listed: tuple[PlanMark, ...]
    """Marks whose names stand below the plan."""
    notes: tuple[str, ...]


def map_picture_png(
    job: Job,
    floor_map: FloorMap,
    as_of: datetime,
    *,
    width_px: int = USUAL_WIDTH_PX,
    underlay_png: bytes | None = None,
) -> bytes:
    """The map with plan, legend and notes as PNG; the same bytes for the same map.

    Parameters
    ----------
    job : Job
        The job that was mapped.
    floor_map : FloorMap
        The map.
    as_of : datetime
        The moment that it speaks for.
    width_px : int
        Width, `LEAST_WIDTH_PX` to `MOST_WIDTH_PX`. [px]
    underlay_png : bytes, optional
        The stored picture under the storey, where there is one.

    Raises
    ------
    JobError
        Another width, or the job has no such storey.
    """
    if not LEAST_WIDTH_PX <= width_px <= MOST_WIDTH_PX:
        raise JobError(
            f"A width of {width_px} px was given; allowed: {LEAST_WIDTH_PX} to {MOST_WIDTH_PX} px."
        )
    picture = map_picture(job, floor_map, as_of, underlay_png=underlay_png)
    return typeset(picture, TEMPLATE, format="png", ppi=width_px / WIDTH_MM * _MM_PER_INCH)


def map_picture(
    job: Job, floor_map: FloorMap, as_of: datetime, *, underlay_png: bytes | None = None
) -> MapPicture:
    """The picture as data.

    Raises
    ------
    JobError
        The job has no such storey.
    """
    floor = next((f for f in job.site.floors if f.id == floor_map.floor), None)
    if floor is None:
        raise JobError(f"The map is of storey {floor_map.floor!r}, which this job does not have.")
    plan = draw_plan(
        job,
        floor,
        None,
        _keys(job, floor_map),
        floor_map,
        ROOM_MM,
        printed=False,
        underlay_png=underlay_png,
        most_numbered=MOST_LISTED,
    )
    assert plan is not None  # the map itself has an extent
    return MapPicture(
        title=shorten(plan.title, _NAME_CHARACTERS),
        label=floor_map.label,
        about=f"{shorten(job.site.name, _NAME_CHARACTERS)}, {day(as_of, job.site.time_zone)}",
        plan=plan,
        listed=plan.marks[:MOST_LISTED],
        notes=tuple(_notes(floor_map, plan)),
    )


def _keys(job: Job, floor_map: FloorMap) -> dict[str, str]:
    """Keys of the things that the map is about."""
    site = job.site
    shown = {r.id for r in site.repeaters}
    match floor_map.what.kind:
        case MapKind.NETWORK:
            shown = {s.id for s in site.spots}
        case MapKind.DEVICE:
            shown |= {d.id for d in site.devices if d.id == floor_map.what.about}
        case _:
            shown |= {d.id for d in wireless_devices(job)}
    return {thing: key for thing, key in keys_of(site).items() if thing in shown}


def _notes(floor_map: FloorMap, plan: PlanDrawing) -> Iterator[str]:
    if np.isnan(floor_map.values).all():
        yield "Nothing could be mapped on this storey."
    if floor_map.spread_db is not None and not np.isnan(floor_map.spread_db).all():
        least_db, most_db = np.nanmin(floor_map.spread_db), np.nanmax(floor_map.spread_db)
        yield f"Spread (standard deviation) of the level: {least_db:.1f} to {most_db:.1f} dB."
    yield from floor_map.notes
    if len(plan.marks) > MOST_LISTED:
        more = len(plan.marks) - MOST_LISTED
        yield f"{more} more marks have no number here; the design assessment numbers and lists all."
    if plan.underlay_label:
        yield plan.underlay_label
    kind = floor_map.what.kind
    if kind in (MapKind.WORST, MapKind.ODDS, MapKind.DEVICE):
        now = any(m.what == "panel" for m in plan.marks)
        yield f"{PANEL_THERE} {PANEL_NOW}" if now else PANEL_THERE
    yield NOT_READ if kind is MapKind.NETWORK else NOT_PROOF
    if any(m.what == "device" for m in plan.marks):
        yield BURGLARS_MAP
