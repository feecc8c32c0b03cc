"""Work on plans in a process of its own."""

import importlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from pathproof.plans import import_ifc, import_ifc_apart
from pathproof.plans.apart import Engine, run_apart
from pathproof.terms import PlanError

from .conftest import PlanFile

WORKS = """
import os, signal, time

def crash(*_):
    os.kill(os.getpid(), signal.SIGSEGV)

def fail(*_):
    raise ZeroDivisionError("not foreseen")

def interrupted(*_):
    raise KeyboardInterrupt

def never_ends(*_):
    time.sleep(600)

def tells_and_never_ends(progress):
    while True:
        progress(1, 2, "still at it")
        time.sleep(0.1)

def takes_memory(byte_count):
    return len(bytearray(byte_count))
"""

ENGINE = Engine(
    name="the engine", longest_s=60.0, if_damaged="Export it again.", if_too_much="Make it smaller."
)
AT_ONCE = replace(ENGINE, longest_s=3.0)


@pytest.fixture
def works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Imports that end badly, in a module that the other process finds too."""
    (tmp_path / "works_apart.py").write_text(WORKS)
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.delitem(sys.modules, "works_apart", raising=False)
    return importlib.import_module("works_apart")


STOPPED_WHILE_AT_WORK = """
import os, pathlib, signal, sys, time
from pathproof.plans.apart import Engine, run_apart

def never_ends(path):
    path.write_text(str(os.getpid()))
    time.sleep(600)

if __name__ == "__main__":
    # Where tests run in the background of a shell, they inherit that an interrupt is ignored.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    engine = Engine(name="", longest_s=600.0, if_damaged="", if_too_much="")
    run_apart(never_ends, pathlib.Path(sys.argv[1]), name="plan", engine=engine)
"""
WITHOUT_A_GUARD = """
import pathlib, sys
from pathproof.plans.picture import read_picture_apart
from pathproof.terms import PlanError

try:
    read_picture_apart(pathlib.Path(sys.argv[1]))
except PlanError as error:
    print(error)
"""


def gone(pid: int) -> bool:
    """Whether a process has ended; one that nobody collected yet counts."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return True
    stat = Path(f"/proc/{pid}/stat")
    return stat.exists() and stat.read_text().rpartition(")")[2].split()[0] == "Z"


def source_root() -> str:
    return str(Path(sys.modules["pathproof"].__path__[0]).resolve().parent)


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


def test_a_crash_is_a_sentence_and_nothing_else_dies(works: ModuleType) -> None:
    with pytest.raises(PlanError, match=r"crashed the engine \(exit code -11\).*Export it again\."):
        run_apart(works.crash, name="plan.ifc", engine=ENGINE)


def test_an_error_of_our_own_is_no_crash(
    works: ModuleType, capfd: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(PlanError, match="an error of its own, shown above"):
        run_apart(works.fail, name="plan.ifc", engine=ENGINE)
    assert "ZeroDivisionError: not foreseen" in capfd.readouterr().err


def test_control_c_in_the_child_is_quiet(
    works: ModuleType, capfd: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(PlanError):
        run_apart(works.interrupted, name="plan.ifc", engine=ENGINE)
    assert capfd.readouterr().err == ""


def test_what_takes_too_long_is_ended(works: ModuleType) -> None:
    with pytest.raises(PlanError, match=r"plan takes longer than 3 s to read\. Make it smaller"):
        run_apart(works.never_ends, name="plan", engine=AT_ONCE)


def test_telling_progress_gives_no_more_time(works: ModuleType) -> None:
    told: list[int] = []
    with pytest.raises(PlanError, match="takes longer than 3 s"):
        run_apart(
            works.tells_and_never_ends,
            name="plan",
            engine=AT_ONCE,
            progress=lambda done, *_: told.append(done),
        )
    assert told


def test_an_import_of_ifc_has_an_end(tmp_path: Path) -> None:
    """Even before it could open the file: loading the geometry engine takes longer than this."""
    path = tmp_path / "plan.ifc"
    PlanFile().file.write(str(path))
    with pytest.raises(
        PlanError, match=r"longer than 0\.01 s to read\. Export the plan again with"
    ):
        import_ifc_apart(path, longest_s=0.01)


@pytest.mark.skipif(sys.platform == "win32", reason="limits of memory are a POSIX matter")
def test_what_takes_too_much_memory_is_refused(works: ModuleType) -> None:
    engine = replace(ENGINE, most_memory_bytes=4 * 2**30)
    assert run_apart(works.takes_memory, 2**20, name="plan", engine=engine) == 2**20
    with pytest.raises(PlanError, match=r"needs more memory than it may take\. Make it smaller"):
        run_apart(works.takes_memory, 5 * 2**30, name="plan", engine=engine)


def test_a_script_without_a_guard_is_told_so_and_the_file_is_not_blamed(tmp_path: Path) -> None:
    script = tmp_path / "reads.py"
    script.write_text(WITHOUT_A_GUARD)
    ran = subprocess.run(
        [sys.executable, str(script), str(tmp_path / "plan.png")],
        env={**os.environ, "PYTHONPATH": source_root()},
        capture_output=True,
        text=True,
        timeout=60.0,
        check=True,
    )
    assert "did not start" in ran.stdout
    assert 'if __name__ == "__main__":' in ran.stdout
    assert "damaged" not in ran.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="signals are a POSIX matter")
@pytest.mark.parametrize("stop", [signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
def test_the_child_goes_with_its_parent(tmp_path: Path, stop: signal.Signals) -> None:
    script, child = tmp_path / "parent.py", tmp_path / "pid"
    script.write_text(STOPPED_WHILE_AT_WORK)
    parent = subprocess.Popen(
        [sys.executable, str(script), str(child)],
        env={**os.environ, "PYTHONPATH": source_root()},
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
