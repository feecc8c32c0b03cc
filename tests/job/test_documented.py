"""docs/job_file.md names every field of site and record."""

import re
from pathlib import Path

import pytest

from pathproof.job.schema import job_schema

TEXT = (Path(__file__).parents[2] / "docs" / "job_file.md").read_text("utf-8")
PROSE = re.sub(r"```.*?```", "", TEXT, flags=re.DOTALL)
NAMED = set(re.findall(r"[a-z0-9_]+", " ".join(re.findall(r"`([^`]+)`", PROSE))))

SCHEMA = job_schema()
CATALOGUE_AND_PROFILE = re.compile(
    "Part$|^(Radio|Cell|Draw|Scale|ScaleStep|Source|Profile|Limit|Conf)"
)
MODELS = {
    name: model
    for name, model in {"Job": SCHEMA, **SCHEMA["$defs"]}.items()
    if "properties" in model and not CATALOGUE_AND_PROFILE.search(name)
}


@pytest.mark.parametrize("name", MODELS)
def test_every_field_is_named(name: str) -> None:
    assert set(MODELS[name]["properties"]) - NAMED == set()


def test_there_are_fields_to_look_for() -> None:
    assert sum(len(model["properties"]) for model in MODELS.values()) > 150
