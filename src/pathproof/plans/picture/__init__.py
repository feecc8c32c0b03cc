"""Plans that are only a picture or a page of a PDF: read, given a scale, ready to draw over."""

from pathproof.plans.picture._apart import read_picture_apart
from pathproof.plans.picture._pixels import stored_pixels
from pathproof.plans.picture._reader import (
    LARGEST_BYTES,
    LARGEST_PX,
    MOST_PAGES,
    MOST_PIXELS,
    read_picture,
)
from pathproof.plans.picture._result import Picture
from pathproof.plans.picture._ruler import with_ruler
from pathproof.plans.picture._scale import Scaling, scaled

__all__ = [
    "LARGEST_BYTES",
    "LARGEST_PX",
    "MOST_PAGES",
    "MOST_PIXELS",
    "Picture",
    "Scaling",
    "read_picture",
    "read_picture_apart",
    "scaled",
    "stored_pixels",
    "with_ruler",
]
