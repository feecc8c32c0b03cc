"""Storeys by position, and what lies between them."""

from typing import Any

import pytest

from .conftest import id_of

WHOLE = [(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)]


@pytest.fixture
def two_storeys(plan_file: Any) -> tuple[Any, Any, Any]:
    """A file with a room on each of two storeys, 3 m apart; the upper one is filed first."""
    file = plan_file()
    high, low = file.storey("High", 3.0), file.storey("Low", 0.0)
    file.room(high, height=2.6)
    file.room(low, height=3.0)
    return file, low, high


def test_storeys_are_sorted_by_height(two_storeys: Any, imported: Any) -> None:
    plan = imported(two_storeys[0])

    assert plan.storey_names == ("Low", "High")
    assert [f.elevation_m for f in plan.floors] == [0.0, 3.0]
    assert [f.height_m for f in plan.floors] == [3.0, 2.6]
    assert plan.report.storeys == 2


def test_foundation_and_parapet_storeys_are_left_out(two_storeys: Any, imported: Any) -> None:
    file, _, _ = two_storeys
    foundation, roof = file.storey("Fundament", -1.0), file.storey("Dach", 5.8)
    file.room(foundation, height=1.0)
    file.room(roof, height=0.6)
    plan = imported(file)

    assert plan.storey_names == ("Low", "High")
    assert plan.floors[1].height_m == pytest.approx(2.8)  # up to the roof storey
    left_out = {(x.what, x.count) for x in plan.report.left_out}
    assert {("storey Fundament", 1), ("storey Dach", 1)} <= left_out
    assert sum(x.count for x in plan.report.left_out if x.what == "wall of Wall") == 8
    assert len(plan.walls) == 8


def test_level_that_is_only_a_reference_does_not_cut(two_storeys: Any, imported: Any) -> None:
    file, _, _ = two_storeys
    file.storey("Ceiling line", 2.4)
    plan = imported(file)

    assert plan.floors[0].height_m == 3.0


def test_two_levels_close_together_are_one_storey(two_storeys: Any, imported: Any) -> None:
    file, _, _ = two_storeys
    raw = file.storey("Raw floor", -0.15)
    file.space(file.file.by_type("IfcBuildingStorey")[1])  # rooms are filed under Low
    plan = imported(file)

    assert plan.storey_names == ("Low", "High")
    assert any(g.what == f"storey {raw.Name}" for g in plan.report.guessed)


