"""The folder with what a user keeps: a catalogue of their own, and the app's data."""

import hashlib
import os
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Final

from platformdirs import user_data_path

from pathproof.job.library import Library, files_in, shipped, shipped_files
from pathproof.terms import JobError

HOME_VARIABLE: Final = "PATHPROOF_HOME"


def home() -> Path:
    """The folder with the user's own catalogue, constructions and profiles.

    Raises
    ------
    JobError
        The variable that moves it names something that is no folder.
    """
    own = os.environ.get(HOME_VARIABLE)
    if not own:
        return user_data_path("pathproof", appauthor=False)
    if not Path(own).is_dir():
        raise JobError(
            f"{HOME_VARIABLE} names {own}, which is not a folder. Make the folder, or unset "
            f"{HOME_VARIABLE}."
        )
    return Path(own)


def user_library() -> Library:
    """What comes with Pathproof, and the user's own TOML files on top."""
    folder = home()
    return shipped().with_folder(folder) if folder.is_dir() else shipped()


def library_stamp() -> str:
    """A SHA-256 that is another one whenever the user's library may say something else."""
    folder = home()
    own = files_in(folder) if folder.is_dir() else {}
    return hashlib.sha256(f"{_shipped_stamp()}{_digest(own)}".encode()).hexdigest()


@cache
def _shipped_stamp() -> str:
    return _digest(shipped_files())


def _digest(contents: Mapping[str, bytes]) -> str:
    each = [(name, hashlib.sha256(x).hexdigest()) for name, x in sorted(contents.items())]
    return hashlib.sha256(repr(each).encode()).hexdigest()
