"""The form for mobile readings, typed or pasted as module or phone shows them."""

from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from pathproof.assess.lte_words import told_band
from pathproof.assess.reading_words import quantity_words
from pathproof.assess.wording import technology_text
from pathproof.calc.mobile import LTE_RESOURCE_BLOCKS
from pathproof.instruments import (
    LIMITS,
    MAX_LOG,
    hinting_at_scales,
    read_pasted,
    reading_drafts,
    scales_of,
)
from pathproof.job import InstrumentPart
from pathproof.job.adding import Draft
from pathproof.job.home import user_library
from pathproof.job.record import Entry
from pathproof.terms import JobError, PathproofError, Quantity, RecordKind, Technology
from pathproof.web.signals.evidence import EvidenceForm, called
from pathproof.web.signals.fields import Decimal, Lines, Tick, Whole

_ANY = ("", "not said")
_LONGEST_PACE_S = 3600.0


class ReadingForm(EvidenceForm):
    """Mobile levels at a spot or by a communicator: one look, several, or a watch."""

    kind = RecordKind.READING
    caption = "Mobile reading"
    where = "shows"
    conditions = (
        "final_antenna",
        "lid_shut",
        "minutes",
        "minutes_since_registration",
        "attempt",
        "text",
    )
    folded = (
        "scale",
        "quantity",
        "earfcn",
        "bandwidth_hz",
        "minutes",
        "attempt",
        "instrument",
        "text",
    )

    about = forms.MultipleChoiceField(
        label="Where",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Tick the module where it read itself, and the spot where it was read.",
    )
    shows = Lines(
        label="What the module or phone shows",
        rows=5,
        max_length=MAX_LOG,
        help_text="As it stands there: an answer such as +CESQ: 99,99,255,255,20,40, levels such "
        "as RSRP -97 dBm, or a whole log, one reading a line with its time in front.",
    )
    every = Decimal(
        label="Lines are apart by",
        unit="s",
        example="10",
        min_value=0.1,
        max_value=_LONGEST_PACE_S,
        help_text="Only for a log whose lines tell no times.",
    )
    network = forms.ChoiceField(label="Network", required=False)
    technology = forms.ChoiceField(
        label="Technology",
        required=False,
        choices=[_ANY, *((str(t), technology_text(t)) for t in Technology)],
    )
    band = forms.CharField(label="Band", required=False, max_length=8)
    final_antenna = Tick(label="The final antenna was on it")
    lid_shut = Tick(label="The lid was shut")
    minutes_since_registration = Decimal(
        label="Registered before the first reading for", unit="min", example="10", min_value=0
    )
    scale = forms.ChoiceField(label="It shows steps of the scale of", required=False)
    quantity = forms.ChoiceField(
        label="A number without a name is",
        required=False,
        choices=[_ANY, *((str(q), quantity_words(q)[0]) for q in LIMITS)],
    )
    earfcn = Whole(label="Channel number (EARFCN)", example="6300")
    bandwidth_hz = forms.ChoiceField(
        label="Bandwidth of the LTE channel (MHz)",
        required=False,
        choices=[_ANY, *((f"{hz:.0f}", f"{hz / 1e6:g}") for hz in LTE_RESOURCE_BLOCKS)],
    )
    minutes = Decimal(
        label="Looked at for", unit="min", min_value=0, help_text="A log says so by itself."
    )
    attempt = Whole(label="Which try it is", min_value=1)
    instrument = forms.ChoiceField(label="Read with", required=False)
    text = forms.CharField(label="Anything else", required=False, max_length=2000)

    def prepare(self) -> None:
        site, library = self.job.site, user_library()
        names = called(site)
        things = [*(c.id for c in site.communicators), *(s.id for s in site.spots)]
        parts = {**library.parts, **self.job.embedded.catalogue}
        choices = {
            "about": [(i, names[i]) for i in things],
            "network": [
                _ANY,
                *(
                    (n.mcc_mnc, n.label if n.label == n.mcc_mnc else f"{n.label} ({n.mcc_mnc})")
                    for n in site.networks
                ),
            ],
            "scale": [("", "none: levels"), *((i, parts[i].name) for i in scales_of(library))],
            "instrument": [
                _ANY,
                *((i, p.name) for i, p in parts.items() if isinstance(p, InstrumentPart)),
            ],
        }
        for name, of in choices.items():
            field: Any = self.fields[name]
            field.choices = of
        if len(things) == 1:
            self.initial.setdefault("about", things)
        shown = self.initial.get("about")
        if isinstance(shown, str):
            self.initial["about"] = [x for x in shown.split(",") if x]

    def clean_about(self) -> list[str]:
        """The ticked ones; a reading of nothing speaks for nothing."""
        about: list[str] = self.cleaned_data["about"]
        offered = [name for _, name in self.things_offered]
        if not about and offered:
            raise forms.ValidationError(
                f"Nothing is ticked. Tick where it was read: {', '.join(offered)}."
            )
        return about

    @property
    def things_offered(self) -> list[tuple[str, str]]:
        """What a reading may be about, with names."""
        field: Any = self.fields["about"]
        return list(field.choices)

    def things(self) -> list[str]:
        about: list[str] = self.cleaned_data["about"]
        return about

    def drafts(self, by: str) -> list[Draft]:
        typed = self.cleaned_data
        scales = scales_of(user_library())
        try:
            logs = read_pasted(
                typed["shows"],
                now=self.present,
                zone=ZoneInfo(self.job.site.time_zone),
                told=typed["when"],
                every=None if typed["every"] is None else timedelta(seconds=typed["every"]),
                quantity=Quantity(typed["quantity"]) if typed["quantity"] else None,
                scale=scales.get(typed["scale"]),
            )
        except PathproofError as error:
            raise hinting_at_scales(error, typed["shows"], scales) from error
        found = reading_drafts(
            logs,
            self._told(),
            about=self.things(),
            by=by,
            conditions=self.told_conditions(),
            instrument=typed["instrument"],
            replaces=typed["replaces"] or None,
        )
        if typed["replaces"] and len(found) > 1:
            raise JobError(
                f"One entry replaces one, and this would be {len(found)}. Give what stands in "
                f"place of {typed['replaces']} alone."
            )
        return found

    def _told(self) -> dict[str, Any]:
        typed = self.cleaned_data
        told: dict[str, Any] = self.given(("network", "band"))
        if typed["technology"]:
            told["technology"] = Technology(typed["technology"])
        if typed["earfcn"] is not None:
            told["band"] = told_band(typed["earfcn"], typed["band"] or None)
        if typed["bandwidth_hz"]:
            told["bandwidth_hz"] = float(typed["bandwidth_hz"])
        return told

    @classmethod
    def of(cls, entry: Entry, time_zone: str) -> dict[str, Any]:
        shown = {**super().of(entry, time_zone), "shows": entry.raw or ""}
        if "bandwidth_hz" in shown:
            shown["bandwidth_hz"] = f"{shown['bandwidth_hz']:.0f}"
        return shown
