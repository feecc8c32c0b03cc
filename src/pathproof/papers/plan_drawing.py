"""The plan of a storey as a drawing to scale: walls by construction, devices, map."""

import math
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, zip_longest

from pathproof.assess.floor_map import FloorMap
from pathproof.job import Construction, Floor, Job, Wall
from pathproof.papers._text import MINUS, shorten
from pathproof.papers.drawing import (
    CHARACTER_MM,
    FONT_MM,
    HAIR_MM,
    INK,
    PAPER,
    WARN,
    Drawing,
    Label,
    Lines,
    PointMm,
    Ring,
    Shape,
)
from pathproof.papers.labels import Box, LabelPlacer
from pathproof.papers.map_drawing import draw_map, extent_m, map_key
from pathproof.papers.plan_frame import Frame
from pathproof.papers.strips import DASH
from pathproof.papers.underlay_drawing import UNDERLAY_ROWS, underlay_of
from pathproof.papers.wall_lines import (
    OPENINGS,
    WallLines,
    WallStyle,
    draw_walls,
    opening_kind,
    opening_sample,
    style_of,
    wall_sample,
)
from pathproof.terms import Word

_MARK_MM = 1.1
_NAME_CHARACTERS = 60
_NEAR_MM = 2.5
"""A label further off than this gets a line to its mark."""
_PANEL = "panel"
_PANEL_COST = 1000.0
"""Of covering the panel's mark or label, where covering another's costs 1."""
_WIRED = "device by wire"
_SAID = {"spot": "spot where mobile levels are read"}
_ROW_MM, _ROW_CHARACTERS = 3.9, 110
"""A row of text below the drawing."""
_BLOCK_MARKS, _LIST_CHARACTERS = 20, 60
"""Marks of a block of the list, and what a row of one of its columns holds."""
_KEY_MM, _KEY_CHARACTERS = 2.4, 36
"""Space between entries of the legend, and what a row of one holds."""
_BELOW_MM, _GAPS_MM = 74.0, 18.0
"""What a sheet has below the tallest drawing, and how much of it is heading and space. [mm]"""
_LEAST_ROOM_MM = 110.0
_DEFAULT_THICKNESS_M = 0.15


@dataclass(frozen=True, kw_only=True)
class PlanMark:
    """Something drawn on a plan, with its number in the key."""

    key: str
    name: str
    what: str
    at_m: tuple[float, float]
    place: str
    """Where it is, in words."""
    word: Word | None


@dataclass(frozen=True, kw_only=True)
class MarkBlock:
    """Two columns of the list of marks that stay together on a sheet, read one after the other."""

    left: tuple[PlanMark, ...]
    right: tuple[PlanMark, ...]

    @property
    def rows(self) -> int:
        """Rows of text that it takes."""
        pairs = zip_longest(self.left, self.right)
        return sum(max(_list_rows(mark) for mark in pair if mark is not None) for pair in pairs)


@dataclass(frozen=True, kw_only=True)
class KeyLine:
    """A line of the legend: a small drawing and what it stands for."""

    sample: Drawing
    text: str


@dataclass(frozen=True, kw_only=True)
class PlanDrawing:
    """One storey on paper."""

    floor: str
    title: str
    scale: int
    drawing: Drawing
    marks: tuple[PlanMark, ...]
    listed: tuple[MarkBlock, ...]
    """The same marks as they stand below the drawing."""
    walls_key: tuple[KeyLine, ...]
    marks_key: tuple[KeyLine, ...]
    map_key: tuple[KeyLine, ...]
    map_label: str
    map_notes: tuple[str, ...]
    underlay_label: str


