"""Walls of DXF drawings. Expected values follow from how each drawing is made, nothing else."""

import math
from pathlib import Path
from typing import Any

import ezdxf.path
import pytest

from pathproof.job import Wall
from pathproof.plans import DrawingNotes, PlanImport, import_dxf, load_drawing_notes
from pathproof.plans.dxf._entities import CURVES, sides_of
from pathproof.terms import PlanError

from ._drawing import Drawing

SIZE_M = 1e-4  # coordinates are kept to a tenth of a millimetre


def total_m(plan: PlanImport) -> float:
    return sum(w.length_m for w in plan.walls)


def lines(plan: PlanImport) -> set[tuple[tuple[float, float], tuple[float, float]]]:
    """Centre lines, whichever end comes first, to the millimetre."""
    found = set()
    for w in plan.walls:
        a, b = sorted([w.start, w.end])
        found.add(((round(a[0], 3) + 0, round(a[1], 3) + 0), (round(b[0], 3), round(b[1], 3) + 0)))
    return found


def left_out(plan: PlanImport, what: str) -> int:
    return sum(x.count for x in plan.report.left_out if what in f"{x.what} ({x.why})")


@pytest.fixture
def imported(tmp_path: Path) -> Any:
    def imported(drawing: Drawing, **options: Any) -> PlanImport:
        return import_dxf(drawing.save(tmp_path / "plan.dxf"), **options)

    return imported


def test_room_of_two_rectangles(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((5.0, 4.0), 0.2)
    plan = imported(drawing)
    assert lines(plan) == {
        ((0, 0), (5, 0)),
        ((0, 4), (5, 4)),
        ((0, 0), (0, 4)),
        ((5, 0), (5, 4)),
    }
    assert plan.origin_m == (0.0, 0.0)
    assert [(f.name, f.elevation_m, f.height_m) for f in plan.floors] == [("Storey 1", 0.0, 2.7)]


def test_outside_is_on_the_left_of_every_outer_wall(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((5.0, 4.0))
    for wall in imported(drawing).walls:
        (x0, y0), (x1, y1) = wall.start, wall.end
        to_middle = ((2.5 - x0) * -(y1 - y0) + (2.0 - y0) * (x1 - x0)) / wall.length_m
        assert to_middle < 0  # the room's middle is on the right


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "ft"])
def test_every_unit_gives_the_same_metres(imported: Any, unit: str) -> None:
    drawing = Drawing(unit)
    drawing.room((6.0, 5.0), 0.3)
    assert total_m(imported(drawing)) == pytest.approx(22.0, abs=0.001)


@pytest.mark.parametrize("thick", [0.05, 0.5])
def test_distances_of_50_and_500_mm_are_walls(imported: Any, thick: float) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0), thick)
    assert len(imported(drawing, unit="mm").walls) == 4


@pytest.mark.parametrize("thick", [0.045, 0.51])
def test_a_drawing_without_walls_is_refused(imported: Any, thick: float) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0), thick)
    with pytest.raises(PlanError, match=r"make a wall.*--unit"):
        imported(drawing, unit="mm")


def test_walls_too_thick_to_be_taken_are_warned_of(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((12.0, 8.0), 0.65)
    drawing.wall((6.0, 0.325), (6.0, 7.675), 0.12)
    plan = imported(drawing, unit="mm")
    assert lines(plan) == {((6, 0.325), (6, 7.675))}
    # 2 (12.65 + 8.65 + 11.35 + 7.35) m around, out and in, and two faces of 7.35 m
    (warning,) = plan.report.warnings
    assert f"{100 * 80 / 94.7:.0f} % of the length" in warning
    assert "650 mm apart" in warning
    assert "thickest_wall_m = 0.65" in warning
    taken = imported(drawing, unit="mm", notes=DrawingNotes(thickest_wall_m=0.65))
    assert total_m(taken) == pytest.approx(40.0 + 8.0, abs=0.001)
    assert not taken.report.warnings


@pytest.mark.parametrize("thick", [0.51, 0.8])
def test_what_to_do_where_all_walls_are_too_thick_to_be_taken(imported: Any, thick: float) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0), thick)
    with pytest.raises(PlanError, match=f"{1000 * thick:.0f} mm apart.*thickest_wall_m"):
        imported(drawing, unit="mm")
    plan = imported(drawing, unit="mm", notes=DrawingNotes(thickest_wall_m=0.8))
    assert len(plan.walls) == 4


