"""The same import in a process of its own: a drawing that takes too much becomes a sentence."""

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Any, Final

from pathproof.plans.apart import Engine, Progress, run_apart
from pathproof.plans.dxf._importer import import_dxf
from pathproof.plans.result import PlanImport

_ENGINE: Final = Engine(
    name="the reader of drawings",
    longest_s=600.0,
    most_memory_bytes=6 * 2**30,
    if_damaged="Save it again as DXF from the program it came from.",
    if_too_much="Save the plan with its walls, doors and windows only, without hatches, and import "
    "again.",
)


def import_dxf_apart(
    paths: Sequence[Path], *, progress: Progress | None = None, **options: Any
) -> PlanImport:
    """As `import_dxf`, in a process of its own, with limits on time and memory.

    A script that calls it does so under `if __name__ == "__main__":`, as the process loads it too.

    Raises
    ------
    PlanError
        As `import_dxf`; or the import crashed, took too long or too much memory, or met an error
        of Pathproof's own.
    """
    return run_apart(
        partial(import_dxf, **options),
        list(paths),
        name=", ".join(str(path) for path in paths),
        engine=_ENGINE,
        progress=progress,
    )
