"""What the file says a wall, floor, door or window is made of."""

import re
from dataclasses import dataclass
from enum import Enum, auto
from typing import Any

from pathproof.plans.ifc._reader import BROKEN

_FAMILIES = {"basic wall", "floor", "basic roof", "compound ceiling", "basic ceiling"}
_FIT_M = 0.005


class Told(Enum):
    """How much the file says."""

    LAYERS = auto()  # materials and thicknesses
    NAMES = auto()  # materials without thicknesses
    NOTHING = auto()


@dataclass(frozen=True, slots=True)
class NamedLayer:
    """One layer by the name of its material; no name is an air gap."""

    name: str
    thickness_m: float


@dataclass(frozen=True, slots=True)
class BuildUp:
    """What the file tells of an element's build-up."""

    label: str
    """Name of the build-up or type."""
    told: Told
    layers: tuple[NamedLayer, ...] = ()
    """In the file's order; thickness 0 where only names are told."""
    offset_m: float = 0.0
    """First layer's outer face from the reference line, along the element's y axis. [m]"""
    sense: int = 0
    """+1 or -1: layers follow along or against the y axis; 0 where not told."""

    @property
    def thickness_m(self) -> float:
        """Sum of the layers. [m]"""
        return sum(layer.thickness_m for layer in self.layers)


@dataclass(frozen=True, slots=True)
class Fitted:
    """Layers cut to the body they stand in."""

    layers: tuple[NamedLayer, ...]
    first_at_high: bool
    """Whether the first layer lies at the larger y."""
    removed: tuple[str, ...] = ()
    """Names of layers of which something was cut away."""


def read_build_up(element: Any, scale: float) -> BuildUp:
    """The element's layers, or its type's, or the bare names of its materials."""
    label = label_of(element)
    try:
        return _told(label, element, scale)
    except BROKEN:
        return BuildUp(label, Told.NOTHING)


def _told(label: str, element: Any, scale: float) -> BuildUp:
    import ifcopenshell.util.element

    material = ifcopenshell.util.element.get_material(element)
    if material is None:
        return BuildUp(label, Told.NOTHING)
    if material.is_a("IfcMaterialLayerSetUsage"):
        sense = 1 if material.DirectionSense == "POSITIVE" else -1
        offset = float(material.OffsetFromReferenceLine or 0.0) * scale
        return _layer_set(label, material.ForLayerSet, scale, offset, sense)
    if material.is_a("IfcMaterialLayerSet"):
        return _layer_set(label, material, scale, 0.0, 0)
    names = material_names(element)
    told = Told.NAMES if names else Told.NOTHING
    return BuildUp(label, told, tuple(NamedLayer(n, 0.0) for n in names))


def material_names(element: Any) -> list[str]:
    """Names of the materials that an element or its type is said to hold."""
    import ifcopenshell.util.element

    try:
        materials = ifcopenshell.util.element.get_materials(element)
    except BROKEN:
        return []
    return [str(m.Name) for m in materials if m is not None and m.is_a("IfcMaterial") and m.Name]


def label_of(element: Any) -> str:
    """A name for the element's build-up: of its type where there is one, without numbers."""
    import ifcopenshell.util.element

    type_ = ifcopenshell.util.element.get_type(element)
    for name in (type_ and type_.Name, element.ObjectType, element.Name):
        label = _without_numbers(name or "")
        if label:
            return label
    return str(element.is_a())[3:].lower()


def filling_label(element: Any) -> str:
    """A name for a door's or window's kind: its family, where names are family:size:number."""
    name = element.Name or ""
    return name.split(":")[0].strip()[:120] if ":" in name else label_of(element)


def fit(build_up: BuildUp, low_m: float, high_m: float) -> Fitted:
    """The layers cut to a body between two faces along y.

    The first layer starts at the offset and the others follow in the direction sense. Some files
    count y the other way round, so the mirrored reading is taken where only it meets the body.
    A set thicker than the body was cut: layers go from the side where it stands out.
    """
    a, b, first_at_high = _predicted(build_up, low_m, high_m)
    excess = build_up.thickness_m - (high_m - low_m)
    if excess <= _FIT_M:
        return Fitted(build_up.layers, first_at_high)
    cut_low, cut_high = max(0.0, low_m - a), max(0.0, b - high_m)
    if abs(cut_low + cut_high - excess) > 2 * _FIT_M:  # the faces do not tell: the last layers go
        cut_low, cut_high = (excess, 0.0) if first_at_high else (0.0, excess)
    cut_first, cut_last = (cut_high, cut_low) if first_at_high else (cut_low, cut_high)
    layers, gone = _without(build_up.layers, cut_first)
    layers, gone_too = _without(layers[::-1], cut_last)
    return Fitted(layers[::-1], first_at_high, gone + gone_too)


def _predicted(build_up: BuildUp, low_m: float, high_m: float) -> tuple[float, float, bool]:
    total, offset = build_up.thickness_m, build_up.offset_m
    if build_up.sense == 0:
        return low_m, low_m + total, False
    a, b = (offset, offset + total) if build_up.sense > 0 else (offset - total, offset)
    as_told = abs(a - low_m) + abs(b - high_m)
    mirrored = abs(-b - low_m) + abs(-a - high_m)
    if as_told <= mirrored + _FIT_M:
        return a, b, build_up.sense < 0
    return -b, -a, build_up.sense > 0


def _without(
    layers: tuple[NamedLayer, ...], cut_m: float
) -> tuple[tuple[NamedLayer, ...], tuple[str, ...]]:
    gone: list[str] = []
    rest = list(layers)
    while rest and cut_m > _FIT_M:
        first = rest.pop(0)
        gone.append(first.name)
        if first.thickness_m > cut_m + _FIT_M:
            rest.insert(0, NamedLayer(first.name, first.thickness_m - cut_m))
        cut_m -= first.thickness_m
    return tuple(rest), tuple(gone)


def _layer_set(label: str, layer_set: Any, scale: float, offset: float, sense: int) -> BuildUp:
    layers = tuple(
        NamedLayer(
            _material_name(layer.Material),
            max(0.0, float(layer.LayerThickness) * scale),
        )
        for layer in layer_set.MaterialLayers
    )
    own = _without_numbers(layer_set.LayerSetName or "")
    if sum(layer.thickness_m for layer in layers) <= 0:
        named = tuple(layer for layer in layers if layer.name)
        return BuildUp(own or label, Told.NAMES if named else Told.NOTHING, named)
    return BuildUp(own or label, Told.LAYERS, layers, offset, sense)


def _material_name(material: Any) -> str:
    """The name; empty for an air gap, which is a layer without a material."""
    if material is None:
        return ""
    return str((material.is_a("IfcMaterial") and material.Name) or "unknown")


def _without_numbers(name: str) -> str:
    parts = [p.strip() for p in name.split(":") if p.strip() and not p.strip().isdigit()]
    if len(parts) > 1 and parts[0].lower() in _FAMILIES:
        parts = parts[1:]
    label = ": ".join(dict.fromkeys(parts))
    if len(parts) == 1:
        label = _numbered(label)
    return label[:120]


def _numbered(label: str) -> str:
    """The label without a running number at its end, as in Wall-001; 'Brick 200' keeps its."""
    match = re.fullmatch(r"(.*\D)[\-_.#](\d{2,})", label)
    return match.group(1).rstrip(" -_.#") if match else label
