"""The site: what is there and what is intended.

Lengths are metres, x to the right, y up, one origin for all floors. Ids are stable and apart
from zone numbers.
"""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Annotated, Self
from zoneinfo import available_timezones

from pydantic import Field, StringConstraints, field_validator, model_validator
from stdnum import imei as _imei

from pathproof.job._model import (
    Coordinate,
    Elevation,
    Height,
    Id,
    Label,
    Length,
    MccMnc,
    Model,
    NotNegative,
    Point,
    Positive,
    Text,
)
from pathproof.job.construction import Construction
from pathproof.terms import (
    AccountState,
    Mounting,
    Role,
    SimKind,
    SupplyKind,
    Technology,
    ZoneKind,
)

PANEL_ID = "panel"
"""The id by which links and record entries speak of the panel."""


class Slab(Model):
    """A piece of a floor, crossed by a path that passes its height inside its outline."""

    id: Id
    """Stable name of the piece."""
    construction: Id
    """Its construction, layers from top to bottom."""
    elevation_m: Elevation
    """Height of its middle above the site's zero. [m]"""
    outline: list[Point] | None = Field(default=None, min_length=3)
    """Corners in order; none means it covers everything. [m]"""
    holes: list[list[Point]] = []
    """Outlines of holes, such as a stair well. [m]"""


class Floor(Model):
    """One storey."""

    id: Id
    """Stable name of the storey."""
    name: Label
    """What people call it."""
    elevation_m: Elevation
    """Height of the finished floor above the site's zero. [m]"""
    height_m: Length
    """From this floor to the next one, or to the roof. [m]"""
    slabs: list[Slab] = []
    """What lies under this storey: structure, finishes, the ceiling of the storey below."""


class Opening(Model):
    """A door, window or passage in a wall."""

    id: Id
    """Stable name of the opening."""
    offset_m: NotNegative
    """From the wall's start to the opening's near edge. [m]"""
    width_m: Length
    """Width. [m]"""
    sill_m: Annotated[float, Field(ge=-10.0, le=100.0)] = 0.0
    """Lower edge above the storey's floor. [m]"""
    head_m: Annotated[float, Field(gt=0.0, le=100.0)]
    """Upper edge above the storey's floor. [m]"""
    construction: Id | None = None
    """What fills it; none means it is empty."""


class Wall(Model):
    """A straight piece of wall, by its centre line."""

    id: Id
    """Stable name of the wall."""
    floor: Id
    """The storey it stands in."""
    start: Point
    """One end of the centre line; looking from here to `end`, the outside lies to the left. [m]"""
    end: Point
    """The other end. [m]"""
    construction: Id
    """What it is built of."""
    base_m: Annotated[float, Field(ge=-50.0, le=100.0)] | None = None
    """Lower edge above the storey's floor; none means 0. [m]"""
    top_m: Annotated[float, Field(gt=-50.0, le=100.0)] | None = None
    """Upper edge above the storey's floor; none means the storey's height. [m]"""
    openings: list[Opening] = []
    """Doors, windows and passages."""

    @property
    def length_m(self) -> float:
        """Length of the centre line. [m]"""
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        return float((dx * dx + dy * dy) ** 0.5)

    @model_validator(mode="after")
    def _sizes(self) -> Self:
        if self.length_m < 0.001:
            raise ValueError("start and end are the same place; a wall needs a length above 1 mm")
        if self.base_m is not None and self.top_m is not None and self.base_m >= self.top_m:
            raise ValueError(f"base_m {self.base_m} is not below top_m {self.top_m}")
        for opening in self.openings:
            if opening.sill_m >= opening.head_m:
                raise ValueError(f"opening {opening.id}: sill_m is not below head_m")
            if opening.offset_m + opening.width_m > self.length_m + 0.01:
                raise ValueError(
                    f"opening {opening.id}: offset_m + width_m goes past the wall's end "
                    f"({self.length_m:.3f} m)"
                )
        return self


class Partition(Model):
    """A part of the system that is set and unset on its own."""

    id: Id
    """Stable name of the partition."""
    name: Label
    """What people call it."""
    number: Annotated[int, Field(ge=0, le=99)]
    """Number that the centre sees."""


