"""Rows of the tables on zones and on parts."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from pathproof.job import PANEL_ID, Between, Device, Job, Partition, Repeater, Site, Zone
from pathproof.papers.zone_rows import ZONE_KINDS
from pathproof.web.specify._fields import plain


@dataclass(frozen=True, kw_only=True)
class PartitionRow:
    """A partition with its number of zones."""

    partition: Partition
    zones: int


@dataclass(frozen=True, kw_only=True)
class ZoneRow:
    """A zone in words."""

    zone: Zone
    kind: str
    partition: str
    devices: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class PartRow:
    """A thing of the site with its part."""

    at: str
    id: str
    name: str
    part: str
    where: str
    """How it is placed and mounted."""


@dataclass(frozen=True, kw_only=True)
class PartGroup:
    """Things of one kind."""

    title: str
    at: str
    one: str
    single: bool
    rows: tuple[PartRow, ...]
    empty: str
    """What goes here."""


def partition_rows(site: Site) -> list[PartitionRow]:
    """The partitions by number."""
    zones = Counter(z.partition for z in site.zones)
    ordered = sorted(site.partitions, key=lambda p: p.number)
    return [PartitionRow(partition=p, zones=zones[p.id]) for p in ordered]


def zone_rows(site: Site) -> list[ZoneRow]:
    """The zones by number."""
    devices: dict[str | None, list[str]] = defaultdict(list)
    for d in site.devices:
        devices[d.zone].append(d.name)
    partitions = {p.id: f"{p.number} {p.name}" for p in site.partitions}
    return [
        ZoneRow(
            zone=z,
            kind=ZONE_KINDS[z.kind],
            partition=partitions[z.partition],
            devices=tuple(devices[z.id]),
        )
        for z in sorted(site.zones, key=lambda z: z.number)
    ]


def part_groups(job: Job) -> list[PartGroup]:
    """Everything that has a part."""
    return [
        PartGroup(
            title="Panel", at="panel", one="panel", single=True, rows=tuple(_panel(job)),
            empty="The panel is chosen first: it says what radio and which communicators fit.",
        ),
        PartGroup(
            title="Devices", at="devices", one="device", single=False,
            rows=tuple(_hung(job, "devices", job.site.devices)),
            empty="Detectors, contacts, buttons, keypads and sounders go here.",
        ),
        PartGroup(
            title="Repeaters", at="repeaters", one="repeater", single=False,
            rows=tuple(_hung(job, "repeaters", job.site.repeaters)),
            empty="None in the job.",
        ),
        PartGroup(
            title="Communicators", at="communicators", one="communicator", single=False,
            rows=tuple(_communicators(job)),
            empty="The module that carries signals to the centre goes here.",
        ),
        PartGroup(
            title="Supply", at="supply", one="supply", single=True, rows=tuple(_supply(job)),
            empty="What feeds the panel goes here; without it there is no standby to work out.",
        ),
        PartGroup(
            title="Battery", at="battery", one="battery", single=True, rows=tuple(_battery(job)),
            empty="The standby battery goes here.",
        ),
        PartGroup(
            title="Cables", at="cables", one="cable", single=False, rows=tuple(_cables(job)),
            empty="None in the job.",
        ),
        PartGroup(
            title="Reporting", at="reporting", one="reporting", single=True,
            rows=tuple(_reporting(job)),
            empty="How often the path to the centre is tried goes here.",
        ),
    ]  # fmt: skip


def _panel(job: Job) -> Iterator[PartRow]:
    panel = job.site.panel
    if panel is not None:
        where = "on the plan" if panel.at is not None else "no place on a plan"
        mounted = f", on {plain(panel.mounting)}" if panel.mounting else ""
        near = ", near electronics" if panel.near_electronics else ""
        yield PartRow(at="panel", id=PANEL_ID, name="Panel", part=job.part(panel.part).name,
                      where=f"{where}{mounted}{near}")  # fmt: skip


def _hung(job: Job, at: str, things: list[Device] | list[Repeater]) -> Iterator[PartRow]:
    zones = {z.id: z.number for z in job.site.zones}
    for thing in things:
        zone = zones.get(thing.zone or "") if isinstance(thing, Device) else None
        told = [
            *([f"zone {zone}"] if zone is not None else []),
            _place(thing.between, on_plan=thing.at is not None),
            *([f"on {plain(thing.mounting)}"] if thing.mounting else []),
        ]
        yield PartRow(at=at, id=thing.id, name=thing.name, part=job.part(thing.part).name,
                      where=", ".join(told))  # fmt: skip


def _place(between: Between | None, *, on_plan: bool) -> str:
    if on_plan:
        return "on the plan"
    if between is None:
        return "not placed"
    walls = sum(between.walls.values())
    told = [f"{between.distance_m:g} m"]
    told += [f"{walls} wall{'' if walls == 1 else 's'}"] if walls else []
    told += [f"{between.floors} floor{'' if between.floors == 1 else 's'}"] * bool(between.floors)
    return ", ".join(told)


def _communicators(job: Job) -> Iterator[PartRow]:
    for c in job.site.communicators:
        card = f"{plain(c.sim.kind)} card" if c.sim else "no card"
        antenna = "own antenna" if c.antenna is None else job.part(c.antenna).name
        yield PartRow(at="communicators", id=c.id, name=c.id, part=job.part(c.part).name,
                      where=f"{c.role} path, {card}, {antenna}")  # fmt: skip


def _supply(job: Job) -> Iterator[PartRow]:
    supply = job.site.supply
    if supply is not None:
        yield PartRow(at="supply", id="supply", name="Supply", part=job.part(supply.part).name,
                      where=plain(supply.kind))  # fmt: skip


def _battery(job: Job) -> Iterator[PartRow]:
    battery = job.site.battery
    if battery is not None:
        fitted = "" if battery.fitted_on is None else f", fitted {battery.fitted_on}"
        yield PartRow(at="battery", id="battery", name="Battery",
                      part=job.part(battery.part).name,
                      where=f"{battery.count} in parallel, {battery.temperature_degc:g} °C at the "
                      f"coldest{fitted}")  # fmt: skip


def _cables(job: Job) -> Iterator[PartRow]:
    for cable in job.site.cables:
        taps = f", {len(cable.on_the_way)} on the way" if cable.on_the_way else ""
        yield PartRow(at="cables", id=cable.id, name=cable.id, part=job.part(cable.part).name,
                      where=f"{cable.length_m:g} m to {cable.to}{taps}")  # fmt: skip


def _reporting(job: Job) -> Iterator[PartRow]:
    told = job.site.reporting
    if told is not None:
        yield PartRow(at="reporting", id="reporting", name="Reporting", part="",
                      where=f"every {told.interval_s:g} s, lost after {told.misses} misses and "
                      f"{told.timeout_s:g} s")  # fmt: skip
