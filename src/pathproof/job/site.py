"""The site: what is there and what is intended.

Lengths are metres, x to the right, y up, one origin for all floors. Ids are stable and apart
from zone numbers.
"""

import re
from datetime import date
from typing import Annotated, Final, Self
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import Field, field_validator, model_validator
from stdnum import imei as _imei

from pathproof.job._consistency import problems_in
from pathproof.job._model import (
    SMALLEST_M,
    Band,
    Code,
    Coordinate,
    Country,
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
    like,
)
from pathproof.job._problems import Problems
from pathproof.job.construction import Construction
from pathproof.job.underlay import Underlay
from pathproof.terms import (
    AccountState,
    AntennaPlace,
    Mounting,
    Role,
    SignalKind,
    SimKind,
    SupplyKind,
    Technology,
    ZoneKind,
)

_PAST_THE_END_M = 0.01
"""Plans draw openings past a wall's end by so much; the part that is past it does not count."""


UNKNOWN_FLOOR: Final = "unknown_floor"
"""Construction of the library that stands in for a floor whose build-up nobody said."""

_OF_A_MACHINE: Final = re.compile(r"localtime$|posixrules$|posix/|right/", re.IGNORECASE)
"""Names beside the IANA's: what they stand for differs by machine, or counts leap seconds."""


def named_zone(name: str) -> ZoneInfo:
    """The time zone of an IANA name, which is the same on every machine.

    Raises
    ------
    ValueError
        There is none of that name.
    """
    try:
        if _OF_A_MACHINE.match(name):
            raise ZoneInfoNotFoundError(name)
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise ValueError("a time zone by its IANA name, such as Europe/Vienna or UTC") from error


class Slab(Model):
    """A piece of a floor, crossed by a path that passes its height inside its outline."""

    id: Id
    """Stable name of the piece."""
    construction: Id
    """Its construction, layers from top to bottom."""
    elevation_m: Elevation
    """Height of its middle above the site's zero. [m]"""
    outline: list[Point] | None = None
    """Corners in order; none means it covers everything. [m]"""
    holes: list[list[Point]] = []
    """Outlines of holes, such as a stair well. [m]"""

    @model_validator(mode="after")
    def _areas(self) -> Self:
        if self.holes and self.outline is None:
            raise ValueError("holes need an outline that they are cut out of")
        rings = {f"holes[{i}]": hole for i, hole in enumerate(self.holes)}
        if self.outline is not None:
            rings["outline"] = self.outline
        flat = [path for path, ring in rings.items() if _corners(ring) < 3]
        if flat:
            raise Problems([(path, "has fewer than 3 different corners") for path in flat])
        return self


def _corners(ring: list[Point]) -> int:
    """How many different corners are left in the grid of 1/1024 m that paths are traced in."""
    return len({(round(x * 1024), round(y * 1024)) for x, y in ring})


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
    """What lies under this storey: structure, finishes, the ceiling of the storey below. Where none
    is given, a storey above another lies on a floor of unknown build-up."""
    underlay: Underlay | None = None
    """A picture of its plan to draw walls over."""


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

    @model_validator(mode="after")
    def _upright(self) -> Self:
        if self.head_m - self.sill_m < SMALLEST_M:
            raise ValueError(f"sill_m {self.sill_m:g} is not below head_m {self.head_m:g}")
        return self


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
        if self.length_m < SMALLEST_M:
            raise ValueError(
                f"start {self.start} and end {self.end} are the same place; a wall has a length of "
                "2 mm or more"
            )
        past = [
            (f"openings[{i}]", f"ends {o.offset_m + o.width_m:.3f} m from the wall's start, past "
             f"the wall's end at {self.length_m:.3f} m; make offset_m or width_m smaller")
            for i, o in enumerate(self.openings)
            if o.offset_m + o.width_m > self.length_m + _PAST_THE_END_M
        ]  # fmt: skip
        if past:
            raise Problems(past)
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
    event: Code | None = None
    """Code that the centre is to receive for its alarm."""


class Between(Model):
    """What stands between a thing and its receiver, for a job without a plan."""

    distance_m: Length
    """Straight distance. [m]"""
    walls: dict[Id, Annotated[int, Field(ge=1, le=50)]] = {}
    """Walls on the way: construction to number of them."""
    floors: Annotated[int, Field(ge=0, le=50)] = 0
    """Floors on the way."""
    floor_construction: Id = UNKNOWN_FLOOR
    """What these floors are built of."""


class Place(Model):
    """A place on the plan."""

    floor: Id
    """Storey."""
    at: Point
    """Where on the plan. [m]"""
    height_m: Height
    """Height above the storey's floor. [m]"""


class _Placed(Model):
    """Something that hangs somewhere."""

    floor: Id | None = None
    """Storey; none in a job without a plan."""
    at: tuple[Coordinate, Coordinate] | None = None
    """Where on the plan. [m]"""
    height_m: Height = 2.0
    """Height above the storey's floor. [m]"""

    @model_validator(mode="after")
    def _floor_and_place(self) -> Self:
        if (self.floor is None) != (self.at is None):
            raise ValueError("give floor and at together, or neither")
        return self


