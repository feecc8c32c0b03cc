"""Opens a DXF file, or says in one sentence why not."""

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from pathproof.terms import PlanError

if TYPE_CHECKING:
    from ezdxf.document import Drawing

LARGEST_BYTES = 60_000_000
"""Above this an import takes more than some twenty seconds and a gigabyte of memory."""

_BINARY = b"AutoCAD Binary DXF"
_TEXT = re.compile(rb"\s*(999[ \t]*\r?\n[^\n]*\n\s*)*0[ \t]*\r?\n\s*SECTION\b")
_UNDERLAY = "put it under a storey with pathproof underlay"
_OTHERS = (
    (b"PK", "a zip archive; unpack it and give the .dxf file inside"),
    (b"%PDF", f"a PDF; ask for the drawing as DXF, or {_UNDERLAY}"),
    (b"\xff\xd8\xff", f"a picture; {_UNDERLAY}"),
    (b"\x89PNG", f"a picture; {_UNDERLAY}"),
    (b"ISO-10303-21", "an IFC file or another STEP file; name it .ifc if it is a plan"),
)


@cache
def broken() -> tuple[type[Exception], ...]:
    """What reading a damaged file, or one thing of it, raises."""
    # The library takes a while to load: only where a drawing is read.
    from ezdxf.lldxf.const import DXFError

    return (
        DXFError,
        ArithmeticError,
        AssertionError,
        AttributeError,
        LookupError,
        RecursionError,
        TypeError,
        ValueError,
    )


def open_dxf(path: Path, largest_bytes: int = LARGEST_BYTES) -> tuple["Drawing", int]:
    """The open drawing and the number of faults that had to be mended.

    Raises
    ------
    PlanError
        Not a file, too large, not DXF, or damaged beyond mending.
    """
    from ezdxf.filemanagement import readfile

    _check_before_reading(path, largest_bytes)
    try:
        return readfile(path), 0
    except OSError as error:
        raise _unreadable(path, error) from error
    except broken():
        return _mended(path)


def _mended(path: Path) -> tuple["Drawing", int]:
    from ezdxf import recover

    try:
        drawing, auditor = recover.readfile(path)
    except OSError as error:
        raise _unreadable(path, error) from error
    except broken() as error:
        raise PlanError(
            f"{path.name} starts like a DXF file but is broken inside; save it as DXF again."
        ) from error
    return drawing, max(1, len(auditor.errors) + len(auditor.fixes))


def _check_before_reading(path: Path, largest_bytes: int) -> None:
    if path.is_dir():
        raise PlanError(f"{path.name} is a folder; give the path of one .dxf file.")
    try:
        size = path.stat().st_size
        if size > largest_bytes:
            raise PlanError(
                f"{path.name} has {size / 1e6:.0f} MB; {largest_bytes / 1e6:.0f} MB is the limit. "
                "Save one storey alone, without furniture, hatches and site plan."
            )
        with path.open("rb") as stream:
            start = stream.read(4096)
    except OSError as error:
        raise _unreadable(path, error) from error
    _check_start(path.name, start.removeprefix(b"\xef\xbb\xbf"))


def _unreadable(path: Path, error: OSError) -> PlanError:
    return PlanError(
        f"{path.name} cannot be read ({error.strerror}); give the path of a .dxf file."
    )


def _check_start(name: str, start: bytes) -> None:
    if not start:
        raise PlanError(f"{name} is empty; give a .dxf file.")
    if re.match(rb"AC[0-9.]{4}|MC0\.0", start):
        raise PlanError(
            f"{name} is a DWG drawing, which only its own program reads; "
            "save it as DXF there and give that file."
        )
    for magic, what in _OTHERS:
        if start.startswith(magic):
            raise PlanError(f"{name} is {what}.")
    if not start.startswith(_BINARY) and _TEXT.match(start) is None:
        raise PlanError(
            f"{name} is not a DXF file: it does not begin with a section. Save the plan as DXF."
        )
