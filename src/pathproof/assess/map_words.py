"""Words for figures of a map, the same on terminal and page."""

from collections.abc import Iterator

import numpy as np

from pathproof.assess.floor_map import FloorMap, MapKind
from pathproof.assess.strip import MINUS
from pathproof.assess.wording import odds_text
from pathproof.job import Site

__all__ = ["map_sentences", "value_text"]


def value_text(value: float, unit: str) -> str:
    """A value of a map with its unit, as people read it; margins with their sign."""
    if unit == "ratio":
        return odds_text(value)
    text = f"{value:+.1f} {unit}" if unit == "dB" else f"{value:.1f} {unit}"
    return text.replace("-", MINUS)


def map_sentences(found: FloorMap, site: Site) -> Iterator[str]:
    """Best and worst of a map, how much of the storey meets the requirement, what holds it down."""
    values = found.values[~np.isnan(found.values)]
    if not values.size:
        yield "Nothing could be mapped on this storey."
        return
    best, worst = (value_text(float(f(values)), found.unit) for f in (np.max, np.min))
    yield f"Best {best}, worst {worst}."
    if found.required is not None:
        met = int((values >= found.required).sum())
        yield f"{met} of {values.size} cells of {found.cell_m:.2g} m meet the requirement."
    names = {d.id: d.name for d in site.devices}
    if found.held_down_by:
        shares = [f"{names[i]} ({100 * share:.0f} %)" for i, share in found.held_down_by]
        yield f"Heard worst, by share of the storey: {', '.join(shares)}."
    for place in found.at_places:
        said = f"{place.name[:1].upper()}{place.name[1:]}: {value_text(place.value, found.unit)}"
        by = "" if found.what.kind is MapKind.DEVICE else f", heard worst {names[place.device]}"
        yield f"{said}{by}."
