"""Storeys made by hand, and pictures put under them."""

import re
import unicodedata

from pydantic import ValidationError

from pathproof.job._problems import explain
from pathproof.job.file import Job
from pathproof.job.site import Floor, Site
from pathproof.job.underlay import Underlay
from pathproof.terms import JobError

__all__ = ["SAME_HEIGHT_M", "new_storey", "with_underlay"]

SAME_HEIGHT_M = 0.5
"""Storeys nearer than this are one (house choice, no source). [m]"""


def new_storey(site: Site, name: str, elevation_m: float, height_m: float) -> Floor:
    """A storey that the site does not have yet; it is not put in.

    Raises
    ------
    JobError
        There is one of that name or height, or the figures make no storey.
    """
    for other in site.floors:
        if other.name.casefold() == name.casefold():
            raise JobError(f"There is a storey {other.name!r} already. Choose that one.")
        if abs(other.elevation_m - elevation_m) < SAME_HEIGHT_M:
            raise JobError(
                f"The storey {other.name!r} is at {other.elevation_m:g} m already. Choose that "
                "one, or give the height of another."
            )
    fields = {
        "id": _id_of(name, {f.id for f in site.floors}),
        "name": name,
        "elevation_m": elevation_m,
        "height_m": height_m,
    }
    try:
        return Floor.model_validate(fields)
    except ValidationError as error:
        raise JobError(f"The storey cannot be made:\n{explain(error, fields)}") from error


def with_underlay(job: Job, storey: Floor, underlay: Underlay) -> Job:
    """The job with the picture under a storey, which is added where it is new."""
    drawn = storey.model_copy(update={"underlay": underlay})
    floors = [drawn if f.id == storey.id else f for f in job.site.floors]
    if drawn not in floors:
        floors.append(drawn)
    return job.model_copy(update={"site": job.site.model_copy(update={"floors": floors})})


def _id_of(name: str, taken: set[str]) -> str:
    """An id that is made from a name, such as ground_floor."""
    plain = unicodedata.normalize("NFKD", name.casefold()).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "_", plain).strip("_")[:40] or "floor"
    numbered = (slug if n == 1 else f"{slug}_{n}" for n in range(1, len(taken) + 2))
    return next(i for i in numbered if i not in taken)