def draw_plan(
    job: Job,
    floor: Floor,
    words: Mapping[str, Word] | None,
    keys: Mapping[str, str],
    floor_map: FloorMap | None,
    room_mm: tuple[float, float],
    *,
    printed: bool = True,
    underlay_png: bytes | None = None,
    most_numbered: int = sys.maxsize,
) -> PlanDrawing | None:
    """The plan of a storey, as large as a usual scale allows; none for a storey with nothing on it.

    Parameters
    ----------
    job : Job
        Site and constructions.
    floor : Floor
        The storey.
    words : mapping or None
        Word of each wireless device's way to the panel, by the device's id; none draws all alike.
    keys : mapping
        Short label of each device, repeater and spot, by its id; those without one are left out.
    floor_map : FloorMap or None
        Drawn below the walls.
    room_mm : tuple of float
        Width and height that the drawing may take. [mm]
    printed : bool
        On a sheet of paper: say the scale, and leave room for what stands below.
    underlay_png : bytes or None
        The stored picture under the storey; where there is to be one, none says that it is missing.
    most_numbered : int
        How many marks have their number beside them; the first ones, the panel before all.
    """
    walls = [w for w in job.site.walls if w.floor == floor.id]
    marks = tuple(_marks(job, floor.id, words, keys))
    points = [p for w in walls for p in _reach(job, w)] + [m.at_m for m in marks]
    points += [] if floor_map is None else extent_m(floor_map)
    points += [] if floor.underlay is None or walls else floor.underlay.corners
    if not points:
        return None
    styles = {w.construction: style_of(job.construction(w.construction)) for w in walls}
    listed = tuple(_blocks(marks))
    walls_key, marks_key = tuple(_walls_key(job, walls, styles)), tuple(_marks_key(marks))
    if printed:
        rows = sum(block.rows for block in listed) + _said_rows(floor_map)
        rows += 0 if floor.underlay is None else UNDERLAY_ROWS
        room_mm = _room_mm(room_mm, rows, (walls_key, marks_key))
    frame = Frame(points, room_mm)
    shapes: list[Shape] = [] if floor_map is None else [*draw_map(floor_map, frame)]
    underlay, underlay_label = underlay_of(floor, underlay_png, frame)
    shapes += underlay
    lines = draw_walls(
        walls, styles, lambda w: thickness_m(job.construction(w.construction)), frame
    )
    shapes += lines.shapes
    shapes += frame.origin()
    shapes += _draw_marks(marks, frame, lines, most_numbered)
    shapes += frame.axes()
    shapes += frame.scale_bar(printed=printed)
    said = f"Plan of {floor.name} with {len(walls)} walls and {len(marks)} marks"
    return PlanDrawing(
        floor=floor.id,
        title=floor.name if floor.name == floor.id else f"{floor.name} ({floor.id})",
        scale=frame.scale,
        drawing=Drawing(
            width_mm=frame.width_mm, height_mm=frame.height_mm, shapes=tuple(shapes), alt=said
        ),
        marks=marks,
        listed=listed,
        walls_key=walls_key,
        marks_key=marks_key,
        map_key=() if floor_map is None else tuple(_map_key(floor_map)),
        map_label="" if floor_map is None else floor_map.label,
        map_notes=() if floor_map is None else floor_map.notes,
        underlay_label=underlay_label,
    )


def _blocks(marks: tuple[PlanMark, ...]) -> Iterator[MarkBlock]:
    for start in range(0, len(marks), _BLOCK_MARKS):
        block = marks[start : start + _BLOCK_MARKS]
        half = math.ceil(len(block) / 2)
        yield MarkBlock(left=block[:half], right=block[half:])


def _list_rows(mark: PlanMark) -> int:
    return math.ceil(len(f"{mark.key} {mark.name}: {mark.place}") / _LIST_CHARACTERS)


def _said_rows(floor_map: FloorMap | None) -> int:
    """Rows that the map's label and notes take."""
    said = () if floor_map is None else (floor_map.label, *floor_map.notes)
    return math.ceil(len(" ".join(said)) / _ROW_CHARACTERS)