class Zone(Model):
    """What the panel and the centre call a detector or a group of them."""

    id: Id
    """Stable name of the zone."""
    number: Annotated[int, Field(ge=1, le=9999)]
    """Number that the panel and the centre use."""
    name: Label
    """What people call it."""
    kind: ZoneKind
    """How the panel treats it."""
    partition: Id
    """The partition it belongs to."""
    event: Annotated[str, StringConstraints(max_length=12)] | None = None
    """Code that the centre is to receive for its alarm."""


class Between(Model):
    """What stands between a thing and its receiver, for a job without a plan."""

    distance_m: Length
    """Straight distance. [m]"""
    walls: dict[Id, Annotated[int, Field(ge=1, le=50)]] = {}
    """Walls on the way: construction to number of them."""
    floors: Annotated[int, Field(ge=0, le=50)] = 0
    """Floors on the way."""
    floor_construction: Id | None = None
    """What these floors are built of; none means not known."""


class Place(Model):
    """A place on the plan."""

    floor: Id
    """Storey."""
    at: Point
    """Where on the plan. [m]"""
    height_m: Height
    """Height above the storey's floor. [m]"""


class _Placed(Model):
    """Something that hangs somewhere, on a plan or by what stands between."""

    floor: Id | None = None
    """Storey; none in a job without a plan."""
    at: tuple[Coordinate, Coordinate] | None = None
    """Where on the plan. [m]"""
    height_m: Height = 2.0
    """Height above the storey's floor. [m]"""
    between: Between | None = None
    """Without a plan: what stands between it and the panel."""

    @model_validator(mode="after")
    def _one_way_of_placing(self) -> Self:
        if (self.floor is None) != (self.at is None):
            raise ValueError("give floor and at together, or neither")
        if self.at is not None and self.between is not None:
            raise ValueError("give floor and at (on a plan) or between (without one), not both")
        return self


class Device(_Placed):
    """A detector, contact, button, keypad or sounder."""

    id: Id
    """Stable name of the device."""
    name: Label
    """What people call it."""
    part: Id
    """Catalogue entry."""
    zone: Id | None = None
    """Zone that it reports in."""
    mounting: Mounting | None = None
    """What it hangs on."""
    carried: bool = False
    """True when a person carries it."""
    between_repeaters: dict[Id, Between] = {}
    """Without a plan: what stands between it and each repeater."""


class Panel(_Placed):
    """The control panel."""

    part: Id
    """Catalogue entry."""
    mounting: Mounting | None = None
    """What it hangs on."""
    near_electronics: bool = False
    """True when routers, chargers or LED supplies stand within about a metre."""
    candidates: list[Place] = []
    """Other places where it could hang."""


class Repeater(_Placed):
    """A repeater; `between` speaks of the way to the panel."""

    id: Id
    """Stable name of the repeater."""
    name: Label
    """What people call it."""
    part: Id
    """Catalogue entry."""
    mounting: Mounting | None = None
    """What it hangs on."""


class Spot(Model):
    """A place where mobile levels are read."""

    id: Id
    """Stable name of the spot."""
    name: Label
    """What people call it."""
    floor: Id | None = None
    """Storey; none in a job without a plan."""
    at: Point | None = None
    """Where on the plan. [m]"""


class Network(Model):
    """A mobile network that can be had at the site."""

    mcc_mnc: MccMnc
    """Country and network code, as 001-01."""
    label: Label
    """What people call it."""
    technologies: list[Technology]
    """Technologies it offers here."""
    bands: list[Annotated[str, StringConstraints(pattern=r"^[Bn]?\d{1,3}$")]] = []
    """3GPP band numbers it uses here."""


class Sim(Model):
    """The card or profile in a communicator."""

    kind: SimKind
    """Which networks it may use."""
    networks: list[MccMnc] = []
    """The networks it may use, preferred first."""
    iccid: Annotated[str, StringConstraints(pattern=r"^\d{18,20}$")] | None = None
    """Number printed on the card."""


class FeederRun(Model):
    """The cable between communicator and antenna."""

    part: Id
    """Catalogue entry of the cable."""
    length_m: Length
    """Length. [m]"""
    connectors: Annotated[int, Field(ge=0, le=10)] = 2
    """Mated connector pairs."""


