"""Doors, windows and voids: measured from the hole, by its own height."""

from typing import Any

import numpy as np
import pytest

from .conftest import id_of


def openings_of(plan: Any) -> Any:
    found = [o for wall in plan.walls for o in wall.openings]
    return np.array(sorted((o.offset_m, o.width_m, o.sill_m, o.head_m) for o in found))


@pytest.fixture
def one_wall(plan_file: Any) -> tuple[Any, Any]:
    """A file with one wall from west to east, first layer on its left, so that it stays so."""
    file = plan_file()
    wall = file.wall(file.storey(), (0.0, 0.0), (8.0, 0.0), layers=[("Brick", 0.2)])
    return file, wall


def test_hole_is_measured_not_the_frame(one_wall: Any, imported: Any) -> None:
    # The door's own body is 0.15 m wider and 0.08 m higher than its hole.
    file, wall = one_wall
    door = file.opening(wall, 1.0, 0.9, 0.0, 2.1, filling="IfcDoor")
    plan = imported(file)

    assert openings_of(plan) == pytest.approx(np.array([(1.0, 0.9, 0.0, 2.1)]), abs=1e-3)
    assert plan.walls[0].openings[0].id == id_of(door)


def test_stacked_windows_stay_apart(one_wall: Any, imported: Any) -> None:
    file, wall = one_wall
    for sill in (0.1, 0.9, 1.7):
        file.opening(wall, 1.0, 0.8, sill, sill + 0.7, filling="IfcWindow")
    plan = imported(file)

    assert openings_of(plan) == pytest.approx(
        np.array([(1.0, 0.8, 0.1, 0.8), (1.0, 0.8, 0.9, 1.6), (1.0, 0.8, 1.7, 2.4)]), abs=1e-3
    )
    assert plan.report.openings == 3


def test_bare_void_is_empty_niche_and_duct_are_left_out(one_wall: Any, imported: Any) -> None:
    file, wall = one_wall
    file.opening(wall, 1.0, 1.2, 0.0, 2.1)
    file.opening(wall, 3.0, 0.6, 1.0, 1.6, depth=0.1, depth_at=0.05)  # half the wall's thickness
    file.opening(wall, 5.0, 0.15, 2.0, 2.15)
    plan = imported(file)

    assert openings_of(plan) == pytest.approx(np.array([(1.0, 1.2, 0.0, 2.1)]), abs=1e-3)
    assert plan.walls[0].openings[0].construction is None
    whys = {line.why for line in plan.report.left_out}
    assert "it does not go through the wall" in whys
    assert "narrower than 0.2 m" in whys


def test_hole_past_the_end_is_clamped(one_wall: Any, imported: Any) -> None:
    file, wall = one_wall
    file.opening(wall, 7.2, 0.808, 0.0, 2.0, filling="IfcDoor")
    plan = imported(file)

    assert openings_of(plan) == pytest.approx(np.array([(7.2, 0.8, 0.0, 2.0)]), abs=1e-3)


def test_hole_also_cuts_the_lining(one_wall: Any, imported: Any) -> None:
    file, wall = one_wall
    storey = file.file.by_type("IfcBuildingStorey")[0]
    file.wall(storey, (0.0, 0.15), (8.0, 0.15), thickness=0.1)  # touches: drawn as lining
    file.wall(storey, (0.0, 0.6), (8.0, 0.6), thickness=0.1)  # a wall of its own
    file.opening(wall, 1.0, 0.9, 0.0, 2.0, filling="IfcDoor", depth=1.6)
    plan = imported(file)

    cuts = {round(w.start[1], 2): [o.construction for o in w.openings] for w in plan.walls}
    assert cuts[0.0] != [None]
    assert cuts[0.15] == [None]
    assert cuts[0.6] == []


def test_door_without_an_opening_goes_to_the_nearest_wall(one_wall: Any, imported: Any) -> None:
    file, _ = one_wall
    storey = file.file.by_type("IfcBuildingStorey")[0]
    leaf = file.extrusion(file.rectangle(0.9, 0.05, (2.0, 0.1)), 2.0)
    file.element("IfcDoor", storey, (0.0, 0.0, 0.0), 0.0, [file.body([leaf])], "Door")
    far = file.extrusion(file.rectangle(0.9, 0.05, (2.0, 5.0)), 2.0)
    file.element("IfcDoor", storey, (0.0, 0.0, 0.0), 0.0, [file.body([far])], "Door")
    plan = imported(file)

    assert openings_of(plan) == pytest.approx(np.array([(2.0, 0.9, 0.0, 2.0)]), abs=1e-3)
    assert any(g.what == "door without an opening" for g in plan.report.guessed)
    assert any(x.what == "door" and "parallel" in x.why for x in plan.report.left_out)


def test_doors_and_windows_by_place_name_and_material(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    storey = file.storey()
    walls = file.room(storey, size=(12.0, 8.0))
    inner = file.wall(storey, (6.0, 0.1), (6.0, 7.9))
    fillings = {
        "outer door": file.opening(walls[0], 1, 0.9, 0, 2, filling="IfcDoor", name="D:1"),
        "outer window": file.opening(walls[0], 3, 0.9, 1, 2, filling="IfcWindow", name="W:1"),
        "named": file.opening(walls[0], 5, 0.9, 0, 2, filling="IfcDoor", name="Stahltuer:2"),
        "inner door": file.opening(inner, 1, 0.9, 0, 2, filling="IfcDoor", name="D:2"),
        "inner window": file.opening(inner, 3, 0.9, 1, 2, filling="IfcWindow", name="W:2"),
        "oak": file.opening(inner, 5, 0.9, 0, 2, filling="IfcDoor", name="D:3"),
    }
    file.material(fillings["oak"], file.make("IfcMaterial", Name="Eiche"))
    plan = imported(file)

    by_id = {o.id: plan.constructions[o.construction] for w in plan.walls for o in w.openings}
    made = {key: by_id[id_of(f)] for key, f in fillings.items()}
    assert all(c.guessed for c in made.values())
    assert made["outer door"].name == "Door, build-up unknown"
    assert [str(x.material) for x in made["outer window"].layers] == ["glass", "air", "glass"]
    assert made["named"].name == "Steel door in a steel frame"
    assert made["inner door"].name == "Hollow timber door"
    assert [str(x.material) for x in made["inner window"].layers] == ["glass"]
    assert [str(x.material) for x in made["oak"].layers] == ["wood"]


def test_sill_counts_from_the_storey_where_the_opening_is(plan_file: Any, imported: Any) -> None:
    # Filed under the lower storey, but most of the wall stands in the upper one.
    file = plan_file()
    low, high = file.storey("Low", 0.0), file.storey("High", 3.0)
    file.room(low, height=3.0)
    file.room(high, height=2.6)
    wall = file.wall(low, (2.0, 0.1), (2.0, 3.9), base=2.6, height=3.0)
    file.opening(wall, 1.0, 0.9, 0.4, 2.4, filling="IfcDoor")  # above the wall's own base
    plan = imported(file)

    (made,) = [w for w in plan.walls if w.openings]
    assert made.floor == id_of(high)
    assert made.base_m == pytest.approx(-0.4, abs=1e-3)
    assert (made.openings[0].sill_m, made.openings[0].head_m) == pytest.approx((0.0, 2.0), abs=1e-3)
