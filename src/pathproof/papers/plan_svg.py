"""A storey's walls as SVG for a screen, without its marks: these are moved above it."""

from collections.abc import Iterator
from dataclasses import dataclass

from pathproof.job import Floor, Job
from pathproof.papers.drawing import GREY, INK, PAPER, Lines
from pathproof.papers.plan_drawing import thickness_m
from pathproof.papers.plan_frame import Frame
from pathproof.papers.underlay_drawing import draw_underlay
from pathproof.papers.wall_lines import draw_walls, style_of

Corners = tuple[tuple[float, float], tuple[float, float]]

_ROOM_MM = (200.0, 200.0)
_AROUND_M = 2.0
_EMPTY_M = 20.0
_COLOURS = {INK: "#1a1c20", PAPER: "#ffffff", GREY: "#8a8d93"}
_DASHES = {"dashed": "1.6 1", "dotted": "0.3 0.9"}


@dataclass(frozen=True, kw_only=True)
class PlanSvg:
    """A storey as SVG, and where on the site it lies."""

    svg: str
    corners_m: Corners
    """Lower left and upper right corner. [m]"""
    extent_m: Corners
    """The same of what is drawn on it, with a little around. [m]"""


def plan_svg(job: Job, floor: Floor) -> PlanSvg:
    """The walls and openings of a storey, drawn as on paper."""
    extent = _extent(job, floor)
    frame = Frame(list(extent), _ROOM_MM)
    walls = [w for w in job.site.walls if w.floor == floor.id]
    styles = {w.construction: style_of(job.construction(w.construction)) for w in walls}
    drawn = draw_walls(
        walls, styles, lambda w: thickness_m(job.construction(w.construction)), frame
    )
    left, top, right, bottom = frame.box
    lines = "".join(_path(s) for s in drawn.shapes if isinstance(s, Lines))
    size = f"{left:g} {top:g} {right - left:g} {bottom - top:g}"
    return PlanSvg(
        svg=f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{size}" width="1600" '
        f'height="{1600 * (bottom - top) / (right - left):.0f}" fill="none">{lines}</svg>',
        corners_m=_corners(frame),
        extent_m=extent,
    )


def underlay_ink(job: Job, floor: Floor, png: bytes) -> bytes:
    """The picture under a storey as faint ink on the same sheet as its SVG, as PNG.

    Raises
    ------
    PlanError
        The picture is not the one that the storey names.
    """
    assert floor.underlay is not None
    return draw_underlay(floor.underlay, png, Frame(list(_extent(job, floor)), _ROOM_MM)).png


def _extent(job: Job, floor: Floor) -> Corners:
    points = list(_points(job, floor)) or [(0.0, 0.0), (_EMPTY_M, _EMPTY_M)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (
        (min(xs) - _AROUND_M, min(ys) - _AROUND_M),
        (max(xs) + _AROUND_M, max(ys) + _AROUND_M),
    )


def _points(job: Job, floor: Floor) -> Iterator[tuple[float, float]]:
    """Walls, slabs and the picture; not what is moved, so that the sheet stays where it is."""
    for wall in job.site.walls:
        if wall.floor == floor.id:
            yield from (wall.start, wall.end)
    for slab in floor.slabs:
        yield from slab.outline or []
    if floor.underlay is not None:
        yield from floor.underlay.corners


def _corners(frame: Frame) -> Corners:
    left, top, right, bottom = frame.box
    return frame.on_site((left, bottom)), frame.on_site((right, top))


def _path(shape: Lines) -> str:
    path = "".join("M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in line) for line in shape.lines)
    colour = _COLOURS.get(shape.ink, shape.ink)
    dash = f' stroke-dasharray="{_DASHES[shape.dash]}"' if shape.dash in _DASHES else ""
    return f'<path d="{path}" stroke="{colour}" stroke-width="{shape.width_mm:g}"{dash}/>'