class Communicator(Model):
    """The module that carries signals to the centre."""

    id: Id
    """Stable name of the communicator."""
    part: Id
    """Catalogue entry."""
    role: Role = Role.MAIN
    """Main or second path."""
    sim: Sim | None = None
    """Its card."""
    imei: str | None = None
    """Identity of the module, 15 digits."""
    account: Annotated[str, StringConstraints(pattern=r"^[0-9A-Fa-f]{3,16}$")] | None = None
    """Account number at the centre."""
    centre: Text = ""
    """What people call the monitoring centre."""
    state: AccountState = AccountState.ORDERED
    """How far card and account have come."""
    antenna: Id | None = None
    """Catalogue entry of the antenna; none means the built-in one."""
    feeder: FeederRun | None = None
    """Cable to the antenna; none when the antenna sits on the module."""
    spot: Id | None = None
    """Where its antenna is, or is to be."""

    @field_validator("imei")
    @classmethod
    def _check_imei(cls, value: str | None) -> str | None:
        if value is None:
            return None
        digits = _imei.compact(value)
        if len(digits) != 15 or not _imei.is_valid(digits):
            raise ValueError(
                "an IMEI has 15 digits, the last one a check digit (TS 23.003 annex B)"
            )
        return digits


class Supply(Model):
    """Where the panel's power comes from."""

    part: Id
    """Catalogue entry."""
    kind: SupplyKind
    """Mains with recharged battery, mains with battery not recharged, or battery only."""


class FittedBattery(Model):
    """The standby battery."""

    part: Id
    """Catalogue entry."""
    count: Annotated[int, Field(ge=1, le=20)] = 1
    """How many stand in parallel."""
    fitted_on: date | None = None
    """Date of fitting."""
    temperature_degc: Annotated[float, Field(ge=-40.0, le=70.0)] = 20.0
    """Lowest usual temperature where it stands. [degC]"""


class CableRun(Model):
    """A cable that feeds something."""

    id: Id
    """Stable name of the run."""
    part: Id
    """Catalogue entry."""
    to: Id
    """What it feeds: a device or communicator."""
    length_m: Length
    """Length one way. [m]"""


class Reporting(Model):
    """How the path to the centre is watched."""

    interval_s: Positive
    """Time between polls. [s]"""
    misses: Annotated[int, Field(ge=1, le=100)]
    """Missed polls before the path counts as lost."""
    timeout_s: NotNegative
    """Wait for an answer to the last poll. [s]"""
    category: Text = ""
    """Category asked for, as EN 50136-1 or the insurer calls it."""


class Site(Model):
    """What is there and what is intended."""

    name: Label
    """Name of the site."""
    reference: Text = ""
    """The dealer's job number."""
    country: Annotated[str, StringConstraints(pattern=r"^[A-Z]{2}$")] | None = None
    """Country, two letters of ISO 3166; XA to XZ for an invented one."""
    time_zone: str = "UTC"
    """Time zone by its IANA name."""
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")] = "EUR"
    """Currency, three letters of ISO 4217."""
    profile: Id = "house_targets"
    """Profile of limits that the site is judged by."""
    service_life_years: Annotated[float, Field(gt=0.0, le=50.0)] = 10.0
    """How long the system is to serve. [years]"""
    plan_origin_m: tuple[float, float] = (0.0, 0.0)
    """Where the site's origin lies in the coordinates of the plan file. [m]"""
    floors: list[Floor] = []
    """Storeys."""
    walls: list[Wall] = []
    """Walls."""
    constructions: dict[Id, Construction] = {}
    """Constructions of this site."""
    partitions: list[Partition] = []
    """Parts set and unset on their own."""
    zones: list[Zone] = []
    """Zones."""
    devices: list[Device] = []
    """Detectors and other devices."""
    panel: Panel | None = None
    """The control panel."""
    repeaters: list[Repeater] = []
    """Repeaters."""
    spots: list[Spot] = []
    """Places where mobile levels are read."""
    networks: list[Network] = []
    """Mobile networks to be had here."""
    communicators: list[Communicator] = []
    """Modules that carry signals to the centre."""
    supply: Supply | None = None
    """The panel's power supply."""
    battery: FittedBattery | None = None
    """The standby battery."""
    cables: list[CableRun] = []
    """Cables that feed something."""
    reporting: Reporting | None = None
    """How the path to the centre is watched."""

    @field_validator("time_zone")
    @classmethod
    def _known_time_zone(cls, value: str) -> str:
        if value not in available_timezones():
            raise ValueError("give an IANA time zone, such as Europe/Vienna or UTC")
        return value

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        problems = [*_repeated_ids(self), *_dangling(self), *_outside_storeys(self)]
        if problems:
            raise ValueError("; ".join(problems[:8]))
        return self


