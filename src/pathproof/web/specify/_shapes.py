"""Which fields the form of each kind of piece has, and what there is to choose from."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from django import forms
from pydantic import BaseModel

from pathproof.job import PANEL_ID, Job, Part, Site
from pathproof.job.embedded import CHOSEN_FROM
from pathproof.job.home import user_library
from pathproof.job.site import (
    Between,
    CableRun,
    Communicator,
    Device,
    FittedBattery,
    Network,
    Panel,
    Partition,
    Repeater,
    Reporting,
    Spot,
    Supply,
    Zone,
)
from pathproof.terms import SignalKind
from pathproof.web.specify._fields import Choices, Rows, Shape, field_of, plain

Content = Mapping[str, Any]
_SPARE_ROWS: Final = 2
_BETWEEN: Final = ("distance_m", "floors", "floor_construction")


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of piece: where it stands in the site and what its form asks for."""

    at: str
    """Field of the site."""
    one: str
    """What people call one of them."""
    model: type[BaseModel]
    shape: "Callable[[Choosing, Content], Shape]"
    page: str
    """The page that shows it."""
    key: str = "id"
    """The field that names one of several."""
    single: bool = False


class Choosing:
    """What a job's pieces may refer to, as choices."""

    def __init__(self, job: Job) -> None:
        library = user_library()
        self.site: Site = job.site
        self._parts: dict[str, Part] = {**library.parts, **job.embedded.catalogue}
        self._constructions = {
            **library.constructions,
            **job.embedded.constructions,
            **job.site.constructions,
        }

    def parts(self, kind: str) -> Choices:
        """Parts of a kind, by name."""
        found = [(p.id, f"{p.name} ({p.id})") for p in self._parts.values() if p.kind == kind]
        return sorted(found, key=lambda x: x[1].casefold())

    def part(self, part: str) -> Part | None:
        """A part, where it is known."""
        return self._parts.get(part)

    def constructions(self) -> Choices:
        """What walls and floors are built of."""
        return [(i, c.name or i) for i, c in self._constructions.items()]

    def zones(self) -> Choices:
        """The site's zones by number."""
        zones = sorted(self.site.zones, key=lambda z: z.number)
        return [(z.id, f"{z.number} {z.name}") for z in zones]

    def fed(self) -> Choices:
        """Everything that a cable may feed."""
        named: list[Device | Repeater] = [*self.site.devices, *self.site.repeaters]
        return [
            (PANEL_ID, "Panel"),
            *((c.id, f"Communicator {c.id}") for c in self.site.communicators),
            *((x.id, f"{x.name} ({x.id})") for x in named),
        ]


def _fields(model: type[BaseModel], paths: Iterable[str], **choices: Any) -> dict[str, forms.Field]:
    """Fields in order; choices by the last step of their path."""
    return {p: field_of(model, p, choices=choices.get(p.rpartition(".")[2])) for p in paths}


def _partition(of: Choosing, content: Content) -> Shape:
    return Shape(fields=_fields(Partition, ("number", "name")))


def _zone(of: Choosing, content: Content) -> Shape:
    partitions = [(p.id, f"{p.number} {p.name}") for p in of.site.partitions]
    names = ("number", "name", "kind", "partition", "event")
    return Shape(fields=_fields(Zone, names, partition=partitions))


def _device(of: Choosing, content: Content) -> Shape:
    names = ("name", "part", "zone", "mounting", "carried", "cells_fitted_on")
    own = _fields(Device, names, part=of.parts("detector"), zone=of.zones())
    return _hung(of, content, Device, own)


def _repeater(of: Choosing, content: Content) -> Shape:
    own = _fields(Repeater, ("name", "part", "mounting"), part=of.parts("repeater"))
    return _hung(of, content, Repeater, own)


def _hung(
    of: Choosing, content: Content, model: type[BaseModel], own: dict[str, forms.Field]
) -> Shape:
    """A thing's own fields, then its height on the plan or what stands between without one."""
    if content.get("at") is not None:
        return Shape(fields={**own, **_fields(model, ("height_m",))})
    rows, fields, lines = [], dict(own), {}
    for path, whom in _betweens(of.site, model):
        group = Rows(path=f"{path}.walls", names=("construction", "count"), as_map=True)
        walls = len(_between_walls(content, path)) + _SPARE_ROWS
        fields |= dict(_between_fields(of, path, whom, walls))
        rows.append(group)
        lines[group.path] = walls
    return Shape(fields=fields, rows=tuple(rows), lines=lines)


