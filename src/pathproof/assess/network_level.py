"""Maps of one network's level: what was read at the spots of a storey, and what lies between."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial

import numpy as np
from numpy.typing import NDArray

from pathproof.assess._budgets import confirm_first
from pathproof.assess._grid import storey_grid
from pathproof.assess.context import Context
from pathproof.assess.floor_map import FloorMap, MapKind, MapOf
from pathproof.assess.mobile_expected import not_there_text
from pathproof.assess.mobile_levels import (
    NEEDS,
    allowed_networks,
    half_width_db,
    moments,
    technology_at,
)
from pathproof.assess.mobile_readings import LevelsRead, oldest, step_of
from pathproof.assess.wording import technology_text
from pathproof.calc.mobile import tenth_percentile
from pathproof.calc.radio.interpolation import HOUSE_COVARIANCE, interpolated_levels
from pathproof.job import (
    Communicator,
    CommunicatorPart,
    Job,
    Level,
    Network,
    Profile,
    Site,
    Spot,
    links,
)
from pathproof.job.record import ReadingEntry
from pathproof.terms import AntennaPlace, JobError, LimitName, Quantity, Technology

__all__ = ["network_level_map"]

_LEFT_BLANK = (
    f"Places more than {HOUSE_COVARIANCE.range_m:g} m from every spot that was read are left blank."
)
_UNSEEN = (
    "Also left blank are places whose nearest spot was read as below what the instrument can show, "
    "where that limit is above the requirement: whether it is met there, nobody knows."
)
_TOO_NARROW = (
    "The spread is too narrow: in an office where this was tried, intervals meant to hold 90 % of "
    "the levels held 63 to 74 %."
)
_NO_WALLS = (
    "Between the spots it knows of no walls, windows or masts, and of other storeys nothing; where "
    "it matters, read the level there."
)
_AS_READ = (
    "Levels as the survey instrument's own antenna has them; the gain of a communicator's antenna "
    "and the loss of its feeder come on top."
)
_NOT_THERE = (
    "Left blank, too, are places whose nearest spot had no network at more than a tenth of the "
    "moments, where the requirement would count as met."
)
_ONE_SPOT = (
    "One spot is no map: the level is that of the spot wherever you look. Read more spots of this "
    "storey to see where it is better."
)


@dataclass(frozen=True, kw_only=True)
class _AtSpot:
    """The level that counts for one spot."""

    spot: Spot
    at_m: tuple[float, float]
    level: Level

    @property
    def at_most(self) -> bool:
        """Below what the instrument can show, and nobody knows by how much."""
        return _below_instrument(self.level)

    @property
    def at_least(self) -> bool:
        """Above what the instrument can show."""
        return self.level.high is None and self.level.low is not None


@dataclass(frozen=True, kw_only=True)
class _NotThere:
    """A spot at which the network was lost at more than a tenth of the moments."""

    spot: Spot
    at_m: tuple[float, float]
    technology: Technology
    lost: int
    moments: int

    @property
    def said(self) -> str:
        text = not_there_text(self.technology, self.lost, self.moments)
        return f"At {self.spot.name} ({self.spot.id}): {text}, and so no level."


def network_level_map(
    job: Job,
    floor_id: str,
    network: str,
    as_of: datetime,
    *,
    cell_m: float | None = None,
    profile: Profile | None = None,
) -> FloorMap:
    """The level of one network on a storey, from what was read at its spots.

    Parameters
    ----------
    job : Job
        Site with a plan and spots on it; its record holds the readings.
    floor_id : str
        The storey.
    network : str
        Country and network code, such as 001-01, of a network of the site.
    as_of : datetime
        The moment to judge at; later entries do not count.
    cell_m : float, optional
        Side of a cell, as `storey_grid` takes it. [m]
    profile : Profile, optional
        Limits to judge by; the job's own unless given.

    Returns
    -------
    floor_map : FloorMap
        Level in dBm with its spread, of the technology that most spots of the storey were read
        for, within the covariance's range of a spot; required is its need plus the fade margin.
        Blank, too, where the requirement would count as met and the nearest spot says no more than
        that the level is below what the instrument can show.
        Each spot counts with the level that 9 of 10 of its readings reach, as for the mobile link.

    Raises
    ------
    JobError
        No such network or storey, nothing drawn on it, no level of the network that counts was read
        at a spot inside there, all were below what the instrument can show, or a limit is from
        memory and not confirmed.
    """
    offered = _network(job, network)
    grid = storey_grid(job.site, floor_id, cell_m)
    ctx = Context(job, as_of, profile, leave_out_later=True)
    survey = _Survey(ctx, floor_id, offered)
    technology, seen = survey.most_read()
    gone = survey.not_there(technology)
    required_dbm = _required_dbm(ctx, technology)
    places_m = grid.centres_m()
    found = interpolated_levels(
        [s.at_m for s in seen],
        [s.level.value for s in seen],
        places_m,
        noise_db=[half_width_db(s.level) for s in seen],
        at_most=[s.at_most for s in seen],
    )
    # The requirement would be met by a level that nobody saw.
    open_ended = [s for s in seen if s.at_most and s.level.value >= required_dbm]
    nearest_m = _nearest_m(places_m, [s.at_m for s in seen])
    far = nearest_m > HOUSE_COVARIANCE.range_m
    met = found.level_dbm >= required_dbm
    unseen = met & (_nearest_m(places_m, [s.at_m for s in open_ended]) <= nearest_m)
    lost = met & (_nearest_m(places_m, [s.at_m for s in gone]) <= nearest_m)
    blank = far | unseen | lost
    return FloorMap(
        what=MapOf(kind=MapKind.NETWORK, about=network),
        floor=floor_id,
        origin_m=grid.origin_m,
        cell_m=grid.cell_m,
        values=grid.filled(np.where(blank, np.nan, found.level_dbm)),
        unit="dBm",
        required=required_dbm,
        spread_db=grid.filled(np.where(blank, np.nan, found.spread_db)),
        blank_cells=int(blank.sum()),
        label=_label(offered, technology, seen),
        notes=(
            *([_LEFT_BLANK] if far.any() else []),
            _TOO_NARROW,
            _NO_WALLS,
            _AS_READ,
            *([_ONE_SPOT] if len(seen) == 1 else []),
            *_said_of_modules(ctx, offered, technology),
            *_open_ended(seen),
            *([_UNSEEN] if unseen.any() else []),
            *([_NOT_THERE] if lost.any() else []),
            *(s.said for s in gone),
            *survey.left_out(technology),
        ),
    )


def _said_of_modules(ctx: Context, network: Network, technology: Technology) -> list[str]:
    """Sentences on the site's communicators where none uses what is mapped."""
    found = []
    for communicator in ctx.site.communicators:
        part = ctx.job.part(communicator.part)
        speaks = part.technologies if isinstance(part, CommunicatorPart) else [technology]
        if technology not in speaks:
            spoken = ", ".join(map(technology_text, speaks))
            what = f"uses {spoken} and not {technology_text(technology)}"
        elif not _may_use(ctx.site, communicator, network):
            what = f"has a card that does not use network {network.mcc_mnc}"
        else:
            return []
        found.append(f"Communicator {communicator.id} {what}: this level says little of it.")
    return found


