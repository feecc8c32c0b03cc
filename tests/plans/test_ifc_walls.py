"""Centre lines, thicknesses and build-ups of walls, drawn in the many ways that files draw them."""

import math
from typing import Any

import numpy as np
import pytest

from .conftest import id_of


def materials_of(plan: Any, wall: Any) -> list[tuple[str, float]]:
    layers = plan.constructions[wall.construction].layers
    return [(str(x.material), round(x.thickness_m, 6)) for x in layers]


def one_wall(plan_file: Any, **wall: Any) -> Any:
    file = plan_file()
    file.wall(file.storey(), (0.0, 0.0), (5.0, 0.0), **wall)
    return file


@pytest.mark.parametrize("axis_at", [0.0, 0.1, -0.1, 0.3])
@pytest.mark.parametrize("past", [(0.0, 0.0), (0.4, 0.25), (-0.3, -0.2)])
def test_centre_line_follows_the_body_not_the_axis(
    plan_file: Any, imported: Any, axis_at: float, past: tuple[float, float]
) -> None:
    plan = imported(one_wall(plan_file, axis_at=axis_at, axis=past))

    (wall,) = plan.walls
    ends = sorted([wall.start, wall.end])
    assert np.array(ends) == pytest.approx(np.array([(0.0, 0.0), (5.0, 0.0)]), abs=1e-3)


@pytest.mark.parametrize(("sense", "first_at"), [("NEGATIVE", "left"), ("POSITIVE", "right")])
def test_first_layer_by_direction_sense(
    plan_file: Any, imported: Any, sense: str, first_at: str
) -> None:
    # Drawn from west to east. NEGATIVE: layers go from +y (north, left) to -y.
    plan = imported(one_wall(plan_file, layers=[("Concrete", 0.15), ("Brick", 0.05)], sense=sense))

    (wall,) = plan.walls
    eastward = wall.start[0] < wall.end[0]
    assert materials_of(plan, wall) == [("concrete", 0.15), ("brick", 0.05)]
    assert eastward == (first_at == "left")