@pytest.mark.parametrize(
    ("low", "high"),
    [
        ((3.8, 4.7), (4.2, 5.1)),  # a column half in the wall
        ((3.8, 4.7), (4.1, 4.9)),  # a pilaster as thick as the wall
        ((2.0, 4.7), (6.0, 4.9)),  # a lining of half its length
    ],
)
def test_what_stands_against_a_wall_takes_nothing_of_it(
    imported: Any, low: tuple[float, float], high: tuple[float, float]
) -> None:
    drawing = Drawing()
    drawing.room((8.0, 5.0), 0.2)
    drawing.box(low, high)
    assert {((0, 0), (8, 0)), ((0, 5), (8, 5)), ((0, 0), (0, 5)), ((8, 0), (8, 5))} <= lines(
        imported(drawing)
    )


def test_three_piers_within_a_long_wall_are_no_stairs(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((20.0, 10.0), 0.3)
    for x in (5.0, 10.0, 15.0):
        drawing.box((x - 0.15, 9.55), (x + 0.15, 9.85))
    assert ((0, 10), (20, 10)) in lines(imported(drawing))


def test_walls_that_touch_are_said(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((5.0, 4.0), 0.2)
    drawing.room((5.0, 6.0), 0.2, at=(5.2, 0.0))
    plan = imported(drawing)
    (line,) = [g for g in plan.report.guessed if g.what == "two parallel walls that touch"]
    assert line.count == 1
    assert "[layers]" in line.why
    assert {((5, 0), (5, 4)), ((5.2, 0), (5.2, 6))} <= lines(plan)


def test_wall_with_linings_on_both_sides_is_no_closet(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0), 0.3)
    drawing.wall((0.15, 3.0), (7.85, 3.0), 0.2)
    drawing.box((1.0, 3.1), (6.0, 3.35))  # 5 of 7.7 m
    drawing.box((2.0, 2.65), (7.0, 2.9))
    assert ((0, 3), (8, 3)) in lines(imported(drawing))


def test_strips_of_unequal_length_are_no_stairs(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((20.0, 12.0), 0.3)
    # rooms 0.3 m of wall apart: each wall beside the next, with half its length or a little more
    for k, length in enumerate((16.0, 10.0, 6.0, 4.0)):
        drawing.box((2.0, 3.0 + 0.3 * k), (2.0 + length, 3.3 + 0.3 * k))
    assert ((2, 3.15), (18, 3.15)) in lines(imported(drawing))


def test_short_wall_with_its_middle_line_is_one_wall(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 2.5), 0.2)
    for x in (3.9, 4.0, 4.1):
        drawing.line((x, 0.1), (x, 2.4))
    plan = imported(drawing)
    assert ((4, 0), (4, 2.5)) in lines(plan)
    assert len(plan.walls) == 5


def test_panes_drawn_on_a_wall_that_goes_on_are_its_windows(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((90.0, 12.0), 0.3)
    for k in range(25):
        for y in (-0.05, 0.05):
            drawing.line((2 + 3.5 * k, y), (3.2 + 3.5 * k, y))
    plan = imported(drawing)
    assert len(plan.walls) == 4
    openings = [o for w in plan.walls for o in w.openings]
    assert [o.width_m for o in openings] == pytest.approx([1.2] * 25, abs=SIZE_M)
    assert all(o.sill_m == 0.9 for o in openings)  # docs: a window's guess
    assert left_out(plan, "panes of a window") == 75


def test_shaft_beside_part_of_a_partition(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 5.0), 0.2)
    drawing.wall((4.0, 0.1), (4.0, 4.9), 0.2)
    drawing.wall((4.2, 0.1), (4.2, 3.0), 0.2, caps=True)
    assert ((4, 0), (4, 5)) in lines(imported(drawing))


def test_long_wall_with_many_short_pieces_beside_it_is_no_hatch(imported: Any) -> None:
    drawing = Drawing()
    rooms = 42
    half, length = 0.1, 3.0 * rooms
    drawing.box((-half, -half), (length + half, 4.0 + half))
    for k in range(rooms):  # the inner faces are broken at each partition of 0.2 m
        drawing.box((3.0 * k + half, half), (3.0 * (k + 1) - half, 4.0 - half))
    found = lines(imported(drawing))
    assert {((0, 0), (length, 0)), ((0, 4), (length, 4))} <= found
    assert len(found) == 4 + rooms - 1


def test_plaster_drawn_as_lines_of_its_own_makes_no_second_wall(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 5.0), 0.27)
    drawing.room((8.0, 5.0), 0.24)  # the faces of the bricks, 15 mm within
    plan = imported(drawing, unit="mm")
    assert len(plan.walls) == 4
    assert left_out(plan, "plaster") == 4


