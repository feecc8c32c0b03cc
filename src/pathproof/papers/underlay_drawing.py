"""A storey's underlay on its plan: as faint ink, so that paper, map and walls show through."""

import io

import numpy as np
from PIL import Image, ImageOps

from pathproof.job import Floor, Underlay
from pathproof.papers.drawing import Raster
from pathproof.papers.plan_frame import Frame
from pathproof.plans.picture import stored_pixels
from pathproof.terms import PlanError

_PX_PER_MM = 8
"""About 200 dpi."""
_INK_RATIO = 0.35
"""Of the underlay's black, what is left on paper."""
_SHADES = 8
"""So few that the grain of a photo goes."""
_DARK = 128
"""Paper below this shade is a blueprint's, or of a screen turned dark; its lines are light."""

_SHOWN = (
    "Drawn faintly: the picture of this storey, for orientation. Nothing is worked out from it."
)
_MISSING = (
    "The picture under this storey is missing beside the job file, or is not the one that was put "
    "there, so it is not drawn. Nothing is worked out from it."
)

UNDERLAY_ROWS = 2
"""Rows that either takes on a sheet."""


def underlay_of(floor: Floor, png: bytes | None, frame: Frame) -> tuple[list[Raster], str]:
    """The picture under a storey, where there is one that can be drawn, and what is said of it."""
    if floor.underlay is None:
        return [], ""
    if png is None:
        return [], _MISSING
    try:
        return [draw_underlay(floor.underlay, png, frame)], _SHOWN
    except PlanError:
        return [], _MISSING


def draw_underlay(underlay: Underlay, png: bytes, frame: Frame) -> Raster:
    """What lies inside the axes of the picture, to scale and turned as it lies on the site.

    Its usual shade, which is that of its paper, becomes transparent, and so does all that is
    lighter. Where that is dark, light and dark are swapped first.

    Raises
    ------
    PlanError
        The picture is not the PNG that the underlay describes.
    """
    left, top, right, bottom = frame.box
    image = stored_pixels(png, underlay)
    coarser = max(int(1 / (underlay.m_per_px * frame.mm_per_m * _PX_PER_MM)), 1)
    image, paper = _on_light_paper(image.reduce(coarser))
    size = (round((right - left) * _PX_PER_MM), round((bottom - top) * _PX_PER_MM))
    image = image.transform(
        size,
        Image.Transform.AFFINE,
        _from_sheet(underlay, frame, coarser),
        resample=Image.Resampling.BILINEAR,
        fillcolor=paper,
    )
    png = _as_ink(image, paper)
    return Raster(at=(left, top), width_mm=right - left, height_mm=bottom - top, png=png)


def _from_sheet(underlay: Underlay, frame: Frame, coarser: int) -> tuple[float, ...]:
    """Coefficients that turn a pixel of the drawing into one of the picture made coarser."""
    left, top, _, _ = frame.box
    (x0, y0), step_m = frame.on_site((left, top)), 1 / (_PX_PER_MM * frame.mm_per_m)
    start = underlay.in_picture(x0, y0)
    right, down = underlay.in_picture(x0 + step_m, y0), underlay.in_picture(x0, y0 - step_m)
    rows = ((right[i] - start[i], down[i] - start[i], start[i]) for i in (0, 1))
    return tuple(c / coarser for row in rows for c in row)


def _on_light_paper(grey: Image.Image) -> tuple[Image.Image, int]:
    """The picture, its shades swapped if it is mostly dark, and the shade of its paper."""
    paper = int(np.median(np.asarray(grey)))
    return (grey, paper) if paper >= _DARK else (ImageOps.invert(grey), 255 - paper)


def _as_ink(grey: Image.Image, paper: int) -> bytes:
    """A black picture as opaque as the grey one is darker than its paper."""
    shades = np.asarray(grey, dtype=np.float64)
    darker = np.clip((paper - shades) / paper, 0.0, 1.0)
    opacity = np.rint(darker * _SHADES) / _SHADES * _INK_RATIO
    black = Image.new("L", grey.size, 0)
    black.putalpha(Image.fromarray(np.rint(255.0 * opacity).astype(np.uint8)))
    stream = io.BytesIO()
    black.save(stream, "PNG")
    return stream.getvalue()
