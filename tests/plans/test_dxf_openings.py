"""Doors and windows of DXF drawings. Expected values follow from how each drawing is made."""

from pathlib import Path
from typing import Any

import pytest

from pathproof.job import Opening, Wall
from pathproof.plans import PlanImport, import_dxf

from ._drawing import Drawing

SMALL_M = 0.001


@pytest.fixture
def imported(tmp_path: Path) -> Any:
    def imported(drawing: Drawing, **options: Any) -> PlanImport:
        return import_dxf(drawing.save(tmp_path / "plan.dxf"), **options)

    return imported


def with_gap(low: float, high: float, *, jambs: bool = True, unit: str = "mm") -> Drawing:
    """A wall of 0.2 m from 0 to 8 m with a gap, in a building 3 m deep below it."""
    drawing = Drawing(unit)
    half = 0.1
    drawing.lines((low, half), (-half, half), (-half, -3 - half), (8 + half, -3 - half))
    drawing.lines((8 + half, -3 - half), (8 + half, half), (high, half))
    drawing.lines((low, -half), (half, -half), (half, -3 + half), (8 - half, -3 + half))
    drawing.lines((8 - half, -3 + half), (8 - half, -half), (high, -half))
    if jambs:
        for x in (low, high):
            drawing.line((x, -half), (x, half))
    return drawing


def only(plan: PlanImport) -> tuple[Wall, Opening]:
    (found,) = [(w, o) for w in plan.walls for o in w.openings]
    return found


def place(wall: Wall, opening: Opening) -> tuple[float, float]:
    """Where along x the opening is, for a wall along x."""
    sign = 1 if wall.end[0] > wall.start[0] else -1
    a = wall.start[0] + sign * opening.offset_m
    low, high = sorted([a, a + sign * opening.width_m])
    return low, high


def name(plan: PlanImport, opening: Opening) -> str | None:
    return None if opening.construction is None else plan.constructions[opening.construction].name


def test_gap_between_jambs_is_a_passage(imported: Any) -> None:
    plan = imported(with_gap(3.0, 4.0))
    wall, opening = only(plan)
    assert len(plan.walls) == 4
    assert wall.length_m == pytest.approx(8.0, abs=SMALL_M)
    assert place(wall, opening) == pytest.approx((3.0, 4.0), abs=SMALL_M)
    assert opening.construction is None
    assert (opening.sill_m, opening.head_m) == (0.0, 2.03)
    assert any(g.what == "passage heights" for g in plan.report.guessed)


@pytest.mark.parametrize("width_m", [2.49, 2.6])
def test_bare_gap_of_2_5_m_and_more_is_none(imported: Any, width_m: float) -> None:
    plan = imported(with_gap(3.0, 3.0 + width_m))
    assert sum(len(w.openings) for w in plan.walls) == (width_m < 2.5)
    assert len(plan.walls) == (4 if width_m < 2.5 else 5)


def test_gap_without_jambs_stays_open(imported: Any) -> None:
    assert len(imported(with_gap(3.0, 4.0, jambs=False)).walls) == 5


@pytest.mark.parametrize("start_deg", [0.0, 90.0, 180.0, 270.0])
def test_swing_in_a_gap_is_a_door(imported: Any, start_deg: float) -> None:
    drawing = with_gap(3.0, 3.9, jambs=False)
    # the arc shuts to the right of a hinge at 3 m, or to the left of one at 3.9 m
    hinge = 3.0 if start_deg in (0.0, 270.0) else 3.9
    drawing.swing((hinge, 0.0), 0.9, start_deg)
    plan = imported(drawing)
    wall, opening = only(plan)
    assert place(wall, opening) == pytest.approx((3.0, 3.9), abs=SMALL_M)
    assert name(plan, opening) == "Door, build-up unknown"  # in an outer wall


