"""JSON Schema (draft 2020-12) of the job file and of the pieces it is made of."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema

from pathproof.job.catalogue import Part
from pathproof.job.construction import Construction
from pathproof.job.file import FORMAT_VERSION, Job
from pathproof.job.profile import Profile
from pathproof.job.record import Entry
from pathproof.job.retirement import Retirement

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


def job_schema() -> dict[str, Any]:
    """The schema of a whole job file; every field has its meaning and unit."""
    schema = _schema("job", "Pathproof job file", Job)
    # Defaults to whoever builds a job, but a file has to say what it is.
    schema["required"] = ["format", "format_version", *schema["required"]]
    return schema


def part_schema() -> dict[str, Any]:
    """The schema of a catalogue entry."""
    return _schema("part", "Pathproof catalogue entry", Part)


def construction_schema() -> dict[str, Any]:
    """The schema of a construction."""
    return _schema("construction", "Pathproof construction", Construction)


def profile_schema() -> dict[str, Any]:
    """The schema of a profile."""
    return _schema("profile", "Pathproof profile", Profile)


def entry_schema() -> dict[str, Any]:
    """The schema of a record entry."""
    return _schema("entry", "Pathproof record entry", Entry)


def retirement_schema() -> dict[str, Any]:
    """The schema of a retirement."""
    return _schema("retirement", "Pathproof retirement", Retirement)


SCHEMAS: Final[Mapping[str, Callable[[], dict[str, Any]]]] = {
    "job": job_schema,
    "part": part_schema,
    "construction": construction_schema,
    "profile": profile_schema,
    "entry": entry_schema,
    "retirement": retirement_schema,
}
"""Schemas by the name of what they describe."""


class _WithoutFieldTitles(GenerateJsonSchema):
    """A title made from a field's name says nothing that the name does not say."""

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False


def _schema(name: str, title: str, of: Any) -> dict[str, Any]:
    schema: dict[str, Any] = TypeAdapter(of).json_schema(schema_generator=_WithoutFieldTitles)
    head = {
        "$schema": DIALECT,
        "$id": f"urn:pathproof:schema:{name}:{FORMAT_VERSION}",
        "title": title,
    }
    return {**head, **{key: value for key, value in schema.items() if key != "title"}}
