"""`pathproof demo`: the whole job, the same on any day, and nobody's work overwritten."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


def test_whole_job(run: Any) -> None:
    shown = run("demo").stdout
    assert shown.startswith("lacking  Quellrain dairy and shop")
    assert "A signal lacks on purpose" in shown
    for name in ("demo.json", "demo-design-assessment.pdf", "demo-customer.pdf"):
        assert Path("demo-out", name).stat().st_size > 1000
    command = shown.splitlines()[-1].split(" --working ")
    link = command[1].strip("'")
    working = run(*command[0].split()[1:], "--working", link, code=3).stdout
    assert "Steel sandwich panel" in working


def test_again_gives_the_same(run: Any) -> None:
    first = run("demo", "-o", "here", "--json").stdout
    before = {p.name: p.read_bytes() for p in Path("here").iterdir()}
    assert run("demo", "-o", "here", "--json").stdout == first
    assert {p.name: p.read_bytes() for p in Path("here").iterdir()} == before
    answer = json.loads(first)
    assert answer["assessment"]["word"] == "lacking"
    assert [Path(p).name for p in answer["papers"]] == [
        "demo-design-assessment.pdf",
        "demo-customer.pdf",
    ]


def note(run: Any, job: Path) -> None:
    run("record", "add", job, "note", "--text", "Mine.", "--by", "A. Fitter")


def by_hand(run: Any, job: Path) -> None:
    job.write_bytes(job.read_bytes().replace(b"Quellrain dairy", b"MY EDIT"))


def by_hand_without_a_hash(run: Any, job: Path) -> None:
    data = json.loads(job.read_bytes())
    del data["hash"]
    data["site"]["name"] = "MY EDIT"
    job.write_text(json.dumps(data), "utf-8")


def something_else(run: Any, job: Path) -> None:
    job.write_text("My notes, not a job at all.", "utf-8")


@pytest.mark.parametrize("change", [note, by_hand, by_hand_without_a_hash, something_else])
def test_a_job_that_somebody_worked_on_stays(run: Any, change: Callable[[Any, Path], None]) -> None:
    run("demo")
    job = Path("demo-out/demo.json")
    change(run, job)
    mine = job.read_bytes()
    error = run("demo", code=1).stderr
    assert "It stays as it is" in " ".join(error.split())
    assert "pathproof demo -o FOLDER" in " ".join(error.split())
    assert job.read_bytes() == mine
    run("demo", "-o", "elsewhere")
