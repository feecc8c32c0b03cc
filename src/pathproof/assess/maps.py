"""Margin maps: how well a device would be heard from any place on a storey.

The map asks the radio link itself what a device may lose on its way to the panel or a repeater, on
a site without walls, and then takes off what stands between each cell and that receiver.
"""

import operator
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import partial

import numpy as np
from numpy.typing import NDArray

from pathproof.assess._grid import storey_grid
from pathproof.assess.context import Context
from pathproof.assess.floor_map import FloorMap, MapKind, MapOf
from pathproof.assess.radio import radio_link
from pathproof.assess.way import NEAREST_M, WallLosses, layers_of
from pathproof.calc.radio import (
    cost231_floor_loss_db,
    free_space_path_loss_db,
    link_loss_table_db,
)
from pathproof.calc.radio.crossings import crossed_loss_db
from pathproof.job import (
    PANEL_ID,
    Between,
    Construction,
    DetectorPart,
    Device,
    Job,
    PanelPart,
    Profile,
    RepeaterPart,
)
from pathproof.job.geometry import OPENING, SLAB, WALL, Position, SiteGeometry, things

HEIGHT_M = 1.2
"""Height above the floor that maps are made for. [m]"""
_NODES = 65
_Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, eq=False)
class MarginMap:
    """Margins of one storey on a grid."""

    floor: str
    """Id of the storey."""
    origin_m: tuple[float, float]
    """Lower left corner of the grid. [m]"""
    cell_m: float
    """Side of a cell. [m]"""
    values_db: _Array
    """Rows from the smallest y up, columns from the smallest x; NaN outside. [dB]"""
    required_db: float = 0.0
    """Margin at which the requirement is just met. [dB]"""
    label: str
    """What is mapped, and for which device."""


@dataclass(frozen=True, kw_only=True)
class _Allowed:
    """What the way to a receiver may lose, with all build-ups on it known, and without. [dB]"""

    known_db: float
    unknown_db: float
    at_most_db: float
    """Margin of a repeater's own link to the panel; infinite for the panel."""


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
        NaN outside the storey.

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

    return SiteMaps(job, as_of, profile).floor_map(what, floor_id, cell_m)


def margin_map(
    job: Job,
    floor_id: str,
    as_of: datetime,
    *,
    cell_m: float | None = None,
    profile: Profile | None = None,
) -> MarginMap | None:
    """The margin of a usual device of the site, from every cell of a storey.

    Parameters
    ----------
    job : Job
        Site with its plan.
    floor_id : str
        The storey.
    as_of : datetime
        The moment to judge at, as for `assess`; confirmed limits and repeaters' evidence count.
    cell_m : float, optional
        Side of a cell, as for `storey_grid`. [m]
    profile : Profile, optional
        Limits to judge by; the job's own unless given.

    Returns
    -------
    margin_map : MarginMap or None
        Best of panel and repeaters, at `HEIGHT_M` above the floor, over the odds that the profile
        asks for. None where there is nothing to map: no wireless device, no placed panel, no wall
        on the storey, or a figure that the calculation needs is missing.
    """
    part = _usual_part(job)
    if (
        not any(w.floor == floor_id for w in job.site.walls)
        or part is None
        or job.site.panel is None
    ):
        return None
    ctx = Context(job, as_of, profile, leave_out_later=True)
    allowed = {r: a for r in _receivers(job, part) if (a := _allowed(ctx, part, r)) is not None}
    if not allowed:
        return None
    grid = storey_grid(job.site, floor_id, cell_m)
    z = next(f.elevation_m for f in job.site.floors if f.id == floor_id) + HEIGHT_M
    in_plan = grid.centres_m()
    centres = np.column_stack([in_plan, np.full(len(in_plan), z)])
    losses = _Losses(job, ctx.geometry, part)
    margins = [losses.margin_db(centres, ctx, r, a) for r, a in allowed.items()]
    return MarginMap(
        floor=floor_id,
        origin_m=grid.origin_m,
        cell_m=grid.cell_m,
        values_db=grid.filled(np.max(margins, axis=0)),
        label=(
            f"Margin of a {part.name} {HEIGHT_M} m above the floor, to the panel or a repeater, "
            "over the odds that the profile asks for"
        ),
    )


def _usual_part(job: Job) -> DetectorPart | None:
    """The wireless part that the site has most of; the first by id among equals."""
    parts = [job.part(d.part) for d in job.site.devices]
    counts = Counter(p.id for p in parts if isinstance(p, DetectorPart) and p.radio is not None)
    if not counts:
        return None
    part = job.part(min(counts, key=lambda i: (-counts[i], i)))
    return part if isinstance(part, DetectorPart) else None


def _receivers(job: Job, part: DetectorPart) -> Iterator[str]:
    """Placed panel and repeaters that hear the part's family."""
    for thing_id, thing in things(job.site).items():
        its = job.part(thing.part)
        if not isinstance(its, PanelPart | RepeaterPart) or thing.at is None:
            continue
        if part.radio is not None and part.radio.family in {r.family for r in its.radios}:
            yield thing_id