def _may_use(site: Site, communicator: Communicator, network: Network) -> bool:
    """Whether a communicator's card may use a network, as far as anybody said."""
    allowed = allowed_networks(site, communicator)
    return not allowed or network.mcc_mnc in allowed


def _nearest_m(
    places_m: NDArray[np.float64], seen_m: Sequence[tuple[float, float]]
) -> NDArray[np.float64]:
    """From each place to the nearest of some spots; infinite where there is none. [m]"""
    away_m = np.full(len(places_m), np.inf)
    for at_m in seen_m:
        np.minimum(away_m, np.hypot(*(places_m - at_m).T), out=away_m)
    return away_m


def _required_dbm(ctx: Context, technology: Technology) -> float:
    """The need of a technology plus the fade margin."""
    names = (NEEDS[technology][1], LimitName.MOBILE_FADE_MARGIN_DB)
    unconfirmed = [name for name in names if not ctx.limit(name).usable]
    if unconfirmed:
        why = confirm_first(f"from memory and not confirmed: {', '.join(unconfirmed)}")
        raise JobError(f"There is nothing to hold the level against ({why}).")
    return sum(ctx.value(name) for name in names)


class _Survey:
    """What was read of one network at the spots of one storey, by technology and spot."""

    def __init__(self, ctx: Context, floor_id: str, network: Network) -> None:
        self._ctx, self._floor_id, self._network = ctx, floor_id, network
        self._spots = {s.id: s for s in ctx.site.spots if s.floor == floor_id}
        self._levels: dict[Technology, dict[str, list[Level]]] = defaultdict(dict)
        self._lost: dict[Technology, Counter[str]] = defaultdict(Counter)
        self._outdated = self._other_antenna = self._steps = 0
        self._nothing_shown: set[str] = set()
        for entry in ctx.entries:
            if isinstance(entry, ReadingEntry) and self._is_of_network(entry):
                self._take(entry)

    def most_read(self) -> tuple[Technology, list[_AtSpot]]:
        """The technology that most spots were read for, and the level that counts at each."""
        by_technology = {t: self._at_spots(t) for t in self._levels}
        by_technology = {t: seen for t, seen in by_technology.items() if seen}
        if not by_technology:
            raise JobError(self._why_nothing())
        bounds = [s for seen in by_technology.values() for s in seen if s.at_most]
        by_technology = {t: seen for t, seen in by_technology.items() if not _all_below(seen)}
        if not by_technology:
            raise JobError(self._why_only_bounds(bounds))
        listed = self._network.technologies
        most = min(
            by_technology,
            key=lambda t: (
                -len(by_technology[t]),
                listed.index(t) if t in listed else len(listed),
                t,
            ),
        )
        return most, by_technology[most]

    def not_there(self, technology: Technology) -> list[_NotThere]:
        """Spots at which a technology was lost at more than a tenth of the moments, or always."""
        return [
            _NotThere(
                spot=self._spots[i],
                at_m=at,
                technology=technology,
                lost=lost,
                moments=lost + len(self._levels.get(technology, {}).get(i, ())),
            )
            for i, lost in sorted(self._lost[technology].items())
            if (at := self._placed(i)) is not None and self._level_at(technology, i) is None
        ]

    def left_out(self, technology: Technology | None = None) -> list[str]:
        """Sentences on what was read on this storey and does not count in a technology's map."""
        read = {i for t, seen in self._levels.items() if technology in (None, t) for i in seen}
        silent = self._nothing_shown - read
        unplaced = {i for i in read if self._spots[i].at is None}
        outside = {i for i in read - unplaced if self._placed(i) is None}
        others = sorted(t for t in self._levels if technology not in (None, t))
        sentences = {
            f"The instrument showed no level at {self._named(silent)}; the map does not know "
            "whether there is one.": silent,
            f"Not on the plan, and so left out: {self._named(unplaced)}.": unplaced,
            "Outside, where a level says nothing of the rooms, and so left out: "
            f"{self._named(outside)}.": outside,
            "Read as steps of a scale without levels, and so left out: "
            f"{_counted(self._steps)}.": self._steps,
            "Too old or from before its spot was moved, and so left out: "
            f"{_counted(self._outdated)}.": self._outdated,
            "Read with a communicator's antenna, not the survey instrument's, and so left out: "
            f"{_counted(self._other_antenna)}.": self._other_antenna,
            f"Read here too, not mapped: {', '.join(map(technology_text, others))}.": others,
        }
        return [sentence for sentence, holds in sentences.items() if holds]

    def _take(self, entry: ReadingEntry) -> None:
        spots = [i for i in entry.about if i in self._spots]
        if not self._with_survey_antenna(entry):
            self._other_antenna += bool(spots) or self._communicator_is_here(entry)
            return
        for spot in spots:
            name = links.spot(spot)
            moved = name in entry.fits and not self._ctx.fitting([entry], name)
            if moved or entry.at < oldest(self._ctx):
                self._outdated += 1
            elif step_of(entry) is not None:
                self._steps += 1
            else:
                self._count(entry, spot)

    def _count(self, entry: ReadingEntry, spot: str) -> None:
        read = LevelsRead()
        read.add(self._ctx, entry, partial(self._technology, entry))
        for technology, taken in read.taken.items():
            self._levels[technology].setdefault(spot, []).extend(t.level for t in taken)
        for technology, lost in read.lost.items():
            if lost:
                self._lost[technology][spot] += len(lost)
        if entry.values.technology is None and not any(levels for _, levels in moments(entry)):
            self._nothing_shown.add(spot)

    def _is_of_network(self, entry: ReadingEntry) -> bool:
        """Whether it says so, or there is no other network that it could be of."""
        if entry.values.network is None:
            return len(self._ctx.site.networks) == 1
        return entry.values.network == self._network.mcc_mnc

    def _with_survey_antenna(self, entry: ReadingEntry) -> bool:
        own = {c.id for c in self._ctx.site.communicators}
        return entry.conditions.final_antenna is not True and not own & set(entry.about)

    def _communicator_is_here(self, entry: ReadingEntry) -> bool:
        return any(
            c.id in entry.about and c.spot in self._spots for c in self._ctx.site.communicators
        )

    def _technology(self, entry: ReadingEntry, quantity: Quantity) -> Technology | None:
        return entry.values.technology or technology_at(self._network, quantity)

    def _at_spots(self, technology: Technology) -> list[_AtSpot]:
        """The level that counts at each spot of the map."""
        return [
            _AtSpot(spot=self._spots[i], at_m=at, level=level)
            for i in sorted(self._levels[technology])
            if (at := self._placed(i)) is not None
            and (level := self._level_at(technology, i)) is not None
        ]

    def _level_at(self, technology: Technology, spot: str) -> Level | None:
        """What 9 of 10 readings at a spot reach; none where the network was not there for it."""
        levels = self._levels.get(technology, {}).get(spot, [])
        lost: list[Level | None] = [None] * self._lost[technology][spot]
        return tenth_percentile([*lost, *sorted(levels, key=_rank)])

    def _placed(self, spot: str) -> tuple[float, float] | None:
        """Where a spot is on the plan of the rooms; none where it is not, or is outside."""
        found = self._spots[spot]
        return None if found.place is AntennaPlace.OUTSIDE else found.at

    def _why_nothing(self) -> str:
        what = f"No level of network {self._network.mcc_mnc} that counts was read"
        placed = [i for i in self._spots if self._placed(i) is not None]
        if not placed and any(s.at is not None for s in self._spots.values()):
            return (
                f"The spots of storey {self._floor_id!r} are all outside, where a level says "
                "nothing of the rooms; place spots inside and read the level at each."
            )
        gone = [s.said for t in self._lost for s in self.not_there(t)]
        if not placed:
            return (
                f"{what} on storey {self._floor_id!r}, which has no spots on its plan; place some "
                "and read the level at each."
            )
        ask = (
            f"{what} at the spots of storey {self._floor_id!r} ({', '.join(placed)}); read it "
            "there with a survey instrument. RSRP grades LTE, RSSI does not."
        )
        return " ".join([ask, *gone, *self.left_out()])

    def _why_only_bounds(self, bounds: Sequence[_AtSpot]) -> str:
        limits = ", ".join(f"{s.spot.name} {s.level.value:g} dBm or less" for s in bounds)
        return (
            f"At no spot of storey {self._floor_id!r} was a level of network "
            f"{self._network.mcc_mnc} high enough for the instrument to show ({limits}), so nobody "
            "knows how low it is; read it with an instrument that shows lower levels."
        )

    def _named(self, spots: set[str]) -> str:
        return ", ".join(f"{self._spots[i].name} ({i})" for i in sorted(spots))


