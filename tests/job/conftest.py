"""The frozen sample of format version 1, as it lies in the repository and ready to be spoiled."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pathproof.job import Job, Library, parse_job
from pathproof.terms import JobError

SAMPLE = Path(__file__).parents[1] / "data" / "job_v1.json"

Spoil = Callable[[dict[str, Any]], object]


@pytest.fixture
def sample_path() -> Path:
    return SAMPLE


@pytest.fixture
def sample_data() -> dict[str, Any]:
    """The sample as plain JSON values, fresh for each test, without its hash."""
    data: dict[str, Any] = json.loads(SAMPLE.read_text("utf-8"))
    del data["hash"]
    return data


@pytest.fixture
def sample() -> Job:
    return parse_job(SAMPLE.read_bytes(), Library())


@pytest.fixture
def refusal(sample_data: dict[str, Any]) -> Callable[[Spoil], str]:
    """What reading says of the sample after something in it was spoiled.

    The ids behind the numbers of items are left out; `test_messages` has a test of them.
    """

    def read(spoil: Spoil) -> str:
        spoil(sample_data)
        with pytest.raises(JobError) as caught:
            parse_job(json.dumps(sample_data), Library(), "a.json")
        assert type(caught.value) is JobError
        return re.sub(r"(\[\d+\]) \([^()]*\)", r"\1", str(caught.value))

    return read