def _allowed(ctx: Context, part: DetectorPart, receiver_id: str) -> _Allowed | None:
    at_most_db = np.inf
    if receiver_id != PANEL_ID:
        onward = radio_link(ctx, WallLosses(), receiver_id, PANEL_ID).link
        if onward.margin is None:
            return None
        at_most_db = onward.margin.value
    known = _probe(ctx, part, receiver_id, on_plan=True)
    unknown = _probe(ctx, part, receiver_id, on_plan=False)
    if known is None or unknown is None:
        return None
    return _Allowed(known_db=known, unknown_db=unknown, at_most_db=at_most_db)


def _probe(ctx: Context, part: DetectorPart, receiver_id: str, *, on_plan: bool) -> float | None:
    """Margin plus loss of a device beside its receiver, with no walls: what the way may lose."""
    receiver = things(ctx.site)[receiver_id]
    beside = Between(distance_m=NEAREST_M)
    probe = Device(
        id="probe",
        name="probe",
        part=part.id,
        floor=receiver.floor if on_plan else None,
        at=receiver.at if on_plan else None,
        height_m=receiver.height_m,
        between=None if on_plan else beside,
        between_repeaters={} if on_plan else {receiver_id: beside},
    )
    bare = ctx.site.model_copy(
        update={
            "walls": [],
            "floors": [f.model_copy(update={"slabs": []}) for f in ctx.site.floors],
            "devices": [probe],
        }
    )
    job = ctx.job.model_copy(
        update={"site": bare, "record": [e for e in ctx.job.record if e.kind == "confirm"]}
    )
    there = Context(job, ctx.as_of, ctx.profile, leave_out_later=True)
    found = radio_link(there, WallLosses(), probe.id, receiver_id)
    if found.link.margin is None or found.way is None:
        return None
    return found.link.margin.value + found.way.loss_db


class _Losses:
    """Losses between many places and one receiver."""

    def __init__(self, job: Job, geometry: SiteGeometry, part: DetectorPart) -> None:
        assert part.radio is not None
        self._frequency_hz = part.radio.frequency_hz
        self._geometry = geometry
        used = dict.fromkeys(
            geometry.construction_of(kind, i)
            for kind, count in self._counts().items()
            for i in range(count)
        )
        self._row = {c: i for i, c in enumerate(used)}
        self._constructions = [None if c is None else job.construction(c) for c in used]

    def margin_db(
        self, places: _Array, ctx: Context, receiver_id: str, allowed: _Allowed
    ) -> _Array:
        end = self._geometry.position(things(ctx.site)[receiver_id])
        assert end is not None  # only placed receivers are asked for
        loss_db = self._free_space_db(places, end) + self._crossed(places, end, self._table_db())
        loss_db += self._unknown_floors_db(places, end)
        unknown = self._crossed(places, end, self._flags(lambda c: not c.known)) > 0
        may_lose_db = np.where(unknown, allowed.unknown_db, allowed.known_db)
        return np.minimum(may_lose_db - loss_db, allowed.at_most_db)

    def _free_space_db(self, places: _Array, end: Position) -> _Array:
        distance_m = np.maximum(np.linalg.norm(places - np.array(end), axis=1), NEAREST_M)
        return np.asarray(free_space_path_loss_db(self._frequency_hz, distance_m))

    def _unknown_floors_db(self, places: _Array, end: Position) -> _Array:
        """Floors known by a fixed loss: several of one kind take less than their sum."""
        total = np.zeros(len(places))
        for construction in self._constructions:
            if construction is not None and _summed_as_floors(construction):
                flags = self._flags(partial(operator.is_, construction))
                counts = np.rint(self._crossed(places, end, flags)).astype(int)
                each_db = construction.fixed_loss_db or 0.0
                by_count = {k: cost231_floor_loss_db(k, each_db) for k in set(counts.tolist())}
                total += np.array([by_count[k] for k in counts.tolist()])
        return total

    def _table_db(self) -> _Array:
        return np.array([self._row_db(c) for c in self._constructions])

    def _row_db(self, construction: Construction | None) -> _Array:
        if construction is None or _summed_as_floors(construction):
            return np.zeros(_NODES)
        if construction.layers:
            return link_loss_table_db(layers_of(construction), self._frequency_hz, _NODES)
        return np.full(_NODES, construction.fixed_loss_db)

    def _flags(self, chosen: Callable[[Construction], bool]) -> _Array:
        """A table that counts the chosen constructions instead of summing decibels."""
        flags = [c is not None and chosen(c) for c in self._constructions]
        return np.repeat(np.array(flags, dtype=np.float64)[:, None], _NODES, axis=1)

    def _crossed(self, places: _Array, end: Position, table: _Array) -> _Array:
        classes = [
            [self._row[self._geometry.construction_of(kind, i)] for i in range(count)]
            for kind, count in self._counts().items()
        ]
        ends = np.broadcast_to(np.array(end), places.shape)
        obstacles = self._geometry.obstacles
        return crossed_loss_db(obstacles, classes[0], classes[1], classes[2], table, places, ends)

    def _counts(self) -> dict[int, int]:
        geometry = self._geometry
        return {
            WALL: len(geometry.walls),
            OPENING: len(geometry.openings),
            SLAB: len(geometry.slabs),
        }


def _summed_as_floors(construction: Construction) -> bool:
    return construction.is_floor and not construction.layers