def test_outside_is_on_the_left_of_outer_walls(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    storey = file.storey()
    # Counter-clockwise, first layer (plasterboard) on the left, which is inside.
    file.room(storey, layers=[("Plasterboard", 0.05), ("Concrete", 0.15)])
    plan = imported(file)

    for wall in plan.walls:
        (x0, y0), (x1, y1) = wall.start, wall.end
        to_middle = (3.0 - x0, 2.0 - y0)
        assert (x1 - x0) * to_middle[1] - (y1 - y0) * to_middle[0] < 0  # the room is on the right
        assert materials_of(plan, wall) == [("concrete", 0.15), ("plasterboard", 0.05)]


def test_butt_joined_corners_are_closed(plan_file: Any, imported: Any) -> None:
    # The long walls run through, the short ones stop at their faces, 0.1 m from the middles.
    file = plan_file()
    storey = file.storey()
    for a, b in [((-0.1, 0), (6.1, 0)), ((-0.1, 4), (6.1, 4)), ((0, 0.1), (0, 3.9)),
                 ((6, 0.1), (6, 3.9))]:  # fmt: skip
        file.wall(storey, a, b)
    file.wall(storey, (3.0, 0.1), (3.0, 3.9))  # a wall that ends at the sides of others
    plan = imported(file)

    ends = [e for w in plan.walls for e in (w.start, w.end)]
    for corner in [(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)]:
        assert ends.count(corner) == 2
    assert sorted(round(w.length_m, 3) for w in plan.walls) == [3.8, 4.0, 4.0, 6.0, 6.0]


def test_lining_leaves_the_corner_to_the_outer_walls(plan_file: Any, imported: Any) -> None:
    # The lower wall runs through; the left one stops at its face, and so does the lining beside it.
    file = plan_file()
    storey = file.storey()
    lower = file.wall(storey, (-0.2, 0.0), (6.0, 0.0), thickness=0.4)
    left = file.wall(storey, (0.0, 0.2), (0.0, 4.0), thickness=0.4)
    file.wall(storey, (0.275, 0.2), (0.275, 4.0), thickness=0.15)  # beside the left wall
    file.wall(storey, (0.35, 0.275), (6.0, 0.275), thickness=0.15)  # beside the lower wall
    plan = imported(file)

    made = {w.id: {w.start, w.end} for w in plan.walls}
    assert (0.0, 0.0) in made[id_of(lower)] & made[id_of(left)]
    assert sum((0.275, 0.275) in ends for ends in made.values()) == 2  # the linings' own corner


def test_round_wall(plan_file: Any, imported: Any) -> None:
    file = plan_file()

    def circle(radius: float) -> Any:
        place = file.make("IfcAxis2Placement2D", Location=file.point(0.0, 0.0))
        return file.make("IfcCircle", Position=place, Radius=file.length(radius))

    ring = file.make(
        "IfcArbitraryProfileDefWithVoids",
        ProfileType="AREA",
        OuterCurve=circle(3.1),
        InnerCurves=[circle(2.9)],
    )
    solid = file.make(
        "IfcExtrudedAreaSolid",
        SweptArea=ring,
        Position=file.frame(),
        ExtrudedDirection=file.make("IfcDirection", DirectionRatios=(0.0, 0.0, 1.0)),
        Depth=file.length(2.5),
    )
    shapes = [file.axis(circle(3.0)), file.body([solid])]
    file.element("IfcWall", file.storey(), (5.0, 5.0, 0.0), 0.0, shapes, "Wall")
    plan = imported(file)

    assert sum(w.length_m for w in plan.walls) == pytest.approx(6 * math.pi, rel=0.005)
    starts, ends = ({getattr(w, e) for w in plan.walls} for e in ("start", "end"))
    assert starts == ends  # no gap anywhere


def test_wall_without_layers_is_guessed_and_reported(plan_file: Any, imported: Any) -> None:
    # COST 231 multi-wall values: light wall 3.4 dB, heavy wall 6.9 dB (fact sheet: restated).
    file = plan_file()
    storey = file.storey()
    file.wall(storey, (0.0, 0.0), (5.0, 0.0), thickness=0.2, name="Wall-017")
    file.wall(storey, (0.0, 3.0), (5.0, 3.0), thickness=0.08, name="Wall-018")
    plan = imported(file)

    made = {w.id: plan.constructions[w.construction] for w in plan.walls}
    assert sorted(c.fixed_loss_db for c in made.values()) == [3.4, 6.9]
    assert all(c.guessed for c in made.values())
    lines = [(g.what, g.count) for g in plan.report.guessed if "no layers" in g.why]
    assert lines == [("Wall", 1), ("Wall", 1)]


def test_name_that_tells_a_material_is_used_and_reported(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    storey = file.storey()
    walls = [
        file.wall(storey, (0.0, 0.0), (5.0, 0.0), thickness=0.2),
        file.wall(storey, (0.0, 3.0), (5.0, 3.0), thickness=0.1),
    ]
    file.typed("IfcWallType", "200 mm CMU", walls[:1])
    file.typed("IfcWallType", "GK 100", walls[1:])
    plan = imported(file)

    stacks = sorted(materials_of(plan, w) for w in plan.walls)
    assert stacks == [
        [("concrete", 0.2)],
        [("plasterboard", 0.0125), ("air", 0.075), ("plasterboard", 0.0125)],
    ]
    assert {g.what for g in plan.report.guessed} >= {"200 mm CMU", "GK 100"}
    assert all(plan.constructions[w.construction].guessed for w in plan.walls)


def test_single_material_takes_the_bodys_thickness(plan_file: Any, imported: Any) -> None:
    file = one_wall(plan_file, thickness=0.24)
    (wall,) = file.file.by_type("IfcWall")
    file.material(wall, file.make("IfcMaterial", Name="Kalksandstein"))
    plan = imported(file)

    assert materials_of(plan, plan.walls[0]) == [("brick", 0.24)]


def test_material_list_without_thicknesses(plan_file: Any, imported: Any) -> None:
    file = one_wall(plan_file, thickness=0.3)
    (wall,) = file.file.by_type("IfcWall")
    names = ["Plasterboard", "Mineral wool", "Stahlbeton"]
    materials = [file.make("IfcMaterial", Name=n) for n in names]
    file.material(wall, file.make("IfcMaterialList", Materials=materials))
    plan = imported(file)

    assert materials_of(plan, plan.walls[0]) == [("concrete", 0.3)]
    assert any("without thicknesses" in g.why for g in plan.report.guessed)


def test_layers_of_the_type_are_inherited(plan_file: Any, imported: Any) -> None:
    file = one_wall(plan_file, thickness=0.2)
    walls = file.file.by_type("IfcWall")
    type_ = file.typed("IfcWallType", "Cavity wall", walls)
    file.material(type_, file.layer_set([("Brick", 0.1), (None, 0.05), ("Brick", 0.05)]))
    plan = imported(file)

    assert materials_of(plan, plan.walls[0]) == [("brick", 0.1), ("air", 0.05), ("brick", 0.05)]


def test_cut_wall_loses_layers_on_the_cut_side(plan_file: Any, imported: Any) -> None:
    # Layers 0.25 m, body 0.2 m: the body was cut on the side of the last layers (smaller y).
    layers = [("Concrete", 0.15), ("Metal Stud", 0.04), ("Plasterboard", 0.06)]
    plan = imported(one_wall(plan_file, thickness=0.2, layers=layers, offset=0.1))

    assert materials_of(plan, plan.walls[0]) == [("concrete", 0.15), ("air", 0.04),
                                                ("plasterboard", 0.01)]  # fmt: skip
    assert any("thicker than the wall's body" in g.why for g in plan.report.guessed)


def test_body_thicker_than_its_layers_is_reported(plan_file: Any, imported: Any) -> None:
    plan = imported(one_wall(plan_file, thickness=0.3, layers=[("Brick", 0.2)], offset=0.1))

    assert materials_of(plan, plan.walls[0]) == [("brick", 0.2)]
    assert any("nothing was added" in g.why for g in plan.report.guessed)


def test_wall_without_axis_by_its_rectangle(plan_file: Any, imported: Any) -> None:
    plan = imported(one_wall(plan_file, axis=None, thickness=0.2, layers=[("Brick", 0.2)]))

    (wall,) = plan.walls
    assert np.array(sorted([wall.start, wall.end])) == pytest.approx(
        np.array([(0.0, 0.0), (5.0, 0.0)]), abs=1e-3
    )
    assert materials_of(plan, wall) == [("brick", 0.2)]


def test_l_shaped_wall_without_axis_becomes_two(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    ring = [(0, 0), (5, 0), (5, 0.2), (0.2, 0.2), (0.2, 4), (0, 4)]
    body = file.extrusion([file.point(float(x), float(y)) for x, y in ring], 2.5)
    file.element("IfcWall", file.storey(), (0.0, 0.0, 0.0), 0.0, [file.body([body])], "Wall")
    plan = imported(file)

    # Middles: y = 0.1 from the corner to x = 5, x = 0.1 from the corner to y = 4.
    assert sorted(w.length_m for w in plan.walls) == pytest.approx([3.9, 4.9], abs=0.01)


def test_shapeless_wall_is_left_out_and_the_rest_goes_on(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    storey = file.storey()
    blob = file.extrusion([file.point(*p) for p in [(0.0, 0.0), (3.0, 0.0), (0.0, 3.0)]], 2.5)
    file.element("IfcWall", storey, (9.0, 9.0, 0.0), 0.0, [file.body([blob])], "Wall")
    file.element("IfcWall", storey, (9.0, 9.0, 0.0), 0.0, [], "Wall")
    file.wall(storey, (0.0, 0.0), (5.0, 0.0))
    plan = imported(file)

    assert len(plan.walls) == 1
    assert {line.why for line in plan.report.left_out} >= {
        "it has no body",
        "its shape is neither a line with a thickness nor a rectangle",
    }


@pytest.mark.parametrize("angle_unit", ["radian", "degree", None])
def test_curved_wall_becomes_short_chords(
    plan_file: Any, imported: Any, angle_unit: str | None
) -> None:
    # A quarter circle, radius 3 m at the middle, 0.3 m thick, from (3, 0) to (0, 3).
    file = plan_file(angle_unit=angle_unit)
    quarter = 90.0 if angle_unit == "degree" else math.pi / 2

    def arc(radius: float) -> Any:
        place = file.make("IfcAxis2Placement2D", Location=file.point(0.0, 0.0))
        return file.make(
            "IfcTrimmedCurve",
            BasisCurve=file.make("IfcCircle", Position=place, Radius=file.length(radius)),
            Trim1=[file.make("IfcParameterValue", wrappedValue=0.0)],
            Trim2=[file.make("IfcParameterValue", wrappedValue=quarter)],
            SenseAgreement=True,
            MasterRepresentation="PARAMETER",
        )

    def piece(curve: Any, same: bool) -> Any:
        return file.make(
            "IfcCompositeCurveSegment",
            Transition="CONTINUOUS", SameSense=same, ParentCurve=curve,
        )  # fmt: skip

    ring = file.make(
        "IfcCompositeCurve",
        Segments=[
            piece(arc(3.15), True),
            piece(file.polyline([(0.0, 3.15), (0.0, 2.85)]), True),
            piece(arc(2.85), False),
            piece(file.polyline([(2.85, 0.0), (3.15, 0.0)]), True),
        ],
        SelfIntersect=False,
    )
    shapes = [file.axis(arc(3.0)), file.body([file.extruded(ring, 2.5)])]
    wall = file.element("IfcWall", file.storey(), (0.0, 0.0, 0.0), 0.0, shapes, "Wall")
    file.layer_usage(wall, [("Brick", 0.2), ("Concrete", 0.1)], "AXIS2", "NEGATIVE", 0.15)
    plan = imported(file)

    arc_length = 3.0 * math.pi / 2  # 4.712 m
    assert sum(w.length_m for w in plan.walls) == pytest.approx(arc_length, rel=0.005)
    for made in plan.walls:
        (x0, y0), (x1, y1) = made.start, made.end
        assert made.length_m <= 0.5 + 1e-6
        assert math.hypot(x0, y0) == pytest.approx(3.0, abs=0.005)
        assert 3.0 - math.hypot((x0 + x1) / 2, (y0 + y1) / 2) <= 0.020  # sagitta
        assert min(x0, y0) > -0.01
    assert len(plan.walls) == len({w.id for w in plan.walls}) >= 10


def test_wall_over_two_storeys_becomes_one_per_storey(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    low, high = file.storey("Low", 0.0), file.storey("High", 3.0)
    file.room(low, height=3.0)
    file.room(high, height=2.6)
    tall = file.wall(low, (2.0, 0.1), (2.0, 3.9), height=5.6)
    file.opening(tall, 1.0, 0.9, 0.0, 2.0, filling="IfcDoor")
    file.opening(tall, 1.0, 0.9, 3.0, 5.0, filling="IfcDoor")
    plan = imported(file)

    pieces = [w for w in plan.walls if w.id.startswith(id_of(tall))]
    assert [w.id for w in pieces] == [f"{id_of(tall)}.1", f"{id_of(tall)}.2"]
    assert [w.floor for w in pieces] == [id_of(low), id_of(high)]
    assert [(w.base_m, w.top_m) for w in pieces] == [(None, None), (None, None)]
    assert [(o.sill_m, o.head_m) for w in pieces for o in w.openings] == [(0.0, 2.0), (0.0, 2.0)]


def test_gable_is_cut_into_level_pieces(plan_file: Any, imported: Any) -> None:
    # 4 m long, 2 m high at the ends, 4 m in the middle: 12 m2.
    file = plan_file()
    storey = file.storey()
    profile = [(0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 4.0), (0.0, 2.0)]
    ring = file.polyline([*profile, profile[0]])
    solid = file.make(
        "IfcExtrudedAreaSolid",
        SweptArea=file.make("IfcArbitraryClosedProfileDef", ProfileType="AREA", OuterCurve=ring),
        Position=file.make(
            "IfcAxis2Placement3D",
            Location=file.point(0.0, 0.1, 0.0),
            Axis=file.make("IfcDirection", DirectionRatios=(0.0, -1.0, 0.0)),
            RefDirection=file.make("IfcDirection", DirectionRatios=(1.0, 0.0, 0.0)),
        ),
        ExtrudedDirection=file.make("IfcDirection", DirectionRatios=(0.0, 0.0, 1.0)),
        Depth=0.2,
    )
    file.wall(storey, (0.0, 0.0), (4.0, 0.0), body=solid)
    plan = imported(file)

    assert 4 <= len(plan.walls) <= 10
    height = plan.floors[0].height_m
    area = sum(w.length_m * (height if w.top_m is None else w.top_m) for w in plan.walls)
    assert area == pytest.approx(12.0, rel=0.01)
    assert max(w.top_m or height for w in plan.walls) > 3.4


def test_parallel_walls_face_to_face_both_stay(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    storey = file.storey()
    file.wall(storey, (0.0, 0.0), (5.0, 0.0), thickness=0.2)
    file.wall(storey, (0.0, 0.15), (5.0, 0.15), thickness=0.1)
    plan = imported(file)

    assert len(plan.walls) == 2


def test_duplicate_wall_goes_and_the_one_with_more_layers_stays(
    plan_file: Any, imported: Any
) -> None:
    file = plan_file()
    storey = file.storey()
    file.wall(storey, (0.0, 0.0), (5.0, 0.0), layers=[("Brick", 0.2)])
    file.wall(storey, (0.1, 0.0), (5.0, 0.0), layers=[("Brick", 0.1), ("Concrete", 0.1)])
    plan = imported(file)

    (wall,) = plan.walls
    assert len(materials_of(plan, wall)) == 2
    assert [x.count for x in plan.report.left_out if "same place" in x.why] == [1]


def test_unknown_layer_is_never_concrete(plan_file: Any, imported: Any) -> None:
    layers = [("Brick", 0.1), ("Mystery panel", 0.02), ("Default", 0.08)]
    plan = imported(one_wall(plan_file, thickness=0.2, layers=layers))

    (wall,) = plan.walls
    assert materials_of(plan, wall) == [("brick", 0.1), ("plasterboard", 0.02), ("brick", 0.08)]
    assert plan.constructions[wall.construction].guessed
    guessed = {g.what: g.as_ for g in plan.report.guessed}
    assert guessed["Mystery panel"] == "plasterboard"
    assert guessed["Default"] == "brick"
    assert {m.name for m in plan.report.mapped} == {"Brick"}


def test_framing_foil_and_membranes(plan_file: Any, imported: Any) -> None:
    layers = [
        ("Vapour barrier", 0.0),
        ("Plasterboard", 0.0125),
        ("Steel", 0.075),  # between two boards: framing
        ("Plasterboard", 0.0125),
        ("Alu-kaschiert PIR", 0.05),  # foil-faced foam
        ("Trapezblech", 0.001),  # a real sheet
    ]
    plan = imported(one_wall(plan_file, thickness=0.151, layers=layers))

    assert materials_of(plan, plan.walls[0]) == [
        ("plasterboard", 0.0125),
        ("air", 0.075),
        ("plasterboard", 0.0125),
        ("metal", 0.00005),
        ("air", 0.04995),
        ("metal", 0.001),
    ]


def test_curtain_wall_by_its_panes(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    storey = file.storey()
    curtain = file.element("IfcCurtainWall", storey, (0.0, 0.0, 0.0), 0.0, [], "Front")
    curtain.Representation = None
    parts = []
    for x in (0.0, 1.55, 3.1):
        pane = file.extrusion(file.rectangle(1.5, 0.024, (x, 5.0)), 2.5)
        parts.append(
            file.element("IfcPlate", storey, (0.0, 0.0, 0.0), 0.0, [file.body([pane])], "Pane")
        )
    bar = file.extrusion(file.rectangle(0.05, 0.1, (1.5, 5.0)), 2.5)
    parts.append(file.element("IfcMember", storey, (0.0, 0.0, 0.0), 0.0, [file.body([bar])], "Bar"))
    file.aggregate(curtain, parts)
    plan = imported(file)

    (wall,) = plan.walls
    assert wall.length_m == pytest.approx(4.6, abs=1e-3)
    assert materials_of(plan, wall) == [("glass", 0.024)]
    assert any("coating" in g.why for g in plan.report.guessed)
    assert [x.count for x in plan.report.left_out if "mullion" in x.what] == [1]


def test_wall_made_of_parts(plan_file: Any, imported: Any) -> None:
    # A wall without a body of its own, made of two sheets of 0.05 m with 0.1 m between.
    file = plan_file()
    storey = file.storey()
    wall = file.element("IfcWall", storey, (0.0, 0.0, 0.0), 0.0, [], "Wall")
    wall.Representation = None
    parts = [
        file.element(
            "IfcBuildingElementPart",
            storey,
            (0.0, 0.0, 0.0),
            0.0,
            [file.body([file.extrusion(file.rectangle(5.0, 0.05, (0.0, y)), 2.5)])],
            "Sheet",
        )
        for y in (-0.075, 0.075)
    ]
    file.aggregate(wall, parts)
    file.material(wall, file.make("IfcMaterial", Name="Gipskarton"))
    plan = imported(file)

    (made,) = plan.walls
    assert made.id == id_of(wall)
    assert made.length_m == pytest.approx(5.0, abs=1e-3)
    assert sum(t for _, t in materials_of(plan, made)) == pytest.approx(0.2, abs=1e-3)


def test_duplicate_leaves_its_door_to_the_wall_that_stays(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    storey = file.storey()
    file.wall(storey, (0.0, 0.0), (5.0, 0.0), layers=[("Brick", 0.1), ("Concrete", 0.1)])
    twin = file.wall(storey, (0.0, 0.0), (5.0, 0.0), layers=[("Brick", 0.2)])
    file.opening(twin, 1.0, 0.9, 0.0, 2.0, filling="IfcDoor")
    plan = imported(file)

    (wall,) = plan.walls
    assert [(o.width_m, o.head_m) for o in wall.openings] == [(0.9, 2.0)]
