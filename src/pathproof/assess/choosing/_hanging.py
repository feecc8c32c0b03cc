"""The rule ANTENNA: which antenna a part can have at which spot, and over how much cable."""

import math
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from pathproof.assess.choice import BUILT_IN, Antenna, Rule
from pathproof.assess.choosing._offers import Considered
from pathproof.assess.choosing._said import Names, Said, Weight, listed
from pathproof.job import AntennaPart, CommunicatorPart, FeederPart, Job, Spot
from pathproof.terms import AntennaPlace, JobError

AT_PANEL_M: Final = 2.0
"""Spots so near count as the panel's own place, where nothing else is said. House value. [m]"""
SLACK_M: Final = 1.0
"""Added to a cable's length along walls. House value. [m]"""

_WHERE: Final = {
    AntennaPlace.IN_PANEL: "in the panel",
    AntennaPlace.ON_WALL: "on the wall",
    AntennaPlace.ABOVE_CEILING: "above the ceiling",
    AntennaPlace.OUTSIDE: "outside",
}


@dataclass(frozen=True)
class Hanging:
    """An antenna at a spot."""

    spot: str
    antenna: Antenna

    @property
    def simplicity(self) -> tuple[bool, float, str, str, str]:
        """Sorts simple ones first: own antenna, then the shorter cable."""
        a = self.antenna
        return (a.antenna is not None, a.cable_m, a.antenna or "", a.feeder or "", self.spot)


@dataclass(frozen=True)
class _Place:
    spot: str
    at_panel: bool | None
    """Whether it is the panel's own place; none where that is not said."""
    cable_m: float | None
    kinds: frozenset[AntennaPlace]
    """What kind of place it is, or may be."""

    @property
    def outside(self) -> bool:
        return AntennaPlace.OUTSIDE in self.kinds


