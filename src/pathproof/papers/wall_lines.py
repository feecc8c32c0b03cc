"""Walls as lines: the style tells what a wall is built of, gaps tell where one can pass."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from pathproof.job import Construction, Wall
from pathproof.papers.drawing import GREY, HAIR_MM, INK, PAPER, Drawing, Lines, PointMm, Shape
from pathproof.terms import Material

_HEAVY = {
    Material.CONCRETE,
    Material.BRICK,
    Material.MARBLE,
    Material.ASPHALT_CONCRETE,
    Material.VERY_DRY_GROUND,
    Material.MEDIUM_DRY_GROUND,
    Material.WET_GROUND,
}
_THINNEST_MM = 0.7
_EDGE_MM = 0.2
_DOOR_SILL_M = 0.1
_Piece = tuple[PointMm, PointMm]
_ToSheet = Callable[[tuple[float, float]], PointMm]


class WallStyle(StrEnum):
    """How a wall is drawn; the value is its name in the legend."""

    MASONRY = "masonry or concrete"
    METAL = "metal"
    STUD = "boards on studs"
    TIMBER = "timber"
    GLASS = "glass"
    UNKNOWN = "layers not known"


_CORE = {  # ink inside the wall's two edges
    WallStyle.MASONRY: INK,
    WallStyle.METAL: INK,
    WallStyle.STUD: PAPER,
    WallStyle.TIMBER: GREY,
    WallStyle.GLASS: PAPER,
    WallStyle.UNKNOWN: PAPER,
}
_MIDDLE = {  # ink and dash of a line along the middle
    WallStyle.METAL: (PAPER, "dashed"),
    WallStyle.GLASS: (INK, "solid"),
    WallStyle.UNKNOWN: (INK, "dotted"),
}


def style_of(construction: Construction) -> WallStyle:
    """The style of a construction, by the heaviest thing in it."""
    materials = {x.material for x in construction.layers}
    if not materials or construction.guessed:
        return WallStyle.UNKNOWN
    if Material.METAL in materials:
        return WallStyle.METAL
    if materials & _HEAVY:
        return WallStyle.MASONRY
    if Material.GLASS in materials:
        return WallStyle.GLASS
    if materials & {Material.PLASTERBOARD, Material.CEILING_BOARD, Material.AIR}:
        return WallStyle.STUD
    return WallStyle.TIMBER


@dataclass(frozen=True, kw_only=True)
class WallLines:
    """The walls of a storey on the sheet."""

    shapes: tuple[Shape, ...]
    solid: tuple[tuple[_Piece, float], ...]
    """Pieces of wall with their widths, for keeping labels off them."""


def draw_walls(
    walls: list[Wall],
    styles: Mapping[str, WallStyle],
    thickness_m: Callable[[Wall], float],
    to_sheet: _ToSheet,
) -> WallLines:
    """All walls of a storey, style by style: edges first, then cores, so that junctions run on."""
    unit_mm = to_sheet((1.0, 0.0))[0] - to_sheet((0.0, 0.0))[0]
    pieces: dict[tuple[WallStyle, float], list[_Piece]] = {}
    windows: list[_Piece] = []
    for wall in walls:
        width_mm = max(round(thickness_m(wall) * unit_mm, 2), _THINNEST_MM)
        group = pieces.setdefault((styles[wall.construction], width_mm), [])
        group += solid_pieces(wall, width_mm, to_sheet)
        windows += [
            (to_sheet(_along(wall, o.offset_m)), to_sheet(_along(wall, o.offset_m + o.width_m)))
            for o in wall.openings
            if o.sill_m > _DOOR_SILL_M
        ]
    shapes: list[Shape] = []
    for style in reversed(WallStyle):  # the heaviest last, over the ends of lighter ones
        shapes += _draw_style(style, {w: ps for (s, w), ps in pieces.items() if s is style})
    if windows:
        shapes.append(Lines(lines=tuple(windows), width_mm=_EDGE_MM))
    solid = tuple((piece, width) for (_, width), group in pieces.items() for piece in group)
    return WallLines(shapes=tuple(shapes), solid=solid)


def _draw_style(style: WallStyle, by_width: dict[float, list[_Piece]]) -> Iterator[Shape]:
    ordered = [(width, tuple(pieces)) for width, pieces in sorted(by_width.items()) if pieces]
    for width, pieces in ordered:
        yield Lines(lines=pieces, width_mm=width)
    for width, pieces in ordered:
        if _CORE[style] != INK:
            yield Lines(lines=pieces, width_mm=max(width - 2 * _EDGE_MM, 0.3), ink=_CORE[style])
        if style in _MIDDLE:
            ink, dash = _MIDDLE[style]
            yield Lines(lines=pieces, width_mm=HAIR_MM, ink=ink, dash=dash)


def solid_pieces(wall: Wall, width_mm: float, to_sheet: _ToSheet) -> list[_Piece]:
    """What stands of a wall between its openings; free ends reach on by half the thickness."""
    gaps = sorted((o.offset_m, o.offset_m + o.width_m) for o in wall.openings)
    pieces: list[_Piece] = []
    here = 0.0
    for start, end in [*gaps, (wall.length_m, wall.length_m)]:
        if start - here > 1e-3:
            a, b = to_sheet(_along(wall, here)), to_sheet(_along(wall, start))
            pieces.append(_longer(a, b, here == 0.0, start == wall.length_m, width_mm / 2))
        here = max(here, end)
    return pieces


def wall_sample(style: WallStyle) -> Drawing:
    """A piece of wall for the legend."""
    wall = Wall(id="w", floor="f", start=(0.2, -1.7), end=(9.8, -1.7), construction="c")
    lines = draw_walls([wall], {"c": style}, lambda _: 1.6, lambda p: (p[0], -p[1]))
    return Drawing(width_mm=10.0, height_mm=3.4, shapes=lines.shapes, alt="")


def _along(wall: Wall, distance_m: float) -> tuple[float, float]:
    share = min(max(distance_m / wall.length_m, 0.0), 1.0)
    return (
        wall.start[0] + share * (wall.end[0] - wall.start[0]),
        wall.start[1] + share * (wall.end[1] - wall.start[1]),
    )


def _longer(a: PointMm, b: PointMm, at_start: bool, at_end: bool, by_mm: float) -> _Piece:
    length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5 or 1.0
    ux, uy = (b[0] - a[0]) / length * by_mm, (b[1] - a[1]) / length * by_mm
    start = (a[0] - ux, a[1] - uy) if at_start else a
    end = (b[0] + ux, b[1] + uy) if at_end else b
    return start, end