def _repeated_ids(site: Site) -> Iterator[str]:
    groups: dict[str, Iterable[str]] = {
        "floors": (f.id for f in site.floors),
        "walls": (w.id for w in site.walls),
        "slabs": (s.id for f in site.floors for s in f.slabs),
        "openings": (o.id for w in site.walls for o in w.openings),
        "partitions": (p.id for p in site.partitions),
        "zones": (z.id for z in site.zones),
        "networks": (n.mcc_mnc for n in site.networks),
        "spots": (s.id for s in site.spots),
        "cables": (c.id for c in site.cables),
        # These share one name space: links and record entries speak of them by id alone.
        "devices, repeaters and communicators": (
            *(d.id for d in site.devices),
            *(r.id for r in site.repeaters),
            *(c.id for c in site.communicators),
        ),
    }
    for name, ids in groups.items():
        seen: set[str] = set()
        for i in ids:
            if i in seen or i == PANEL_ID:
                yield f"{name}: the id {i!r} is used twice or reserved; every id must be its own"
            seen.add(i)
    numbers = [z.number for z in site.zones]
    for number in sorted({n for n in numbers if numbers.count(n) > 1}):
        yield f"zones: number {number} is used twice"


def _dangling(site: Site) -> Iterator[str]:
    floors = {f.id for f in site.floors}
    partitions = {p.id for p in site.partitions}
    zones = {z.id for z in site.zones}
    spots = {s.id for s in site.spots}
    networks = {n.mcc_mnc for n in site.networks}
    repeaters = {r.id for r in site.repeaters}
    fed = {PANEL_ID, *(d.id for d in site.devices), *(c.id for c in site.communicators)}
    wanted: list[tuple[str, str | None, set[str], str]] = [
        *((f"walls[{i}].floor", w.floor, floors, "floor") for i, w in enumerate(site.walls)),
        *((f"zones[{i}].partition", z.partition, partitions, "partition")
          for i, z in enumerate(site.zones)),
        *((f"devices[{i}].zone", d.zone, zones, "zone") for i, d in enumerate(site.devices)),
        *((f"devices[{i}].floor", d.floor, floors, "floor") for i, d in enumerate(site.devices)),
        *((f"devices[{i}].between_repeaters", r, repeaters, "repeater")
          for i, d in enumerate(site.devices) for r in d.between_repeaters),
        *((f"repeaters[{i}].floor", r.floor, floors, "floor")
          for i, r in enumerate(site.repeaters)),
        *((f"spots[{i}].floor", s.floor, floors, "floor") for i, s in enumerate(site.spots)),
        *((f"communicators[{i}].spot", c.spot, spots, "spot")
          for i, c in enumerate(site.communicators)),
        *((f"communicators[{i}].sim.networks", n, networks, "network")
          for i, c in enumerate(site.communicators) if c.sim for n in c.sim.networks),
        *((f"cables[{i}].to", c.to, fed, "device or communicator")
          for i, c in enumerate(site.cables)),
    ]  # fmt: skip
    if site.panel is not None:
        wanted.append(("panel.floor", site.panel.floor, floors, "floor"))
        wanted += [
            (f"panel.candidates[{i}].floor", c.floor, floors, "floor")
            for i, c in enumerate(site.panel.candidates)
        ]
    for path, given, allowed, what in wanted:
        if given is not None and given not in allowed:
            known = ", ".join(sorted(allowed)[:12]) or "none"
            yield f"{path}: there is no {what} {given!r}; this site has: {known}"


def _outside_storeys(site: Site) -> Iterator[str]:
    heights = {f.id: f.height_m for f in site.floors}
    placed: list[tuple[str, str | None, float]] = [
        *((f"devices[{i}] {d.id}", d.floor, d.height_m) for i, d in enumerate(site.devices)),
        *((f"repeaters[{i}] {r.id}", r.floor, r.height_m) for i, r in enumerate(site.repeaters)),
    ]
    if site.panel is not None:
        placed.append(("panel", site.panel.floor, site.panel.height_m))
    for path, floor, height in placed:
        if floor in heights and height > heights[floor]:
            yield (
                f"{path}: height_m {height:g} m is outside its storey {floor!r}, which is "
                f"{heights[floor]:g} m high; lower it or name the storey above"
            )
