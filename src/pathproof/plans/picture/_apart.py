"""The same reading in a process of its own: a crash or endless page of a bad file becomes an error.

A decoder can run for hours or take all memory over a file made to do so; there it can be ended.
"""

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final

from pathproof.plans.apart import Engine, run_apart
from pathproof.plans.picture._reader import LARGEST_BYTES, read_picture
from pathproof.plans.picture._result import Picture

LONGEST_S: Final = 120.0

_ENGINE: Final = Engine(
    name="the decoder",
    longest_s=LONGEST_S,
    # more than twice what the largest picture takes, libraries included
    most_memory_bytes=4 * 2**30,
    if_damaged="Open it and save it as PNG.",
    if_too_much="Save the page as a picture, or print it to a plainer PDF.",
)


def read_picture_apart(
    path: Path,
    page: int | None = None,
    *,
    largest_bytes: int = LARGEST_BYTES,
    longest_s: float = LONGEST_S,
) -> Picture:
    """As `read_picture`, in a process of its own.

    A script that calls it does so under `if __name__ == "__main__":`, as the process loads it too.

    Raises
    ------
    PlanError
        As for `read_picture`, or it crashed the decoder, took longer than `longest_s` or too much
        memory.
    """
    return run_apart(
        partial(read_picture, largest_bytes=largest_bytes),
        path,
        page,
        name=path.name,
        engine=replace(_ENGINE, longest_s=longest_s),
    )