def test_pieces_of_a_line_are_one(imported: Any) -> None:
    drawing = Drawing()
    drawing.lines((0, 0), (1.5, 0), (2.0, 0), (6, 0))
    drawing.lines((6, 0.15), (4, 0.15), (0, 0.15))
    drawing.line((1, 0), (3, 0))
    plan = imported(drawing)
    assert lines(plan) == {((0.0, 0.075), (6.0, 0.075))}


def test_branch_runs_on_to_the_middle_and_does_not_cut_the_wall_it_meets(imported: Any) -> None:
    drawing = Drawing()
    drawing.line((0, 0.1), (6, 0.1))
    drawing.lines((0, -0.1), (2.95, -0.1), (2.95, -3))  # a wall of 0.1 m down from x = 3
    drawing.lines((3.05, -3), (3.05, -0.1), (6, -0.1))
    assert lines(imported(drawing)) == {((0, 0), (6, 0)), ((3, -3), (3, 0))}


def test_four_walls_that_cross(imported: Any) -> None:
    drawing = Drawing()
    for x in (-1, 1):
        for y in (-1, 1):
            drawing.lines((3 * x, 0.1 * y), (0.1 * x, 0.1 * y), (0.1 * x, 3 * y))
    assert total_m(imported(drawing)) == pytest.approx(12.0, abs=SIZE_M)


def test_slanted_wall_meets_both_others(imported: Any) -> None:
    drawing = Drawing()
    # an outline with one corner cut at 45 degrees, and the same 0.2 m further in
    far, cut = 5.0, 3.5
    inset = 0.2 * (math.sqrt(2) - 1)
    drawing.lines((0, 0), (far, 0), (far, cut), (cut, far), (0, far), (0, 0))
    low, high = 0.2, far - 0.2
    k = cut - inset
    drawing.lines((low, low), (high, low), (high, k), (k, high), (low, high), (low, low))
    plan = imported(drawing)
    slanted = [w for w in plan.walls if min(abs(w.start[i] - w.end[i]) for i in (0, 1)) > 0.1]
    # middle line of a mitred corner: between the corners of both outlines
    ends = sorted([((far + high) / 2, (cut + k) / 2), ((cut + k) / 2, (far + high) / 2)])
    assert len(plan.walls) == 5
    assert sorted([slanted[0].start, slanted[0].end]) == [pytest.approx(e, abs=0.001) for e in ends]


def test_closet_between_two_walls_is_no_wall(imported: Any) -> None:
    drawing = Drawing()
    drawing.wall((0, 0), (4, 0), 0.1)
    drawing.wall((0, 0.5), (4, 0.5), 0.1)  # 0.4 m of room between them
    drawing.room((8.0, 6.0), at=(-2, -3))
    plan = imported(drawing)
    assert len(plan.walls) == 6
    assert left_out(plan, "closet") == 1


