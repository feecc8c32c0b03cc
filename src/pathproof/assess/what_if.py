"""Maps of a site that follow its edits: what a change would do to the building, while it is made.

A map shows what `assess` predicts, without evidence on record, with the panel at each place of a
storey in turn. What is kept are the losses from each device and repeater to each place; a wall that
is moved takes its shadows along, a device that is moved is done anew, and moving the panel in plan
changes nothing that is kept.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import reduce
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pathproof.assess._budgets import Budgets, PairBudget
from pathproof.assess._changes import changes
from pathproof.assess._coverage import HEIGHT_M, hearing
from pathproof.assess._grid import StoreyGrid, storey_grid
from pathproof.assess._heard import Reach, Way, best_somewhere, deciding, heard_db, heard_odds
from pathproof.assess._links import Links, Sent, links_of, said_of_repeaters
from pathproof.assess._loss_field import Block, Levels, Loss, LossField, Surroundings
from pathproof.assess._point_losses import PointLosses
from pathproof.assess._standing import Constructions, Standing
from pathproof.assess._storey_area import storey
from pathproof.assess._tally import Tally
from pathproof.assess.drawn import said_of_bare, storeys_without_walls
from pathproof.assess.floor_map import FloorMap, MapKind, MapOf
from pathproof.job import PANEL_ID, Job, Panel, Profile, Site, Wall
from pathproof.job.geometry import Position, SiteGeometry, things
from pathproof.terms import JobError

__all__ = ["DeviceThere", "PanelThere", "SiteMaps"]

MOST_BYTES = 2**30
"""Of memory for the losses of one site. [byte]"""
_ECHOED = 60
"""Characters of what was given, at most, in a message."""
_IDS_SHOWN = 12
_NO_EVIDENCE = (
    "Shown is what the calculation predicts: evidence on record says nothing of another place."
)
_REPEATERS_EVIDENCE = (
    "Shown is what the calculation predicts; evidence on record counts for repeaters alone."
)
_OVER = "over the odds that the profile asks for"
_HEARD_WORST = f"Margin of the device that is heard worst, with the panel there, {_OVER}"
_DEVICE_HEARD = f"Margin of {{}}, with the panel there, {_OVER}"
_ALL_HEARD = "Odds that all devices are heard, with the panel there"
_COVERED = f"Margin of a {{}} {{}} m above the floor, to the panel or a repeater, {_OVER}"


@dataclass(frozen=True, kw_only=True)
class DeviceThere:
    """How a device would be heard with the panel at some place."""

    device: str
    """Id of the device."""
    margin_db: float
    """Over the odds that the profile asks for. [dB]"""
    odds_ratio: float
    """That it is heard. [ratio]"""
    via: str | None
    """The repeater of the way that decides, the best or, where all are needed, the weakest; none
    where that is the direct one."""


@dataclass(frozen=True, kw_only=True)
class PanelThere:
    """How all devices would be heard with the panel at some place."""

    at_m: Position
    """Place, on the scale of the site. [m]"""
    devices: tuple[DeviceThere, ...]
    """Those that can be worked out."""
    notes: tuple[str, ...]
    """Sentences to read with it: what it leaves out."""

    @property
    def worst(self) -> DeviceThere:
        """The device that is heard worst."""
        return min(self.devices, key=lambda d: d.margin_db)

    @property
    def odds_all_ratio(self) -> float:
        """That all devices are heard. [ratio]"""
        return float(np.prod([d.odds_ratio for d in self.devices]))


class SiteMaps:
    """The maps of one site, brought up to date edit by edit.

    Not for two threads at once; see `KeptMaps`.

    Parameters
    ----------
    job : Job
        Site with its plan, catalogue entries, constructions and profile embedded.
    as_of : datetime
        The moment to judge at, as for `assess`; confirmed limits count.
    profile : Profile, optional
        Limits to judge by; the job's own unless given.
    most_bytes : int
        Of memory for losses; of several maps, those not asked for longest are dropped. [byte]

    Raises
    ------
    JobError
        `as_of` has no offset, or the profile lacks a limit that is needed.
    """

    def __init__(
        self,
        job: Job,
        as_of: datetime,
        profile: Profile | None = None,
        *,
        most_bytes: int = MOST_BYTES,
    ) -> None:
        self._job, self._as_of, self._profile = job, as_of, profile
        self._most_bytes = most_bytes
        self._budgets = Budgets(job, as_of, profile)
        self._bare = storeys_without_walls(job.site)
        self._cells_m: dict[str, float] = {}
        self._grids: dict[str, StoreyGrid] = {}
        self._changed: dict[str, list[Wall]] = {}  # since the raster of their storey was asked for
        self._start()

    def _start(self) -> None:
        """Keep nothing but the rasters."""
        site = self._job.site
        self._constructions = Constructions(self._job)
        self._plan = SiteGeometry(site.model_copy(update={"walls": []}))
        self._standing: Standing | None = None
        self._fields: dict[tuple[str, MapKind], LossField] = {}
        """By storey, and `COVERAGE` or `WORST`, which stands for all with the panel there."""
        self._points: dict[str, PointLosses] = {}
        self._links: Links | None = None
        self._onward: Mapping[str, Mapping[str, Reach]] | None = None

    # -- edits -------------------------------------------------------------------------------------

    def update(self, job: Job) -> None:
        """Take in an edited job; only the share of what changed is done anew.

        Raises
        ------
        JobError, InvalidInputError, OutOfRangeError
            The edited job cannot be used; the maps stay as they were.
        """
        before, site = self._job, job.site
        if job is before:
            return
        gone, come = changes(before.site.walls, site.walls)
        budgets = self._budgets
        if _budgets_differ(before, job):
            budgets = Budgets(job, self._as_of, self._profile)
        redo = (
            _storeys(before.site) != _storeys(site)
            or self._constructions.differ_in(job)
            or len(gone) + len(come) > len(site.walls)
        )
        standing = Standing.of(SiteGeometry(site)) if redo else None
        if not redo:
            self._constructions.learn(job)
            self._change_walls(gone, site, come)
        if _panel_height_m(before.site) != _panel_height_m(site):
            self._drop(lambda _, kind: kind is MapKind.WORST)
        if budgets is not self._budgets or _heard_things(before.site) != _heard_things(site):
            self._links = None
        self._job, self._budgets, self._onward = job, budgets, None
        if redo:
            self._start()
            self._standing = standing
        if _storeys(before.site) != _storeys(site):
            self._grids.clear()
            self._changed.clear()
        for wall in (*gone, *come):
            if wall.floor in self._grids:
                self._changed.setdefault(wall.floor, []).append(wall)
        self._leave_rasters(come)
        if (bare := storeys_without_walls(site)) != self._bare:
            self._bare, self._links = bare, None

    def judge_by(self, as_of: datetime, profile: Profile | None = None) -> None:
        """Judge as of another moment, or by another profile, from now on.

        Raises
        ------
        JobError
            As for the class.
        """
        if self._as_of == as_of and self._profile is profile:
            return
        budgets = Budgets(self._job, as_of, profile)
        self._as_of, self._profile = as_of, profile
        if not budgets.judge_like(self._budgets):
            self._budgets, self._links, self._onward = budgets, None, None

    def redo(self) -> None:
        """Do all anew, on the rasters that are kept."""
        self._start()

    def new_raster(self, floor_id: str) -> None:
        """Lay a new raster over a storey, for instance once its outer walls have moved."""
        for kept in (self._grids, self._changed):
            kept.pop(floor_id, None)
        self._drop(lambda floor, _: floor == floor_id)

    @property
    def kept_bytes(self) -> int:
        """Memory that losses take. [byte]"""
        return sum(field.kept_bytes for field in self._fields.values())

    def _drop(self, which: Callable[[str, MapKind], bool]) -> None:
        """Keep no losses for some maps."""
        self._fields = {key: f for key, f in self._fields.items() if not which(*key)}

    def _make_room(self) -> None:
        """Drop losses of the maps not asked for longest, until the others fit."""
        while self.kept_bytes > self._most_bytes:
            del self._fields[next(iter(self._fields))]

    def _change_walls(self, gone: list[Wall], site: Site, come: list[Wall]) -> None:
        if not gone and not come:
            return
        edit = Standing.of_edit(site, gone, come)
        self._standing, done = None, False
        try:
            kept: list[LossField | PointLosses] = [*self._fields.values(), *self._points.values()]
            for losses in kept:
                losses.change(edit)
            done = True
        finally:
            if not done:  # half of the shadows moved
                self._start()
        self._make_room()  # an unknown build-up takes more of it

    def _leave_rasters(self, come: Iterable[Wall]) -> None:
        """New rasters for storeys that a wall left."""
        for wall in come:
            grid = self._grids.get(wall.floor)
            if grid is not None and not grid.covers((wall.start, wall.end)):
                self.new_raster(wall.floor)

    # -- answers -----------------------------------------------------------------------------------

    def floor_map(self, what: MapOf, floor_id: str, cell_m: float | None = None) -> FloorMap:
        """A map of a storey.

        Parameters
        ----------
        what : MapOf
            Any kind but levels of a network.
        floor_id : str
            The storey.
        cell_m : float, optional
            Side of a cell; unless given, as asked for last, or as for `storey_grid`. [m]

        Returns
        -------
        floor_map : FloorMap
            NaN outside the storey.

        Raises
        ------
        JobError
            No such storey or device, nothing to map, or too many cells.
        """
        grid = self._grid(floor_id, cell_m)
        match what.kind:
            case MapKind.WORST | MapKind.ODDS:
                return self._map_of_all(what, floor_id, grid)
            case MapKind.DEVICE:
                return self._device_map(what, floor_id, grid)
            case MapKind.COVERAGE:
                return self._coverage_map(what, floor_id, grid)
            case MapKind.NETWORK:
                raise JobError(
                    f"Given {what}; here allowed: worst, odds, coverage or device:ID. No wall or "
                    "device of the site moves the level of a network."
                )

    def panel_at(
        self, floor_id: str, at: tuple[float, float], height_m: float | None = None
    ) -> PanelThere:
        """How each device would be heard with the panel at some place.

        Parameters
        ----------
        floor_id : str
            Storey.
        at : (float, float)
            Where on the plan. [m]
        height_m : float, optional
            Above the storey's floor; the panel's own unless given. [m]

        Raises
        ------
        JobError
            No such storey, no panel, or no device that can be worked out.
        """
        height_m = self._panel().height_m if height_m is None else height_m
        at_m = (*at, self._elevation_m(floor_id) + height_m)
        links, onward = self._mapped()
        point = self._point(PANEL_ID, at_m)
        point.hold({i: sent.source for i, sent in links.to_panel.items()})
        reaches = self._reaches(links, floor_id, point.read())
        return PanelThere(
            at_m=at_m,
            devices=tuple(self._there(i, reaches, onward.get(i, {})) for i in links.mapped),
            notes=(*links.notes(), *self._said_of_bare(floor_id, {*links.mapped, *links.to_panel})),
        )

    def _there(
        self, device_id: str, reaches: Mapping[str, Reach], onward: Mapping[str, Reach]
    ) -> DeviceThere:
        ways = _ways(reaches.get(device_id), reaches, onward)
        all_needed = self._budgets.all_ways_needed
        via = list(ways)[deciding(list(ways.values()), all_needed=all_needed)]
        return DeviceThere(
            device=device_id,
            margin_db=self._over(ways, odds=False).item(),
            odds_ratio=self._over(ways, odds=True).item(),
            via=via,
        )

    def _map_of_all(self, what: MapOf, floor_id: str, grid: StoreyGrid) -> FloorMap:
        """The device that is heard worst, or the odds that all are heard."""
        links, _ = self._mapped()
        odds = what.kind is MapKind.ODDS
        total = self._all_together(floor_id, grid, odds=odds)
        label = _ALL_HEARD if odds else _HEARD_WORST
        notes = (
            _NO_EVIDENCE,
            *links.notes(),
            *self._said_of_bare(floor_id, {*links.mapped, *links.to_panel}),
            *said_of_repeaters(self._job.site, floor_id, total.repeaters),
        )
        found = _as_map(what, floor_id, grid, total.values, label, notes)
        if total.worst is None or found.best is None:
            return found
        return replace(
            found,
            held_down_by=total.held_down_by(links.mapped, grid.inside),
            best_held_down_by=links.mapped[total.worst.flat[found.best]],
        )

    def _all_together(self, floor_id: str, grid: StoreyGrid, *, odds: bool) -> Tally:
        """All devices, with the panel at each place of a storey."""
        links, onward = self._mapped()
        field = self._panel_field(floor_id, grid, links, links.to_panel)
        repeaters = self._reaches(links, floor_id, field.read(links.to_repeaters))
        numbers = {device: number for number, device in enumerate(links.mapped)}

        def take(tally: Tally, device: str, direct: Reach | None) -> None:
            ways = _ways(direct, repeaters, onward.get(device, {}))
            used = self._repeaters_used(ways, grid)
            tally.take(numbers[device], self._over(ways, odds=odds), used)

        def work(block: Block) -> Tally:
            """Of the devices of one block."""
            some = Tally(grid.inside.shape, odds=odds)
            slots = {i: slot for slot, i in enumerate(block.ids) if i in numbers}
            for device in sorted(slots, key=numbers.__getitem__):
                losses = {device: block.read(slots[device])}
                take(some, device, self._reaches(links, floor_id, losses)[device])
            return some

        total = Tally(grid.inside.shape, odds=odds)
        for device in links.mapped:
            if device not in links.to_panel:
                take(total, device, None)
        for some in field.each_block(work):
            total.add(some)
        return total

    def _repeaters_used(self, ways: Mapping[str | None, Way], grid: StoreyGrid) -> Iterator[str]:
        """Repeaters that a device's best way goes by, in places; none where all ways are needed."""
        if self._budgets.all_ways_needed or ways.keys() == {None}:
            return iter(())
        by = list(ways)
        best = best_somewhere(list(ways.values()), grid.inside)
        return (name for name in map(by.__getitem__, best) if name is not None)

    def _device_map(self, what: MapOf, floor_id: str, grid: StoreyGrid) -> FloorMap:
        device = next((d for d in self._job.site.devices if d.id == what.about), None)
        if device is None:
            raise JobError(_no_such_device(what.about or "", self._job.site))
        links = self._links_now()
        if device.id in links.left_out:
            _, reason = links.left_out[device.id]
            raise JobError(f"Device {device.id!r} cannot be mapped ({reason}).")
        onward = self._onward_now(links).get(device.id, {})
        wanted = {device.id, *onward}
        field = self._panel_field(floor_id, grid, links, wanted)
        reaches = self._reaches(links, floor_id, field.read(wanted))
        ways = _ways(reaches.get(device.id), reaches, onward)
        values = self._over(ways, odds=False)
        label = _DEVICE_HEARD.format(device.name)
        notes = (
            _NO_EVIDENCE,
            *links.notes_on_repeaters(),
            *self._said_of_bare(floor_id, wanted),
            *said_of_repeaters(self._job.site, floor_id, set(self._repeaters_used(ways, grid))),
        )
        return _as_map(what, floor_id, grid, values, label, notes)

    def _coverage_map(self, what: MapOf, floor_id: str, grid: StoreyGrid) -> FloorMap:
        hears = hearing(self._job, self._as_of, self._profile, self._budgets, self._plan)
        field = self._field(floor_id, MapKind.COVERAGE, grid, HEIGHT_M)
        field.hold({i: sent.source for i, sent in hears.sent.items()})
        self._make_room()
        margins = [
            np.minimum(
                Reach(loss=loss, budget=self._budget_on(floor_id, hears.sent[i])).margin_db,
                np.float32(hears.onward_db[i]),
            )
            for i, loss in field.read(hears.sent).items()
        ]
        values = reduce(np.minimum if self._budgets.all_ways_needed else np.maximum, margins)
        label = _COVERED.format(hears.part.name, HEIGHT_M)
        notes = (*hears.notes(), *self._said_of_bare(floor_id, hears.sent))
        return _as_map(what, floor_id, grid, values, label, (_REPEATERS_EVIDENCE, *notes))

    def _reaches(self, links: Links, floor_id: str, losses: Mapping[str, Loss]) -> dict[str, Reach]:
        """The links of some things to the panel on some storey."""
        return {
            i: Reach(loss=loss, budget=self._budget_on(floor_id, links.to_panel[i]))
            for i, loss in losses.items()
        }

    def _budget_on(self, floor_id: str, sent: Sent) -> PairBudget:
        """The budget of what is sent to or from a storey."""
        return sent.budget.on_bare_storey() if floor_id in self._bare else sent.budget

    def _said_of_bare(self, floor_id: str, thing_ids: Iterable[str]) -> tuple[str, ...]:
        """A sentence on storeys without walls: the one mapped, and those of some things."""
        if not self._bare:
            return ()
        there = things(self._job.site)
        return said_of_bare(self._job.site, {floor_id, *(there[i].floor for i in thing_ids)})

    def _over(self, ways: Mapping[str | None, Way], *, odds: bool) -> Levels:
        """Margin or odds of a device over its ways."""
        parts, all_needed = list(ways.values()), self._budgets.all_ways_needed
        if odds:
            return heard_odds(parts, self._budgets.kept_back_ratio, all_needed=all_needed)
        return heard_db(parts, all_needed=all_needed)

    # -- what the answers rest on ------------------------------------------------------------------

    def _mapped(self) -> tuple[Links, Mapping[str, Mapping[str, Reach]]]:
        """The links of a site that has devices to map, and those to repeaters."""
        links = self._links_now()
        if not links.mapped:
            why = " ".join(links.notes()) or "The site has no devices."
            raise JobError(
                f"There is nothing to map. {why} Place a wireless device on the plan that the "
                "panel hears, and give its part's figures."
            )
        return links, self._onward_now(links)

    def _links_now(self) -> Links:
        if self._links is None:
            self._links = links_of(self._job, self._budgets, self._panel(), self._plan)
        return self._links

    def _onward_now(self, links: Links) -> Mapping[str, Mapping[str, Reach]]:
        """Links from devices to repeaters, by device."""
        if self._onward is None:
            found: dict[str, dict[str, Reach]] = {}
            for repeater, to in links.to_repeaters.items():
                point = self._point(repeater, to.at_m)
                point.hold({i: sent.source for i, sent in to.senders.items()})
                for device, loss in point.read().items():
                    reach = Reach(loss=loss, budget=to.senders[device].budget)
                    found.setdefault(device, {})[repeater] = reach
            for name in self._points.keys() - links.to_repeaters.keys() - {PANEL_ID}:
                del self._points[name]
            self._onward = found
        return self._onward

    def _panel(self) -> Panel:
        if self._job.site.panel is None:
            raise JobError("The site has no panel; give it one, with its part and height.")
        return self._job.site.panel

    def _elevation_m(self, floor_id: str) -> float:
        return storey(self._job.site, floor_id).elevation_m

    def _grid(self, floor_id: str, cell_m: float | None) -> StoreyGrid:
        grid, asked_m = self._grids.get(floor_id), self._cells_m.get(floor_id)
        if grid is not None and cell_m in (None, asked_m, grid.cell_m):
            changed = self._changed.get(floor_id)
            if changed is None:
                return grid
            if (followed := grid.after(self._job.site, floor_id, changed)) is not None:
                self._grids[floor_id] = followed
                del self._changed[floor_id]
                return followed
        grid = storey_grid(self._job.site, floor_id, asked_m if cell_m is None else cell_m)
        self.new_raster(floor_id)
        self._grids[floor_id] = grid
        if cell_m is not None:
            self._cells_m[floor_id] = cell_m
        return grid

    def _panel_field(
        self, floor_id: str, grid: StoreyGrid, links: Links, wanted: Collection[str]
    ) -> LossField:
        """Losses to a storey from the things wanted, and from those held already."""
        field = self._field(floor_id, MapKind.WORST, grid, self._panel().height_m)
        sources = {i: sent.source for i, sent in links.to_panel.items()}
        field.hold({i: s for i, s in sources.items() if i in wanted or i in field.held})
        self._make_room()
        return field

    def _field(self, floor_id: str, kind: MapKind, grid: StoreyGrid, height_m: float) -> LossField:
        """The losses kept for a map, or the place for them."""
        field = self._fields.pop((floor_id, kind), None)
        if field is None:
            field = self._new_field(floor_id, grid, height_m)
        self._fields[floor_id, kind] = field  # used last, so at the end
        return field

    def _new_field(self, floor_id: str, grid: StoreyGrid, height_m: float) -> LossField:
        rows, columns = grid.inside.shape
        around = Surroundings(
            origin_m=grid.origin_m,
            cell_m=grid.cell_m,
            shape=(rows, columns),
            z_m=self._elevation_m(floor_id) + height_m,
            constructions=self._constructions,
            floors_everywhere=tuple(s for s in self._plan.slabs if s.outline is None),
        )
        return LossField(around, self._all_standing, self._most_bytes)

    def _point(self, name: str, at_m: Position) -> PointLosses:
        """Losses to one place, kept until another place is asked for by that name."""
        if name not in self._points or self._points[name].at_m != at_m:
            self._points[name] = PointLosses(at_m, self._constructions, self._all_standing)
        return self._points[name]

    def _all_standing(self) -> Standing:
        if self._standing is None:
            self._standing = Standing.of(SiteGeometry(self._job.site))
        return self._standing


