"""Reads the short TOML files that people write beside a plan."""

import tomllib
from pathlib import Path
from typing import Any

from pathproof.terms import PlanError

_LARGEST_BYTES = 1_000_000


def read_toml(path: Path, what: str, example: str) -> dict[str, Any]:
    """The tables of a file.

    Parameters
    ----------
    path : Path
        The file.
    what : str
        What it is, as error messages call it, such as "material map".
    example : str
        What to write instead of what is no TOML.

    Raises
    ------
    PlanError
        It cannot be read, is too large or no TOML.
    """
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise PlanError(f"{path.name} is larger than 1 MB; a {what} is a short file.")
        return tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        raise PlanError(
            f"The {what} {path.name} cannot be read ({error.strerror}); "
            "give the path of a TOML file."
        ) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise PlanError(f"{path.name} is not TOML ({error}); write {example}.") from error
