"""Maps of a storey, worked out once for a revision and a day, and what pages say of them."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, Final
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np
from django.utils import timezone

from pathproof.assess.floor_map import FloorMap, MapKind, MapOf
from pathproof.assess.map_words import map_sentences
from pathproof.assess.moving import Thing, heard_sentence, moved, place_of
from pathproof.job import PANEL_ID, Job, Place, Site
from pathproof.papers.map_drawing import requirement_lines_m
from pathproof.papers.margin_steps import steps_of
from pathproof.terms import JobError
from pathproof.web.jobs._recent import Recent
from pathproof.web.works import WAIT_S, Progress, result_of

_KNOWN: Final[Recent[tuple[UUID, str | None, date, str, str], FloorMap]] = Recent(most=24)
_SAID: Final = {
    MapKind.COVERAGE: "Coverage: a usual device at each place",
    MapKind.WORST: "Panel there: the device heard worst",
    MapKind.ODDS: "Panel there: odds that all are heard",
}


def now_at(site: Site) -> datetime:
    """Now, by the site's clocks."""
    return timezone.now().astimezone(ZoneInfo(site.time_zone))


def choices(site: Site) -> Sequence[tuple[str, str]]:
    """What can be mapped, each with what people call it; nothing first."""
    return [
        ("", "No map"),
        *((str(kind), said) for kind, said in _SAID.items()),
        *((f"network:{n.mcc_mnc}", f"Level of {n.label}") for n in site.networks),
        *((f"device:{d.id}", f"Panel there: {d.name}") for d in site.devices),
    ]


def storey_map(
    job_id: UUID, job: Job, what: MapOf, floor: str, *, wait_s: float = WAIT_S
) -> FloorMap:
    """A map of a storey.

    Raises
    ------
    JobError
        There is nothing to map, with what to do about it.
    StillWorkingError
        It takes longer; ask again.
    """
    now = now_at(job.site)
    key = (job_id, job.hash, now.date(), str(what), floor)
    found = _KNOWN.seen(key)
    if found is None:

        def work(progress: Progress) -> FloorMap:
            return _worked_out(job_id, job, what, floor, now)

        found = result_of(("map", *key), "Mapping the storey", work, wait_s=wait_s)
        _KNOWN.put(key, found)
    return found


def forget(job_id: UUID) -> None:
    """Keep nothing of a job that was erased."""
    _KNOWN.drop(lambda key: key[0] == job_id)


def _worked_out(job_id: UUID, job: Job, what: MapOf, floor: str, now: datetime) -> FloorMap:
    from pathproof.assess.maps import floor_map, with_places

    if what.kind is MapKind.NETWORK:
        return floor_map(job, what, floor, now)
    from pathproof.assess.kept_maps import KEPT_MAPS  # loads the compiler

    with KEPT_MAPS.of(str(job_id), job, now) as maps:
        return with_places(maps, job, maps.floor_map(what, floor))


def map_data(found: FloorMap, site: Site) -> dict[str, Any]:
    """A map as its page shows it: values in tenths or in hundredths, row by row from below."""
    steps = steps_of(found.unit, found.required)
    factor = 100 if found.unit == "ratio" else 10
    values = np.round(found.values * factor).ravel().tolist()
    return {
        "label": found.label,
        "unit": found.unit,
        "factor": factor,
        "origin": found.origin_m,
        "cell": found.cell_m,
        "rows": found.values.shape[0],
        "columns": found.values.shape[1],
        "values": [None if x != x else int(x) for x in values],  # only NaN is not itself
        "steps": steps.names,
        "edges": steps.edges,
        "lines": [
            [[round(x, 2), round(y, 2)] for x, y in line] for line in requirement_lines_m(found)
        ],
        "said": [*map_sentences(found, site), *found.notes],
    }


def heard_at(job_id: UUID, job: Job, kind: Thing, thing: str, place: Place) -> str:
    """How it would be heard with a thing at a place, in a sentence; empty for spots.

    Raises
    ------
    JobError
        It cannot be worked out, with what to do about it.
    """
    if kind is Thing.SPOT:
        return ""
    from pathproof.assess.kept_maps import KEPT_MAPS  # loads the compiler

    changed = moved(job, kind, thing, place)
    panel = place_of(changed.site, Thing.PANEL, PANEL_ID)
    if panel is None:
        raise JobError("The panel has no place on the plan yet. Place it, and margins show.")
    with KEPT_MAPS.of(str(job_id), changed, now_at(job.site)) as maps:
        there = maps.panel_at(panel.floor, panel.at, panel.height_m)
    return heard_sentence(changed, there, thing if kind is Thing.DEVICE else None)
