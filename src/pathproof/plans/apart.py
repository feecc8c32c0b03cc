"""Import in a process of its own, so that a plan that crashes the geometry engine harms nothing.

A damaged file whose references lead to the wrong kind of thing can take the engine's whole process
down. What starts the import should live on and say so in a sentence.
"""

import multiprocessing
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path

from pathproof.plans.ifc import LARGEST_BYTES, import_ifc
from pathproof.plans.materials import MaterialMap
from pathproof.plans.result import PlanImport
from pathproof.terms import PlanError

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
        The file is not a plan that can be read, or it crashed the geometry engine.
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
        return _listen(ours, path, progress)
    finally:
        process.terminate()
        process.join()
        ours.close()


def _listen(ours: Connection, path: Path, progress: Progress | None) -> PlanImport:
    while True:
        try:
            message = ours.recv()
        except EOFError as error:
            raise PlanError(
                f"{path} crashed the geometry engine: the file is damaged, some of its references "
                "lead to the wrong kind of thing. Export it again from the program it came from."
            ) from error
        if isinstance(message, PlanImport):
            return message
        if isinstance(message, PlanError):
            raise message
        if progress is not None:
            progress(*message)


def _child(
    theirs: Connection,
    work: Work,
    path: Path,
    materials: MaterialMap | None,
    largest_bytes: int,
) -> None:
    def tell(done: int, total: int, what: str) -> None:
        theirs.send((done, total, what))

    try:
        theirs.send(work(path, materials, tell, largest_bytes))
    except PlanError as error:
        theirs.send(error)


def _import(
    path: Path, materials: MaterialMap | None, progress: Progress, largest_bytes: int
) -> PlanImport:
    return import_ifc(path, materials=materials, progress=progress, largest_bytes=largest_bytes)