def test_stairs_are_no_walls(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    for k in range(10):
        drawing.line((2, 1 + 0.28 * k), (3, 1 + 0.28 * k))
    plan = imported(drawing)
    assert len(plan.walls) == 4
    assert left_out(plan, "stairs") == 9


def test_wall_with_its_middle_line_is_one_wall(imported: Any) -> None:
    drawing = Drawing()
    for y in (0.0, 0.15, 0.3):
        drawing.line((0, y), (6, y))
    plan = imported(drawing)
    assert lines(plan) == {((0.0, 0.15), (6.0, 0.15))}
    assert left_out(plan, "panes") == 0


def test_posts_and_single_lines_are_reported(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    for k in range(3):
        drawing.box((10, 2.0 * k), (10.15, 2.0 * k + 0.15))
    drawing.lines((8.1, -1), (12, -1), (12, 5), (8.1, 5))  # a deck
    plan = imported(drawing)
    assert len(plan.walls) == 4
    assert left_out(plan, "pier or post") == 3
    assert left_out(plan, "no second line") == 3


def test_single_lines_by_the_notes(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    drawing.line((4, 0.1), (4, 5.9), "PARTITION")
    plan = imported(drawing, notes=DrawingNotes(single_lines={"part*": 0.1}))
    assert len(plan.walls) == 5
    assert ((4, 0), (4, 6)) in lines(plan)
    assert any(g.what == "single line" and g.as_ == "wall of 0.1 m" for g in plan.report.guessed)


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_wide_polyline_is_a_wall_as_thick(imported: Any, scale: float) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0), 0.3)
    part = drawing.block("PART")
    corners = [drawing.at((4.0 / scale, y / scale)) for y in (0.15, 5.85)]
    attributes = {"layer": "WALL", "const_width": 120.0 / scale}
    part.add_lwpolyline(corners, dxfattribs=attributes)
    drawing.space.add_blockref("PART", (0, 0), {"xscale": scale, "yscale": scale})
    plan = imported(drawing)
    assert ((4, 0), (4, 6)) in lines(plan)
    (line,) = [g for g in plan.report.guessed if g.what == "line as wide as a wall"]
    assert line.as_ == "wall of 0.12 m"


def test_faces_drawn_with_a_broad_pen_are_one_wall(imported: Any) -> None:
    drawing = Drawing()
    for low, high in (((-0.15, -0.15), (8.15, 6.15)), ((0.15, 0.15), (7.85, 5.85))):
        drawing.box(low, high)
    for entity in drawing.space:
        entity.dxf.const_width = 50.0  # a pen of 0.5 mm at 1:100
    assert len(imported(drawing).walls) == 4


def test_curved_wall_becomes_chords_on_its_middle(imported: Any) -> None:
    drawing = Drawing()
    for radius in (4.0, 4.2):
        drawing.space.add_arc((0, 0), radius * drawing.scale, 0, 90, dxfattribs={"layer": "WALL"})
    drawing.wall((4.1, 0), (4.1, -3), 0.2)
    drawing.wall((0, 4.1), (-3, 4.1), 0.2)
    plan = imported(drawing)
    chords = [w for w in plan.walls if min(abs(w.start[i] - w.end[i]) for i in (0, 1)) > 1e-3]
    assert all(math.hypot(*end) == pytest.approx(4.1, abs=0.001) for end in ends_of(chords))
    assert all(w.length_m <= 0.5 + 1e-3 for w in chords)
    arc_m = math.pi / 2 * 4.1
    assert arc_m - 0.02 < sum(w.length_m for w in chords) < arc_m


def ends_of(walls: list[Wall]) -> list[tuple[float, float]]:
    return [end for w in walls for end in (w.start, w.end)]


def test_window_of_many_panes_in_a_wall_is_no_stairs(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0), 0.4)
    for y in (-0.1, 0.0, 0.1):
        drawing.line((3.0, y), (4.5, y))
    (opening,) = [o for w in imported(drawing).walls for o in w.openings]
    assert opening.width_m == pytest.approx(1.5, abs=SIZE_M)


@pytest.mark.parametrize("held", [True, False])
def test_drawings_attached_from_other_files_are_warned_of(imported: Any, held: bool) -> None:
    drawing = Drawing()
    if held:
        drawing.room((5.0, 4.0))
    drawing.doc.add_xref_def("other.dxf", "OTHER")
    drawing.space.add_blockref("OTHER", (0, 0))
    if held:
        (warning,) = imported(drawing).report.warnings
        assert "1 drawing attached from other files" in warning
    else:
        with pytest.raises(PlanError, match="1 drawing attached from other files"):
            imported(drawing)