def _room_mm(
    room_mm: tuple[float, float], rows: int, keys: tuple[tuple[KeyLine, ...], ...]
) -> tuple[float, float]:
    """What legend and rows below leave of the room, where all of it can stand on one sheet."""
    legend_mm = max(
        sum(_KEY_MM + _ROW_MM * math.ceil(len(k.text) / _KEY_CHARACTERS) for k in key)
        for key in keys
    )
    taken_mm = max(_GAPS_MM + legend_mm + rows * _ROW_MM - _BELOW_MM, 0.0)
    left_mm = room_mm[1] - taken_mm
    return (room_mm[0], left_mm if left_mm >= _LEAST_ROOM_MM else room_mm[1])


def thickness_m(construction: Construction) -> float:
    """How thick a wall is drawn. [m]"""
    return sum(x.thickness_m for x in construction.layers) or _DEFAULT_THICKNESS_M


def _reach(job: Job, wall: Wall) -> Iterator[tuple[float, float]]:
    """Points that a wall reaches as far as, with its thickness. [m]"""
    half = thickness_m(job.construction(wall.construction)) / 2
    for x, y in (wall.start, wall.end):
        yield from ((x - half, y - half), (x + half, y + half))


def _marks(
    job: Job, floor_id: str, words: Mapping[str, Word] | None, keys: Mapping[str, str]
) -> Iterator[PlanMark]:
    site = job.site
    if site.panel is not None and site.panel.floor == floor_id and site.panel.at is not None:
        yield PlanMark(
            key="panel",
            name="Panel",
            what=_PANEL,
            at_m=site.panel.at,
            place=_place(site.panel.at, site.panel.height_m),
            word=None,
        )
    for what, things in (("repeater", site.repeaters), ("device", site.devices)):
        for thing in things:
            if thing.id in keys and thing.floor == floor_id and thing.at is not None:
                word = None if words is None else words.get(thing.id)
                wired = what == "device" and words is not None and word is None
                yield PlanMark(
                    key=keys[thing.id],
                    name=shorten(thing.name, _NAME_CHARACTERS),
                    what=_WIRED if wired else what,
                    at_m=thing.at,
                    place=_place(thing.at, thing.height_m),
                    word=word,
                )
    for spot in site.spots:
        if spot.id in keys and spot.floor == floor_id and spot.at is not None:
            yield PlanMark(
                key=keys[spot.id],
                name=shorten(spot.name, _NAME_CHARACTERS),
                what="spot",
                at_m=spot.at,
                place=_place(spot.at, None),
                word=None,
            )


def _place(at_m: tuple[float, float], height_m: float | None) -> str:
    """A place as it is read off the axes, with its height above the floor."""
    said = f"x {at_m[0]:.2f}, y {at_m[1]:.2f} m".replace("-", MINUS)
    return said if height_m is None else f"{said}, {height_m:g} m up"


def _draw_marks(
    marks: tuple[PlanMark, ...], frame: Frame, walls: WallLines, most_numbered: int
) -> Iterator[Shape]:
    """Marks, and labels of the first ones; the panel on top of all, and other labels off it."""
    placer = LabelPlacer(frame.width_mm, frame.height_mm)
    spots = [frame(m.at_m) for m in marks]
    placer.take(frame.outside())
    placer.take([box for piece, width in walls.solid for box in _boxes(piece, width)])
    r = _MARK_MM
    for mark, (x, y) in zip(marks, spots, strict=True):
        cost = _PANEL_COST if mark.what == _PANEL else 1.0
        placer.take([(x - r, y - r, x + r, y + r)], cost)
    labels, leaders = [], []
    for mark, (x, y) in zip(marks[:most_numbered], spots, strict=False):
        box = placer.place(x, y, len(mark.key) * CHARACTER_MM + 1.6, FONT_MM + 0.6)
        if mark.what == _PANEL:
            placer.take([box], _PANEL_COST)
        nearest = (min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3]))
        if math.dist(nearest, (x, y)) > _NEAR_MM:
            leaders.append(((x, y), nearest))
        labels.append(_label(mark, box))
    if leaders:
        yield Lines(lines=tuple(leaders), width_mm=HAIR_MM)
    drawn = [[*_mark(m.what, m.word, spot)] for m, spot in zip(marks, spots, strict=True)]
    first = 1 if marks and marks[0].what == _PANEL else 0
    for some, named in ((drawn[first:], labels[first:]), (drawn[:first], labels[:first])):
        yield from chain(*some, named)


