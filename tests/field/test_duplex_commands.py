"""The command line on a real building: from the plan to the answer and the paper."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pymupdf
import pytest
from typer.testing import CliRunner

from pathproof.cli import app


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PATHPROOF_HOME", str(tmp_path))

    def run(*args: str, code: int = 0) -> str:
        done = CliRunner().invoke(app, args)
        assert done.exit_code == code, done.stderr
        return done.stdout

    return run


def test_from_plan_to_paper(run: Callable[..., str], field_data: Path, tmp_path: Path) -> None:
    plan = str(field_data / "plans" / "duplex.ifc")
    report = json.loads(run("import", plan, "-o", "job.json", "--json"))
    # Plan fact sheet, section 4, counted in the file by another path: two storeys for people, and
    # 14 doors and 22 windows in their walls (24 windows less two skylights in the roof).
    assert report["storeys"] == 2
    assert report["openings"] == 14 + 22
    assert {m["material"] for m in report["mapped"]} >= {"brick", "concrete", "plasterboard", "air"}

    job: dict[str, Any] = json.loads(Path("job.json").read_text("utf-8"))
    low, high = job["site"]["floors"]
    # Two places on either side of the party wall, as paths D1 and D2 of the fact sheet cross it.
    job["site"]["panel"] = {"part": "lark_wren_panel", "floor": low["id"], "at": [5.5, -2.8]}
    job["site"]["devices"] = [
        {
            "id": "near",
            "name": "Near",
            "part": "lark_motion",
            "floor": low["id"],
            "at": [6.0, -4.0],
        },
        {"id": "far", "name": "Far", "part": "lark_motion", "floor": high["id"], "at": [6.9, -9.9]},
    ]
    Path("job.json").write_text(json.dumps(job), "utf-8")
    answer = json.loads(run("assess", "job.json", "--json", code=4))
    margins = {x["from"]: x["margin"]["value"] for x in answer["links"] if x["kind"] == "radio"}
    assert margins["near"] > margins["far"]

    again = json.loads(run("import", plan, "-o", "job.json", "--json"))
    assert again == report
    kept = json.loads(Path("job.json").read_text("utf-8"))["site"]
    assert kept["devices"] == job["site"]["devices"]
    assert kept["walls"] == job["site"]["walls"]

    run("papers", "job.json", "-o", "paper.pdf")
    with pymupdf.open(tmp_path / "paper.pdf") as paper:
        assert any("New site" in page.get_text() for page in paper)
