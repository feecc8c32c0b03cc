"""The record: what happened, as entries that are only ever added.

A correction is a new entry that names the one it replaces. `fits` says for which link or signal
an entry speaks and holds the fingerprint of the parts of the site it was true for.
"""

from datetime import date
from itertools import pairwise
from typing import Annotated, Final, Literal, Self

from pydantic import AfterValidator, Field, StringConstraints, model_validator

from pathproof.job._model import (
    PANEL_ID,
    Band,
    Code,
    Id,
    Label,
    MccMnc,
    Model,
    Moment,
    NotNegative,
    Positive,
    Sha256,
    Text,
    beyond_instruments,
    like,
    storable,
)
from pathproof.job._problems import Problems
from pathproof.terms import EventMeans, Quantity, SignalKind, Technology

Volts = Annotated[float, Field(ge=0.0, le=60.0)]
Amperes = Annotated[float, Field(ge=0.0, le=100.0)]
Raw = Annotated[str, StringConstraints(max_length=1_000_000), AfterValidator(storable)]
_A_YEAR_S: Final = 366 * 86_400.0
Fingerprint = Annotated[str, like(r"^[0-9a-f]{16}$", "16 digits 0 to 9 and a to f")]


class Level(Model):
    """One level with the edges of its bin; an open edge is none."""

    quantity: Quantity
    """What was measured; the unit is the suffix."""
    value: float
    """Middle of the bin, or its closed edge. [unit of the quantity]"""
    low: float | None = None
    """Lower edge. [unit of the quantity]"""
    high: float | None = None
    """Upper edge. [unit of the quantity]"""

    @model_validator(mode="after")
    def _sensible(self) -> Self:
        levels = {"value": self.value, "low": self.low, "high": self.high}
        beyond = beyond_instruments(self.quantity, levels)
        if beyond:
            raise Problems(beyond)
        low = self.value if self.low is None else self.low
        high = self.value if self.high is None else self.high
        if not low <= self.value <= high:
            raise ValueError(f"value {self.value:g} is outside its bin {low:g} to {high:g}")
        return self


class Conditions(Model):
    """Under which conditions an entry was made; none means nobody said."""

    lid_shut: bool | None = None
    """The panel's or device's lid was shut."""
    final_place: bool | None = None
    """The device hung where it stays."""
    final_antenna: bool | None = None
    """The antenna and feeder that stay were fitted."""
    minutes: NotNegative | None = None
    """How long the reading was watched. [min]"""
    minutes_since_registration: NotNegative | None = None
    """Time since the module registered. [min]"""
    attempt: Annotated[int, Field(ge=1)] | None = None
    """Which try it was."""
    text: Text = ""
    """Anything else."""


class Sample(Model):
    """What was read a while after the first reading of a watch."""

    after_s: Annotated[float, Field(gt=0.0, le=_A_YEAR_S)]
    """Time since the entry's own moment. [s]"""
    levels: list[Level]
    """What was read; empty when the instrument knew nothing."""


class ReadingValues(Model):
    """Mobile levels read at a spot or by a communicator."""

    levels: list[Level]
    """What was read; empty when the instrument knew nothing."""
    series: Annotated[list[Sample], Field(max_length=5000)] = []
    """What was read later in the same watch, oldest first."""
    step: Label | None = None
    """The step as shown, on a scale that is tied to no levels."""
    network: MccMnc | None = None
    """The network that was read."""
    technology: Technology | None = None
    """Its technology."""
    band: Band | None = None
    """3GPP band number."""
    bandwidth_hz: Positive | None = None
    """Bandwidth of its channel. [Hz]"""

    @model_validator(mode="after")
    def _series_goes_on(self) -> Self:
        after = [0.0, *(x.after_s for x in self.series)]
        late = next((i for i, (a, b) in enumerate(pairwise(after)) if b <= a), None)
        if late is not None:
            raise Problems(
                [
                    (
                        f"series[{late}].after_s",
                        f"given {after[late + 1]:g}; allowed: above {after[late]:g}, as samples "
                        "stand oldest first",
                    )
                ]
            )
        return self


class LevelValues(Model):
    """How strongly a device is heard."""

    via: Id = PANEL_ID
    """Who heard it: the panel or a repeater."""
    levels: list[Level] = []
    """One level a message, as rssi_dbm."""
    steps: list[Label] = []
    """The steps as the panel shows them, where it has a scale of its own."""

    @model_validator(mode="after")
    def _something_heard(self) -> Self:
        if not self.levels and not self.steps:
            raise ValueError("holds neither levels nor steps; give what was heard")
        return self


class WalkValues(Model):
    """A walk test: messages due and received."""

    via: Id = PANEL_ID
    """Who received them: the panel or a repeater."""
    due: Annotated[int, Field(ge=1, le=10000)]
    """Messages that were due."""
    received: Annotated[int, Field(ge=0, le=10000)]
    """Messages received."""
    in_hand_db: NotNegative = 0.0
    """Attenuation put in the way during the test. [dB]"""

    @model_validator(mode="after")
    def _not_more_than_due(self) -> Self:
        if self.received > self.due:
            raise ValueError(f"received {self.received} is more than due {self.due}")
        return self