class _Sender(_Placed):
    """Something that the panel hears, placed on a plan or by what stands between."""

    between: Between | None = None
    """Without a plan: what stands between it and the panel."""

    @model_validator(mode="after")
    def _one_way_of_placing(self) -> Self:
        if self.at is not None and self.between is not None:
            raise ValueError("give floor and at (on a plan) or between (without one), not both")
        return self


class Device(_Sender):
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
    cells_fitted_on: date | None = None
    """Date on which its cells were fitted."""
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


class Repeater(_Sender):
    """A repeater."""

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
    place: AntennaPlace | None = None
    """What kind of place an antenna has here; none means not said."""
    cable_m: Annotated[float, Field(ge=0.0, le=1000.0)] | None = None
    """Antenna cable from the panel to here, 0 in the panel; none means estimated. [m]"""

    @model_validator(mode="after")
    def _on_a_storey(self) -> Self:
        if self.at is not None and self.floor is None:
            raise ValueError("at is a place on a plan, so give the floor too")
        return self


class Network(Model):
    """A mobile network that can be had at the site."""

    mcc_mnc: MccMnc
    """Country and network code, as 001-01."""
    label: Label
    """What people call it."""
    technologies: list[Technology]
    """Technologies it offers here."""
    bands: list[Band] = []
    """3GPP band numbers it uses here."""


class Sim(Model):
    """The card or profile in a communicator."""

    kind: SimKind
    """Which networks it may use."""
    networks: list[MccMnc] = []
    """The networks it may use, preferred first."""
    iccid: Annotated[str, like(r"^[0-9]{18,20}$", "18 to 20 digits")] | None = None
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
    service: Id | None = None
    """Catalogue entry of the service that card and account come with."""
    imei: str | None = None
    """Identity of the module, 15 digits."""
    account: (
        Annotated[str, like(r"^[0-9A-Fa-f]{3,16}$", "3 to 16 digits 0 to 9 and A to F")] | None
    ) = None
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
    antenna_crossed: bool = False
    """True when the antenna hangs across the direction it is made for, such as a rod lying."""
    antenna_near_metal: bool = False
    """True when metal is within about 0.1 m of the antenna that it is not made to sit on."""

    @field_validator("imei")
    @classmethod
    def _check_imei(cls, value: str | None) -> str | None:
        if value is None:
            return None
        digits = str(_imei.compact(value))
        if len(digits) != 15 or not _imei.is_valid(digits):  # 14 and 16 digits have no check digit
            raise ValueError("15 digits, the last one a check digit (3GPP TS 23.003 annex B)")
        return digits


class Supply(Model):
    """Where the panel's power comes from."""

    part: Id
    """Catalogue entry."""
    kind: SupplyKind
    """Mains with recharged battery, mains with battery not recharged, or battery only."""
    mains_fail_notified: bool = False
    """True when a mains failure is told to the centre, for which some profiles ask less hours."""


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


class Tap(Model):
    """Something that a cable feeds before its end."""

    to: Id
    """What it feeds: a device, repeater, communicator or the panel."""
    at_m: Length
    """Length of cable up to it, one way. [m]"""


class CableRun(Model):
    """A cable that feeds something."""

    id: Id
    """Stable name of the run."""
    part: Id
    """Catalogue entry."""
    to: Id
    """What it feeds: a device, repeater, communicator or the panel."""
    length_m: Length
    """Length one way. [m]"""
    on_the_way: list[Tap] = []
    """What else it feeds, before its end."""
    temperature_degc: Annotated[float, Field(ge=-40.0, le=90.0)] = 20.0
    """Highest usual temperature of the conductors. [degC]"""

    @model_validator(mode="after")
    def _taps_lie_on_it(self) -> Self:
        beyond = [
            (
                f"on_the_way[{i}].at_m",
                f"given {tap.at_m:g}; allowed: up to the length of the run, {self.length_m:g} m",
            )
            for i, tap in enumerate(self.on_the_way)
            if tap.at_m > self.length_m
        ]
        if beyond:
            raise Problems(beyond)
        return self


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
    country: Country | None = None
    """Country, two letters of ISO 3166; XA to XZ for an invented one."""
    time_zone: str = "UTC"
    """Time zone by its IANA name."""
    currency: Annotated[str, like(r"^[A-Z]{3}$", "three capital letters, such as EUR")] = "EUR"
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
    signal_codes: dict[SignalKind, Code] = {}
    """Codes that the centre is to receive for signals other than alarms, by kind of signal."""
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
    considered: list[Id] = []
    """Communicators, services, antennas and feeders that the choice is made from."""
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
        return named_zone(value).key

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        problems = list(problems_in(self))
        if problems:
            raise Problems(problems)
        return self
