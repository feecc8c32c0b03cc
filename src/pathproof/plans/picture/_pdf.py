"""From a page of a PDF to pixels."""

import pypdfium2 as pdfium  # type: ignore[import-untyped]
from pypdfium2 import raw as pdfium_c

from pathproof.plans.picture._pixels import LARGEST_PX, finished, page_number
from pathproof.plans.picture._result import Picture
from pathproof.terms import PlanError, UnderlayKind

RESOLUTION_DPI = 300
"""A page is drawn at this, or at what gives `LARGEST_PX` on its longer side where that is less."""
_POINTS_PER_INCH = 72
_PAGE_PT = (72.0, 14_400.0)
"""Sides a page may have: an inch to 5 m."""


def read_page(content: bytes, name: str, page: int | None) -> Picture:
    """A page of a PDF as a picture.

    Raises
    ------
    PlanError
        Damaged, locked by a password, or a page that is not there or of no usable size.
    """
    try:
        document = pdfium.PdfDocument(content)
    except pdfium.PdfiumError as error:
        if error.err_code == pdfium_c.FPDF_ERR_PASSWORD:
            raise PlanError(
                f"{name} is locked by a password. Open it, save or print it without one, and give "
                "that file."
            ) from error
        raise PlanError(
            f"{name} begins like a PDF but is damaged or cut short. Export or copy it again."
        ) from error
    with document:
        number = page_number(name, page, len(document))
        try:
            return _drawn(document[number - 1], name, number)
        except pdfium.PdfiumError as error:
            raise PlanError(
                f"Page {number} of {name} is damaged. Export the PDF again, or save the page as a "
                "picture."
            ) from error


def _drawn(page: pdfium.PdfPage, name: str, number: int) -> Picture:
    sides_pt = page.get_size()
    least_pt, most_pt = _PAGE_PT
    if not (least_pt <= min(sides_pt) and max(sides_pt) <= most_pt):
        wide_mm, high_mm = (side / _POINTS_PER_INCH * 25.4 for side in sides_pt)
        raise PlanError(
            f"Page {number} of {name} is {wide_mm:.0f} x {high_mm:.0f} mm; allowed are 25 to 5080 "
            "mm. Print it to a page of usual size."
        )
    scale = min(RESOLUTION_DPI / _POINTS_PER_INCH, (LARGEST_PX - 1) / max(sides_pt))
    image = page.render(scale=scale, may_draw_forms=False).to_pil().convert("RGB")
    return finished(image, image.size, name, UnderlayKind.PDF_PAGE, number)