class EventValues(Model):
    """A signal as the monitoring centre received it."""

    signal: SignalKind
    """Which signal of the device or panel it was."""
    arrived: bool = True
    """False when it was sent and the centre has nothing."""
    code: Code | None = None
    """Code that the centre received."""
    zone: Annotated[int, Field(ge=0, le=9999)] | None = None
    """Zone number that the centre received."""
    partition: Annotated[int, Field(ge=0, le=99)] | None = None
    """Partition number that the centre received."""
    delay_s: NotNegative | None = None
    """From trip to the centre. [s]"""
    means: EventMeans
    """By the centre's list, by read-back on the phone, or by our own receiver."""
    reference: Text = ""
    """The centre's reference or the operator's name."""
    communicator: Id | None = None
    """Which communicator carried it, where that is known."""


class SupplyTestValues(Model):
    """Currents and volts measured at the panel."""

    standby_current_a: Amperes | None = None
    """Current with nothing in alarm. [A]"""
    alarm_current_a: Amperes | None = None
    """Current in alarm. [A]"""
    loaded_v: Volts | None = None
    """Battery volts under alarm load with the mains off. [V]"""
    loaded_minutes: NotNegative | None = None
    """After so many minutes. [min]"""
    charger_v: Volts | None = None
    """Charger volts with the battery connected. [V]"""
    battery_date: date | None = None
    """Date on the battery."""


class StepValues(Model):
    """A step of a procedure."""

    procedure: Id
    """Procedure."""
    step: Id
    """Step."""
    done: bool
    """Done, or left out."""
    text: Text = ""
    """Why left out, or what was seen."""


class PhotoValues(Model):
    """A photograph, kept beside the job file."""

    sha256: Sha256
    """Hash of the picture."""
    media_type: Literal["image/jpeg", "image/png", "image/webp"]
    """Kind of picture."""
    caption: Text = ""
    """What it shows."""


class SignatureValues(Model):
    """Somebody signed a paper."""

    name: Label
    """Who signed."""
    role: Label
    """As what."""
    paper: Label
    """Which paper."""
    sha256: Sha256 | None = None
    """Hash of the signed paper."""


class ConfirmValues(Model):
    """Somebody checked a limit in their own copy of the document."""

    profile: Id
    """Profile that holds the limit."""
    limit: Id
    """Name of the limit."""
    value: float
    """The value in their copy. [unit of the limit]"""
    document: Label
    """Document."""
    edition: Label
    """Edition of their copy."""


class OverrideValues(Model):
    """Somebody accepts a link as it is. It changes no word; papers show it."""

    link: Label
    """Which link."""
    reason: Label
    """Why it is accepted."""
    until: date | None = None
    """Until when."""


class NoteValues(Model):
    """A note."""

    text: Label
    """The note."""


class _Entry(Model):
    id: Id
    """Stable name of the entry."""
    about: list[Id] = []
    """What it is about: devices, panel, repeaters, spots, communicators."""
    at: Moment
    """When, with offset."""
    by: Label
    """Who."""
    instrument: Text = ""
    """With what."""
    conditions: Conditions = Conditions()
    """Under which conditions."""
    raw: Raw | None = None
    """What the instrument said, to the letter; of a watch the whole log."""
    replaces: Id | None = None
    """The entry that this one corrects."""
    fits: dict[Annotated[str, StringConstraints(max_length=200)], Fingerprint] = {}
    """Link or signal it speaks for, and the fingerprint of the site's parts it was true for."""


class ReadingEntry(_Entry):
    """Mobile levels."""

    kind: Literal["reading"]
    """Kind of entry."""
    values: ReadingValues
    """What was read."""


class LevelEntry(_Entry):
    """Device heard."""

    kind: Literal["level"]
    """Kind of entry."""
    values: LevelValues
    """What was heard."""


class WalkEntry(_Entry):
    """Walk test."""

    kind: Literal["walk"]
    """Kind of entry."""
    values: WalkValues
    """What was received."""


class EventEntry(_Entry):
    """Signal at the centre."""

    kind: Literal["event"]
    """Kind of entry."""
    values: EventValues
    """What the centre received."""


class SupplyTestEntry(_Entry):
    """Supply test."""

    kind: Literal["supply_test"]
    """Kind of entry."""
    values: SupplyTestValues
    """What was measured."""


class StepEntry(_Entry):
    """Step of a procedure."""

    kind: Literal["step"]
    """Kind of entry."""
    values: StepValues
    """Which step."""


class PhotoEntry(_Entry):
    """Photograph."""

    kind: Literal["photo"]
    """Kind of entry."""
    values: PhotoValues
    """Which picture."""


class SignatureEntry(_Entry):
    """Signature."""

    kind: Literal["signature"]
    """Kind of entry."""
    values: SignatureValues
    """Who and what."""


class ConfirmEntry(_Entry):
    """Limit checked in one's own copy."""

    kind: Literal["confirm"]
    """Kind of entry."""
    values: ConfirmValues
    """Which limit."""


class OverrideEntry(_Entry):
    """Link accepted as it is."""

    kind: Literal["override"]
    """Kind of entry."""
    values: OverrideValues
    """Which link and why."""


class NoteEntry(_Entry):
    """Note."""

    kind: Literal["note"]
    """Kind of entry."""
    values: NoteValues
    """The note."""


Entry = Annotated[
    ReadingEntry
    | LevelEntry
    | WalkEntry
    | EventEntry
    | SupplyTestEntry
    | StepEntry
    | PhotoEntry
    | SignatureEntry
    | ConfirmEntry
    | OverrideEntry
    | NoteEntry,
    Field(discriminator="kind"),
]
"""Any record entry; `kind` says which."""
