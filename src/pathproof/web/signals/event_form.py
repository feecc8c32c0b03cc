"""The form for a signal that the monitoring centre reads back on the phone."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from pathproof.job import PANEL_ID, DetectorPart
from pathproof.job.record import Entry, EventEntry
from pathproof.terms import PANEL_SIGNALS, EventMeans, InvalidInputError, RecordKind
from pathproof.web.signals.evidence import EvidenceForm
from pathproof.web.signals.fields import TimeOfDay, Whole
from pathproof.web.signals.moments import time_of

ON_TEST = "Before you trip a device, tell the monitoring centre that the account is on test."


class EventForm(EvidenceForm):
    """One signal at the centre."""

    kind = RecordKind.EVENT
    caption = "Read back by the centre"
    caution = ON_TEST
    passed_on = ("signal", "code", "zone", "partition", "reference", "communicator")

    about = forms.CharField(required=False, widget=forms.HiddenInput)
    signal = forms.ChoiceField(label="Signal")
    arrived = forms.ChoiceField(
        label="The centre",
        choices=[("yes", "has it"), ("no", "has nothing")],
        initial="yes",
        required=False,
    )
    code = forms.CharField(label="Code they have", required=False, max_length=12)
    zone = Whole(label="Zone they have", example="3", min_value=0, max_value=9999)
    partition = Whole(label="Partition they have", example="1", min_value=0, max_value=99)
    tripped = TimeOfDay(label="Tripped at", help_text="By the centre's clock, to the second.")
    seen = TimeOfDay(label="At the centre at")
    reference = forms.CharField(label="Operator or reference", required=False, max_length=2000)
    communicator = forms.ChoiceField(label="It came over", required=False)

    def prepare(self) -> None:
        about = str(self["about"].value() or "")
        kinds = signals_of(self.job, about)
        signal: Any = self.fields["signal"]
        signal.choices = [(str(k), k.replace("_", " ")) for k in kinds]
        communicators = [c.id for c in self.job.site.communicators]
        over: Any = self.fields["communicator"]
        over.choices = [("", "not known"), *((c, c) for c in communicators)]
        if len(communicators) < 2:
            over.widget = forms.HiddenInput()

    @property
    def moment(self) -> datetime:
        seen, tripped = self._times()
        return seen or tripped or super().moment

    def values(self) -> dict[str, Any]:
        seen, tripped = self._times()
        arrived = self.cleaned_data["arrived"] != "no"
        values = {**super().values(), "arrived": arrived, "means": str(EventMeans.READ_BACK)}
        if seen is None or tripped is None or not arrived:
            return values
        delay_s = (seen - tripped).total_seconds()
        if delay_s < 0:
            raise InvalidInputError(
                f"At the centre at {seen:%H:%M:%S} is before it was tripped at {tripped:%H:%M:%S}. "
                "Ask the centre what time their clock shows, and correct one of them."
            )
        return {**values, "delay_s": delay_s}

    def _times(self) -> tuple[datetime | None, datetime | None]:
        """When the centre had it, and when it was tripped."""
        day = super().moment.astimezone(ZoneInfo(self.job.site.time_zone))
        if self.cleaned_data["when"]:
            day = day.replace(hour=23, minute=59, second=59)
        at_centre, trip = (self.cleaned_data[n] for n in ("seen", "tripped"))
        seen = time_of(at_centre, day) if at_centre else None
        return seen, time_of(trip, seen or day) if trip else None

    @classmethod
    def of(cls, entry: Entry, time_zone: str) -> dict[str, Any]:
        shown = super().of(entry, time_zone)
        if isinstance(entry, EventEntry):
            at = entry.at.astimezone(ZoneInfo(time_zone))
            shown["arrived"] = "yes" if entry.values.arrived else "no"
            shown["seen"] = f"{at:%H:%M:%S}"
        return shown


def signals_of(job: Any, about: str) -> tuple[Any, ...]:
    """What a device or the panel has to tell."""
    if about == PANEL_ID:
        return PANEL_SIGNALS
    device = next((d for d in job.site.devices if d.id == about), None)
    part = None if device is None else job.part(device.part)
    return tuple(part.signals) if isinstance(part, DetectorPart) else ()
