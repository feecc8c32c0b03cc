"""The form that tells the zone of each device."""

from collections.abc import Mapping
from typing import Any

from pathproof.job import Site
from pathproof.web.specify._fields import BareInput, NumberField, PieceForm, Shape


class ZoningForm(PieceForm):
    """A zone's number for each device; none means that it reports in no zone."""

    def __init__(self, site: Site, data: Any = None) -> None:
        numbers = {z.id: z.number for z in site.zones}
        self._ids = {z.number: z.id for z in site.zones}
        super().__init__(
            Shape(
                fields={
                    d.id: NumberField(
                        whole=True,
                        required=False,
                        label=f"Zone of {d.name}",
                        widget=BareInput({"list": "zone-numbers", "autocomplete": "off"}),
                    )
                    for d in site.devices
                }
            ),
            {d.id: numbers.get(d.zone or "") for d in site.devices},
            data,
        )

    def clean(self) -> dict[str, Any]:
        """Numbers that are zones of the site."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for name, number in list(cleaned.items()):
            if number is not None and number not in self._ids:
                known = ", ".join(map(str, sorted(self._ids)[:12])) or "none yet"
                self.add_error(
                    name,
                    f"Given {number}; allowed: a zone of this site ({known}). "
                    "Add the zone first, or leave this empty.",
                )
        return cleaned

    def zones(self) -> Mapping[str, str | None]:
        """Zone ids by device; only those that changed."""
        return {
            name: self._ids.get(self.cleaned_data[name])
            for name in self.changed_data
            if name in self.cleaned_data
        }
