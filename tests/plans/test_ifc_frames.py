"""Units, placements, mirror images and large coordinates: the same house comes out each time."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pathproof.job import Site
from pathproof.job.geometry import SiteGeometry

CAVITY = [("Brick", 0.1), (None, 0.05), ("Plasterboard", 0.05)]


def house(plan: Any) -> Any:
    """A room of 6 x 4 m (middles of walls) with a door of 0.9 m and a window."""
    storey = plan.storey("Ground", 0.0)
    walls = plan.room(storey, layers=CAVITY)
    plan.opening(walls[0], 1.0, 0.9, 0.0, 2.0, filling="IfcDoor")
    plan.opening(walls[1], 1.5, 1.2, 0.9, 2.1, filling="IfcWindow")
    return plan


def lengths(plan: Any) -> list[float]:
    return sorted(wall.length_m for wall in plan.walls)


@pytest.mark.parametrize("unit", ["m", "mm", "foot"])
@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4"])
def test_same_house_in_every_schema_and_unit(
    plan_file: Any, imported: Any, schema: str, unit: str
) -> None:
    plan = imported(house(plan_file(schema, unit)))

    assert lengths(plan) == pytest.approx([4.0, 4.0, 6.0, 6.0], abs=1e-4)
    assert plan.floors[0].height_m == pytest.approx(2.5, abs=1e-4)
    layers = [[(x.material, x.thickness_m) for x in c.layers] for c in plan.constructions.values()]
    assert [("plasterboard", 0.05), ("air", 0.05), ("brick", 0.1)] in [
        [(str(m), round(t, 6)) for m, t in stack] for stack in layers
    ]
    openings = [o for wall in plan.walls for o in wall.openings]
    sizes = sorted((o.width_m, o.sill_m, o.head_m) for o in openings)
    assert np.array(sizes) == pytest.approx(np.array([(0.9, 0.0, 2.0), (1.2, 0.9, 2.1)]), abs=1e-3)


@pytest.mark.parametrize("turned_deg", [0.0, 30.0, 137.0])
def test_rotated_placement_turns_the_plan(plan_file: Any, imported: Any, turned_deg: float) -> None:
    plan = imported(house(plan_file(turned_deg=turned_deg)))

    angle = math.radians(turned_deg)
    corner = (6 * math.cos(angle), 6 * math.sin(angle))  # (6, 0) turned by hand
    ends = {w.start for w in plan.walls} | {w.end for w in plan.walls}
    assert min(math.dist(corner, e) for e in ends) < 0.001
    assert lengths(plan) == pytest.approx([4.0, 4.0, 6.0, 6.0], abs=1e-3)
    assert plan.origin_m == (0.0, 0.0)


def test_large_coordinates_are_moved_to_whole_metres(plan_file: Any, imported: Any) -> None:
    far = imported(house(plan_file(site_at=(512_345.678, 5_400_123.25, 431.5))))

    # Lower left of the walls: 0.1 m (half a wall) left of and below the site's own place.
    assert far.origin_m == (512_345.0, 5_400_123.0)
    corners = sorted({w.start for w in far.walls} | {w.end for w in far.walls})
    assert corners[0] == pytest.approx((0.678, 0.25), abs=1e-3)
    assert lengths(far) == pytest.approx([4.0, 4.0, 6.0, 6.0], abs=1e-3)
    assert far.floors[0].elevation_m == pytest.approx(0.0, abs=1e-6)


def test_a_stray_wall_far_away_is_left_out(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    storey = file.storey()
    file.room(storey)
    file.wall(storey, (90_000.0, 90_000.0), (90_004.0, 90_000.0))
    plan = imported(file)

    assert len(plan.walls) == 4
    assert any("512 m" in line.why for line in plan.report.left_out)


def test_axis_drawn_backwards_leaves_the_body_and_layers(plan_file: Any, imported: Any) -> None:
    # The axis runs from right to left and the offset is told along its own left, as some files do.
    file = plan_file()
    storey = file.storey()
    wall = file.wall(storey, (0.0, 0.0), (5.0, 0.0), axis=None)
    line = file.axis(file.polyline([(5.0, -0.1), (0.0, -0.1)]))
    wall.Representation.Representations = [line, *wall.Representation.Representations]
    file.layer_usage(wall, [("Brick", 0.15), ("Plasterboard", 0.05)], "AXIS2", "NEGATIVE", 0.1)
    plan = imported(file)

    (made,) = plan.walls
    assert made.length_m == pytest.approx(5.0, abs=1e-3)
    assert made.start[1] == pytest.approx(0.0, abs=1e-3)
    # First layer (brick) at +y. Between rooms the first layer is put on the left of start-end.
    assert made.start[0] < made.end[0]
    layers = plan.constructions[made.construction].layers
    assert [str(x.material) for x in layers] == ["brick", "plasterboard"]


def test_mirrored_body_turns_its_layers_round(plan_file: Any, imported: Any) -> None:
    # The body of a wall that lies at -0.2 < y < 0 comes through a mapped item with y reversed, so
    # it lies at 0 < y < 0.2; the layers still say 0 to -0.2, brick at the upper side.
    file = plan_file("IFC2X3")
    storey = file.storey()
    source = file.body([file.extrusion(file.rectangle(5.0, 0.2, (0.0, -0.1)), 2.5)])
    direction = {
        "Axis1": file.make("IfcDirection", DirectionRatios=(1.0, 0.0, 0.0)),
        "Axis2": file.make("IfcDirection", DirectionRatios=(0.0, -1.0, 0.0)),
        "Axis3": file.make("IfcDirection", DirectionRatios=(0.0, 0.0, 1.0)),
    }
    mapped = file.make(
        "IfcMappedItem",
        MappingSource=file.make(
            "IfcRepresentationMap", MappingOrigin=file.frame(), MappedRepresentation=source
        ),
        MappingTarget=file.make(
            "IfcCartesianTransformationOperator3D",
            LocalOrigin=file.point(0.0, 0.0, 0.0),
            Scale=1.0,
            **direction,
        ),
    )
    shapes = [
        file.axis(file.polyline([(0.0, 0.0), (5.0, 0.0)])),
        file.body([mapped], "MappedRepresentation"),
    ]
    wall = file.element("IfcWall", storey, (1.0, 1.0, 0.0), 0.0, shapes, "Wall")
    file.layer_usage(wall, [("Brick", 0.15), ("Plasterboard", 0.05)], "AXIS2", "NEGATIVE", 0.0)
    plan = imported(file)

    (made,) = plan.walls
    assert made.start[1] == pytest.approx(1.1, abs=1e-3)
    # Mirrored, brick lies at y = 1.0 .. 1.15: seen towards smaller x it is on the left.
    assert made.start[0] > made.end[0]
    layers = plan.constructions[made.construction].layers
    assert [str(x.material) for x in layers] == ["brick", "plasterboard"]


@settings(
    max_examples=20,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    turned_deg=st.floats(-180.0, 180.0),
    x=st.floats(-1e6, 1e6),
    y=st.floats(-1e7, 1e7),
    z=st.floats(-100.0, 4000.0),
)
def test_wherever_the_house_stands_a_ray_crosses_the_same(
    plan_file: Any, imported: Any, turned_deg: float, x: float, y: float, z: float
) -> None:
    plan = imported(house(plan_file(site_at=(x, y, z), turned_deg=turned_deg)))
    site = Site(
        name="x",
        floors=list(plan.floors),
        walls=list(plan.walls),
        constructions=dict(plan.constructions),
    )
    geometry = SiteGeometry(site)
    angle = math.radians(turned_deg)

    def placed(u: float, v: float) -> tuple[float, float, float]:
        east = x + u * math.cos(angle) - v * math.sin(angle) - plan.origin_m[0]
        north = y + u * math.sin(angle) + v * math.cos(angle) - plan.origin_m[1]
        return (east, north, 1.5)

    # From the middle of the room: through the door (x 1.0 to 1.9 m at y = 0), beside it, and
    # through the window (y 1.5 to 2.7 m at x = 6), which is open from 0.9 to 2.1 m.
    middle = placed(3.0, 2.0)
    through = [geometry.crossed(middle, placed(*p)) for p in [(0.0, -2.0), (3.0, -2.0), (9.0, 2.0)]]
    fillings = [o.id for w in plan.walls for o in w.openings]
    assert [[c.thing in fillings for c in crossed] for crossed in through] == [
        [True],
        [False],
        [True],
    ]
