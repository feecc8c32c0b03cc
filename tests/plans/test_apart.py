"""Import in a process of its own."""

import os
import signal
from pathlib import Path

import pytest

from pathproof.plans import MaterialMap, PlanImport, import_ifc, import_ifc_apart
from pathproof.plans.apart import Progress, run_apart
from pathproof.terms import PlanError

from .conftest import PlanFile


def crash(
    path: Path, materials: MaterialMap | None, progress: Progress, largest_bytes: int
) -> PlanImport:
    """Dies as a geometry engine does that follows a wrong reference."""
    os.kill(os.getpid(), signal.SIGSEGV)
    raise AssertionError("not reached")


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


def test_a_crash_is_a_sentence_and_nothing_else_dies(tmp_path: Path) -> None:
    with pytest.raises(PlanError, match="crashed the geometry engine"):
        run_apart(crash, tmp_path / "plan.ifc", None, None, 1000)
