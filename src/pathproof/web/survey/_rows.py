"""What hangs on a storey or nowhere yet, as rows of a page."""

from collections.abc import Iterator
from dataclasses import dataclass

from pathproof.assess.moving import Thing
from pathproof.assess.strip import caption
from pathproof.assess.types import Assessment
from pathproof.job import PANEL_ID, Between, Job
from pathproof.job import links as link_names
from pathproof.papers.names import keys_of


@dataclass(frozen=True, kw_only=True)
class ThingRow:
    """One thing."""

    kind: Thing
    id: str
    key: str
    """Its short label on the plan."""
    name: str
    floor: str | None
    at: tuple[float, float] | None
    height_m: float | None
    between: str
    """What stands between it and the panel, where that is said in words."""
    link: str
    """Name of its link to the panel; empty where it has none."""
    word: str
    margin: str


def thing_rows(job: Job, assessment: Assessment) -> list[ThingRow]:
    """Everything of a site that has or needs a place: panel, repeaters, devices, spots."""
    return list(_rows(job, assessment))


def _rows(job: Job, assessment: Assessment) -> Iterator[ThingRow]:
    site, keys = job.site, keys_of(job.site)
    links = {x.id: x for x in assessment.links}
    if site.panel is not None:
        yield ThingRow(
            kind=Thing.PANEL, id=PANEL_ID, key="panel", name="Panel", floor=site.panel.floor,
            at=site.panel.at, height_m=site.panel.height_m, between="", link="", word="",
            margin="",
        )  # fmt: skip
    for kind, things in ((Thing.REPEATER, site.repeaters), (Thing.DEVICE, site.devices)):
        for thing in things:
            link = links.get(link_names.radio(thing.id, PANEL_ID))
            yield ThingRow(
                kind=kind, id=thing.id, key=keys[thing.id], name=thing.name, floor=thing.floor,
                at=thing.at, height_m=thing.height_m,
                between="" if thing.between is None else between_text(job, thing.between),
                link="" if link is None else link.id,
                word="" if link is None else str(link.word),
                margin="" if link is None else caption(link),
            )  # fmt: skip
    for spot in site.spots:
        yield ThingRow(
            kind=Thing.SPOT, id=spot.id, key=keys[spot.id], name=spot.name, floor=spot.floor,
            at=spot.at, height_m=None, between="", link="", word="", margin="",
        )  # fmt: skip


def between_text(job: Job, between: Between) -> str:
    """What stands between a thing and the panel, in words."""
    walls = [f"{n} {job.construction(c).name}" for c, n in between.walls.items()]
    if between.floors:
        walls.append(f"{between.floors} floor{'' if between.floors == 1 else 's'}")
    return f"{between.distance_m:g} m; {', '.join(walls) or 'nothing between'}"