def _ways(
    direct: Reach | None, repeaters: Mapping[str, Reach], onward: Mapping[str, Reach]
) -> dict[str | None, Way]:
    """A device's ways by the repeater they take; none for the direct one, which comes first."""
    ways: dict[str | None, Way] = {} if direct is None else {None: Way(links=[direct])}
    for repeater, first in onward.items():
        ways[repeater] = Way(links=[first, repeaters[repeater]])
    return ways


def _no_such_device(wanted: str, site: Site) -> str:
    given = wanted if len(wanted) <= _ECHOED else f"{wanted[:_ECHOED]}..."
    ids = [d.id for d in site.devices]
    more = f" and {len(ids) - _IDS_SHOWN} more" if len(ids) > _IDS_SHOWN else ""
    known = ", ".join(ids[:_IDS_SHOWN]) or "none"
    return f"There is no device {given!r}; this site has: {known}{more}."


def _as_map(
    what: MapOf,
    floor_id: str,
    grid: StoreyGrid,
    values: NDArray[Any],
    label: str,
    notes: tuple[str, ...],
) -> FloorMap:
    odds = what.kind is MapKind.ODDS
    return FloorMap(
        what=what,
        floor=floor_id,
        origin_m=grid.origin_m,
        cell_m=grid.cell_m,
        values=np.where(grid.inside, values, np.nan),
        unit="ratio" if odds else "dB",
        required=None if odds else 0.0,
        label=label,
        notes=notes,
    )


def _storeys(site: Site) -> list[tuple[object, ...]]:
    return [(f.id, f.elevation_m, f.height_m, f.slabs) for f in site.floors]


def _panel_height_m(site: Site) -> float | None:
    return None if site.panel is None else site.panel.height_m


def _heard_things(site: Site) -> tuple[object, ...]:
    """All that links rest on beside budgets; where the panel hangs is not of it."""
    panel = site.panel
    kind = None if panel is None else (panel.part, panel.mounting, panel.near_electronics)
    return site.devices, site.repeaters, kind


def _budgets_differ(before: Job, after: Job) -> bool:
    if before.embedded is not after.embedded and (
        before.embedded.catalogue != after.embedded.catalogue
        or before.embedded.profile != after.embedded.profile
    ):
        return True
    return before.record is not after.record and _confirmed(before) != _confirmed(after)


def _confirmed(job: Job) -> list[object]:
    return [e for e in job.record if e.kind == "confirm"]
