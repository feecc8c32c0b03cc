"""Forms of an import: the files, what a drawing leaves open, and where a picture lies."""

from typing import Any

from django import forms

from pathproof.job import Floor, Site
from pathproof.job.storeys import new_storey
from pathproof.plans import DrawingNotes, Unit
from pathproof.plans.dxf import StoreyNote
from pathproof.plans.picture import Scaling
from pathproof.web.survey.importing import SUFFIXES, Upload


class Files(forms.ClearableFileInput):
    """Several files at once."""

    allow_multiple_selected = True


class FilesForm(forms.Form):
    """What is sent in; `request.FILES` holds all of it."""

    plan = forms.FileField(
        label="Plan",
        widget=Files(attrs={"accept": ",".join(SUFFIXES)}),
        help_text="An IFC file; DXF files, one for each storey from the lowest up; or a picture or "
        "PDF to lie under a storey.",
    )


class DrawingForm(forms.Form):
    """What a drawing leaves open; sent by GET, as it only reads."""

    unit = forms.ChoiceField(
        label="Drawn in",
        required=False,
        choices=[("", "as its header says"), *((str(u), str(u)) for u in Unit)],
    )
    storey_height_m = forms.FloatField(
        label="From floor to floor (m)", required=False, min_value=1.5, max_value=30.0
    )
    walls = forms.CharField(
        label="Layers that hold walls",
        required=False,
        max_length=500,
        help_text="With commas between, such as A-WALL*; by their names if left empty.",
    )
    without = forms.CharField(label="Layers to leave out", required=False, max_length=500)

    def __init__(self, *args: Any, upload: Upload, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._files = [file.name for file in upload.files]
        for number, name in enumerate(self._files):
            self.fields[f"storey_{number}"] = forms.CharField(
                label=f"Storey in {name}", required=False, max_length=200
            )

    @property
    def options(self) -> dict[str, Any]:
        """What to tell the reader."""
        given = self.cleaned_data
        found: dict[str, Any] = {
            name: tuple(x.strip() for x in given[name].split(",") if x.strip())
            for name in ("walls", "without")
            if given[name].strip()
        }
        if given["unit"]:
            found["unit"] = Unit(given["unit"])
        if given["storey_height_m"]:
            found["storey_height_m"] = given["storey_height_m"]
        named = {
            file: StoreyNote(name=given[f"storey_{i}"])
            for i, file in enumerate(self._files)
            if given[f"storey_{i}"]
        }
        if named:
            found["notes"] = DrawingNotes(layers={}, single_lines={}, storeys=named)
        return found


class SheetForm(forms.Form):
    """Two points of a picture, how far apart they are, and the storey it shows."""

    x1 = forms.FloatField(label="First point, x (pixels from the left)")
    y1 = forms.FloatField(label="First point, y (pixels from the top)")
    x2 = forms.FloatField(label="Second point, x")
    y2 = forms.FloatField(label="Second point, y")
    distance_m = forms.FloatField(label="Distance between them in the building (m)")
    floor = forms.ChoiceField(label="Storey that it shows", required=False)
    new_floor = forms.CharField(label="Or a new storey, by name", required=False, max_length=200)
    elevation_m = forms.FloatField(
        label="Its floor above the site's zero (m)", required=False, initial=0
    )
    height_m = forms.FloatField(label="From its floor to the next (m)", required=False, initial=2.8)
    at_x = forms.FloatField(
        label="First point on the site, x (m)",
        required=False,
        help_text="The same corner of the building on every storey lines them up. If left empty, "
        "the picture's lower left corner is the site's origin.",
    )
    at_y = forms.FloatField(label="First point on the site, y (m)", required=False)
    direction_deg = forms.FloatField(
        label="Direction from the first point to the second (°)",
        required=False,
        help_text="0 is to the right, 90 up; upright if left empty.",
    )

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._site = site
        floors = [(f.id, f.name) for f in site.floors]
        self.fields["floor"].choices = [("", "a new one"), *floors]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if bool(given.get("floor")) == bool(given.get("new_floor")):
            self.add_error("floor", "Choose a storey, or give the name of a new one; one of both.")
        elif given.get("new_floor") and None in (given.get("elevation_m"), given.get("height_m")):
            self.add_error("new_floor", "A new storey needs both its heights.")
        if (given.get("at_x") is None) != (given.get("at_y") is None):
            self.add_error("at_x", "Give both x and y, or neither.")
        return given

    @property
    def scaling(self) -> Scaling:
        """What was read off the picture."""
        given = self.cleaned_data
        return Scaling(
            points_px=((given["x1"], given["y1"]), (given["x2"], given["y2"])),
            distance_m=given["distance_m"],
            first_at_m=None if given["at_x"] is None else (given["at_x"], given["at_y"]),
            direction_deg=given["direction_deg"],
        )

    def storey(self, site: Site) -> Floor:
        """The storey that was chosen, or a new one.

        Raises
        ------
        JobError
            It cannot be made.
        """
        given = self.cleaned_data
        for floor in site.floors:
            if floor.id == given["floor"]:
                return floor
        return new_storey(site, given["new_floor"], given["elevation_m"], given["height_m"])