def test_placement_wins_over_told_elevation(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    file.room(file.storey("Ground", 0.0))
    file.room(file.storey("Upper", 2.8, told=3.5))
    plan = imported(file)

    assert [f.elevation_m for f in plan.floors] == [0.0, 2.8]
    assert any("3.500 m" in g.why for g in plan.report.guessed)


def test_walls_go_where_they_stand_not_where_they_are_filed(
    two_storeys: Any, imported: Any
) -> None:
    file, low, high = two_storeys
    wall = file.wall(low, (2.0, 0.1), (2.0, 3.9), base=3.0)
    plan = imported(file)

    (made,) = [w for w in plan.walls if w.id == id_of(wall)]
    assert made.floor == id_of(high)


def test_low_and_high_fragments(two_storeys: Any, imported: Any) -> None:
    file, _, high = two_storeys
    file.wall(high, (2.0, 0.1), (2.0, 3.9), base=2.3, height=0.25)  # under the roof
    knee = file.wall(high, (4.0, 0.1), (4.0, 3.9), height=0.7)
    plan = imported(file)

    (made,) = [w for w in plan.walls if w.id == id_of(knee)]
    assert (made.base_m, made.top_m) == (None, 0.7)
    assert any("lower than 0.3 m" in x.why and x.count == 1 for x in plan.report.left_out)


def test_file_without_a_storey_for_people(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    wall = file.wall(file.storey("Top of steel", 9.0), (0.0, 0.0), (5.0, 0.0), base=-9.0)
    assert wall is not None
    plan = imported(file)

    assert len(plan.floors) == 1
    assert plan.floors[0].elevation_m == pytest.approx(0.0)
    assert plan.report.guessed[0].what == "storey"


def test_floor_pieces_by_layers_outline_and_storey(two_storeys: Any, imported: Any) -> None:
    file, low, high = two_storeys
    notched = [(0.0, 0.0), (6.0, 0.0), (6.0, 3.0), (5.0, 3.0), (5.0, 4.0), (0.0, 4.0)]
    file.slab(high, notched, -0.3, 0.28, layers=[("Screed", 0.06), ("Stahlbeton", 0.22)])
    file.slab(high, notched, -0.02, 0.02, layers=[("Parkett", 0.02)])
    file.slab(low, WHOLE, 2.5, 0.0125, layers=[("Gipskarton", 0.0125)], kind="IfcCovering",
              predefined="CEILING")  # fmt: skip
    file.slab(low, WHOLE, -0.2, 0.2, layers=[("Beton", 0.2)])
    file.slab(high, WHOLE, 2.6, 0.2, layers=[("Beton", 0.2)], predefined="ROOF")
    plan = imported(file)

    under_low, under_high = ({s.elevation_m: s for s in f.slabs} for f in plan.floors)
    assert sorted(under_low) == pytest.approx([-0.1])
    assert sorted(under_high) == pytest.approx([2.5063, 2.84, 2.99], abs=1e-3)
    structure = under_high[2.84]
    assert len(structure.outline) == 6  # a notch, not a hole
    layers = plan.constructions[structure.construction].layers
    assert [(str(x.material), x.thickness_m) for x in layers] == [
        ("concrete", 0.06),
        ("concrete", 0.22),
    ]
    assert any("no storey above it" in x.why for x in plan.report.left_out)
    assert plan.report.slabs == 4


def test_cladding_is_no_floor(two_storeys: Any, imported: Any) -> None:
    file, low, _ = two_storeys
    file.slab(low, WHOLE, 2.9, 0.02, kind="IfcCovering", predefined="CLADDING")
    plan = imported(file)

    assert [x.count for x in plan.report.left_out if x.what == "covering"] == [1]
    assert len(plan.floors[1].slabs) == 1  # the guessed one


def test_stair_hole_in_a_slab(two_storeys: Any, imported: Any) -> None:
    file, _, high = two_storeys
    hole = [(1.0, 1.0), (2.0, 1.0), (2.0, 3.0), (1.0, 3.0)]
    file.slab(high, WHOLE, -0.2, 0.2, layers=[("Beton", 0.2)], holes=[hole])
    plan = imported(file)

    (slab,) = plan.floors[1].slabs
    assert [sorted(h) for h in slab.holes] == [sorted(hole)]


def test_missing_floor_is_guessed_first(two_storeys: Any, imported: Any) -> None:
    # COST 231 floor term, 18.3 dB (fact sheet: restated). Only the upper storey needs one.
    plan = imported(two_storeys[0])

    low, high = plan.floors
    assert low.slabs == []
    (slab,) = high.slabs
    assert slab.outline is None
    assert plan.constructions[slab.construction].fixed_loss_db == 18.3
    assert plan.report.guessed[0].what == "floor of storey High"


def test_floor_of_unknown_build_up(two_storeys: Any, imported: Any) -> None:
    file, _, high = two_storeys
    file.slab(high, WHOLE, -0.2, 0.2, name="Slab")
    plan = imported(file)

    (slab,) = plan.floors[1].slabs
    made = plan.constructions[slab.construction]
    assert (made.fixed_loss_db, made.is_floor, made.guessed) == (18.3, True, True)


def test_duplicate_ceiling_is_dropped(two_storeys: Any, imported: Any) -> None:
    file, low, high = two_storeys
    file.slab(high, WHOLE, -0.2, 0.2, layers=[("Beton", 0.2)])
    for _ in range(2):
        file.slab(low, WHOLE, 2.5, 0.0125, layers=[("Gipskarton", 0.0125)], kind="IfcCovering",
                  predefined="CEILING")  # fmt: skip
    plan = imported(file)

    assert len(plan.floors[1].slabs) == 2
    assert any("same place" in x.why and x.count == 1 for x in plan.report.left_out)
