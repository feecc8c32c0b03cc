"""The catalogue: parts with the figures that the calculations need.

A part's `source` speaks for all of its figures; `sources` names those with a source of their own.
"""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from pathproof.job._model import (
    Band,
    Country,
    Frequency,
    Id,
    Label,
    Length,
    LevelDbm,
    MccMnc,
    Model,
    NotNegative,
    Positive,
    Source,
    Text,
    beyond_instruments,
    like,
)
from pathproof.job._problems import Problems
from pathproof.terms import (
    AntennaPlace,
    DeviceKind,
    Quantity,
    SignalKind,
    SimKind,
    SupplyKind,
    Technology,
)

Family = Annotated[
    str, like(r"^[a-z0-9_\-]{1,32}$", "up to 32 small letters, digits, dashes and underscores")
]
"""Name of a radio family: parts of one family hear each other."""


class ScaleStep(Model):
    """One step of a scale, with the levels it stands for."""

    name: Label
    """As the panel or phone shows it."""
    low: float | None = None
    """Lower edge; none means open or not known. [unit of the quantity]"""
    high: float | None = None
    """Upper edge; none means open or not known. [unit of the quantity]"""

    @model_validator(mode="after")
    def _upright(self) -> Self:
        if self.low is not None and self.high is not None and self.low >= self.high:
            raise ValueError(f"low {self.low:g} is not below high {self.high:g}")
        return self


class Scale(Model):
    """A panel's or phone's own scale: bars, percent or words."""

    quantity: Quantity
    """What it shows."""
    tied: bool
    """Whether its steps are known as levels; if not, it ranks places but proves nothing."""
    steps: list[ScaleStep] = Field(min_length=1)
    """Steps, weakest first."""
    source: Source
    """Who says so."""

    @model_validator(mode="after")
    def _can_be_shown(self) -> Self:
        beyond = [
            (f"steps[{i}].{field}", text)
            for i, step in enumerate(self.steps)
            for field, text in beyond_instruments(
                self.quantity, {"low": step.low, "high": step.high}
            )
        ]
        if beyond:
            raise Problems(beyond)
        return self


class Radio(Model):
    """One end of the alarm radio."""

    family: Family
    """Radio family; both ends must share it."""
    frequency_hz: Frequency
    """Carrier frequency. [Hz]"""
    eirp_dbm: LevelDbm | None = None
    """Radiated power with its own antenna. [dBm]"""
    field_strength_uv_per_m: Positive | None = None
    """Or: field strength at the distance below, as limits for some bands are given. [uV/m]"""
    field_strength_at_m: Length = 3.0
    """Distance of the field strength. [m]"""
    open_air_range_m: Length | None = None
    """Or: range in the open, where nothing else is published. [m]"""
    sensitivity_dbm: LevelDbm | None = None
    """Level at which messages are still received; none where it does not receive. [dBm]"""
    antenna_gain_dbi: Annotated[float, Field(ge=-40.0, le=30.0)] = 0.0
    """Gain of its antenna on receive. [dBi]"""
    spread_db: NotNegative = 0.0
    """Spread of these figures from piece to piece. [dB]"""

    @model_validator(mode="after")
    def _one_power(self) -> Self:
        given = [self.eirp_dbm, self.field_strength_uv_per_m, self.open_air_range_m]
        if sum(x is not None for x in given) > 1:
            raise ValueError(
                "give one of eirp_dbm, field_strength_uv_per_m and open_air_range_m, not several"
            )
        return self


class Cell(Model):
    """The cells of a wireless part."""

    designation: Label
    """IEC 60086 designation."""
    count: Annotated[int, Field(ge=1, le=12)] = 1
    """How many in series."""
    capacity_ah: Annotated[float, Field(gt=0.0, le=1000.0)]
    """Capacity. [Ah]"""
    sleep_current_a: Annotated[float, Field(gt=0.0, le=100.0)]
    """Current between messages. [A]"""
    message_current_a: Annotated[float, Field(gt=0.0, le=100.0)]
    """Current during a message. [A]"""
    message_s: Annotated[float, Field(gt=0.0, le=3600.0)]
    """Length of a message. [s]"""


