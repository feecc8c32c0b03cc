"""A hand-written TOML file that says what a plan's materials and build-ups are.

    [materials]
    "Mystery panel" = "plasterboard"
    "Foil facing" = { material = "metal", thickness_m = 0.00005 }

    [constructions]
    "Generic 200 mm" = "brick:0.2,plasterboard:0.0125"
    "Back door" = "steel_door"
    "Shop front" = { loss_db = 25.0, source = "compared on site" }

Materials are rows of P.2040 or air. A construction is layers from outside to inside (floors: top to
bottom) as material:metres, or one of the shipped constructions by its id, or a fixed loss. A door
or window may be named with its kind, as the report prints it ("inner door Flush"); that name comes
first.
"""

from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from pathproof.job import Construction, LayerSpec, Source, shipped
from pathproof.plans._toml import read_toml
from pathproof.plans.materials import Mapped, MaterialMap, Rule, normalised
from pathproof.terms import Evidence, Material, PlanError

_MATERIALS = ", ".join(sorted(Material))
_BY_HAND = Source(ref="Material map, by hand", evidence=Evidence.PRACTICE)
_NOTE = "By the material map."


def load_material_map(path: str | Path) -> MaterialMap:
    """The mapping in a TOML file.

    Raises
    ------
    PlanError
        The file cannot be read or holds something that is not allowed; the message names the
        entry, what was given and what is allowed.
    """
    path = Path(path)
    example = 'lines such as "Mystery panel" = "plasterboard" under [materials]'
    data = read_toml(path, "material map", example)
    unknown = set(data) - {"materials", "constructions"}
    if unknown:
        raise PlanError(
            f"{path.name}: there is no table {sorted(unknown)[0]!r}; "
            "a material map has [materials] and [constructions]."
        )
    materials = {
        normalised(name): _material(f"{path.name}: materials.{name!r}", value)
        for name, value in _table(path, data, "materials").items()
    }
    constructions = {
        normalised(name): construction_of(f"{path.name}: constructions.{name!r}", name, value)
        for name, value in _table(path, data, "constructions").items()
    }
    names = [n for t in ("materials", "constructions") for n in _table(path, data, t)]
    return MaterialMap(
        MappingProxyType(materials),
        MappingProxyType(constructions),
        MappingProxyType({normalised(name): name for name in names}),
    )


def _table(path: Path, data: dict[str, Any], name: str) -> dict[str, Any]:
    table = data.get(name, {})
    if not isinstance(table, dict):
        raise PlanError(f"{path.name}: {name} was {table!r}; write it as a table, [{name}].")
    return table


def _material(where: str, value: object) -> Mapped:
    thickness: object = None
    if isinstance(value, dict):
        _only(where, value, {"material", "thickness_m"})
        thickness = value.get("thickness_m")
        value = value.get("material")
    material = _known(where, value)
    if thickness is None:
        return Mapped(material, Rule.USER)
    return Mapped(material, Rule.USER, thickness_m=_layer(where, material, thickness).thickness_m)


def construction_of(where: str, name: str, value: object) -> Construction:
    if isinstance(value, str) and ":" in value:
        layers = _layers(where, value)
        return Construction(name=name[:200], layers=layers, source=_BY_HAND, note=_NOTE)
    if isinstance(value, str):
        return _shipped(where, value)
    if not isinstance(value, dict):
        raise PlanError(
            f'{where} was {value!r}; give layers such as "brick:0.1,plasterboard:0.0125", the id '
            "of a shipped construction, or { loss_db = 25.0 }."
        )
    _only(where, value, {"loss_db", "source"})
    loss, source = value.get("loss_db"), value.get("source", _BY_HAND.ref)
    if isinstance(loss, bool) or not isinstance(loss, int | float) or not 0 <= loss <= 200:
        raise PlanError(f"{where}: loss_db was {loss!r}; it is a number of dB from 0 to 200.")
    if not isinstance(source, str) or not 0 < len(source) <= 200:
        raise PlanError(f"{where}: source was {source!r}; it is a text of 1 to 200 letters.")
    return Construction(
        name=name[:200],
        fixed_loss_db=float(loss),
        source=Source(ref=source, evidence=Evidence.PRACTICE),
        note=_NOTE,
    )


def _shipped(where: str, construction_id: str) -> Construction:
    known = shipped().constructions
    if construction_id not in known:
        raise PlanError(
            f"{where}: there is no construction {construction_id!r}; allowed are layers such as "
            f'"brick:0.1,plasterboard:0.0125" or one of {", ".join(sorted(known))}.'
        )
    return known[construction_id]


def _layers(where: str, text: str) -> list[LayerSpec]:
    layers = []
    for part in text.split(","):
        name, _, thickness = part.partition(":")
        layers.append(_layer(where, _known(where, name.strip()), thickness.strip()))
    return layers


def _known(where: str, value: object) -> Material:
    if not isinstance(value, str) or value not in set(Material):
        raise PlanError(f"{where}: there is no material {value!r}; allowed are {_MATERIALS}.")
    return Material(value)


def _layer(where: str, material: Material, thickness: object) -> LayerSpec:
    try:
        return LayerSpec(material=material, thickness_m=thickness)  # type: ignore[arg-type]
    except ValidationError as error:
        raise PlanError(
            f"{where}: the thickness of {material} was {thickness!r}; "
            "it is a number of metres above 0 and at most 5."
        ) from error


def _only(where: str, table: dict[str, Any], allowed: set[str]) -> None:
    extra = set(table) - allowed
    if extra:
        raise PlanError(
            f"{where}: there is no field {sorted(extra)[0]!r}; allowed are "
            f"{', '.join(sorted(allowed))}."
        )