class Hangings:
    """Spots and antennas that come into question.

    Raises
    ------
    JobError
        A spot or antenna is asked for that the job does not have.
    """

    def __init__(
        self,
        job: Job,
        considered: Considered,
        names: Names,
        spots: Collection[str] | None,
        antennas: Collection[str] | None,
    ) -> None:
        _refuse_unknown("spot", spots, [s.id for s in job.site.spots], "the spots of the site")
        known = [BUILT_IN, *(a.id for a in considered.antennas)]
        _refuse_unknown("antenna", antennas, known, "the antennas that are considered")
        self._job, self._names = job, names
        self._places = [self._place(s) for s in job.site.spots if spots is None or s.id in spots]
        self._own = antennas is None or BUILT_IN in antennas
        self._antennas = [a for a in considered.antennas if antennas is None or a.id in antennas]
        self._feeders = considered.feeders
        self._found: dict[bool, tuple[list[Hanging], list[Said]]] = {}

    def of(self, part: CommunicatorPart) -> tuple[list[Hanging], list[Said]]:
        """What a part can have, and what the rule says where that is nothing."""
        socket = part.antenna_socket
        if socket not in self._found:
            self._found[socket] = self._all(socket)
        return self._found[socket]

    def allows(self, spot: str, antenna: str | None) -> bool:
        """Whether a spot and an antenna are among those asked for."""
        known: set[str | None] = {None} if self._own else set()
        known |= {a.id for a in self._antennas}
        return antenna in known and any(p.spot == spot for p in self._places)

    @property
    def spots(self) -> list[str]:
        """Spots that come into question, those that need no cable first."""
        return [p.spot for p in sorted(self._places, key=lambda p: not p.at_panel)]

    def parts(self, antenna: Antenna) -> tuple[AntennaPart | None, FeederPart | None]:
        """The catalogue entries of what hangs there."""
        hung = None if antenna.antenna is None else self._job.part(antenna.antenna)
        feeder = None if antenna.feeder is None else self._job.part(antenna.feeder)
        return (
            hung if isinstance(hung, AntennaPart) else None,
            feeder if isinstance(feeder, FeederPart) else None,
        )

    def _all(self, socket: bool) -> tuple[list[Hanging], list[Said]]:
        found = [h for place in self._places for h in self._at(place, socket)]
        return found, [] if found else self._why_none(socket)

    def _at(self, place: _Place, socket: bool) -> list[Hanging]:
        outer = self._antennas_for(place) if socket else []
        if place.at_panel:
            own = [Antenna()] if self._own else []
            hung = [*own, *(Antenna(antenna=a.id) for a in outer)]
        elif place.at_panel is None or place.cable_m is None:
            hung = []
        else:
            hung = [
                Antenna(antenna=a.id, feeder=f.id, cable_m=place.cable_m)
                for a in outer
                for f in self._feeders
            ]
        return [Hanging(place.spot, h) for h in hung]

    def _antennas_for(self, place: _Place) -> list[AntennaPart]:
        return [
            a
            for a in self._antennas
            if (a.outdoor or not place.outside)
            and (not a.places or not place.kinds.isdisjoint(a.places))
        ]

    def _why_none(self, socket: bool) -> list[Said]:
        """One reason for the offer: it can be told only if it can at every spot."""
        if not self._places:
            text, need = "no spot is given for the antenna", "add a spot, and read there"
            return [Said(Rule.ANTENNA, Weight.UNDECIDED, text, need)]
        by_reason: dict[tuple[Weight, str, str], list[str]] = defaultdict(list)
        for place in self._places:
            by_reason[self._why_not(place, socket)].append(place.spot)
        undecided = any(weight is Weight.UNDECIDED for weight, _, _ in by_reason)
        text = "; ".join(
            f"{listed([self._names.spot(s) for s in spots])}: {text}"
            for (_, text, _), spots in by_reason.items()
        )
        needs = dict.fromkeys(need for _, _, need in by_reason)
        weight = Weight.UNDECIDED if undecided else Weight.FAILS
        return [Said(Rule.ANTENNA, weight, text, ", or ".join(needs))]

    def _why_not(self, place: _Place, socket: bool) -> tuple[Weight, str, str]:
        elsewhere = place.at_panel is False
        if place.at_panel is None:
            return (
                Weight.UNDECIDED,
                "neither its place nor its cable_m is said",
                "say the spot's place, or its cable_m (0 in the panel)",
            )
        if not socket and elsewhere:
            text = "not at the panel, and the part has no socket for another antenna"
            return Weight.FAILS, text, "a spot in the panel, or a part with an antenna socket"
        if elsewhere and place.cable_m is None:
            return Weight.UNDECIDED, "its cable_m is not said", "say the spot's cable_m"
        if not socket:
            text = "the part takes no antenna but its own, which is left out"
            return Weight.FAILS, text, "its own antenna among those asked for"
        if not self._antennas_for(place):
            where = " or ".join(_WHERE[kind] for kind in AntennaPlace if kind in place.kinds)
            kind = f"an antenna made to hang {where}"
            text = f"{kind} is needed, and none is considered"
            return Weight.FAILS, text, f"{kind} among what is considered"
        return Weight.FAILS, "no cable is considered", "a feeder among what is considered"

    def _place(self, spot: Spot) -> _Place:
        by_plan_m = self._off_panel_m(spot)
        at_panel: bool | None
        if spot.place is AntennaPlace.IN_PANEL or spot.cable_m == 0:
            at_panel = True
        elif spot.place is not None or spot.cable_m is not None:
            at_panel = False
        else:
            at_panel = None if by_plan_m is None else self._beside_panel(spot)
        return _Place(
            spot=spot.id,
            at_panel=at_panel,
            cable_m=by_plan_m if spot.cable_m is None else spot.cable_m,
            kinds=_kinds(spot, at_panel),
        )

    def _beside_panel(self, spot: Spot) -> bool:
        panel = self._job.site.panel
        return (
            panel is not None
            and panel.at is not None
            and spot.at is not None
            and panel.floor == spot.floor
            and math.dist(panel.at, spot.at) <= AT_PANEL_M
        )

    def _off_panel_m(self, spot: Spot) -> float | None:
        """Cable along walls: across, along and up, to the ceiling where it hangs above it. [m]"""
        panel = self._job.site.panel
        if panel is None or panel.at is None or spot.at is None:
            return None
        floors = {f.id: f for f in self._job.site.floors}
        storey = floors[spot.floor or ""]
        above = spot.place is AntennaPlace.ABOVE_CEILING
        to_m = storey.elevation_m + (storey.height_m if above else 0.0)
        up_m = abs(floors[panel.floor or ""].elevation_m - to_m)
        across_m = abs(panel.at[0] - spot.at[0]) + abs(panel.at[1] - spot.at[1])
        return across_m + up_m + SLACK_M


def _kinds(spot: Spot, at_panel: bool | None) -> frozenset[AntennaPlace]:
    if spot.place is not None:
        return frozenset([spot.place])
    if at_panel:
        return frozenset([AntennaPlace.IN_PANEL])
    return frozenset([AntennaPlace.ON_WALL, AntennaPlace.ABOVE_CEILING])


def _refuse_unknown(
    what: str, asked: Collection[str] | None, known: Sequence[str], where: str
) -> None:
    unknown = [x for x in asked or () if x not in known]
    if unknown:
        allowed = listed(list(known)) or "none is given yet"
        raise JobError(f"There is no {what} {unknown[0]!r}; {where}: {allowed}.")
