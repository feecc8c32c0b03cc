"""Opens a picture or PDF, whatever its name says, or says in one sentence why not."""

from pathlib import Path

from pathproof.plans.picture._pdf import read_page
from pathproof.plans.picture._pixels import LARGEST_PX, MOST_PAGES, MOST_PIXELS, read_pixels
from pathproof.plans.picture._result import Picture
from pathproof.terms import PlanError

__all__ = ["LARGEST_BYTES", "LARGEST_PX", "MOST_PAGES", "MOST_PIXELS", "read_picture"]

LARGEST_BYTES = 64 * 2**20
"""Scans of a large sheet have some 20 MB."""

_PDF_WITHIN = 1024  # where readers look for its first line
_OTHERS = (
    (b"ISO-10303-21", "an IFC plan; import it: pathproof import"),
    (b"AC10", "a DWG drawing; export it as DXF and import that, or as PDF"),
    (b"PK\x03\x04", "a zip archive; unpack it and give the picture or PDF inside"),
    (b"%!PS", "PostScript; export it as PDF"),
    (b"\xff\x0a", "a JPEG XL picture; save it as PNG or JPEG"),
    (b"\x00\x00\x00\x0cjP  ", "a JPEG 2000 picture; save it as PNG or JPEG"),
)
"""First bytes of what people take for a picture, and what to do with it."""


def read_picture(
    path: Path, page: int | None = None, *, largest_bytes: int = LARGEST_BYTES
) -> Picture:
    """The picture in a file, or a page of it: PNG, JPEG, TIFF, BMP, GIF, WebP or PDF.

    Parameters
    ----------
    path : Path
        The file; its first bytes say what it is, not its name.
    page : int, optional
        Page of a PDF or of a TIFF of several pages, from 1.
    largest_bytes : int
        Refuse larger files.

    Raises
    ------
    PlanError
        Not a picture that can be read, too large, damaged or locked, or a page that is not there.
    """
    content = _content(path, largest_bytes)
    if b"%PDF-" in content[:_PDF_WITHIN]:
        return read_page(content, path.name, page)
    for start, what in _OTHERS:
        if content.startswith(start):
            raise PlanError(f"{path.name} is {what}.")
    if content[4:12] in (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftypavif"):
        raise PlanError(f"{path.name} is a HEIC or AVIF picture; save it as JPEG or PNG.")
    return read_pixels(content, path.name, page)


def _content(path: Path, largest_bytes: int) -> bytes:
    if path.exists() and not path.is_file():
        raise PlanError(f"{path} is not a file; give the path of one picture or PDF.")
    try:
        with path.open("rb") as stream:
            content = stream.read(largest_bytes + 1)
    except OSError as error:
        raise PlanError(
            f"{path} cannot be read ({error.strerror}); give the path of one picture or PDF."
        ) from error
    if len(content) > largest_bytes:
        raise PlanError(
            f"{path.name} has more than {largest_bytes // 2**20} MB, which is the limit. Save the "
            "page with the storey alone, or scan it at 300 dpi or less."
        )
    if not content:
        raise PlanError(f"{path.name} is empty; give a picture or a PDF.")
    return content