@pytest.mark.parametrize("extrusion", [(0, 0, 1), (0, 0, -1)])
@pytest.mark.parametrize("kind", ["LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE"])
def test_arcs_lie_where_the_drawing_library_has_them(
    kind: str, extrusion: tuple[float, float, float]
) -> None:
    space = Drawing().space
    told = {"extrusion": extrusion}
    if kind == "LWPOLYLINE":
        thing = space.add_lwpolyline([(1, 2, 0.5), (4, 3, 0)], format="xyb", dxfattribs=told)
    elif kind == "POLYLINE":
        thing = space.add_polyline2d([(1, 2, 0.5), (4, 3, 0)], format="xyb", dxfattribs=told)
    elif kind == "ARC":
        thing = space.add_arc((1, 2), 3.0, 20.0, 110.0, dxfattribs=told)
    else:
        thing = space.add_circle((1, 2), 3.0, dxfattribs=told)
    (found,) = sides_of(thing) if "POLYLINE" in kind else [CURVES[kind](thing)]
    assert len(found) == 7
    x, y, ux, uy, vx, vy, sweep = found
    path = [p.vec2 for p in ezdxf.path.make_path(thing).flattening(1e-4)]
    for turn in (0.0, 0.3 * sweep, sweep):
        at = (
            x + math.cos(turn) * ux + math.sin(turn) * vx,
            y + math.cos(turn) * uy + math.sin(turn) * vy,
        )
        assert min(p.distance(at) for p in path) < 0.05
    assert path[0].isclose((x + ux, y + uy), abs_tol=1e-6)


@pytest.mark.parametrize("heavy", [False, True])
def test_polylines_seen_from_below_are_mirrored(imported: Any, heavy: bool) -> None:
    drawing = Drawing("m")
    for low, high in (((-0.1, -0.1), (8.1, 5.1)), ((0.1, 0.1), (7.9, 4.9))):
        corners = [low, (high[0], low[1]), high, (low[0], high[1])]
        told = {"layer": "WALL", "extrusion": (0, 0, -1)}
        add = drawing.space.add_polyline2d if heavy else drawing.space.add_lwpolyline
        add(corners, close=True, dxfattribs=told)
    # another library's transform of the same plane: x is turned round
    assert {x for w in imported(drawing).walls for x in (w.start[0], w.end[0])} == {-8.0, 0.0}


@pytest.mark.parametrize("name", ["bulge", "mirrored", "stretched", "turned", "nested", "array"])
def test_walls_in_polylines_with_arcs_and_in_blocks(imported: Any, name: str) -> None:
    drawing = Drawing("m")
    if name == "bulge":
        # half circles of 3 and 3.2 m radius as bulges of 1, and straight ends
        for r in (3.0, 3.2):
            drawing.space.add_lwpolyline(
                [(r, 0, 0, 0, 1.0), (-r, 0, 0, 0, 0)], dxfattribs={"layer": "WALL"}
            )
        assert total_m(imported(drawing)) == pytest.approx(math.pi * 3.1, rel=0.005)
        return
    model = drawing.space
    drawing.space = drawing.block("PART")
    drawing.layer = "0"  # in a block: the layer of its insert
    drawing.wall((1, 1), (4, 1), 0.2)
    drawing.space = model
    inserted = {"layer": "WALL"}
    if name == "mirrored":
        model.add_blockref("PART", (0, 0), {**inserted, "xscale": -1})
        expected = {((-4.0, 1.0), (-1.0, 1.0))}
    elif name == "stretched":
        model.add_blockref("PART", (0, 0), {**inserted, "xscale": 2, "yscale": 1})
        expected = {((2.0, 1.0), (8.0, 1.0))}
    elif name == "turned":
        model.add_blockref("PART", (10, 0), {**inserted, "rotation": 90})
        expected = {((9.0, 1.0), (9.0, 4.0))}
    elif name == "nested":
        outer = drawing.block("OUTER")
        outer.add_blockref("PART", (1, 0), {"layer": "0", "rotation": 180})
        model.add_blockref("OUTER", (0, 5), inserted)
        expected = {((-3.0, 4.0), (0.0, 4.0))}
    else:
        model.add_blockref("PART", (0, 0), {**inserted, "row_count": 2, "row_spacing": 3})
        expected = {((1.0, 1.0), (4.0, 1.0)), ((1.0, 4.0), (4.0, 4.0))}
    assert lines(imported(drawing)) == expected


