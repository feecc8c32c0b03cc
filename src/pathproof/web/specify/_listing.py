"""The form that takes a list of devices."""

from typing import Final

from django import forms

from pathproof.plans.listed import MAX_TEXT

_HELP: Final = (
    "A device a line: what, where, how far from the panel, what stands between. "
    "Distances are metres unless you write feet."
)


class ListForm(forms.Form):
    """Devices as text."""

    text = forms.CharField(
        label="Devices",
        help_text=_HELP,
        max_length=MAX_TEXT,
        widget=forms.Textarea(
            {"rows": 12, "placeholder": "door contact, Back door, 12 m, 2 brick, 1 floor"}
        ),
        error_messages={"required": "Nothing was given. Write a device a line."},
    )
