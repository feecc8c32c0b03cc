"""Runs and holes to the walls of a site, cut by storey."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from pydantic import ValidationError

from pathproof.job import Opening, Wall
from pathproof.plans.constructions import ConstructionBook
from pathproof.plans.ifc import _lines
from pathproof.plans.ifc._bodies import FloatArray
from pathproof.plans.ifc._ids import PREFIX, Ids
from pathproof.plans.ifc._layers import Told
from pathproof.plans.ifc._openings import Hole, filling_construction
from pathproof.plans.ifc._runs import Run
from pathproof.plans.ifc._storeys import Storey, cut_by_storey, stand_in
from pathproof.plans.report import ReportBuilder

_LOWEST_M = 0.3
_LEVEL_M = 0.01
_SMALLEST_M = 0.05
_LOWEST_HOLE_M = 0.2


@dataclass(frozen=True, slots=True)
class _Piece:
    """A straight stretch of a run in one storey."""

    storey: Storey
    line: FloatArray
    start_m: float
    end_m: float
    z_min: float
    z_max: float


def walls_of(
    runs: Sequence[tuple[Run, bool]],
    holes: Mapping[int, Sequence[Hole]],
    storeys: Sequence[Storey],
    book: ConstructionBook,
    ids: Ids,
) -> Iterator[Wall]:
    """The walls of a site; each run comes with whether it is an outer wall."""
    for index, (run, outer) in enumerate(runs):
        pieces = list(_pieces(run, storeys, book.report))
        if not pieces:
            continue
        try:
            yield from _walls(run, outer, pieces, holes.get(index, []), book, ids)
        except ValidationError:
            book.report.left_out("wall", "its sizes are those of no wall")


def _walls(
    run: Run,
    outer: bool,
    pieces: Sequence[_Piece],
    holes: Sequence[Hole],
    book: ConstructionBook,
    ids: Ids,
) -> list[Wall]:
    cuts = [_openings(piece, holes, run, ids) for piece in pieces]
    filled = {h.step_id: h.filling for cut in cuts for h, _ in cut if h.filling is not None}
    made = {i: filling_construction(filling, outer, book) for i, filling in filled.items()}
    construction = _construction(run, book)
    walls = []
    for number, (piece, cut) in enumerate(zip(pieces, cuts, strict=True), start=1):
        suffix = f".{number}" if len(pieces) > 1 else ""
        openings = [
            o.model_copy(update={"id": o.id + suffix, "construction": made.get(hole.step_id)})
            for hole, o in cut
        ]
        wall_id = f"{ids.of(run.step_id)}{run.part}{suffix}"
        walls.append(_wall(wall_id, piece, construction, openings, ids))
    return walls


def _construction(run: Run, book: ConstructionBook) -> str:
    if run.layers is not None:
        layers = [(layer.name, layer.thickness_m) for layer in run.layers.layers]
        return book.of_layers(run.build_up.label, layers)
    told = run.build_up.told is not Told.NOTHING
    names = [layer.name for layer in run.build_up.layers if layer.name] if told else []
    return book.of_names(run.build_up.label, names, run.thickness_m)


def _pieces(run: Run, storeys: Sequence[Storey], report: ReportBuilder) -> Iterator[_Piece]:
    what = f"wall of {run.build_up.label}"
    if not stand_in(run.z_min, run.z_max, storeys):
        report.left_out(what, _where(run, storeys))
        return
    at = _lines.stations(run.line)
    found = False
    for piece in run.slices:
        for storey, low, high in cut_by_storey(piece.z_min, piece.z_max, storeys):
            if high - low < _LOWEST_M:
                continue
            for a, b in pairwise(at):
                start, end = max(a, piece.start_m), min(b, piece.end_m)
                if end - start > _SMALLEST_M / 2:
                    found = True
                    line = _lines.part_of(run.line, float(start), float(end))[[0, -1]]
                    yield _Piece(storey, line, float(start), float(end), low, high)
    if not found:
        report.left_out(what, f"a fragment lower than {_LOWEST_M} m")


def _where(run: Run, storeys: Sequence[Storey]) -> str:
    if run.z_max <= storeys[0].elevation_m + 0.5:
        return "below the lowest storey for people, such as a foundation"
    if run.z_min >= storeys[-1].top_m - 0.5:
        return "above the topmost storey for people, such as a parapet"
    return "between two storeys"


def _openings(
    piece: _Piece, holes: Sequence[Hole], run: Run, ids: Ids
) -> list[tuple[Hole, Opening]]:
    found = []
    length = float(np.hypot(*(piece.line[1] - piece.line[0])))
    for hole in sorted(holes, key=lambda h: (h.start_m, h.z_min, h.step_id)):
        start = max(0.0, hole.start_m - piece.start_m)
        end = min(length, hole.end_m - piece.start_m)
        low, high = max(hole.z_min, piece.z_min), min(hole.z_max, piece.z_max)
        enough = min(_LOWEST_HOLE_M, 0.5 * (hole.z_max - hole.z_min))
        head = high - piece.storey.elevation_m
        if end - start < _SMALLEST_M or high - low < enough or head < _SMALLEST_M:
            continue
        part = ""
        if hole.in_neighbour:
            part = "-" + ids.of(run.step_id).removeprefix(f"{PREFIX}-") + run.part
        opening = Opening(
            id=ids.of(hole.step_id) + part,
            offset_m=round(start, 4),
            width_m=round(end - start, 4),
            sill_m=_tidy(low - piece.storey.elevation_m),
            head_m=_tidy(head),
        )
        found.append((hole, opening))
    return found


def _wall(
    wall_id: str, piece: _Piece, construction: str, openings: Sequence[Opening], ids: Ids
) -> Wall:
    storey = piece.storey
    base, top = piece.z_min - storey.elevation_m, piece.z_max - storey.elevation_m
    (x0, y0), (x1, y1) = piece.line.tolist()
    return Wall(
        id=wall_id,
        floor=ids.of(storey.step_id),
        start=(_tidy(x0), _tidy(y0)),
        end=(_tidy(x1), _tidy(y1)),
        construction=construction,
        base_m=None if abs(base) < _LEVEL_M else _tidy(base),
        top_m=None if abs(top - storey.height_m) < _LEVEL_M else _tidy(top),
        openings=list(openings),
    )


def _tidy(value: float) -> float:
    """To a tenth of a millimetre, without a negative zero."""
    return round(value, 4) + 0.0
