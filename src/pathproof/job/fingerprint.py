"""Fingerprints of the parts of a site that a piece of evidence speaks for.

Evidence is valid while the fingerprint of its link or signal is what it was. Moving a device
changes the fingerprints of its own links and signals and no other. Names, prices and catalogue
figures are not part of a fingerprint: evidence was measured, so it outlives them.

What each fingerprint covers
    radio      both ends (part, place, mounting) and what the straight path crosses, where
    mobile     module, card, antenna, how it hangs, feeder and spot of the communicator; the panel's
               place if it has no spot
    reporting  module, account, centre and how the path is watched
    supply     supply, cables and what takes current: panel, wired devices, modules, and what else a
               cable leads to
    standby    supply, battery with its date and the same
    spot       place of the spot
    signal     zone, event code and partition, the parts at both ends, and the fingerprints of its
               radio, mobile and reporting links; supply and standby have evidence of their own

Record entries keep fingerprints for years: what goes into them and how it is written may not change
within a format version. Fields at their default are left out, so that a field that is added later
changes none.
"""

import hashlib
import json
import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import cached_property
from itertools import chain, combinations
from typing import Any, Final, TypeVar

from pathproof.job import links
from pathproof.job._model import PANEL_ID, Model
from pathproof.job.catalogue import DetectorPart
from pathproof.job.file import Job
from pathproof.job.geometry import SiteGeometry, things
from pathproof.job.site import Between, Communicator, Device, Panel, Repeater
from pathproof.terms import JobError, SignalKind

_MM: Final = 3
"""Lengths count to the millimetre."""
_CELL_M: Final = 0.01
_CELL_BORDER_M: Final = 0.001372
"""Where on the way something stands counts to the centimetre. That place is worked out, so its last
digits waver; the borders between cells lie where no plan in millimetres or inches puts anything."""
_MOST_REPEATERS: Final = 4
"""With more of them, an added one voids the signals of its family: too many sets to try."""

_OF_SUPPLY: Final = {"part", "kind"}
_OF_MODULE: Final = {
    "part",
    "sim",
    "imei",
    "antenna",
    "feeder",
    "antenna_crossed",
    "antenna_near_metal",
}

T = TypeVar("T")


