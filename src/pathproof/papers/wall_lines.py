"""Walls as lines: the style tells what a wall is built of, a gap what kind of opening is in it."""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from pathproof.job import Construction, Opening, Wall
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


class OpeningKind(StrEnum):
    """What is in a gap."""

    WINDOW = "window"
    DOOR = "door"
    PASSAGE = "passage"


OPENINGS = {
    OpeningKind.WINDOW: "window, or an opening that does not reach the floor",
    OpeningKind.DOOR: "door (to which side it opens is not shown)",
    OpeningKind.PASSAGE: "passage with nothing in it",
}
"""What the legend says of each kind."""


def opening_kind(opening: Opening) -> OpeningKind:
    """What an opening is, by its sill and by what fills it."""
    if opening.sill_m > _DOOR_SILL_M:
        return OpeningKind.WINDOW
    return OpeningKind.PASSAGE if opening.construction is None else OpeningKind.DOOR


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
    inside: dict[OpeningKind, list[_Piece]] = {kind: [] for kind in OpeningKind}
    gaps: dict[float, list[_Piece]] = {}
    for wall in walls:
        width_mm = max(round(thickness_m(wall) * unit_mm, 2), _THINNEST_MM)
        group = pieces.setdefault((styles[wall.construction], width_mm), [])
        group += solid_pieces(wall, width_mm, to_sheet)
        for o in wall.openings:
            jambs = (_along(wall, o.offset_m), _along(wall, o.offset_m + o.width_m))
            piece = (to_sheet(jambs[0]), to_sheet(jambs[1]))
            inside[opening_kind(o)] += _in_gap(opening_kind(o), piece, width_mm)
            gaps.setdefault(width_mm, []).append(piece)
    shapes: list[Shape] = []
    for style in reversed(WallStyle):  # the heaviest last, over the ends of lighter ones
        shapes += _draw_style(style, {w: ps for (s, w), ps in pieces.items() if s is style})
    for width_mm, group in gaps.items():  # no map within a wall
        shapes.append(Lines(lines=tuple(group), width_mm=width_mm, ink=PAPER))
    for kind, lines in inside.items():
        if lines:
            dash = "dashed" if kind is OpeningKind.DOOR else "solid"
            shapes.append(Lines(lines=tuple(lines), width_mm=_EDGE_MM, dash=dash))
    solid = tuple((piece, width) for (_, width), group in pieces.items() for piece in group)
    return WallLines(shapes=tuple(shapes), solid=solid)


def _in_gap(kind: OpeningKind, piece: _Piece, width_mm: float) -> list[_Piece]:
    """A window as two panes' lines, a door as one line; nothing in a passage."""
    if kind is OpeningKind.PASSAGE:
        return []
    if kind is OpeningKind.DOOR:
        return [piece]
    (x0, y0), (x1, y1) = piece
    length = math.dist(*piece) or 1.0
    half = max(width_mm / 2 - _EDGE_MM / 2, 0.35)
    dx, dy = (y0 - y1) / length * half, (x1 - x0) / length * half
    return [((x0 + s * dx, y0 + s * dy), (x1 + s * dx, y1 + s * dy)) for s in (-1, 1)]


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
    return _sample([], style)


def opening_sample(kind: OpeningKind) -> Drawing:
    """An opening in a piece of wall for the legend."""
    opening = Opening(
        id="o",
        offset_m=2.0,
        width_m=4.0,
        sill_m=1.0 if kind is OpeningKind.WINDOW else 0.0,
        head_m=2.0,
        construction="c" if kind is OpeningKind.DOOR else None,
    )
    return _sample([opening], WallStyle.MASONRY)


def _sample(openings: list[Opening], style: WallStyle) -> Drawing:
    wall = Wall(
        id="w",
        floor="f",
        start=(1.0, -1.7),
        end=(9.0, -1.7),
        construction="c",
        openings=openings,
    )
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