def _betweens(site: Site, model: type[BaseModel]) -> Iterator[tuple[str, str]]:
    """Ways without a plan: place in the piece, and to whom."""
    yield "between", "panel"
    if model is Device:
        yield from ((f"between_repeaters.{r.id}", r.name) for r in site.repeaters)


def _between_walls(content: Content, path: str) -> Mapping[str, int]:
    found: Any = content
    for step in (*path.split("."), "walls"):
        found = (found or {}).get(step)
    return found or {}


def _between_fields(
    of: Choosing, path: str, whom: str, walls: int
) -> Iterator[tuple[str, forms.Field]]:
    built = of.constructions()
    labels = {"distance_m": f"Distance to {whom} (m)", "floors": f"Floors on the way to {whom}"}
    distance = f"{path}.distance_m"  # its place on the plan says it too
    help_text = "Leave it empty where it is to hang on the plan." if of.site.floors else ""
    yield distance, field_of(Device, distance, label=labels["distance_m"], help_text=help_text)
    for i in range(walls):
        which = f"{path}.walls.{i}"
        yield (
            f"{which}.construction",
            field_of(Between, "floor_construction", label=f"Wall {i + 1} to {whom}",
                     help_text="What it is built of.", choices=built),
        )  # fmt: skip
        yield (
            f"{which}.count",
            field_of(Between, "walls.n", label=f"How many of wall {i + 1}",
                     help_text="1 unless given."),
        )  # fmt: skip
    yield f"{path}.floors", field_of(Between, "floors", label=labels["floors"])
    yield (
        f"{path}.floor_construction",
        field_of(Between, "floor_construction", label=f"These floors to {whom}", choices=built),
    )


def _panel(of: Choosing, content: Content) -> Shape:
    names = ["part", "mounting", "near_electronics"]
    names += ["height_m"] if content.get("at") is not None else []
    return Shape(fields=_fields(Panel, names, part=of.parts("panel")))


def _communicator(of: Choosing, content: Content) -> Shape:
    return Shape(
        fields={
            **_fields(Communicator, ("part", "role", "service"), part=of.parts("communicator"),
                      service=of.parts("service")),
            "sim.kind": field_of(Communicator, "sim.kind", label="Kind of card"),
            "sim.networks": field_of(Communicator, "sim.networks", label="Networks of the card",
                                     help_text=_networks_help(of.site)),
            **_antenna_fields(of),
        }
    )  # fmt: skip


def antenna(of: Choosing, content: Content) -> Shape:
    """What hangs between the air and a module."""
    return Shape(fields=_antenna_fields(of))


def _antenna_fields(of: Choosing) -> dict[str, forms.Field]:
    spots = [(s.id, s.name) for s in of.site.spots]
    run = {"part": "Antenna cable", "length_m": "Length of the antenna cable (m)",
           "connectors": "Connector pairs of the antenna cable"}  # fmt: skip
    return {
        **_fields(Communicator, ("antenna", "spot"), antenna=of.parts("antenna"), spot=spots),
        **{
            f"feeder.{name}": field_of(
                Communicator, f"feeder.{name}", label=label,
                choices=of.parts("feeder") if name == "part" else None,
            )
            for name, label in run.items()
        },
        **_fields(Communicator, ("antenna_crossed", "antenna_near_metal")),
    }  # fmt: skip


def _networks_help(site: Site) -> str:
    if not site.networks:
        return "The site has no networks yet: add them on the page on the antenna."
    known = ", ".join(
        n.mcc_mnc if n.label == n.mcc_mnc else f"{n.mcc_mnc} ({n.label})" for n in site.networks
    )
    return f"Codes with commas in between, preferred first. The site has: {known}."