def _counted(readings: int) -> str:
    return "1 reading" if readings == 1 else f"{readings} readings"


def _rank(level: Level) -> tuple[float, bool]:
    """The lower the level the less; an upper bound before the level itself."""
    return level.value, not _below_instrument(level)


def _below_instrument(level: Level) -> bool:
    """Whether all that is known of it is that it was no more than its upper edge."""
    return level.low is None and level.high is not None


def _all_below(seen: Sequence[_AtSpot]) -> bool:
    return all(s.at_most for s in seen)


def _network(job: Job, network: str) -> Network:
    for one in job.site.networks:
        if one.mcc_mnc == network:
            return one
    known = ", ".join(n.mcc_mnc for n in job.site.networks) or "none"
    raise JobError(f"There is no network {network!r}; this site has: {known}.")


def _label(network: Network, technology: Technology, seen: Sequence[_AtSpot]) -> str:
    quantities = sorted({s.level.quantity.rpartition("_")[0].upper() for s in seen})
    spots = "1 spot" if len(seen) == 1 else f"{len(seen)} spots"
    code = network.mcc_mnc
    name = code if network.label == code else f"{network.label} ({code})"
    return (
        f"Level of network {name}, {technology_text(technology)}, as "
        f"{' and '.join(quantities)}, from what was read at {spots} of this storey"
    )


def _open_ended(seen: Sequence[_AtSpot]) -> list[str]:
    """Sentences on levels outside what the instrument can show."""
    found = []
    low = [s.spot.name for s in seen if s.at_most]
    high = [s.spot.name for s in seen if s.at_least]
    if low:
        found.append(
            f"Below what the instrument can show: {', '.join(low)}. Its limit counts there where "
            "the other spots would say more, and nothing where they would say less."
        )
    if high:
        found.append(
            f"Above what the instrument can show: {', '.join(high)}. Its limit counts there."
        )
    return found
