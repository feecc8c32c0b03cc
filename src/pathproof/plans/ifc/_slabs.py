"""Floors and ceilings: pieces with outlines, under the storey whose floor they are."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import shapely
from pydantic import ValidationError

from pathproof.job import Slab
from pathproof.plans.constructions import ConstructionBook, Ready
from pathproof.plans.ifc._bodies import Body
from pathproof.plans.ifc._ids import Ids
from pathproof.plans.ifc._layers import Told, read_build_up
from pathproof.plans.ifc._storeys import Storey
from pathproof.plans.report import ReportBuilder

_BELOW_M = 0.8  # ceiling and structure below a floor
_ABOVE_M = 0.1  # finishes on it
_LEAST_AREA_M2 = 0.01
_SAME_VOLUME_RATIO = 0.6
_LARGEST_M = 512.0


@dataclass(frozen=True, slots=True)
class _Piece:
    element: Any
    body: Body
    storey: Storey


_FLAT_COVERINGS = ("CEILING", "FLOORING", "NOTDEFINED", "USERDEFINED", None)


def floor_elements(file: Any) -> list[Any]:
    """Slabs, and coverings that lie flat: floorings and ceilings."""
    coverings = [c for c in file.by_type("IfcCovering") if c.PredefinedType in _FLAT_COVERINGS]
    return sorted([*file.by_type("IfcSlab"), *coverings], key=lambda e: e.id())


def other_coverings(file: Any) -> int:
    """How many coverings are neither floorings nor ceilings, such as cladding."""
    return sum(c.PredefinedType not in _FLAT_COVERINGS for c in file.by_type("IfcCovering"))


def slabs_of(
    elements: Sequence[Any],
    bodies: Mapping[int, Body],
    storeys: Sequence[Storey],
    scale: float,
    book: ConstructionBook,
    ids: Ids,
) -> dict[int, list[Slab]]:
    """Pieces per storey (its step number), each under the storey whose floor it belongs to."""
    pieces = list(_pieces(elements, bodies, storeys, book.report))
    found: dict[int, list[Slab]] = {storey.step_id: [] for storey in storeys}
    for piece in _without_duplicates(pieces, book.report):
        try:
            found[piece.storey.step_id] += list(_slabs(piece, scale, book, ids))
        except ValidationError:
            book.report.left_out("floor or ceiling", "its sizes are those of no floor")
    for storey in storeys[1:]:
        if not found[storey.step_id]:
            found[storey.step_id] = [_missing_floor(storey, book, ids)]
    return found


def _pieces(
    elements: Sequence[Any],
    bodies: Mapping[int, Body],
    storeys: Sequence[Storey],
    report: ReportBuilder,
) -> Iterator[_Piece]:
    for element in elements:
        what = "slab" if element.is_a("IfcSlab") else "covering"
        body = bodies.get(element.id())
        if body is None:
            report.left_out(what, "it has no body")
            continue
        if body.footprint.area < _LEAST_AREA_M2:
            report.left_out(what, "it does not lie flat")
            continue
        middle = (body.z_min + body.z_max) / 2.0
        under = [
            s for s in storeys if s.elevation_m - _BELOW_M <= middle <= s.elevation_m + _ABOVE_M
        ]
        if under:
            yield _Piece(element, body, under[-1])
        elif middle > storeys[-1].elevation_m + _ABOVE_M:
            report.left_out(what, "roof or ceiling of the topmost storey: no storey above it")
        else:
            report.left_out(what, "it lies between two storeys' floors or below the lowest")


def _without_duplicates(pieces: Sequence[_Piece], report: ReportBuilder) -> Iterator[_Piece]:
    tree = shapely.STRtree([p.body.footprint for p in pieces])
    dropped: set[int] = set()
    for j, piece in enumerate(pieces):
        for i in sorted(tree.query(piece.body.footprint, "intersects").tolist()):
            if i < j and i not in dropped and _same_place(pieces[i].body, piece.body):
                dropped.add(j)
                break
        if j in dropped:
            report.left_out("floor or ceiling", "stands in the same place as another piece")
        else:
            yield piece


def _same_place(a: Body, b: Body) -> bool:
    height = min(a.z_max, b.z_max) - max(a.z_min, b.z_min)
    smaller = min(x.footprint.area * (x.z_max - x.z_min) for x in (a, b))
    if height <= 0 or smaller <= 0:
        return False
    shared = height * float(a.footprint.intersection(b.footprint).area)
    return bool(shared > _SAME_VOLUME_RATIO * smaller)


def _slabs(piece: _Piece, scale: float, book: ConstructionBook, ids: Ids) -> Iterator[Slab]:
    body = piece.body
    parts = [
        p
        for p in shapely.get_parts(body.footprint.simplify(0.001))
        if p.geom_type == "Polygon" and p.area >= _LEAST_AREA_M2 and _within(p)
    ]
    if not parts:
        book.report.left_out("floor or ceiling", f"further than {_LARGEST_M:.0f} m from the plan")
        return
    construction = _construction(piece, scale, book)
    for number, part in enumerate(parts, start=1):
        suffix = f".{number}" if len(parts) > 1 else ""
        yield Slab(
            id=ids.of(piece.element.id()) + suffix,
            construction=construction,
            elevation_m=round((body.z_min + body.z_max) / 2.0, 4),
            outline=_ring(part.exterior),
            holes=[_ring(r) for r in part.interiors if shapely.Polygon(r).area > _LEAST_AREA_M2],
        )


def _construction(piece: _Piece, scale: float, book: ConstructionBook) -> str:
    """The piece's build-up; layers in the file's order are read from top to bottom."""
    build_up = read_build_up(piece.element, scale)
    if build_up.told is Told.LAYERS:
        layers = [(layer.name, layer.thickness_m) for layer in build_up.layers]
        return book.of_layers(build_up.label, layers, floor=True)
    body = piece.body
    thickness = min(body.z_max - body.z_min, body.volume_m3 / body.footprint.area)
    names = [layer.name for layer in build_up.layers]
    return book.of_names(build_up.label, names, max(thickness, 0.001), floor=True)


def _missing_floor(storey: Storey, book: ConstructionBook, ids: Ids) -> Slab:
    construction = book.of_kind(
        f"floor of storey {storey.name}",
        Ready.FLOOR,
        "the plan has no floor slab there",
        first=True,
    )
    return Slab(
        id=ids.of(storey.step_id) + ".floor",
        construction=construction,
        elevation_m=round(storey.elevation_m - 0.15, 4),
    )


def _within(part: shapely.Polygon) -> bool:
    return bool(max(abs(v) for v in part.bounds) <= _LARGEST_M)


def _ring(ring: shapely.LinearRing) -> list[tuple[float, float]]:
    return [(round(x, 4) + 0.0, round(y, 4) + 0.0) for x, y in ring.coords[:-1]]
