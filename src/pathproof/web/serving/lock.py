"""One server for a data folder, and nothing that replaces its data meanwhile."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from pathproof.terms import ServingError

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]


@contextmanager
def alone(folder: Path, what: str) -> Iterator[None]:
    """Nobody else serves or restores the data in that folder while this holds.

    Parameters
    ----------
    folder : Path
        The app's data folder.
    what : str
        What is being done, for whoever comes second.

    Raises
    ------
    ServingError
        Somebody does already.
    """
    handle = os.open(folder / "in_use", os.O_RDWR | os.O_CREAT, 0o600)
    with os.fdopen(handle, "r+") as file:
        if fcntl is not None:
            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                raise ServingError(
                    f"The data in {folder} is in use: {file.read().strip() or 'by another run'}. "
                    "Stop that first, or name another folder with PATHPROOF_HOME."
                ) from None
        file.truncate()
        file.write(what)
        file.flush()
        yield
