"""The JSON Schema says of every field what it means and in which unit."""

import json
import re
from typing import Any

import pytest

from pathproof.job.schema import SCHEMAS, job_schema
from pathproof.terms import RecordKind

# Suffix of a field's name and what has to stand in brackets in its description.
UNITS = {
    "dbm": "dBm",
    "db": "dB",
    "dbi": "dBi",
    "hz": "Hz",
    "m": "m",
    "s": "s",
    "h": "h",
    "v": "V",
    "a": "A",
    "ah": "Ah",
    "ohm": "ohm",
    "mm2": "mm2",
    "degc": "degC",
    "deg": "deg",
    "px": "px",
    "years": "years",
    "minutes": "min",
    "100m": "dB/100 m",
    "cost": "currency/year",
}
SPECIAL = {
    "field_strength_uv_per_m": "uV/m",
    "field_strength_at_m": "m",
    "minutes": "min",
    "minutes_since_registration": "min",
    "price": "currency",
    "at": "m",  # on models with a place; moments are told apart by their format
    "start": "m",
    "end": "m",
    "outline": "m",
    "holes": "m",
    "origin": "m",
    "m_per_px": "m/px",
}

FIELDS = [
    (name, model, field, described)
    for name, schema in SCHEMAS.items()
    for model, body in {name: schema(), **schema()["$defs"]}.items()
    for field, described in body.get("properties", {}).items()
]


def unit_of(field: str, described: Any) -> str | None:
    if field in SPECIAL:
        return None if described.get("format") == "date-time" else SPECIAL[field]
    return UNITS.get(field.rpartition("_")[2]) if "_" in field else None


def test_there_are_fields_to_check() -> None:
    assert len({(model, field) for _, model, field, _ in FIELDS}) > 250
    assert sum(unit_of(field, described) is not None for *_, field, described in FIELDS) > 80


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_field_is_described(name: str) -> None:
    bare = [(m, f) for n, m, f, d in FIELDS if n == name and not d.get("description")]
    assert bare == []


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_unit_stands_in_the_description(name: str) -> None:
    wrong = [
        (model, field, described["description"])
        for of, model, field, described in FIELDS
        if of == name
        and (unit := unit_of(field, described)) is not None
        and f"[{unit}]" not in described["description"]
    ]
    assert wrong == []


@pytest.mark.parametrize("name", SCHEMAS)
def test_no_quantity_without_a_unit_in_its_name(name: str) -> None:
    """A bracket in the description of a number means that its name tells the unit too."""
    bare = [
        (model, field)
        for of, model, field, described in FIELDS
        if of == name
        and re.search(r"\[(?!unit|currency)[^\]]+\]", described["description"])
        and unit_of(field, described) is None
    ]
    assert bare == []


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_model_is_described(name: str) -> None:
    models = {**SCHEMAS[name]()["$defs"]}
    assert [
        m for m, body in models.items() if "properties" in body and not body["description"]
    ] == []


@pytest.mark.parametrize("name", SCHEMAS)
def test_head(name: str) -> None:
    schema = SCHEMAS[name]()
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["$id"] == f"urn:pathproof:schema:{name}:1"
    assert schema["title"].startswith("Pathproof ")
    assert json.loads(json.dumps(schema)) == schema


def test_references_lead_somewhere() -> None:
    for schema in (make() for make in SCHEMAS.values()):
        for target in re.findall(r'"\$ref": "#/\$defs/(\w+)"', json.dumps(schema)):
            assert target in schema["$defs"]


def test_a_file_has_to_say_what_it_is() -> None:
    schema = job_schema()
    assert schema["required"] == ["format", "format_version", "site"]
    assert schema["properties"]["format_version"]["const"] == 1
    assert schema["additionalProperties"] is False


def test_every_kind_of_entry_is_there() -> None:
    mapping = SCHEMAS["entry"]()["discriminator"]["mapping"]
    assert set(mapping) == set(RecordKind)