def _cable(of: Choosing, content: Content) -> Shape:
    group = Rows(path="on_the_way", names=("to", "at_m"))
    taps = len(content.get("on_the_way", ())) + _SPARE_ROWS
    fields = _fields(CableRun, ("part", "to", "length_m"), part=of.parts("cable"), to=of.fed())
    for i in range(taps):
        path = f"on_the_way.{i}"
        fields[f"{path}.to"] = field_of(
            CableRun, f"{path}.to", label=f"Tap {i + 1} feeds", choices=of.fed()
        )
        fields[f"{path}.at_m"] = field_of(CableRun, f"{path}.at_m", label=f"Tap {i + 1} at (m)")
    fields |= _fields(CableRun, ("temperature_degc",))
    return Shape(fields=fields, rows=(group,), lines={group.path: taps})


def _supply(of: Choosing, content: Content) -> Shape:
    names = ("part", "kind", "mains_fail_notified")
    return Shape(fields=_fields(Supply, names, part=of.parts("supply")))


def _battery(of: Choosing, content: Content) -> Shape:
    names = ("part", "count", "fitted_on", "temperature_degc")
    return Shape(fields=_fields(FittedBattery, names, part=of.parts("battery")))


def _reporting(of: Choosing, content: Content) -> Shape:
    return Shape(fields=_fields(Reporting, ("interval_s", "misses", "timeout_s", "category")))


def _network(of: Choosing, content: Content) -> Shape:
    names = ["label", "technologies", "bands"]
    return Shape(fields=_fields(Network, names if content else ["mcc_mnc", *names]))


def _spot(of: Choosing, content: Content) -> Shape:
    return Shape(fields=_fields(Spot, ("name", "place", "cable_m")))


def site_shape() -> Shape:
    """The site's own fields."""
    names = ("name", "reference", "country", "time_zone", "currency", "service_life_years")
    return Shape(fields=_fields(Site, names))


def codes_shape(site: Site) -> Shape:
    """Codes that the centre is to receive: for the alarm of each zone, then for all else."""
    alarms = {
        f"zones.{z.id}.event": field_of(
            Zone, "event", label=f"Alarm of zone {z.number} {z.name}", help_text=""
        )
        for z in sorted(site.zones, key=lambda z: z.number)
    }
    kinds = [k for k in SignalKind if k is not SignalKind.ALARM]
    others = {
        f"signal_codes.{k}": field_of(
            Site, f"signal_codes.{k}", label=plain(k).capitalize(), help_text=""
        )
        for k in kinds
    }
    return Shape(fields={**alarms, **others})


def considered_shape(of: Choosing) -> Shape:
    """What the communicator is chosen from, by kind."""
    groups = [(f"{kind}s".capitalize(), of.parts(kind)) for kind in CHOSEN_FROM]
    label = "Considered"
    return Shape(fields={"considered": field_of(Site, "considered", label=label, choices=groups)})


def profile_shape() -> Shape:
    """The profile that the site is judged by."""
    library = user_library()
    profiles = [(i, library.profile(i).title) for i in sorted(library.profiles)]
    return Shape(fields=_fields(Site, ("profile",), profile=profiles))


KINDS: Final[Mapping[str, Kind]] = MappingProxyType(
    {
        k.at: k
        for k in (
            Kind(at="partitions", one="partition", model=Partition, shape=_partition, page="page"),
            Kind(at="zones", one="zone", model=Zone, shape=_zone, page="page"),
            Kind(at="devices", one="device", model=Device, shape=_device, page="parts"),
            Kind(at="repeaters", one="repeater", model=Repeater, shape=_repeater, page="parts"),
            Kind(at="communicators", one="communicator", model=Communicator,
                 shape=_communicator, page="parts"),
            Kind(at="cables", one="cable", model=CableRun, shape=_cable, page="power"),
            Kind(at="networks", one="network", model=Network, shape=_network, page="antenna",
                 key="mcc_mnc"),
            Kind(at="spots", one="spot", model=Spot, shape=_spot, page="antenna"),
            Kind(at="panel", one="panel", model=Panel, shape=_panel, page="parts", single=True),
            Kind(at="supply", one="supply", model=Supply, shape=_supply, page="power",
                 single=True),
            Kind(at="battery", one="battery", model=FittedBattery, shape=_battery, page="power",
                 single=True),
            Kind(at="reporting", one="reporting", model=Reporting, shape=_reporting,
                 page="parts", single=True),
        )
    }
)  # fmt: skip
"""Every kind of piece that is edited on these pages, by its field of the site."""
