"""From two points of a picture and their distance to where the picture lies on the site."""

import hashlib
import math
from dataclasses import dataclass

from pydantic import ValidationError

from pathproof.job import Underlay
from pathproof.plans.picture._result import Picture
from pathproof.terms import PlanError

PointPx = tuple[float, float]

_SIDE_M = (1.0, 1000.0)
"""What the longer side of a plan can show: a cupboard to a large works."""
_SLIP_PX = 2.0
"""How far a point read off a picture is out. Common practice, no source."""
_LARGEST_SLIP_RATIO = 0.02


@dataclass(frozen=True, kw_only=True)
class Scaling:
    """What a person read off the picture."""

    points_px: tuple[PointPx, PointPx]
    """Two points, from the upper left corner to the right and down. [px]"""
    distance_m: float
    """How far apart they are in the building. [m]"""
    first_at_m: tuple[float, float] | None = None
    """Where on the site the first one is; none puts the lower left corner at the origin. [m]"""
    direction_deg: float | None = None
    """Direction on the site from the first to the second, 0 along x and 90 along y; none keeps the
    picture upright. [deg]"""


def scaled(picture: Picture, scaling: Scaling) -> tuple[Underlay, tuple[str, ...]]:
    """The picture as a storey's underlay, and what is to be known about it, in sentences.

    Raises
    ------
    PlanError
        The points are one, outside the picture, or give a size that no plan has.
    """
    _check(picture, scaling)
    first, second = scaling.points_px
    apart_px = math.dist(first, second)
    turn_deg = 0.0
    if scaling.direction_deg is not None:
        drawn_deg = math.degrees(math.atan2(first[1] - second[1], second[0] - first[0]))
        turn_deg = math.remainder(scaling.direction_deg - drawn_deg, 360.0) + 0.0  # no minus zero
    fields = {
        "sha256": hashlib.sha256(picture.png).hexdigest(),
        "kind": picture.kind,
        "page": picture.page,
        "width_px": picture.width_px,
        "height_px": picture.height_px,
        "m_per_px": scaling.distance_m / apart_px,
        "rotation_deg": turn_deg,
    }
    underlay = Underlay.model_validate({**fields, "origin": (0.0, 0.0)})
    if scaling.first_at_m is not None:
        (x, y), (x_now, y_now) = scaling.first_at_m, underlay.on_site(*first)
        try:
            underlay = Underlay.model_validate({**fields, "origin": (x - x_now, y - y_now)})
        except ValidationError as error:
            raise PlanError(
                f"With the first point at {x:g}, {y:g} m the picture's lower left corner would lie "
                f"at {x - x_now:.0f}, {y - y_now:.0f} m; allowed: within 512 m of the site's "
                "origin. Choose a place nearer to it."
            ) from error
    return underlay, tuple(_notes(scaling, apart_px))


def _check(picture: Picture, scaling: Scaling) -> None:
    wide, high = picture.width_px, picture.height_px
    for x, y in scaling.points_px:
        if not (0 <= x <= wide and 0 <= y <= high):
            raise PlanError(
                f"Point {x:g},{y:g} is outside the picture of {wide} x {high} pixels; allowed: x 0 "
                f"to {wide} from its left edge, y 0 to {high} from its upper edge."
            )
    apart_px = math.dist(*scaling.points_px)
    if apart_px < 1.0:
        raise PlanError(
            "Both points are the same; give the two ends of a length that you know, as far apart "
            "as you can."
        )
    if not (math.isfinite(scaling.distance_m) and scaling.distance_m > 0.0):
        raise PlanError(
            f"The distance given is {scaling.distance_m:g} m; allowed: above 0, the length between "
            "the two points in the building."
        )
    if scaling.direction_deg is not None and not math.isfinite(scaling.direction_deg):
        raise PlanError(
            f"The direction given is {scaling.direction_deg:g}; allowed: an angle in degrees, 0 "
            "along x and 90 along y."
        )
    side_m = scaling.distance_m / apart_px * max(wide, high)
    least_m, most_m = _SIDE_M
    if not least_m <= side_m <= most_m:
        raise PlanError(
            f"{scaling.distance_m:g} m between these points would make the picture {side_m:.3g} m "
            f"long; allowed: {least_m:g} to {most_m:g} m. Give the distance in metres, and check "
            "both points."
        )


def _notes(scaling: Scaling, apart_px: float) -> list[str]:
    notes = []
    slip_ratio = _SLIP_PX / apart_px
    if slip_ratio > _LARGEST_SLIP_RATIO:
        notes.append(
            f"The points are {apart_px:.0f} pixels apart: a slip of {_SLIP_PX:g} pixels changes "
            f"every length by {slip_ratio:.0%}. Choose points further apart."
        )
    if scaling.first_at_m is None:
        notes.append(
            "The picture's lower left corner is the site's origin. To line storeys up, give the "
            "same corner of the building as first point on each, with the same place on the site."
        )
    return notes
