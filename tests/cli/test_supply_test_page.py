"""What docs/supply_test.md asks to put on record proves what it says, for the first job."""

import json
import re
import shlex
from pathlib import Path
from typing import Any

DOCS = Path(__file__).parents[2] / "docs"
AT, AS_OF = "2026-11-25", "2026-11-26"


def _block(page: str, start: str) -> str:
    text = (DOCS / page).read_text("utf-8")
    found = re.search(rf"^ *```{start}\n(.*?)^ *```", text, re.DOTALL | re.MULTILINE)
    assert found is not None
    return found[1]


def _words(run: Any, job: Path) -> dict[str, str]:
    found = json.loads(run("assess", job, "--as-of", AS_OF, "--json", code=None).stdout)
    return {x["id"]: x["word"] for x in found["links"] if x["id"] in ("standby", "supply")}


def test_the_first_job_is_predicted_and_its_supply_test_proves_it(run: Any, tmp_path: Path) -> None:
    job = tmp_path / "job.json"
    job.write_text(_block("first_job.md", "json"), "utf-8")
    assert _words(run, job) == {"standby": "predicted", "supply": "predicted"}
    command = shlex.split(_block("supply_test.md", "").replace("\\\n", " "))
    assert command[:2] == ["pathproof", "record"]
    run(*(str(job) if word == "job.json" else word for word in command[1:]), "--at", AT)
    assert _words(run, job) == {"standby": "proven", "supply": "proven"}