def test_what_is_not_in_model_space_is_no_wall(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((5.0, 4.0))
    model = drawing.space
    drawing.space = drawing.block("COPY")
    drawing.room((3.0, 3.0), at=(20, 20))
    drawing.space = drawing.doc.layout("Layout1")
    drawing.room((2.0, 2.0), at=(30, 30))
    drawing.space = model
    assert total_m(imported(drawing)) == pytest.approx(18.0, abs=0.001)


def test_far_coordinates_move_to_a_whole_metre_origin(imported: Any) -> None:
    drawing = Drawing("m")
    drawing.room((5.0, 4.0), at=(412345.6, 5312345.3))
    plan = imported(drawing)
    assert plan.origin_m == (412345.0, 5312345.0)
    # lower left corner at 0.6 and 0.3 beyond the whole metres
    assert min(min(w.start, w.end) for w in plan.walls) == pytest.approx((0.6, 0.3), abs=0.001)
    assert total_m(plan) == pytest.approx(18.0, abs=0.001)


def test_stray_lines_far_away_are_left_out(imported: Any) -> None:
    drawing = Drawing("m")
    drawing.room((5.0, 4.0))
    drawing.wall((9000, 9000), (9003, 9000))
    plan = imported(drawing, unit="m")
    assert len(plan.walls) == 4
    assert left_out(plan, "512 m") == 2


@pytest.mark.parametrize(
    ("thick", "ready"), [(0.1016, "Light wall, build-up unknown"), (0.24, "Heavy wall, build-up")]
)
def test_unknown_build_ups_stay_unknown_by_thickness(
    imported: Any, thick: float, ready: str
) -> None:
    drawing = Drawing()
    drawing.room((5.0, 4.0), thick)
    plan = imported(drawing)
    (construction,) = plan.constructions.values()
    assert construction.name.startswith(ready)
    assert construction.guessed
    (line,) = [g for g in plan.report.guessed if g.as_ == construction.name]
    assert line.what == f"WALL {1000 * thick:.0f} mm"
    assert line.count == 4


def test_constructions_by_layer_and_thickness(imported: Any, tmp_path: Path) -> None:
    notes = tmp_path / "notes.toml"
    notes.write_text(
        '[layers]\n"WALL 100 mm" = "plasterboard:0.0125,air:0.075,plasterboard:0.0125"\n'
        '"wall*" = "brick_solid_225"\n"ROOF" = "brick:0.1"\n',
        "utf-8",
    )
    drawing = Drawing()
    drawing.room((5.0, 4.0), 0.24)
    drawing.wall((2, 0.12), (2, 3.88), 0.1)
    plan = imported(drawing, notes=load_drawing_notes(notes))
    by_name = {plan.constructions[w.construction].name: w for w in plan.walls}
    assert by_name["WALL 100 mm"].length_m == pytest.approx(4.0, abs=0.001)
    assert "Solid brick 225 mm" in by_name
    assert not [g for g in plan.report.guessed if "unknown" in g.as_]
    assert any("'ROOF'" in warning for warning in plan.report.warnings)


def test_material_by_the_layers_own_name(imported: Any) -> None:
    drawing = Drawing(layer="WAND_BETON")
    drawing.room((5.0, 4.0), 0.2)
    (construction,) = imported(drawing).constructions.values()
    # material_keywords.csv: Beton is concrete
    assert [(x.material, x.thickness_m) for x in construction.layers] == [("concrete", 0.2)]


def test_unchanged_walls_keep_their_ids_and_changed_ones_do_not(
    imported: Any, tmp_path: Path
) -> None:
    first, second = Drawing(), Drawing("cm")
    for drawing, x in ((first, 2.0), (second, 2.5)):
        drawing.room((5.0, 4.0))
        drawing.wall((x, 0.1), (x, 3.9), 0.1)
    before, after = imported(first), imported(second)
    one, two = ({w.id for w in p.walls} for p in (before, after))
    assert len(one & two) == 4
    assert len(one ^ two) == 2
    assert imported(first) == before
    assert all(i.startswith("dxf-") for i in one | two | {f.id for f in before.floors})
