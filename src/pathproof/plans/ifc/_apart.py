"""The same import in a process of its own: a crash or an endless import becomes a sentence."""

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final

from pathproof.plans.apart import Engine, Progress, run_apart
from pathproof.plans.ifc._importer import import_ifc
from pathproof.plans.ifc._reader import LARGEST_BYTES
from pathproof.plans.materials import MaterialMap
from pathproof.plans.result import PlanImport

LONGEST_S: Final = 1800.0

_ENGINE: Final = Engine(
    name="the geometry engine",
    longest_s=LONGEST_S,
    if_damaged="Some of its references may lead to the wrong kind of thing: export it again from "
    "the program it came from.",
    if_too_much="Export the plan again with walls, doors, windows and floors only.",
)


def import_ifc_apart(
    path: Path,
    *,
    materials: MaterialMap | None = None,
    progress: Progress | None = None,
    largest_bytes: int = LARGEST_BYTES,
    longest_s: float = LONGEST_S,
) -> PlanImport:
    """As `import_ifc`, in a process of its own.

    A script that calls it does so under `if __name__ == "__main__":`, as the process loads it too.

    Raises
    ------
    PlanError
        The file is not a plan that can be read, it crashed the geometry engine or took longer than
        `longest_s`, or the import met an error of Pathproof's own.
    """
    return run_apart(
        partial(import_ifc, materials=materials, largest_bytes=largest_bytes),
        path,
        name=str(path),
        engine=replace(_ENGINE, longest_s=longest_s),
        progress=progress,
    )
