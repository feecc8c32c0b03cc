"""A storey's underlay: a picture of its plan that walls are drawn over, kept beside the job file.

The job file names the picture by its hash; the picture lies in `<name>.underlays/<hash>.png`. It is
no evidence and no obstacle: nothing is calculated from it.
"""

import hashlib
import math
from pathlib import Path
from typing import Annotated

from pydantic import Field

from pathproof.job._disk import write_atomically
from pathproof.job._model import Model, Point, Sha256
from pathproof.terms import JobError, UnderlayKind

LARGEST_UNDERLAY_BYTES = 64 * 2**20
"""A stored picture has a few MB; this is more than its pixels could take uncompressed."""

Pixels = Annotated[int, Field(ge=1, le=20_000)]


class Underlay(Model):
    """A picture of a storey's plan with its scale and place; it proves nothing, stops nothing."""

    sha256: Sha256
    """SHA-256 of the picture, a PNG that lies beside the job file in `<name>.underlays/`."""
    kind: UnderlayKind
    """What it was made from: picture or pdf_page."""
    page: Annotated[int, Field(ge=1, le=100_000)] | None = None
    """Page of the file it was made from; none where that had no pages."""
    width_px: Pixels
    """Width of the picture. [px]"""
    height_px: Pixels
    """Height of the picture. [px]"""
    m_per_px: Annotated[float, Field(gt=0.0, le=10.0)]
    """Its scale. [m/px]"""
    origin: Point
    """Where the picture's lower left corner lies. [m]"""
    rotation_deg: Annotated[float, Field(ge=-360.0, le=360.0)] = 0.0
    """How far the picture is turned about that corner, counter-clockwise. [deg]"""

    def on_site(self, x_px: float, y_px: float) -> tuple[float, float]:
        """Where a point of the picture lies. [m]

        Parameters
        ----------
        x_px, y_px : float
            From the picture's upper left corner to the right and down. [px]
        """
        along_m, up_m = x_px * self.m_per_px, (self.height_px - y_px) * self.m_per_px
        turn = math.radians(self.rotation_deg)
        return (
            self.origin[0] + along_m * math.cos(turn) - up_m * math.sin(turn),
            self.origin[1] + along_m * math.sin(turn) + up_m * math.cos(turn),
        )

    def in_picture(self, x_m: float, y_m: float) -> tuple[float, float]:
        """Where a place on the site lies in the picture, also beyond its edges; see `on_site`. [px]

        Parameters
        ----------
        x_m, y_m : float
            A place on the site. [m]
        """
        turn = math.radians(self.rotation_deg)
        dx, dy = x_m - self.origin[0], y_m - self.origin[1]
        return (
            (dx * math.cos(turn) + dy * math.sin(turn)) / self.m_per_px,
            self.height_px - (dy * math.cos(turn) - dx * math.sin(turn)) / self.m_per_px,
        )

    @property
    def corners(self) -> list[tuple[float, float]]:
        """The picture's corners on the site, counter-clockwise from the lower left one. [m]"""
        wide, high = self.width_px, self.height_px
        return [self.on_site(x, y) for x, y in ((0, high), (wide, high), (wide, 0), (0, 0))]


def underlay_path(job_path: Path, sha256: str) -> Path:
    """Where a job file's picture of that hash lies."""
    return job_path.with_name(f"{job_path.stem}.underlays") / f"{sha256}.png"


def store_underlay(job_path: Path, png: bytes) -> str:
    """Keep a picture beside a job file, before the job that names it is saved; gives its SHA-256.

    Pictures that the job no longer names stay, because its older revisions do.

    Raises
    ------
    JobError
        It cannot be written.
    """
    sha256 = hashlib.sha256(png).hexdigest()
    path = underlay_path(job_path, sha256)
    try:
        path.parent.mkdir(exist_ok=True)
        if not path.is_file() or path.read_bytes() != png:
            write_atomically(path, png)
    except OSError as error:
        raise JobError(
            f"The underlay cannot be written to {path.parent}: {error.strerror}. Nothing was saved."
        ) from error
    return sha256


def read_underlay(job_path: Path, sha256: str) -> bytes:
    """The PNG of that hash beside a job file.

    Raises
    ------
    JobError
        It is missing, cannot be read, or is another picture than the one that was stored.
    """
    path = underlay_path(job_path, sha256)
    try:
        with path.open("rb") as file:
            png = file.read(LARGEST_UNDERLAY_BYTES + 1)
    except FileNotFoundError as error:
        raise JobError(
            f"The underlay {path} is missing. Its folder goes with the job file and bears its "
            "name: put it there again, or give the storey the picture anew (pathproof underlay)."
        ) from error
    except OSError as error:
        raise JobError(f"The underlay {path} cannot be read: {error.strerror}.") from error
    if hashlib.sha256(png).hexdigest() != sha256:
        raise JobError(
            f"The underlay {path} was changed since it was stored, so its scale may be wrong. Put "
            "the stored picture back, or give the storey the picture anew (pathproof underlay)."
        )
    return png
