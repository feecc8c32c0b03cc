"""Import in a process of its own, so that a plan that crashes the geometry engine harms nothing.

A damaged file whose references lead to the wrong kind of thing can take the engine's whole process
down. What starts the import should live on and say so in a sentence.
"""

import multiprocessing
import os
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path

from pathproof.plans.ifc import LARGEST_BYTES, import_ifc
from pathproof.plans.materials import MaterialMap
from pathproof.plans.result import PlanImport
from pathproof.terms import PlanError

_STOPPED_BY_ITSELF = 1
"""Exit code after an error in Python. A crash has another, on POSIX the signal's, below 0."""

Progress = Callable[[int, int, str], None]
Work = Callable[[Path, MaterialMap | None, Progress, int], PlanImport]


def import_ifc_apart(
    path: Path,
    *,
    materials: MaterialMap | None = None,
    progress: Progress | None = None,
    largest_bytes: int = LARGEST_BYTES,
) -> PlanImport:
    """As `import_ifc`, in a process of its own.

    Raises
    ------
    PlanError
        The file is not a plan that can be read, it crashed the geometry engine, or the import met
        an error of Pathproof's own.
    """
    return run_apart(_import, path, materials, progress, largest_bytes)


def run_apart(
    work: Work,
    path: Path,
    materials: MaterialMap | None,
    progress: Progress | None,
    largest_bytes: int,
) -> PlanImport:
    """What `work` gives, from a process of its own; `work` must be a module's function."""
    # "spawn": a fork of a process with running threads may hang
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(
        target=_child, args=(theirs, work, path, materials, largest_bytes), daemon=True
    )
    process.start()
    theirs.close()
    try:
        return _listen(ours, progress)
    except EOFError as error:
        process.join()
        raise PlanError(_why_it_ended(path, process.exitcode)) from error
    finally:
        process.terminate()
        process.join()
        ours.close()


def _listen(ours: Connection, progress: Progress | None) -> PlanImport:
    while True:
        message = ours.recv()
        if isinstance(message, PlanImport):
            return message
        if isinstance(message, PlanError):
            raise message
        if progress is not None:
            progress(*message)


def _why_it_ended(path: Path, exit_code: int | None) -> str:
    if exit_code == _STOPPED_BY_ITSELF:
        return (
            f"{path} could not be imported: Pathproof met an error of its own, shown above. Please "
            "report it with those lines; until it is mended, export the plan again with walls, "
            "doors, windows and floors only."
        )
    return (
        f"{path} crashed the geometry engine (exit code {exit_code}): the file is damaged, some of "
        "its references lead to the wrong kind of thing, or it needs more memory than there is. "
        "Export it again from the program it came from."
    )


def _child(
    theirs: Connection,
    work: Work,
    path: Path,
    materials: MaterialMap | None,
    largest_bytes: int,
) -> None:
    threading.Thread(target=_end_with_parent, daemon=True).start()

    def tell(done: int, total: int, what: str) -> None:
        theirs.send((done, total, what))

    try:
        try:
            theirs.send(work(path, materials, tell, largest_bytes))
        except PlanError as error:
            theirs.send(error)
    except (BrokenPipeError, KeyboardInterrupt):
        return  # nobody waits for the plan any more


def _end_with_parent() -> None:
    """Ends this process at once when the one that started it is gone, whatever it is doing."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(0)


def _import(
    path: Path, materials: MaterialMap | None, progress: Progress, largest_bytes: int
) -> PlanImport:
    return import_ifc(path, materials=materials, progress=progress, largest_bytes=largest_bytes)
