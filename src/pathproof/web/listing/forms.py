"""Forms for new jobs, and for erasing one."""

from collections.abc import Sequence
from difflib import get_close_matches
from functools import cache
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.core.files.uploadedfile import UploadedFile

from pathproof.job import (
    BatteryPart,
    CommunicatorPart,
    Job,
    Library,
    PanelPart,
    Part,
    SupplyPart,
    parse_job,
)
from pathproof.job.file import MAX_BYTES
from pathproof.job.starting import of_kind, usual
from pathproof.plans.listed import MAX_TEXT
from pathproof.terms import JobError, PlanError
from pathproof.web.listing.making import ABOUT, PARTS, Made, from_list, zone_of_this_machine

_EXAMPLE = "door contact, Back door, 12 m, 2 brick, 1 floor"
_LATER = ("", "Not chosen yet")


class NewJob(forms.Form):
    """A job with no plan: a name, parts, and devices as a list."""

    name = forms.CharField(
        label="Name of the site",
        max_length=200,
        widget=forms.TextInput(attrs={"autofocus": True}),
    )
    reference = forms.CharField(label="Your job number", max_length=200, required=False)
    devices = forms.CharField(
        label="Devices",
        required=False,
        strip=False,
        max_length=MAX_TEXT,
        widget=forms.Textarea(
            attrs={
                "rows": 12,
                "spellcheck": "false",
                "autocomplete": "off",
                "placeholder": _EXAMPLE,
            }
        ),
        help_text="One a line, typed or pasted: what, where, how far from the panel, what stands "
        "between. Empty is fine; they can be added later.",
    )
    panel = forms.ChoiceField(label="Panel", required=False)
    communicator = forms.ChoiceField(label="Communicator", required=False)
    supply = forms.ChoiceField(label="Supply", required=False)
    battery = forms.ChoiceField(label="Battery", required=False)
    country = forms.CharField(
        label="Country",
        max_length=64,
        required=False,
        help_text="Two letters, such as AT.",
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off"}),
    )
    time_zone = forms.CharField(
        label="Time zone", max_length=64, help_text="By its IANA name, such as Europe/Vienna."
    )
    currency = forms.CharField(
        label="Currency",
        max_length=64,
        help_text="Three letters, such as EUR.",
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, library: Library, **kwargs: Any) -> None:
        start = usual(library)
        kwargs["initial"] = {
            **{name: getattr(start, name) for name in PARTS},
            "time_zone": zone_of_this_machine(),
            "currency": "EUR",
        }
        super().__init__(*args, **kwargs)
        if not self.is_bound:
            self.fields["time_zone"].widget.attrs["data-browser-zone"] = ""  # new_job.js fills it
        self._library = library
        offered: dict[str, Sequence[Part]] = {
            "panel": of_kind(library, PanelPart),
            "communicator": of_kind(library, CommunicatorPart),
            "supply": of_kind(library, SupplyPart),
            "battery": of_kind(library, BatteryPart),
        }
        for name, parts in offered.items():
            choices = [(part.id, part.name) for part in parts]
            self.fields[name].choices = [_LATER, *choices]  # type: ignore[attr-defined]

    def clean_country(self) -> str:
        return _letters(self.cleaned_data["country"], 2, "AT")

    def clean_currency(self) -> str:
        return _letters(self.cleaned_data["currency"], 3, "EUR")

    def clean_time_zone(self) -> str:
        zone: str = self.cleaned_data["time_zone"].strip()
        if zone not in available_timezones():
            alike = get_close_matches(zone.title(), _cities(), n=1)
            such = _cities()[alike[0]] if alike else "Europe/Vienna"
            raise forms.ValidationError(
                f"{zone!r} is no time zone; allowed: a name by IANA, such as {such}."
            )
        return zone

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        about = {name: given[name] for name in ABOUT if given.get(name)}
        try:  # with what is fine, so that all that is wrong is said at once
            self.made: Made = from_list({**given, "name": "-", **about}, self._library)
        except PlanError as error:
            self.add_error("devices", [line for line in str(error).splitlines() if line])
        except JobError as error:
            field = _field_of(str(error), self.fields)
            said = str(error).partition(": ")[2] if field else str(error)
            self.add_error(field, f"{said[:1].upper()}{said[1:]}")
        return given


class ImportedJob(forms.Form):
    """A job file."""

    file = forms.FileField(
        label="Job file",
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
        help_text="As exported here or saved by the command line.",
    )

    def __init__(self, *args: Any, library: Library, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._library = library

    def clean_file(self) -> UploadedFile:
        file: UploadedFile = self.cleaned_data["file"]
        if file.size is None or file.size > MAX_BYTES:
            raise forms.ValidationError(
                f"{file.name} has more than {MAX_BYTES // 2**20} MB, the most a job file has. Is "
                "it a plan? Plans are imported under Survey."
            )
        try:
            self.job: Job = parse_job(file.read(), self._library, file.name or "the file")
        except JobError as error:
            raise forms.ValidationError(str(error)) from error
        return file


class EraseJob(forms.Form):
    """The job's name, typed by whoever means it."""

    name = forms.CharField(
        label="Type the name of the site to erase it",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, job_name: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._job_name = job_name

    def clean_name(self) -> str:
        given: str = self.cleaned_data["name"]
        if given.split() != self._job_name.split():
            raise forms.ValidationError(
                f"{given!r} is not the name of the site. Type {self._job_name!r} to erase it."
            )
        return given


def _letters(given: str, count: int, example: str) -> str:
    """A code in capitals; empty where nothing was given."""
    code = given.strip().upper()
    if code and not (len(code) == count and code.isascii() and code.isalpha()):
        raise forms.ValidationError(
            f"{given!r} is no such code; allowed: {count} letters, such as {example}."
        )
    return code


@cache
def _cities() -> dict[str, str]:
    """Names of time zones by the place that they are called by."""
    return {zone.rpartition("/")[2].replace("_", " "): zone for zone in available_timezones()}


def _field_of(problem: str, fields: dict[str, forms.Field]) -> str | None:
    """The field that a problem of the site names first, where it is one of the form's."""
    first = problem.split(":", 1)[0].split(".")[0].strip()
    return first if first in fields else None
