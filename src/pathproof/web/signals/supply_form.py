"""The form for a supply test."""

from typing import Any

from django import forms

from pathproof.job import PANEL_ID
from pathproof.terms import JobError, RecordKind
from pathproof.web.signals.evidence import EvidenceForm
from pathproof.web.signals.fields import Decimal


class SupplyTestForm(EvidenceForm):
    """What a meter shows at panel and battery."""

    kind = RecordKind.SUPPLY_TEST
    caption = "Supply test"
    caution = (
        "Local codes and licensed persons come first: mains wiring is for those permitted to do "
        "it. Put the account on test, and tell everybody in the house that it gets loud. A battery "
        "that is swollen, leaks or is hot is not tested. Fit an ammeter only with the system dead; "
        "a clamp goes round one lead of the battery."
    )
    passed_on = (
        "standby_current_a",
        "alarm_current_a",
        "loaded_v",
        "loaded_minutes",
        "charger_v",
    )
    conditions = ("text",)

    standby_current_a = Decimal(
        label="Standby current", unit="A", example="0.14", help_text="Mains off, nothing in alarm."
    )
    alarm_current_a = Decimal(
        label="Alarm current", unit="A", example="0.74", help_text="Mains off, all in alarm."
    )
    loaded_v = Decimal(
        label="Battery under alarm load",
        unit="V",
        example="12.2",
        help_text="At its terminals. Stop at once where a 12 V lead-acid block falls below 10.5 V.",
    )
    loaded_minutes = Decimal(label="After", unit="min", example="6")
    charger_v = Decimal(
        label="Charger with the battery connected",
        unit="V",
        example="13.7",
        help_text="Mains on, battery full.",
    )
    battery_date = forms.DateField(
        label="Date on the battery",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Of several blocks the oldest.",
        error_messages={"invalid": "This is no date; give it as 2026-09-15."},
    )
    text = forms.CharField(label="Anything else", required=False, max_length=2000)

    def things(self) -> list[str]:
        return [PANEL_ID] if self.job.site.panel else []

    def values(self) -> dict[str, Any]:
        values, dated = super().values(), self.cleaned_data["battery_date"]
        measured = {**values, **({} if dated is None else {"battery_date": dated.isoformat()})}
        if not measured:
            raise JobError("Nothing was measured. Give one figure or more, or the battery's date.")
        return measured
