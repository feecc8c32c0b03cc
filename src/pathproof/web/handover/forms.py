"""The form of a customer's link."""

from django import forms

from pathproof.web.handover.links import DAYS, MOST_DAYS

_ALLOWED = f"Allowed: a whole number of days from 1 to {MOST_DAYS}, such as {DAYS}."


class LinkForm(forms.Form):
    """For whom, and for how long."""

    note = forms.CharField(
        label="For whom",
        max_length=100,
        help_text="Such as the customer's name; only people with an account see it.",
        error_messages={"required": "Say for whom it is, to know later which link to withdraw."},
    )
    days = forms.IntegerField(
        label="For how many days",
        initial=DAYS,
        min_value=1,
        max_value=MOST_DAYS,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={name: _ALLOWED for name in ("required", "invalid", "min_value",
                                                    "max_value")},
    )  # fmt: skip
