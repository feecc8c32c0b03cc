"""Line drawings as data, in millimetres from the top left corner of the drawing.

The Typst template draws these shapes and nothing else, so tests read what is on the paper.
"""

from dataclasses import dataclass

PointMm = tuple[float, float]

INK = "ink"
PAPER = "paper"
GREY = "grey"
WARN = "warn"
"""The inks of the template; a colour of a map is given as #rrggbb."""

HAIR_MM = 0.13
LINE_MM = 0.35
HEAVY_MM = 0.8
FONT_MM = 3.2
"""Height of the small type. [mm]"""
CHARACTER_MM = 1.55
"""Width of a character of it, on the safe side of the mean. [mm]"""


@dataclass(frozen=True, kw_only=True)
class Lines:
    """One or more lines, or areas, drawn in one go."""

    lines: tuple[tuple[PointMm, ...], ...]
    ink: str = INK
    width_mm: float = LINE_MM
    dash: str = "solid"
    """solid, dashed or dotted."""
    fill: str | None = None
    """Fills the closed lines, instead of drawing them when `width_mm` is 0."""


@dataclass(frozen=True, kw_only=True)
class Ring:
    """A circle."""

    at: PointMm
    radius_mm: float
    ink: str = INK
    width_mm: float = LINE_MM
    dash: str = "solid"
    fill: str | None = PAPER


@dataclass(frozen=True, kw_only=True)
class Label:
    """A few words; `anchor` is the point of the text box that stands at `at`."""

    at: PointMm
    text: str
    anchor: str = "top"
    """top, bottom, left or center."""
    width_mm: float | None = None
    """Wraps at this width; none means one line."""
    ink: str = INK
    bold: bool = False
    backed: bool = False
    """Stands on a piece of white paper."""


@dataclass(frozen=True, kw_only=True)
class Raster:
    """A picture of square cells, drawn with sharp edges; `at` is its top left corner."""

    at: PointMm
    width_mm: float
    height_mm: float
    png: bytes


Shape = Lines | Ring | Label | Raster


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """A drawing with the words that stand for it where it cannot be seen."""

    width_mm: float
    height_mm: float
    shapes: tuple[Shape, ...]
    alt: str
    notes: tuple[str, ...] = ()
    """Words that found no room in the drawing; they stand below it, numbered from 1."""