class Fingerprints:
    """Fingerprints of one job; each is worked out once."""

    def __init__(self, job: Job, geometry: SiteGeometry | None = None) -> None:
        self._job = job
        self._geometry = geometry or SiteGeometry(job.site)
        self._things = things(job.site)
        self._communicators = {c.id: c for c in job.site.communicators}
        self._spots = {s.id: s for s in job.site.spots}
        self._known: dict[str, str] = {}

    def of(self, name: str, communicator: str | None = None) -> str:
        """The fingerprint of a link, spot or signal by its name, 16 hex digits.

        For a signal, `communicator` limits it to the path over that one.

        Raises
        ------
        JobError
            The site has no such thing.
        """
        key = f"{name}|{communicator or ''}"
        if key not in self._known:
            self._known[key] = _digest(self._content(name, communicator))
        return self._known[key]

    def known(self, name: str) -> bool:
        """Whether the site has such a link, spot or signal."""
        try:
            self.of(name)
        except JobError:
            return False
        return True

    def holds(self, name: str, fingerprint: str, communicator: str | None = None) -> bool:
        """Whether evidence with this fingerprint still speaks for a link, spot or signal.

        A repeater or communicator that was added since is one more way for a signal and does not
        void what was seen of it; one that was moved, changed or taken away does. The IMEI of a
        module and the number of its card void nothing where they were not known yet. False where
        the site has no such thing.
        """
        try:
            if self.of(name, communicator) == fingerprint:
                return True
        except JobError:
            return False
        return self._held_so_far(name, fingerprint, communicator) or any(
            before.of(name, communicator) == fingerprint
            or before._held_so_far(name, fingerprint, communicator)
            for before in self._before_identities
        )

    @cached_property
    def _before_identities(self) -> "list[Fingerprints]":
        """The same job before somebody typed in the IMEIs, the numbers of the cards, or both."""
        jobs = [
            _without_identities(self._job, imei=imei, iccid=iccid)
            for imei, iccid in ((True, False), (False, True), (True, True))
        ]
        return [Fingerprints(j, self._geometry) for j in jobs if j.site != self._job.site]

    def _held_so_far(self, name: str, fingerprint: str, communicator: str | None) -> bool:
        """Whether a signal's fingerprint is that of the site with fewer ways."""
        kind, _, rest = name.partition(":")
        if kind != "signal":
            return False
        about, _, signal = rest.rpartition(":")
        repeaters = [r for _, r in radio_ways(self._job, about) if r != PANEL_ID]
        if len(repeaters) > _MOST_REPEATERS:
            return False
        carriers = [communicator] if communicator else list(self._communicators)
        return any(
            fingerprint == _digest(self._signal(name, about, signal, some, over))
            for some in _subsets(repeaters)
            for over in _subsets(carriers)
            if over
        )

    def _content(self, name: str, communicator: str | None) -> Any:
        kind, _, rest = name.partition(":")
        match kind:
            case "radio":
                sender, _, receiver = rest.partition(">")
                return self._radio(sender, receiver)
            case "mobile":
                return self._mobile(_found(self._communicators, rest, name))
            case "reporting":
                return self._reporting(_found(self._communicators, rest, name))
            case "spot":
                return self._spot(rest)
            case "signal":
                about, _, signal = rest.rpartition(":")
                carriers = [communicator] if communicator else list(self._communicators)
                return self._signal(name, about, signal, list(self._things), carriers)
            case links.SUPPLY:
                return [self._loads(), _dump(self._job.site.supply, _OF_SUPPLY), self._cables()]
            case links.STANDBY:
                site = self._job.site
                return [self._loads(), _dump(site.supply, _OF_SUPPLY), _dump(site.battery)]
            case _:
                raise JobError(f"The site has no link or signal {name!r}.")

    def _radio(self, sender_id: str, receiver_id: str) -> Any:
        name = links.radio(sender_id, receiver_id)
        sender = _found(self._things, sender_id, name)
        receiver = _found(self._things, receiver_id, name)
        start, end = self._geometry.position(sender), self._geometry.position(receiver)
        if start is None or end is None:
            return [_end(sender), _end(receiver), self._between(between_of(sender, receiver_id))]
        crossed = [
            [_cell(c.share * math.dist(start, end)), self._layers(c.construction)]
            for c in self._geometry.crossed(start, end)
        ]
        rise_m = _rounded(end[2] - start[2])
        # Things at the same place have no order of their own.
        return [_end(sender), _end(receiver), rise_m, sorted(crossed, key=json.dumps)]

    def _between(self, between: Between | None) -> Any:
        if between is None:
            return None
        walls = [[n, self._layers(c)] for c, n in between.walls.items()]
        return [
            _rounded(between.distance_m),
            sorted(walls, key=json.dumps),
            between.floors,
            self._layers(between.floor_construction) if between.floors else None,
        ]

    def _layers(self, construction_id: str | None) -> Any:
        if construction_id is None:
            return None
        construction = self._job.construction(construction_id)
        if construction.layers:
            return [[layer.material, layer.thickness_m] for layer in construction.layers]
        return construction.fixed_loss_db

    def _mobile(self, c: Communicator) -> Any:
        return [
            _dump(c, include=_OF_MODULE),
            self._panel_place() if c.spot is None else self._spot(c.spot),
        ]

    def _panel_place(self) -> Any:
        """Where a communicator without a spot is: in the panel."""
        panel = self._job.site.panel
        return None if panel is None else _end(panel)[1:]

    def _reporting(self, c: Communicator) -> Any:
        watched = _dump(self._job.site.reporting, include={"interval_s", "misses", "timeout_s"})
        return [_dump(c, include={"part", "account", "centre"}), watched]

    def _spot(self, spot_id: str) -> Any:
        spot = _found(self._spots, spot_id, links.spot(spot_id))
        return [spot.id] if spot.at is None else [spot.floor, *map(_rounded, spot.at)]

    def _signal(
        self, name: str, about: str, signal: str, stations: Collection[str], carriers: Iterable[str]
    ) -> Any:
        """Content of a signal that goes over some of the repeaters and communicators."""
        thing = _found(self._things, about, name)
        if signal not in list(SignalKind):
            raise JobError(f"The site has no link or signal {name!r}.")
        panel = self._job.site.panel
        radio = [
            self.of(links.radio(*ends))
            for ends in sorted(radio_ways(self._job, about))
            if {PANEL_ID, about, *stations}.issuperset(ends)
        ]
        paths = [[self.of(links.mobile(c)), self.of(links.reporting(c))] for c in sorted(carriers)]
        parts = [thing.part, None if panel is None else panel.part]
        return [signal, parts, self._zone(thing), radio, paths]

    def _zone(self, thing: Device | Repeater | Panel) -> Any:
        if not isinstance(thing, Device) or thing.zone is None:
            return None
        zone = next(z for z in self._job.site.zones if z.id == thing.zone)
        partition = next(p for p in self._job.site.partitions if p.id == zone.partition)
        return [zone.number, zone.event, partition.number]

    def _loads(self) -> Any:
        site = self._job.site
        wired = sorted(d.part for d in site.devices if self._is_wired(d))
        modules = sorted(c.part for c in site.communicators)
        loads = [None if site.panel is None else site.panel.part, wired, modules]
        wireless = self._wireless_on_cables()
        return [*loads, wireless] if wireless else loads  # as it was where there are none

    def _wireless_on_cables(self) -> list[str]:
        """The parts of repeaters and wireless devices that a cable leads to."""
        site = self._job.site
        cabled = {c.to for c in site.cables} | {t.to for c in site.cables for t in c.on_the_way}
        devices = [d.part for d in site.devices if d.id in cabled and not self._is_wired(d)]
        return sorted([*devices, *(r.part for r in site.repeaters if r.id in cabled)])

    def _is_wired(self, device: Device) -> bool:
        part = self._job.part(device.part)
        return isinstance(part, DetectorPart) and part.radio is None

    def _cables(self) -> Any:
        return [_dump(c) for c in sorted(self._job.site.cables, key=lambda c: c.id)]


