"""The same reading in a process of its own: a crash or endless page of a bad file becomes an error.

A decoder can run for hours or take all memory over a file made to do so; there it can be ended.
"""

import multiprocessing
import sys
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Final

from pathproof.plans.picture._reader import LARGEST_BYTES, read_picture
from pathproof.plans.picture._result import Picture
from pathproof.terms import PlanError

if sys.platform != "win32":
    import resource

LONGEST_S: Final = 120.0
_MOST_MEMORY_BYTES: Final = 4 * 2**30
"""More than twice what the largest picture takes, libraries included."""


def read_picture_apart(
    path: Path,
    page: int | None = None,
    *,
    largest_bytes: int = LARGEST_BYTES,
    longest_s: float = LONGEST_S,
) -> Picture:
    """As `read_picture`, in a process of its own.

    Raises
    ------
    PlanError
        As for `read_picture`, or it crashed the decoder or took longer than `longest_s`.
    """
    # "spawn": a fork of a process with running threads may hang
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_child, args=(theirs, path, page, largest_bytes), daemon=True)
    process.start()
    theirs.close()
    try:
        if not ours.poll(longest_s):
            raise PlanError(
                f"{path.name} takes longer than {longest_s:.0f} s to draw. Save the page as a "
                "picture, or print it to a plainer PDF."
            )
        found: Picture | PlanError = ours.recv()
    except EOFError as error:
        raise PlanError(
            f"{path.name} crashed the decoder: it is damaged, or needs more memory than a picture "
            "may take. Open it and save it as PNG."
        ) from error
    finally:
        process.terminate()
        process.join()
        ours.close()
    if isinstance(found, PlanError):
        raise found
    return found


def _child(theirs: Connection, path: Path, page: int | None, largest_bytes: int) -> None:
    if sys.platform != "win32":
        hard = resource.getrlimit(resource.RLIMIT_AS)[1]
        limit = _MOST_MEMORY_BYTES if hard < 0 else min(_MOST_MEMORY_BYTES, hard)
        resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
    try:
        found: Picture | PlanError = read_picture(path, page, largest_bytes=largest_bytes)
    except PlanError as error:
        found = error
    try:
        theirs.send(found)
    except (BrokenPipeError, KeyboardInterrupt):
        return  # nobody waits for the picture any more
