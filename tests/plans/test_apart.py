"""Import in a process of its own."""

import importlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from pathproof.plans import import_ifc, import_ifc_apart
from pathproof.plans.apart import run_apart
from pathproof.terms import PlanError

from .conftest import PlanFile

WORKS = """
import os, signal

def crash(*_):
    os.kill(os.getpid(), signal.SIGSEGV)

def fail(*_):
    raise ZeroDivisionError("not foreseen")

def interrupted(*_):
    raise KeyboardInterrupt
"""


@pytest.fixture
def works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Imports that end badly, in a module that the other process finds too."""
    (tmp_path / "works_apart.py").write_text(WORKS)
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.delitem(sys.modules, "works_apart", raising=False)
    return importlib.import_module("works_apart")


STOPPED_WHILE_AT_WORK = """
import os, pathlib, sys, time
from pathproof.plans.apart import run_apart

def never_ends(path, materials, progress, largest_bytes):
    path.write_text(str(os.getpid()))
    time.sleep(600)

if __name__ == "__main__":
    run_apart(never_ends, pathlib.Path(sys.argv[1]), None, None, 1000)
"""


def gone(pid: int) -> bool:
    """Whether a process has ended; one that nobody collected yet counts."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    stat = Path(f"/proc/{pid}/stat")
    return stat.exists() and stat.read_text().rpartition(")")[2].split()[0] == "Z"


def within(seconds: float, happens: Callable[[], bool]) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if happens():
            return True
        time.sleep(0.05)
    return False


def test_it_gives_what_an_import_gives_and_tells_its_progress(tmp_path: Path) -> None:
    path = tmp_path / "plan.ifc"
    plan = PlanFile()
    plan.room(plan.storey())
    plan.file.write(str(path))
    told: list[tuple[int, int, str]] = []
    found = import_ifc_apart(path, progress=lambda *x: told.append(x))
    assert found == import_ifc(path)
    assert told


def test_a_file_that_is_no_plan_is_refused_in_the_same_words(tmp_path: Path) -> None:
    path = tmp_path / "plan.ifc"
    path.write_text("no plan")
    with pytest.raises(PlanError) as apart:
        import_ifc_apart(path)
    with pytest.raises(PlanError) as here:
        import_ifc(path)
    assert str(apart.value) == str(here.value)


def test_a_crash_is_a_sentence_and_nothing_else_dies(works: ModuleType, tmp_path: Path) -> None:
    with pytest.raises(PlanError, match=r"crashed the geometry engine \(exit code -11\)"):
        run_apart(works.crash, tmp_path / "plan.ifc", None, None, 1000)


def test_an_error_of_our_own_is_no_crash(
    works: ModuleType, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(PlanError, match="an error of its own, shown above"):
        run_apart(works.fail, tmp_path / "plan.ifc", None, None, 1000)
    assert "ZeroDivisionError: not foreseen" in capfd.readouterr().err


def test_control_c_in_the_child_is_quiet(
    works: ModuleType, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(PlanError):
        run_apart(works.interrupted, tmp_path / "plan.ifc", None, None, 1000)
    assert capfd.readouterr().err == ""


@pytest.mark.skipif(sys.platform == "win32", reason="signals are a POSIX matter")
@pytest.mark.parametrize("stop", [signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
def test_the_child_goes_with_its_parent(tmp_path: Path, stop: signal.Signals) -> None:
    script, child = tmp_path / "parent.py", tmp_path / "pid"
    script.write_text(STOPPED_WHILE_AT_WORK)
    root = str(Path(sys.modules["pathproof"].__path__[0]).resolve().parent)
    parent = subprocess.Popen(
        [sys.executable, str(script), str(child)],
        env={**os.environ, "PYTHONPATH": root},
        stderr=subprocess.DEVNULL,
    )
    try:
        assert within(60.0, lambda: child.exists() and child.read_text() != "")
        parent.send_signal(stop)
        parent.wait(20.0)
        assert within(20.0, lambda: gone(int(child.read_text())))
    finally:
        parent.kill()
        parent.wait()
