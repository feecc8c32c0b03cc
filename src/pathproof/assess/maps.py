"""`floor_map`: one map of one storey of a job, whatever is asked for.

For maps that follow edits, and for the same site asked again and again, see
`pathproof.assess.what_if` and `pathproof.assess.kept_maps`.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from pathproof.assess.floor_map import AtPlace, FloorMap, MapKind, MapOf
from pathproof.job import Job, Place, Profile

if TYPE_CHECKING:
    from pathproof.assess.what_if import SiteMaps

__all__ = ["floor_map", "with_places"]

MOST_DEVICES_FOR_ODDS = 100
"""With more, the odds of all beside a map of the worst device cost more than the map."""
_PANEL_THERE = (MapKind.WORST, MapKind.ODDS, MapKind.DEVICE)


def floor_map(
    job: Job,
    what: MapOf,
    floor_id: str,
    as_of: datetime,
    *,
    cell_m: float | None = None,
    profile: Profile | None = None,
) -> FloorMap:
    """A map of one storey.

    Parameters
    ----------
    job : Job
        Site with its plan.
    what : MapOf
        What to map.
    floor_id : str
        The storey.
    as_of : datetime
        The moment to judge at, as for `assess`; confirmed limits count.
    cell_m : float, optional
        Side of a cell; unless given 0.5 m, and larger on a large storey. [m]
    profile : Profile, optional
        Limits to judge by; the job's own unless given.

    Returns
    -------
    floor_map : FloorMap
        NaN outside the storey; with the figures of `with_places`.

    Raises
    ------
    JobError
        No such storey, device or network, nothing to map, too many cells, or `as_of` has no offset.
    """
    # Either way loads what the other has no need of, and one of them the compiler.
    if what.kind is MapKind.NETWORK:
        from pathproof.assess.network_level import network_level_map

        network = what.about or ""
        return network_level_map(job, floor_id, network, as_of, cell_m=cell_m, profile=profile)
    from pathproof.assess.what_if import SiteMaps

    maps = SiteMaps(job, as_of, profile)
    return with_places(maps, job, maps.floor_map(what, floor_id, cell_m))


def with_places(maps: "SiteMaps", job: Job, found: FloorMap) -> FloorMap:
    """A map with what takes longer than to follow a drag.

    Parameters
    ----------
    maps : SiteMaps
        Those that the map is of.
    job : Job
        The job that they were brought up to date with.
    found : FloorMap
        Of any kind but levels of a network.

    Returns
    -------
    floor_map : FloorMap
        With figures at the panel's place and its candidates, where the map moves the panel; and
        where it shows the device heard worst, with the range of the odds that all are heard, or
        with a note that there are too many devices for that.
    """
    if found.what.kind not in _PANEL_THERE:
        return found
    found = replace(found, at_places=tuple(_at_places(maps, job, found)))
    if found.what.kind is not MapKind.WORST:
        return found
    if len(job.site.devices) > MOST_DEVICES_FOR_ODDS:
        note = "The odds that all devices are heard are a map of their own (odds)."
        return replace(found, notes=(*found.notes, note))
    odds = maps.floor_map(MapOf(kind=MapKind.ODDS), found.floor).values
    return replace(found, odds_all_range=(float(np.nanmin(odds)), float(np.nanmax(odds))))


def _at_places(maps: "SiteMaps", job: Job, found: FloorMap) -> Iterator[AtPlace]:
    for name, place in _places(job):
        if place.floor != found.floor:
            continue
        there = maps.panel_at(place.floor, place.at, place.height_m)
        margins = {d.device: d.margin_db for d in there.devices}
        value = {
            MapKind.ODDS: there.odds_all_ratio,
            MapKind.DEVICE: margins.get(found.what.about or "", np.nan),
        }.get(found.what.kind, there.worst.margin_db)
        yield AtPlace(
            name=name,
            at_m=place.at,
            height_m=place.height_m,
            value=value,
            device=there.worst.device,
            odds_all_ratio=there.odds_all_ratio,
        )


def _places(job: Job) -> Iterator[tuple[str, Place]]:
    """Where the panel is, and where else it could hang."""
    panel = job.site.panel
    if panel is None:
        return
    if panel.floor is not None and panel.at is not None:
        now = Place(floor=panel.floor, at=panel.at, height_m=panel.height_m)
        yield "the panel now", now
    yield from ((f"candidate {i}", place) for i, place in enumerate(panel.candidates, start=1))