def _without_identities(job: Job, *, imei: bool, iccid: bool) -> Job:
    """A job whose communicators have no IMEI, no number of their card, or neither."""

    def without(c: Communicator) -> Communicator:
        sim = c.sim and c.sim.model_copy(update={"iccid": None} if iccid else {})
        return c.model_copy(update={"sim": sim} | ({"imei": None} if imei else {}))

    site = job.site.model_copy(update={"communicators": [*map(without, job.site.communicators)]})
    return job.model_copy(update={"site": site})


def radio_ways(job: Job, about: str) -> list[tuple[str, str]]:
    """Sender and receiver of each radio link that a signal of `about` may take, direct one first.

    Empty for the panel's own signals and for wired devices.
    """
    thing = things(job.site).get(about)
    if thing is None or isinstance(thing, Panel) or job.site.panel is None:
        return []
    if isinstance(thing, Repeater):
        return [(about, PANEL_ID)]
    part = job.part(thing.part)
    if not isinstance(part, DetectorPart) or part.radio is None:
        return []
    ways = [(about, PANEL_ID)]
    for repeater in job.site.repeaters:
        repeater_part = job.part(repeater.part)
        families = {r.family for r in getattr(repeater_part, "radios", [])}
        if part.radio.family in families:
            ways += [(about, repeater.id), (repeater.id, PANEL_ID)]
    return ways


def between_of(sender: Device | Repeater | Panel, receiver_id: str) -> Between | None:
    """What stands between a thing and its receiver, in a job without a plan."""
    if isinstance(sender, Panel):
        return None
    if receiver_id == PANEL_ID:
        return sender.between
    return sender.between_repeaters.get(receiver_id) if isinstance(sender, Device) else None


def _end(thing: Device | Repeater | Panel) -> Any:
    carried = isinstance(thing, Device) and thing.carried
    place = thing.at and [thing.floor, *map(_rounded, thing.at), _rounded(thing.height_m)]
    return [thing.part, place, thing.mounting, carried]


def _found(known: Mapping[str, T], wanted: str, name: str) -> T:
    if wanted not in known:
        raise JobError(f"The site has no link or signal {name!r}.")
    return known[wanted]


def _digest(content: Any) -> str:
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()[:16]


def _subsets(of: list[str]) -> Iterator[tuple[str, ...]]:
    return chain.from_iterable(combinations(of, n) for n in range(len(of) + 1))


def _dump(model: Model | None, include: set[str] | None = None) -> Any:
    if model is None:
        return None
    return model.model_dump(mode="json", include=include, exclude_defaults=True)


def _rounded(length_m: float) -> float:
    return round(length_m, _MM) + 0.0  # no minus zero


def _cell(along_m: float) -> int:
    return math.floor((along_m + _CELL_BORDER_M) / _CELL_M)
