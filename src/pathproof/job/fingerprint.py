"""Fingerprints of the parts of a site that a piece of evidence speaks for.

Evidence is valid while the fingerprint of its link or signal is what it was. Moving a device
changes the fingerprints of its own links and signals and no other. Names, prices and catalogue
figures are not part of a fingerprint: evidence was measured, so it outlives them.

What each fingerprint covers
    radio      both ends (part, place, mounting) and what the straight path crosses
    mobile     module, card, antenna, feeder and spot of the communicator
    reporting  communicator, account and how the path is watched
    supply     supply, cables and what takes current
    standby    supply, battery with its date and what takes current
    spot       place of the spot
    signal     zone, event code and partition, and the fingerprints of its radio, mobile and
               reporting links; supply and standby have evidence of their own
"""

import hashlib
import json
from typing import Any

from pathproof.job import links
from pathproof.job.catalogue import DetectorPart
from pathproof.job.file import Job
from pathproof.job.geometry import SiteGeometry, things
from pathproof.job.site import PANEL_ID, Between, Communicator, Device, Panel, Repeater
from pathproof.terms import JobError, SignalKind

_MM = 3
"""Lengths count to the millimetre."""


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
            text = json.dumps(self._content(name, communicator), sort_keys=True)
            self._known[key] = hashlib.sha256(text.encode()).hexdigest()[:16]
        return self._known[key]

    def _content(self, name: str, communicator: str | None) -> Any:
        kind, _, rest = name.partition(":")
        try:
            match kind:
                case "radio":
                    sender, _, receiver = rest.partition(">")
                    return self._radio(sender, receiver)
                case "mobile":
                    return self._mobile(self._communicators[rest])
                case "reporting":
                    return self._reporting(self._communicators[rest])
                case "spot":
                    return self._spot(rest)
                case "signal":
                    about, _, signal = rest.rpartition(":")
                    return self._signal(about, SignalKind(signal), communicator)
                case links.SUPPLY:
                    return [self._loads(), self._dump("supply"), self._dump("cables")]
                case links.STANDBY:
                    return [self._loads(), self._dump("supply"), self._dump("battery")]
        except (KeyError, ValueError) as error:
            raise JobError(f"The site has no link or signal {name!r}.") from error
        raise JobError(f"The site has no link or signal {name!r}.")

    def _radio(self, sender_id: str, receiver_id: str) -> Any:
        sender, receiver = self._things[sender_id], self._things[receiver_id]
        start, end = self._geometry.position(sender), self._geometry.position(receiver)
        if start is not None and end is not None:
            length_m = sum((a - b) ** 2 for a, b in zip(start, end, strict=True)) ** 0.5
            way: Any = [
                [self._layers(c.construction), round(c.share * length_m, 2)]
                for c in self._geometry.crossed(start, end)
            ]
        else:
            way = self._between(between_of(sender, receiver_id))
        return [_end(sender), _end(receiver), way]

    def _between(self, between: Between | None) -> Any:
        if between is None:
            return None
        walls = {c: [n, self._layers(c)] for c, n in between.walls.items()}
        return [
            round(between.distance_m, _MM),
            walls,
            between.floors,
            self._layers(between.floor_construction),
        ]

    def _layers(self, construction_id: str | None) -> Any:
        if construction_id is None:
            return None
        construction = self._job.construction(construction_id)
        if construction.layers:
            return [[layer.material, layer.thickness_m] for layer in construction.layers]
        return construction.fixed_loss_db

    def _mobile(self, c: Communicator) -> Any:
        fields = {"part", "sim", "imei", "antenna", "feeder"}
        return [c.model_dump(mode="json", include=fields), c.spot and self._spot(c.spot)]

    def _reporting(self, c: Communicator) -> Any:
        fields = {"part", "account", "centre"}
        return [c.model_dump(mode="json", include=fields), self._dump("reporting")]

    def _spot(self, spot_id: str) -> Any:
        spot = self._spots[spot_id]
        return [spot.floor, _rounded(spot.at)] if spot.at else [spot.id]

    def _signal(self, about: str, signal: SignalKind, communicator: str | None) -> Any:
        thing = self._things[about]
        radio = [
            self.of(links.radio(sender, receiver))
            for sender, receiver in radio_ways(self._job, about)
        ]
        paths = [
            [self.of(links.mobile(c)), self.of(links.reporting(c))]
            for c in ([communicator] if communicator else sorted(self._communicators))
        ]
        zone: Any = None
        if isinstance(thing, Device) and thing.zone is not None:
            z = next(z for z in self._job.site.zones if z.id == thing.zone)
            partition = next(p for p in self._job.site.partitions if p.id == z.partition)
            zone = [z.number, z.event, partition.number]
        return [signal, zone, radio, paths]

    def _loads(self) -> Any:
        site = self._job.site
        wired = [d.part for d in site.devices if self._is_wired(d)]
        parts = [site.panel.part if site.panel else None, *sorted(wired)]
        return [parts, sorted(c.part for c in site.communicators)]

    def _is_wired(self, device: Device) -> bool:
        part = self._job.part(device.part)
        return isinstance(part, DetectorPart) and part.radio is None

    def _dump(self, field: str) -> Any:
        return self._job.site.model_dump(mode="json", include={field})


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
    if receiver_id == PANEL_ID:
        return sender.between
    return sender.between_repeaters.get(receiver_id) if isinstance(sender, Device) else None


def _end(thing: Device | Repeater | Panel) -> Any:
    carried = thing.carried if isinstance(thing, Device) else False
    place = [thing.floor, _rounded(thing.at), round(thing.height_m, _MM)] if thing.at else None
    return [thing.part, place, thing.mounting, carried]


def _rounded(point: tuple[float, float] | None) -> list[float] | None:
    return None if point is None else [round(x, _MM) for x in point]
