"""The plan of a storey as a drawing to scale: walls by construction, devices, margin map."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from pathproof.assess.maps import MarginMap
from pathproof.job import Construction, Floor, Job, Wall
from pathproof.papers._text import MINUS, shorten
from pathproof.papers.drawing import (
    CHARACTER_MM,
    FONT_MM,
    GREY,
    HAIR_MM,
    INK,
    LINE_MM,
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
from pathproof.papers.margin_steps import STEP_NAMES, step_of, tint
from pathproof.papers.plan_frame import Frame
from pathproof.papers.strips import DASH
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
_SAID = {"device": "device by wire", "spot": "spot where mobile levels are read"}
_LIST_ROW_MM, _LIST_ROWS = 4.0, 5
"""Height of a row of the list of marks, and so many fit below the tallest drawing."""
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
    walls_key: tuple[KeyLine, ...]
    marks_key: tuple[KeyLine, ...]
    map_key: tuple[KeyLine, ...]
    map_label: str


def draw_plan(
    job: Job,
    floor: Floor,
    words: Mapping[str, Word],
    keys: Mapping[str, str],
    margin_map: MarginMap | None,
    room_mm: tuple[float, float],
) -> PlanDrawing | None:
    """The plan of a storey, as large as a usual scale allows; none for a storey with nothing on it.

    Parameters
    ----------
    job : Job
        Site and constructions.
    floor : Floor
        The storey.
    words : mapping
        Word of each device's way to the panel, by the device's id.
    keys : mapping
        Short label of each device, repeater and spot, by its id.
    margin_map : MarginMap or None
        Drawn below the walls.
    room_mm : tuple of float
        Width and height that the drawing may take. [mm]
    """
    walls = [w for w in job.site.walls if w.floor == floor.id]
    marks = tuple(_marks(job, floor.id, words, keys))
    points = [p for w in walls for p in (w.start, w.end)] + [m.at_m for m in marks]
    if not points:
        return None
    frame = Frame(points, _room_mm(room_mm, len(marks)))
    styles = {w.construction: style_of(job.construction(w.construction)) for w in walls}
    shapes: list[Shape] = []
    if margin_map is not None:
        shapes += _draw_map(margin_map, frame)
    lines = draw_walls(
        walls, styles, lambda w: thickness_m(job.construction(w.construction)), frame
    )
    shapes += lines.shapes
    shapes += frame.origin()
    shapes += _draw_marks(marks, frame, lines)
    shapes += frame.axes()
    shapes += frame.scale_bar()
    said = f"Plan of {floor.name} with {len(walls)} walls and {len(marks)} marks"
    return PlanDrawing(
        floor=floor.id,
        title=floor.name if floor.name == floor.id else f"{floor.name} ({floor.id})",
        scale=frame.scale,
        drawing=Drawing(
            width_mm=frame.width_mm, height_mm=frame.height_mm, shapes=tuple(shapes), alt=said
        ),
        marks=marks,
        walls_key=tuple(_walls_key(job, walls, styles)),
        marks_key=tuple(_marks_key(marks)),
        map_key=() if margin_map is None else tuple(_map_key()),
        map_label="" if margin_map is None else margin_map.label,
    )


def _room_mm(room_mm: tuple[float, float], marks: int) -> tuple[float, float]:
    """What a long list of marks leaves of the room, where all of it can stand on one sheet."""
    taken_mm = _LIST_ROW_MM * max(math.ceil(marks / 2) - _LIST_ROWS, 0)
    left_mm = room_mm[1] - taken_mm
    return (room_mm[0], left_mm if left_mm >= _LEAST_ROOM_MM else room_mm[1])


def thickness_m(construction: Construction) -> float:
    """How thick a wall is drawn. [m]"""
    return sum(x.thickness_m for x in construction.layers) or _DEFAULT_THICKNESS_M


def _marks(
    job: Job, floor_id: str, words: Mapping[str, Word], keys: Mapping[str, str]
) -> Iterator[PlanMark]:
    site = job.site
    if site.panel is not None and site.panel.floor == floor_id and site.panel.at is not None:
        yield PlanMark(
            key="panel",
            name="Panel",
            what="panel",
            at_m=site.panel.at,
            place=_place(site.panel.at, site.panel.height_m),
            word=None,
        )
    for what, things in (("repeater", site.repeaters), ("device", site.devices)):
        for thing in things:
            if thing.floor == floor_id and thing.at is not None:
                yield PlanMark(
                    key=keys[thing.id],
                    name=shorten(thing.name, _NAME_CHARACTERS),
                    what=what,
                    at_m=thing.at,
                    place=_place(thing.at, thing.height_m),
                    word=words.get(thing.id),
                )
    for spot in site.spots:
        if spot.floor == floor_id and spot.at is not None:
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


def _draw_marks(marks: tuple[PlanMark, ...], frame: Frame, walls: WallLines) -> Iterator[Shape]:
    placer = LabelPlacer(frame.width_mm, frame.height_mm)
    spots = [frame(m.at_m) for m in marks]
    r = _MARK_MM
    placer.take(frame.outside())
    placer.take([box for piece, width in walls.solid for box in _boxes(piece, width)])
    placer.take([(x - r, y - r, x + r, y + r) for x, y in spots])
    labels, leaders = [], []
    for mark, (x, y) in zip(marks, spots, strict=True):
        box = placer.place(x, y, len(mark.key) * CHARACTER_MM + 1.6, FONT_MM + 0.6)
        middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
        nearest = (min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3]))
        if math.dist(nearest, (x, y)) > _NEAR_MM:
            leaders.append(((x, y), nearest))
        labels.append(
            Label(
                at=middle,
                text=mark.key,
                anchor="center",
                bold=mark.what != "device",
                ink=WARN if mark.word is Word.LACKING else INK,
                backed=True,
            )
        )
    if leaders:
        yield Lines(lines=tuple(leaders), width_mm=HAIR_MM)
    for mark, spot in zip(marks, spots, strict=True):
        yield from _mark(mark.what, mark.word, spot)
    yield from labels


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
    if what == "panel":
        square = ((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r), (x - r, y - r))
        yield Lines(lines=(square,), fill=INK)
    elif what == "repeater":
        peak = ((x - r, y + r * 0.8), (x + r, y + r * 0.8), (x, y - r), (x - r, y + r * 0.8))
        yield Lines(lines=(peak,), fill=PAPER)
    elif what == "spot":
        yield Lines(lines=(((x - r, y), (x + r, y)), ((x, y - r), (x, y + r))))
    elif word is None:
        diamond = ((x - r, y), (x, y - r), (x + r, y), (x, y + r), (x - r, y))
        yield Lines(lines=(diamond,), fill=PAPER)
    elif word is Word.LACKING:
        yield Ring(at=at, radius_mm=r, ink=WARN)
        yield Ring(at=at, radius_mm=r * 0.45, ink=WARN)
    else:
        yield Ring(at=at, radius_mm=r, dash=DASH[word])


def _draw_map(margin_map: MarginMap, frame: Frame) -> Iterator[Shape]:
    over = margin_map.values_db - margin_map.required_db
    steps = step_of(over)
    grid = _Grid(margin_map, frame)
    for step in range(len(STEP_NAMES)):
        areas = tuple(grid.area(*run) for run in _runs(steps == step))
        if areas:
            yield Lines(lines=areas, width_mm=0.0, fill=tint(step))
    edge = tuple(grid.edge(*e) for e in _edges(over >= 0, ~np.isnan(over)))
    if edge:
        yield Lines(lines=edge, width_mm=LINE_MM)


class _Grid:
    def __init__(self, margin_map: MarginMap, frame: Frame) -> None:
        self._map, self._frame = margin_map, frame

    def corner(self, row: int, column: int) -> PointMm:
        x, y = self._map.origin_m
        cell = self._map.cell_m
        return self._frame((x + column * cell, y + row * cell))

    def area(self, row: int, first: int, last: int) -> tuple[PointMm, ...]:
        low, high = self.corner(row, first), self.corner(row + 1, last)
        return (low, (high[0], low[1]), high, (low[0], high[1]), low)

    def edge(self, row: int, column: int, row2: int, column2: int) -> tuple[PointMm, ...]:
        return self.corner(row, column), self.corner(row2, column2)


def _runs(chosen: np.ndarray) -> Iterator[tuple[int, int, int]]:
    """Row, first column and column after the last of each run of chosen cells."""
    for row, cells in enumerate(chosen):
        flips = np.flatnonzero(np.diff(np.concatenate(([0], cells.astype(np.int8), [0]))))
        for first, last in zip(flips[::2], flips[1::2], strict=True):
            yield row, int(first), int(last)


def _edges(met: np.ndarray, mapped: np.ndarray) -> Iterator[tuple[int, int, int, int]]:
    """Cell edges between a cell that meets the requirement and one that does not."""
    up = (met[:-1] != met[1:]) & mapped[:-1] & mapped[1:]
    for row, first, last in _runs(up):
        yield row + 1, first, row + 1, last
    across = (met[:, :-1] != met[:, 1:]) & mapped[:, :-1] & mapped[:, 1:]
    for column, first, last in _runs(across.T):
        yield first, column + 1, last, column + 1


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
        kinds, key=lambda k: (k[0] != "panel", k[0], -1 if k[1] is None else order.index(k[1]))
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


def _map_key() -> Iterator[KeyLine]:
    for step, name in enumerate(STEP_NAMES):
        area = ((0.0, 0.2), (10.0, 0.2), (10.0, 3.2), (0.0, 3.2), (0.0, 0.2))
        shape = Lines(lines=(area,), width_mm=HAIR_MM, ink=GREY, fill=tint(step))
        yield KeyLine(
            sample=Drawing(width_mm=10.0, height_mm=3.4, shapes=(shape,), alt=""), text=name
        )
    line = Lines(lines=(((0.0, 1.7), (10.0, 1.7)),), width_mm=LINE_MM)
    yield KeyLine(
        sample=Drawing(width_mm=10.0, height_mm=3.4, shapes=(line,), alt=""),
        text="requirement just met",
    )