def test_door_in_an_inner_wall(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    drawing.wall((0.1, 3), (4, 3), 0.1, caps=True)
    drawing.wall((4.8, 3), (7.9, 3), 0.1, caps=True)
    drawing.swing((4.0, 3.0), 0.8, 0.0)
    plan = imported(drawing)
    _, opening = only(plan)
    assert name(plan, opening) == "Hollow timber door"


def test_arc_on_a_layer_of_doors_needs_no_leaf(imported: Any) -> None:
    for layer, count in (("DOOR", 1), ("FURNITURE", 0)):
        drawing = with_gap(3.0, 3.9, jambs=False)
        arc = (drawing.at((3.0, 0.0)), 0.9 * drawing.scale, 0.0, 90.0)
        drawing.space.add_arc(*arc, dxfattribs={"layer": layer})
        plan = imported(drawing)
        assert sum(len(w.openings) for w in plan.walls) == count
    drawing = with_gap(3.0, 3.9, jambs=False)
    drawing.space.add_arc(drawing.at((3.0, 0.0)), 900.0, 0.0, 90.0, dxfattribs={"layer": "TÜREN"})
    wall, opening = only(imported(drawing))
    assert place(wall, opening) == pytest.approx((3.0, 3.9), abs=SMALL_M)


@pytest.mark.parametrize("middle", [3.0, 3.05])  # middles in one line, and lower faces in one line
def test_door_between_walls_of_unequal_thickness(imported: Any, middle: float) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    drawing.wall((0.1, 3.0), (4.0, 3.0), 0.1, caps=True)
    drawing.wall((4.8, middle), (7.9, middle), 0.2, caps=True)
    drawing.swing((4.0, 3.0), 0.8, 0.0)
    plan = imported(drawing)
    wall, opening = only(plan)
    assert place(wall, opening) == pytest.approx((4.0, 4.8), abs=SMALL_M)
    assert len(plan.walls) == 6


def test_swings_that_are_no_door_are_said(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    for radius in (0.4, 2.0):
        drawing.swing((3.0, 0.0), radius, 0.0)
    (line,) = [x for x in imported(drawing).report.left_out if x.what == "swing of a door"]
    assert line.count == 2


def test_window_drawn_where_a_door_is_is_said(imported: Any) -> None:
    drawing = with_gap(3.0, 5.0)
    model = drawing.space
    for block, x in (("WINDOW", 3.0), ("DOOR", 3.5)):
        drawing.space = drawing.block(block)
        drawing.box((0.0, -0.05), (2.0 if block == "WINDOW" else 0.9, 0.05), "0")
        model.add_blockref(block, drawing.at((x, 0.0)), {"layer": "SYMBOLS"})
    drawing.space = model
    plan = imported(drawing)
    assert any(
        x.what == "window block" and "a door in the same place" in x.why
        for x in plan.report.left_out
    )


def test_door_beside_a_wall_without_a_stub(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    drawing.wall((0.9, 3), (7.9, 3), 0.1)  # a door between x = 0.1, the outer wall, and 0.9
    drawing.swing((0.1, 3.0), 0.8, 0.0)
    plan = imported(drawing)
    wall, opening = only(plan)
    assert wall.length_m == pytest.approx(8.0, abs=SMALL_M)
    assert place(wall, opening) == pytest.approx((0.1, 0.9), abs=SMALL_M)


def test_swing_on_a_wall_that_goes_on_under_it(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    drawing.swing((3.0, 0.0), 0.9, 0.0)
    plan = imported(drawing)
    wall, opening = only(plan)
    assert place(wall, opening) == pytest.approx((3.0, 3.9), abs=SMALL_M)


def test_swing_beside_no_wall_is_reported(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    drawing.swing((4.0, 3.0), 0.9, 0.0)
    plan = imported(drawing)
    assert not any(w.openings for w in plan.walls)
    assert any(x.what == "door" and "no wall" in x.why for x in plan.report.left_out)


def test_two_swings_in_one_gap_are_one_double_door(imported: Any) -> None:
    drawing = with_gap(3.0, 4.6)
    drawing.swing((3.0, 0.0), 0.8, 0.0)
    drawing.swing((4.6, 0.0), 0.8, 90.0)
    wall, opening = only(imported(drawing))
    assert place(wall, opening) == pytest.approx((3.0, 4.6), abs=SMALL_M)


def test_lines_across_a_gap_are_a_window(imported: Any) -> None:
    drawing = with_gap(3.0, 4.5, jambs=False)
    for y in (-0.1, 0.0, 0.1):
        drawing.line((3.0, y), (4.5, y), "OPENING")
    plan = imported(drawing)
    wall, opening = only(plan)
    assert place(wall, opening) == pytest.approx((3.0, 4.5), abs=SMALL_M)
    assert (opening.sill_m, opening.head_m) == (0.9, 2.1)
    assert name(plan, opening) == "Double glazing 4/16/4, uncoated"


def test_panes_on_the_layer_of_walls_are_no_walls(imported: Any) -> None:
    drawing = with_gap(3.0, 4.5)
    for y in (-0.1, 0.0, 0.1):
        drawing.line((3.0, y), (4.5, y))
    plan = imported(drawing)
    assert len(plan.walls) == 4
    wall, opening = only(plan)
    assert place(wall, opening) == pytest.approx((3.0, 4.5), abs=SMALL_M)
    assert opening.sill_m == 0.9


def test_leaves_beside_each_other_are_a_sliding_door(imported: Any) -> None:
    drawing = with_gap(3.0, 5.0)
    drawing.box((3.1, -0.03), (4.1, 0.0), "OPENING")
    drawing.box((3.9, 0.0), (4.9, 0.03), "OPENING")
    plan = imported(drawing)
    _, opening = only(plan)
    assert opening.sill_m == 0.0
    assert name(plan, opening) == "Double glazing 4/16/4, uncoated"
    assert any(g.what == "outer sliding door" for g in plan.report.guessed)


def test_wide_gap_with_a_line_along_it_is_a_wide_door(imported: Any) -> None:
    drawing = with_gap(2.0, 6.8)
    drawing.line((2.0, 0.1), (6.8, 0.1), "GARAGE-DOOR")
    plan = imported(drawing)
    wall, opening = only(plan)
    assert place(wall, opening) == pytest.approx((2.0, 6.8), abs=SMALL_M)
    assert any(g.what == "outer wide door" for g in plan.report.guessed)


@pytest.mark.parametrize(
    ("block", "sill_m"), [("Fenster_120", 0.9), ("TÜR-80", 0.0), ("window-2", 0.9)]
)
@pytest.mark.parametrize("gap", [True, False])
def test_blocks_by_their_name(imported: Any, block: str, sill_m: float, gap: bool) -> None:
    drawing = with_gap(3.0, 4.2, jambs=False)
    if not gap:
        drawing.lines((3.0, 0.1), (4.2, 0.1))
        drawing.lines((3.0, -0.1), (4.2, -0.1))
    model = drawing.space
    drawing.space = drawing.block(block)
    drawing.box((0.0, -0.05), (1.2, 0.05), "0")
    drawing.space = model
    model.add_blockref(block, drawing.at((3.0, 0.0)), {"layer": "SYMBOLS"})
    wall, opening = only(imported(drawing))
    assert place(wall, opening) == pytest.approx((3.0, 4.2), abs=SMALL_M)
    assert opening.sill_m == sill_m


def test_window_drawn_on_a_wall_that_goes_on_under_it(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    drawing.line((2.0, 0.0), (3.5, 0.0), "FENSTER")
    wall, opening = only(imported(drawing))
    assert place(wall, opening) == pytest.approx((2.0, 3.5), abs=SMALL_M)


def test_walls_on_both_sides_of_a_corridor_are_not_joined_through_it(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    for x in (3.4, 4.6):  # a corridor of 1.1 m
        drawing.wall((x, 0.1), (x, 5.9), 0.1)
    drawing.wall((0.1, 3), (3.35, 3), 0.1)
    drawing.wall((4.65, 3), (7.9, 3), 0.1)
    plan = imported(drawing)
    assert len(plan.walls) == 8
    assert not any(w.openings for w in plan.walls)


def test_row_of_posts_is_no_wall_with_passages(imported: Any) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    for k in range(4):
        drawing.box((2.0 * k, -3.0), (2.0 * k + 0.2, -2.8))
    assert len(imported(drawing).walls) == 4


def test_opening_ids_outlive_another_import(imported: Any) -> None:
    one = imported(with_gap(3.0, 4.0))
    two = imported(with_gap(3.0, 4.0, unit="cm"))
    assert only(one)[1].id == only(two)[1].id
    assert only(one)[1].id.startswith("dxf-")
