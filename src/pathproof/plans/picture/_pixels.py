"""From the bytes of a picture to upright pixels of a handy size, without its metadata."""

import io
import struct
import warnings

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from pathproof.job import Underlay
from pathproof.plans.picture._result import Picture
from pathproof.terms import PlanError, UnderlayKind

FORMATS = ("PNG", "JPEG", "TIFF", "BMP", "GIF", "WEBP")
MOST_PIXELS = 80_000_000
"""A large sheet (A1) scanned at 300 dpi has 70 million; decoded they take 3 bytes each."""
LARGEST_PX = 4000
"""Longest side of a stored picture: 1 cm a pixel for a building of 40 m."""
LEAST_PX = 100
MOST_PAGES = 1000

_BROKEN = (
    *(ArithmeticError, AttributeError, EOFError, LookupError, MemoryError, OSError, RuntimeError),
    *(SyntaxError, TypeError, ValueError, struct.error),
)
"""What Pillow's decoders raise on damaged files."""
_TOO_LARGE = (Image.DecompressionBombError, Image.DecompressionBombWarning)


def read_pixels(content: bytes, name: str, page: int | None) -> Picture:
    """The picture in a file's content.

    Raises
    ------
    PlanError
        Not a picture, damaged, too large, too small, or a page that is not there.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of odd tags, which nobody here reads
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            return _read(content, name, page)
    except _TOO_LARGE as error:
        raise PlanError(_too_many(name, "more")) from error
    except UnidentifiedImageError as error:
        raise PlanError(
            f"{name} is not a picture that can be read; allowed are PNG, JPEG, TIFF, BMP, GIF, "
            "WebP and PDF. Open it and save it as PNG."
        ) from error
    except _BROKEN as error:
        raise PlanError(
            f"{name} begins like a picture but is damaged or cut short. Copy it again, or open it "
            "and save it as PNG."
        ) from error


def _read(content: bytes, name: str, page: int | None) -> Picture:
    with Image.open(io.BytesIO(content), formats=FORMATS) as image:
        number, notes = _turn_to_page(image, name, page)
        wide, high = image.size
        if wide * high > MOST_PIXELS:
            raise PlanError(_too_many(name, f"{wide} x {high}"))
        image.draft(None, (LARGEST_PX, LARGEST_PX))  # JPEG alone decodes to a fraction
        upright = ImageOps.exif_transpose(_plain(image))
    return finished(upright, (wide, high), name, UnderlayKind.PICTURE, number, notes)


def _too_many(name: str, given: str) -> str:
    return (
        f"{name} has {given} pixels; {MOST_PIXELS // 10**6} million is the limit. Scan it at 300 "
        "dpi or less, or save it smaller."
    )


def _turn_to_page(
    image: Image.Image, name: str, page: int | None
) -> tuple[int | None, tuple[str, ...]]:
    """Number of the page that the picture is turned to; none where it has no pages."""
    if image.format != "TIFF":
        if page not in (None, 1):
            raise PlanError(f"{name} has no pages; leave the page out.")
        moving = getattr(image, "is_animated", False) and image.format in ("GIF", "PNG", "WEBP")
        return None, ("It moves; its first picture was taken.",) if moving else ()
    count: int = getattr(image, "n_frames", 1)
    if count == 1 and page is None:
        return None, ()
    number = page_number(name, page, count)
    image.seek(number - 1)
    return number, ()


def page_number(name: str, page: int | None, count: int) -> int:
    """The page asked for, or the only one.

    Raises
    ------
    PlanError
        There is no such page, nobody said which of several, or there are too many.
    """
    if count > MOST_PAGES:
        raise PlanError(
            f"{name} has {count} pages; {MOST_PAGES} is the limit. Save the page with the storey "
            "in a file of its own."
        )
    if count < 1:
        raise PlanError(f"{name} has no page. Export the plan again.")
    if page is None and count > 1:
        raise PlanError(
            f"{name} has {count} pages. Say which one shows the storey: --page 1 to {count}."
        )
    number = 1 if page is None else page
    if not 1 <= number <= count:
        raise PlanError(f"{name} has no page {number}; allowed: 1 to {count}.")
    return number


def _plain(image: Image.Image) -> Image.Image:
    """The picture in grey or colours of 8 bits on white, whatever it was in."""
    if image.mode.startswith(("I", "F")):
        return _stretched(image)
    if image.mode in ("1", "L"):
        return image.convert("L")
    if image.has_transparency_data:
        coloured = image.convert("RGBA")
        paper = Image.new("RGBA", coloured.size, "white")
        paper.alpha_composite(coloured)
        paper.info = dict(coloured.info)  # which way up
        return paper.convert("RGB")
    return image.convert("RGB")


def _stretched(image: Image.Image) -> Image.Image:
    """A grey picture of more than 8 bits, its darkest point black and its lightest white."""
    grey = np.nan_to_num(np.asarray(image, dtype=np.float32), posinf=0.0, neginf=0.0)
    low, high = float(grey.min()), float(grey.max())
    share = np.ones_like(grey) if high <= low else (grey - low) / (high - low)
    plain = Image.fromarray(np.rint(255.0 * share).astype(np.uint8))
    plain.info = dict(image.info)
    return plain


def finished(
    image: Image.Image,
    given_px: tuple[int, int],
    name: str,
    kind: UnderlayKind,
    page: int | None,
    notes: tuple[str, ...] = (),
) -> Picture:
    """The picture as it is stored: at most `LARGEST_PX` long, and nothing in it but its pixels.

    Raises
    ------
    PlanError
        It is too small to draw over.
    """
    image.thumbnail((LARGEST_PX, LARGEST_PX), Image.Resampling.LANCZOS, reducing_gap=3.0)
    if max(image.size) < max(given_px):
        notes = (*notes, f"Scaled down to {LARGEST_PX} pixels on its longer side.")
    if min(image.size) < LEAST_PX:
        wide, high = image.size
        raise PlanError(
            f"{name} gives a picture of {wide} x {high} pixels; {LEAST_PX} each way is the least "
            "to draw over. Scan or save it larger."
        )
    image.info = {}
    stream = io.BytesIO()
    image.save(stream, "PNG")
    return Picture(stream.getvalue(), *image.size, kind=kind, page=page, notes=notes)


def stored_pixels(png: bytes, underlay: Underlay) -> Image.Image:
    """Grey pixels of a stored picture.

    Raises
    ------
    PlanError
        It is not the PNG that the underlay describes.
    """
    wide, high = underlay.width_px, underlay.height_px
    try:
        with Image.open(io.BytesIO(png), formats=("PNG",)) as image:
            if image.size == (wide, high) and wide * high <= MOST_PIXELS:
                return image.convert("L")
    except (*_BROKEN, *_TOO_LARGE) as error:
        raise PlanError("The stored picture is damaged.") from error
    raise PlanError(f"The stored picture does not have the {wide} x {high} pixels it should have.")