class _Part(Model):
    id: Id
    """Stable name of the part."""
    name: Label
    """What people call it."""
    source: Source
    """Where its figures come from."""
    sources: dict[str, Source] = {}
    """Figures with a source of their own."""
    note: Text = ""
    """What a reader should know."""
    price: NotNegative | None = None
    """Price in the catalogue's currency, of a metre for what is sold by length. [currency]"""
    standby_current_a: NotNegative | None = None
    """Current taken from the panel's supply at rest. [A]"""
    alarm_current_a: NotNegative | None = None
    """Current taken from the panel's supply in alarm. [A]"""


class PanelPart(_Part):
    """Control panel."""

    kind: Literal["panel"]
    """Kind of part."""
    radios: list[Radio] = []
    """Its receivers, one a family."""
    scale: Scale | None = None
    """How it shows the level of a device."""
    zones_max: Annotated[int, Field(ge=1)] | None = None
    """Zones it can hold."""
    nominal_v: Positive = 12.0
    """Supply volts. [V]"""
    minimum_v: Positive | None = None
    """Volts below which it stops. [V]"""


class DetectorPart(_Part):
    """Detector, contact, button, keypad or sounder."""

    kind: Literal["detector"]
    """Kind of part."""
    what: DeviceKind
    """What it watches or does."""
    radio: Radio | None = None
    """Its radio; none for a wired one."""
    signals: list[SignalKind] = [SignalKind.ALARM]
    """What it tells the centre."""
    cell: Cell | None = None
    """Its cells."""
    supervision_interval_s: Positive | None = None
    """Time between its supervision messages. [s]"""
    minimum_v: Positive | None = None
    """Volts below which a wired one stops. [V]"""


class RepeaterPart(_Part):
    """Repeater: hears like a panel and sends like a device."""

    kind: Literal["repeater"]
    """Kind of part."""
    radios: list[Radio] = Field(min_length=1)
    """Its radios, one a family."""
    max_devices: Annotated[int, Field(ge=1)] | None = None
    """Devices it can carry."""


class Draw(Model):
    """What a module takes from the panel's supply with one mobile technology."""

    technology: Technology
    """The technology."""
    idle_a: NotNegative
    """Current between reports. [A]"""
    report_a: NotNegative
    """Average current during a report. [A]"""
    report_s: Positive
    """Length of a report, from waking up to sleeping again. [s]"""
    peak_a: Positive | None = None
    """Current in a transmit burst. [A]"""


class CommunicatorPart(_Part):
    """Mobile module."""

    kind: Literal["communicator"]
    """Kind of part."""
    technologies: list[Technology] = Field(min_length=1)
    """Mobile technologies."""
    bands: list[Band] = []
    """3GPP band numbers."""
    panels: list[Id] = []
    """Panels it fits; empty means any."""
    countries: list[Country] = []
    """Countries it is allowed in; empty means not said."""
    sim_kinds: list[SimKind] = []
    """Kinds of card that go with it."""
    antenna_gain_dbi: Annotated[float, Field(ge=-20.0, le=20.0)] = 0.0
    """Gain of the built-in antenna. [dBi]"""
    antenna_socket: bool = False
    """Whether another antenna can be connected."""
    eirp_max_dbm: LevelDbm | None = None
    """Largest radiated power with the built-in antenna. [dBm]"""
    stated_distance_m: Positive = 0.20
    """Distance to people that its papers ask for. [m]"""
    average_current_a: NotNegative | None = None
    """Average current while reporting as usual. [A]"""
    peak_current_a: NotNegative | None = None
    """Current in a transmit burst. [A]"""
    draws: list[Draw] = []
    """What it takes by technology; where given, it goes before average and peak current."""
    burst_s: Positive | None = None
    """Length of a transmit burst. [s]"""
    minimum_v: Positive | None = None
    """Volts it needs during a burst. [V]"""
    scale: Scale | None = None
    """How it shows its level."""
    yearly_cost: NotNegative | None = None
    """Cost of its platform in the catalogue's currency, that of the card apart. [currency/year]"""
    platform_ends: date | None = None
    """Date until which its platform is promised."""


class ServicePart(_Part):
    """Card with account, as the dealer offers it."""

    kind: Literal["service"]
    """Kind of part."""
    sim_kind: SimKind
    """Kind of its card."""
    networks: list[MccMnc] = []
    """Networks that its card may use, preferred first; empty means those of the site."""
    communicators: list[Id] = []
    """Communicators that it is offered for; empty means any that take its kind of card."""
    countries: list[Country] = []
    """Countries it is offered in; empty means not said."""
    yearly_cost: NotNegative | None = None
    """Cost of card and account in the catalogue's currency. [currency/year]"""


