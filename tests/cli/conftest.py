"""What the tests of the command line share: a runner, a job file, and no library of one's own."""

import json
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from pathproof.cli import _jobs, app
from pathproof.simulate import demo_json

Run = Callable[..., Result]

NOW = datetime.fromisoformat("2026-11-25T12:00:00+01:00")
"""What the clock shows in these tests: after everything on the demo's record."""


@pytest.fixture(autouse=True)
def _plain_surroundings(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    own = tmp_path / "own-library"
    own.mkdir()
    monkeypatch.setenv("PATHPROOF_HOME", str(own))
    monkeypatch.setenv("COLUMNS", "80")
    for name in ("NO_COLOR", "FORCE_COLOR", "PY_COLORS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(_jobs, "now", NOW.astimezone)
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def run() -> Run:
    """Runs a command; with `code`, expects that exit code and shows the output if it differs."""

    def run(*args: object, code: int | None = 0, text: str | bytes | None = None) -> Result:
        result = CliRunner().invoke(app, [str(a) for a in args], input=text)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        if code is not None:
            assert result.exit_code == code, result.stdout + result.stderr
        assert "Traceback" not in result.stderr
        return result

    return run


@pytest.fixture
def job_path(tmp_path: Path) -> Path:
    """The demo's job, in a file of its own."""
    path = tmp_path / "job.json"
    path.write_text(demo_json(), "utf-8")
    return path


@pytest.fixture
def empty_job(tmp_path: Path) -> Path:
    """A site with nothing in it."""
    path = tmp_path / "empty.json"
    head = {"format": "pathproof-job", "format_version": 1}
    path.write_text(json.dumps({**head, "site": {"name": "Bare site"}}), "utf-8")
    return path


@pytest.fixture
def edit(tmp_path: Path) -> Callable[[Path, Callable[[Any], None]], None]:
    """Changes a job file as a person with an editor would."""

    def edit(path: Path, change: Callable[[Any], None]) -> None:
        data = json.loads(path.read_text("utf-8"))
        change(data)
        path.write_text(json.dumps(data), "utf-8")

    return edit