def _label(mark: PlanMark, box: Box) -> Label:
    return Label(
        at=((box[0] + box[2]) / 2, (box[1] + box[3]) / 2),
        text=mark.key,
        anchor="center",
        bold=mark.what not in ("device", _WIRED),
        ink=WARN if mark.word is Word.LACKING else INK,
        backed=True,
    )


def _boxes(piece: tuple[PointMm, PointMm], width_mm: float) -> Iterator[Box]:
    """Squares along a piece of wall, close enough to cover it."""
    (x0, y0), (x1, y1) = piece
    count = int(math.dist(*piece) / width_mm) + 1
    half = width_mm / 2
    for i in range(count):
        share = (i + 0.5) / count
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        yield x - half, y - half, x + half, y + half


def _mark(what: str, word: Word | None, at: PointMm) -> Iterator[Shape]:
    x, y = at
    r = _MARK_MM
    if what == _PANEL:
        square = ((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r), (x - r, y - r))
        yield Lines(lines=(square,), fill=INK)
    elif what == "repeater":
        peak = ((x - r, y + r * 0.8), (x + r, y + r * 0.8), (x, y - r), (x - r, y + r * 0.8))
        yield Lines(lines=(peak,), fill=PAPER)
    elif what == "spot":
        yield Lines(lines=(((x - r, y), (x + r, y)), ((x, y - r), (x, y + r))))
    elif what == _WIRED:
        diamond = ((x - r, y), (x, y - r), (x + r, y), (x, y + r), (x - r, y))
        yield Lines(lines=(diamond,), fill=PAPER)
    elif word is Word.LACKING:
        yield Ring(at=at, radius_mm=r, ink=WARN)
        yield Ring(at=at, radius_mm=r * 0.45, ink=WARN)
    else:
        yield Ring(at=at, radius_mm=r, dash="solid" if word is None else DASH[word])


def _walls_key(job: Job, walls: list[Wall], styles: Mapping[str, WallStyle]) -> Iterator[KeyLine]:
    for style in WallStyle:
        used = dict.fromkeys(
            job.construction(w.construction).name for w in walls if styles[w.construction] is style
        )
        if used:
            yield KeyLine(sample=wall_sample(style), text=f"{style}: {'; '.join(used)}")
    kinds = {opening_kind(o) for w in walls for o in w.openings}
    for kind, said in OPENINGS.items():
        if kind in kinds:
            yield KeyLine(sample=opening_sample(kind), text=said)


def _marks_key(marks: tuple[PlanMark, ...]) -> Iterator[KeyLine]:
    kinds = dict.fromkeys((m.what, m.word) for m in marks)
    order = list(Word)
    for what, word in sorted(
        kinds, key=lambda k: (k[0] != _PANEL, k[0], -1 if k[1] is None else order.index(k[1]))
    ):
        text = _SAID.get(what, what) if word is None else f"{what}, {word} to the panel"
        yield KeyLine(
            sample=Drawing(
                width_mm=10.0,
                height_mm=3.4,
                shapes=tuple(_mark(what, word, (5.0, 1.7))),
                alt="",
            ),
            text=text,
        )


def _map_key(floor_map: FloorMap) -> Iterator[KeyLine]:
    for sample, text in map_key(floor_map):
        yield KeyLine(sample=sample, text=text)
