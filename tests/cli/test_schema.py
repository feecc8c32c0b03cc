"""`pathproof schema`: JSON Schema with a meaning for every field."""

import json
from typing import Any

import pytest


def fields(schema: Any) -> list[tuple[str, Any]]:
    """Every named property anywhere in a schema."""
    if isinstance(schema, list):
        return [pair for item in schema for pair in fields(item)]
    if not isinstance(schema, dict):
        return []
    own = schema.get("properties", {})
    nested = [pair for value in schema.values() for pair in fields(value)]
    return [*own.items(), *nested]


@pytest.mark.parametrize("piece", ["job", "part", "construction", "profile", "entry", "retirement"])
def test_every_field_says_what_it_means(run: Any, piece: str) -> None:
    schema = json.loads(run("schema", piece).stdout)
    assert schema["$schema"].endswith("2020-12/schema")
    found = fields(schema)
    assert len(found) > 5
    assert [name for name, field in found if not field.get("description")] == []


def test_the_job_file_is_what_is_printed_by_itself(run: Any) -> None:
    schema = json.loads(run("schema").stdout)
    assert schema == json.loads(run("schema", "job").stdout)
    assert {"format", "format_version", "revision", "hash", "site", "record", "embedded"} == set(
        schema["properties"]
    )


def test_something_else_is_wrong_use(run: Any) -> None:
    assert "construction" in run("schema", "wall", code=2).stderr
