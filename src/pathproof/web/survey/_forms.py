"""Forms of the survey: where a thing hangs, and one more spot."""

from typing import Any

from django import forms

from pathproof.job import Job, Place, Site, Spot
from pathproof.plans.listed import Ids, things_of
from pathproof.terms import AntennaPlace


def _number(label: str, low: float, high: float, **kwargs: Any) -> forms.FloatField:
    said = f"Allowed: {low:g} to {high:g} m."
    messages = {"invalid": f"Enter a number, such as 2.5. {said}", "min_value": said,
                "max_value": said}  # fmt: skip
    return forms.FloatField(
        label=label,
        min_value=low,
        max_value=high,
        error_messages=messages,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
        **kwargs,
    )


class PlaceForm(forms.Form):
    """Where on the plan something hangs."""

    floor = forms.ChoiceField(label="Storey")
    x = _number("x, to the right (m)", -512.0, 512.0)
    y = _number("y, up the plan (m)", -512.0, 512.0)
    height_m = _number("Height above the floor (m)", 0.0, 100.0)
    confirmed = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, site: Site, with_height: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        floors = sorted(site.floors, key=lambda f: f.elevation_m)
        self.fields["floor"].choices = [(f.id, f.name) for f in floors]  # type: ignore[attr-defined]
        if not with_height:
            del self.fields["height_m"]

    @property
    def place(self) -> Place:
        """What was given."""
        given = self.cleaned_data
        return Place(
            floor=given["floor"], at=(given["x"], given["y"]), height_m=given.get("height_m", 0.0)
        )


class SpotForm(forms.Form):
    """A place where mobile levels are read."""

    name = forms.CharField(label="What people call it", max_length=200)
    place = forms.ChoiceField(
        label="Kind of place",
        required=False,
        choices=[("", "not said"), *((str(p), str(p).replace("_", " ")) for p in AntennaPlace)],
    )
    cable_m = _number(
        "Antenna cable from the panel (m)",
        0.0,
        1000.0,
        required=False,
        help_text="0 in the panel; estimated from the plan if left empty.",
    )


def with_spot(job: Job, name: str, place: str | None, cable_m: float | None) -> Job:
    """The job with one more spot."""
    site = job.site
    spot = Spot(
        id=Ids(things_of(site)).of(name),
        name=name,
        place=None if place is None else AntennaPlace(place),
        cable_m=cable_m,
    )
    return job.model_copy(update={"site": site.model_copy(update={"spots": [*site.spots, spot]})})
