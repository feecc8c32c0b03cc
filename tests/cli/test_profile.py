"""`pathproof profile`: sets of requirements, and a person's word for a limit."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

CONFIRM = ("--by", "A. Tester", "--document", "EN 50131-1", "--edition", "my copy of 2006")
LIMIT = "supervision_interval_s"


@pytest.fixture
def graded(job_path: Path, edit: Callable[..., None]) -> Path:
    """The demo judged by a profile whose limits are from memory."""

    def by_grade_2(data: Any) -> None:
        data["site"]["profile"] = "en_50131_grade_2"
        data["record"] = []

    edit(job_path, by_grade_2)
    return job_path


def value_of(run: Any, profile: str, limit: str) -> float:
    shown = json.loads(run("profile", "show", profile, "--json").stdout)
    return float(shown["limits"][limit]["value"])


def test_list_says_how_many_limits_nobody_confirmed(run: Any) -> None:
    profiles = {p["id"]: p for p in json.loads(run("profile", "list", "--json").stdout)}
    assert profiles["house_targets"]["unconfirmed"] == []
    assert LIMIT in profiles["en_50131_grade_2"]["unconfirmed"]
    shown = run("profile", "list").stdout
    assert "house_targets" in shown
    assert "to be confirmed from your own copy" in shown


def test_show_gives_every_limit_with_its_source(run: Any) -> None:
    answer = json.loads(run("profile", "show", "house_targets", "--json").stdout)
    shown = run("profile", "show", "house_targets").stdout
    for name in answer["limits"]:
        assert name in shown
    assert shown.count("Source:") == len(answer["limits"])
    memory = run("profile", "show", "en_50131_grade_2").stdout
    assert "from memory: check your own copy" in " ".join(memory.split())


def test_an_unknown_profile_names_the_known_ones(run: Any, job_path: Path) -> None:
    assert "house_targets" in run("profile", "show", "grade_9", code=1).stderr
    assert "house_targets" in run("assess", job_path, "--profile", "grade_9", code=1).stderr


def test_confirming_makes_the_limit_count(run: Any, graded: Path) -> None:
    said = run("profile", "confirm", graded, LIMIT, *CONFIRM).stdout
    assert "A. Tester confirms" in said
    entry = json.loads(graded.read_text())["record"][-1]
    assert entry["kind"] == "confirm"
    assert entry["values"] == {
        "profile": "en_50131_grade_2",
        "limit": LIMIT,
        "value": value_of(run, "en_50131_grade_2", LIMIT),
        "document": "EN 50131-1",
        "edition": "my copy of 2006",
    }


def test_another_value_is_recorded_and_leaves_the_limit_open(run: Any, graded: Path) -> None:
    said = " ".join(
        run("profile", "confirm", graded, LIMIT, *CONFIRM, "--value", "1").stdout.split()
    )
    assert "stays unconfirmed" in said
    assert json.loads(graded.read_text())["record"][-1]["values"]["value"] == 1.0
    assert "stays unconfirmed" in " ".join(run("assess", graded, code=3).stdout.split())


def test_a_limit_that_nothing_waits_for(run: Any, job_path: Path) -> None:
    # house targets are practice throughout: docs/catalogue.md
    done = run("profile", "confirm", job_path, "walk_in_hand_db", *CONFIRM)
    assert "Nothing waits for this confirmation" in done.stderr
    assert "practice" in done.stderr
    assert json.loads(job_path.read_text())["record"][-1]["values"]["profile"] == "house_targets"


def test_a_limit_from_memory_warns_of_nothing(run: Any, graded: Path) -> None:
    assert run("profile", "confirm", graded, LIMIT, *CONFIRM).stderr == ""


def test_a_limit_of_another_profile(run: Any, job_path: Path) -> None:
    other = ("--profile", "en_50131_grade_2")
    done = run("profile", "confirm", job_path, LIMIT, *CONFIRM, *other)
    assert "judged by house_targets, not by en_50131_grade_2" in done.stderr
    assert "Nothing waits" not in done.stderr
    values = json.loads(job_path.read_text())["record"][-1]["values"]
    assert values["profile"] == "en_50131_grade_2"
    assert (
        "grade_9"
        in run(
            "profile", "confirm", job_path, LIMIT, *CONFIRM, "--profile", "grade_9", code=1
        ).stderr
    )


def test_the_example_of_the_docs_does_something(
    run: Any, job_path: Path, edit: Callable[..., None]
) -> None:
    edit(job_path, lambda data: data["site"].update(profile="en_50131_grade_2"))
    ask = ("assess", job_path, "--as-of", "2026-11-26", "--json")

    def proven() -> list[str]:
        links = json.loads(run(*ask, code=3).stdout)["links"]
        return [x["id"] for x in links if x["kind"] == "radio" and x["word"] == "proven"]

    before = proven()
    run("profile", "confirm", job_path, "walk_in_hand_db", *CONFIRM, "--on", "2026-11-20")
    assert set(before) < set(proven())


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("no_such_limit", *CONFIRM), 2),
        ((LIMIT, *CONFIRM, "--value", "nan"), 1),
        ((LIMIT, *CONFIRM, "--value", "two"), 2),
        ((LIMIT, *CONFIRM, "--on", "2999-01-01"), 2),
        ((LIMIT, "--by", "A. Tester", "--document", "EN 50131-1"), 2),
        ((LIMIT, *CONFIRM[:-1], ""), 1),
    ],
)
def test_what_cannot_be_confirmed(run: Any, graded: Path, args: tuple[str, ...], code: int) -> None:
    before = graded.read_bytes()
    run("profile", "confirm", graded, *args, code=code)
    assert graded.read_bytes() == before


def test_a_day_of_confirmation(run: Any, graded: Path) -> None:
    run("profile", "confirm", graded, LIMIT, *CONFIRM, "--on", "2026-10-01")
    assert json.loads(graded.read_text())["record"][-1]["at"].startswith("2026-10-01T12:00")
