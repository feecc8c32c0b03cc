"""Forms for what a panel or repeater hears of a device."""

from typing import Any, ClassVar

from django import forms

from pathproof.instruments import heard_values
from pathproof.job import PANEL_ID, Job, PanelPart, Scale
from pathproof.job.fingerprint import radio_ways
from pathproof.job.record import Entry, LevelEntry
from pathproof.terms import LimitName, RecordKind
from pathproof.web.signals.event_form import ON_TEST
from pathproof.web.signals.evidence import EvidenceForm, called
from pathproof.web.signals.fields import Decimal, Lines, Tick, Whole

_LID = "The lid was shut"
_PLACE = "It hung in its final place"


class _HeardForm(EvidenceForm):
    conditions: ClassVar[tuple[str, ...]] = ("lid_shut", "final_place", "text")

    about = forms.CharField(required=False, widget=forms.HiddenInput)
    via = forms.ChoiceField(label="Heard by", required=False)

    def prepare(self) -> None:
        about = str(self["about"].value() or "")
        names = called(self.job.site)
        receivers = [(to, names[to]) for start, to in radio_ways(self.job, about) if start == about]
        self.via_field.choices = receivers or [(PANEL_ID, "Panel")]
        if len(receivers) < 2:
            self.via_field.widget = forms.HiddenInput()
            self.initial.setdefault("via", self.via_field.choices[0][0])

    @property
    def via_field(self) -> Any:
        """The choice of who heard it."""
        return self.fields["via"]

    @property
    def receiver(self) -> str:
        """Who heard it."""
        return self.cleaned_data["via"] or PANEL_ID


class WalkForm(_HeardForm):
    """A walk test."""

    kind = RecordKind.WALK
    caption = "Walk test"
    caution = ON_TEST
    passed_on = ("due", "received")

    due = Whole(label="Messages due", required=True)
    received = Whole(label="Messages received", required=True)
    in_hand_db = Decimal(
        label="Power in hand",
        unit="dB",
        example="6",
        help_text="Attenuation in the way, or power taken back, during the test. Empty for none.",
    )
    lid_shut = Tick(label=_LID)
    final_place = Tick(label=_PLACE)
    text = forms.CharField(label="Anything else", required=False, max_length=2000)

    def clean(self) -> None:
        due, received = (self.cleaned_data.get(name) for name in ("due", "received"))
        if due is not None and received is not None and not 0 <= received <= due:
            self.add_error(
                "received",
                f"Given {received}; allowed: 0 to the {due} that were due. Count again.",
            )

    def prepare(self) -> None:
        super().prepare()
        asked = asked_messages(self.job)
        if asked is not None:
            self.initial.setdefault("due", asked)

    def values(self) -> dict[str, Any]:
        in_hand_db = self.cleaned_data["in_hand_db"] or 0.0
        return {**super().values(), "in_hand_db": in_hand_db, "via": self.receiver}


class LevelForm(_HeardForm):
    """A device heard, by the panel's own scale or in dBm."""

    kind = RecordKind.LEVEL
    caption = "Level heard"
    where = "heard"

    heard = Lines(
        label="How strongly it was heard",
        max_length=20_000,
        help_text="Each message a step as the panel shows it, or a level in dBm; commas or lines "
        "between them.",
    )
    lid_shut = Tick(label=_LID)
    final_place = Tick(label=_PLACE)
    text = forms.CharField(label="Anything else", required=False, max_length=2000)

    def values(self) -> dict[str, Any]:
        scale = panel_scale(self.job) if self.receiver == PANEL_ID else None
        return {"via": self.receiver, **heard_values(self.cleaned_data["heard"], scale)}

    @classmethod
    def of(cls, entry: Entry, time_zone: str) -> dict[str, Any]:
        shown = super().of(entry, time_zone)
        if isinstance(entry, LevelEntry):
            levels = [f"{x.value:g}" for x in entry.values.levels]
            shown["heard"] = "\n".join([*levels, *entry.values.steps])
        return shown


def asked_messages(job: Job) -> int | None:
    """Messages that the profile asks for in a walk test."""
    limit = job.profile.limits.get(LimitName.WALK_MESSAGES)
    return None if limit is None else int(limit.value)


def panel_scale(job: Job) -> Scale | None:
    """The scale by which the panel shows how it hears devices."""
    panel = job.site.panel
    part = None if panel is None else job.part(panel.part)
    return part.scale if isinstance(part, PanelPart) else None