class AntennaPart(_Part):
    """Antenna for a communicator."""

    kind: Literal["antenna"]
    """Kind of part."""
    gain_dbi: Annotated[float, Field(ge=-20.0, le=30.0)]
    """Gain in its bands. [dBi]"""
    low_hz: Frequency
    """Lowest frequency. [Hz]"""
    high_hz: Frequency
    """Highest frequency. [Hz]"""
    vswr: Annotated[float, Field(ge=1.0, le=20.0)] = 2.0
    """Largest standing wave ratio in its bands."""
    outdoor: bool = False
    """Whether it may hang outside."""
    places: list[AntennaPlace] = []
    """Kinds of places it is made for; empty means any."""


class FeederPart(_Part):
    """Coaxial cable; loss per 100 m = k1 sqrt(f) + k2 f with f in MHz."""

    kind: Literal["feeder"]
    """Kind of part."""
    k1_db_per_100m: Annotated[float, Field(ge=0.0, le=1000.0)]
    """Factor of the root of the frequency in MHz. [dB/100 m]"""
    k2_db_per_100m: Annotated[float, Field(ge=0.0, le=1000.0)]
    """Factor of the frequency in MHz. [dB/100 m]"""
    connector_loss_db: Annotated[float, Field(ge=0.0, le=10.0)] = 0.5
    """Planning loss of a mated pair. [dB]"""


class BatteryPart(_Part):
    """Standby battery."""

    kind: Literal["battery"]
    """Kind of part."""
    chemistry: Literal["lead_acid", "lithium_ion", "lithium_iron_phosphate", "nickel_metal_hydride"]
    """Chemistry."""
    nominal_v: Positive
    """Nominal volts. [V]"""
    capacity_ah: Positive
    """Capacity at the hour rate below. [Ah]"""
    hour_rate_h: Positive = 20.0
    """Hour rate of the capacity. [h]"""
    peukert: Annotated[float, Field(ge=1.0, le=2.0)] | None = None
    """Peukert exponent."""
    internal_resistance_ohm: NotNegative | None = None
    """Internal resistance when new. [ohm]"""
    life_years: Positive | None = None
    """Design life. [years]"""
    end_v: Positive | None = None
    """Volts at the end of discharge. [V]"""


class SupplyPart(_Part):
    """Power supply."""

    kind: Literal["supply"]
    """Kind of part."""
    types: list[SupplyKind] = Field(min_length=1)
    """What it can be used as."""
    output_v: Positive
    """Output volts. [V]"""
    average_a: Positive
    """Current it gives all day, to loads and battery together: charging is inside. [A]"""
    peak_a: Positive
    """Current it gives for a short time, an alarm long; charging is inside. [A]"""
    charge_a: NotNegative = 0.0
    """Current it puts into an empty battery, out of the two above; 0 where not known. [A]"""


class CablePart(_Part):
    """Cable that feeds something."""

    kind: Literal["cable"]
    """Kind of part."""
    area_mm2: Positive | None = None
    """Copper area of a conductor. [mm2]"""
    awg: Annotated[int, Field(ge=0, le=40)] | None = None
    """Or: gauge."""
    strands: Literal["solid", "7", "class_5"] = "class_5"
    """Stranding."""
    copper_clad: bool = False
    """True for copper-clad aluminium."""

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        if (self.area_mm2 is None) == (self.awg is None):
            raise ValueError("give either area_mm2 or awg")
        return self


class InstrumentPart(_Part):
    """Something that measures: survey modem, phone, meter."""

    kind: Literal["instrument"]
    """Kind of part."""
    measures: list[Quantity] = []
    """What it shows as numbers."""
    scale: Scale | None = None
    """Its own scale."""
    offset_db: Annotated[float, Field(ge=-30.0, le=30.0)] = 0.0
    """What it shows above the true level. [dB]"""
    spread_db: NotNegative = 0.0
    """Spread from piece to piece. [dB]"""


Part = Annotated[
    PanelPart
    | DetectorPart
    | RepeaterPart
    | CommunicatorPart
    | ServicePart
    | AntennaPart
    | FeederPart
    | BatteryPart
    | SupplyPart
    | CablePart
    | InstrumentPart,
    Field(discriminator="kind"),
]
"""Any catalogue entry; `kind` says which."""
