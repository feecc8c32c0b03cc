"""The duplex of the field data against figures measured on it by another path.

Figures: plan fact sheet, section 4 (computed). There each wall was meshed in world coordinates and
its centre line taken as area over thickness, without axis curves or layer thicknesses; paths were
cut as 3-D segments against every mesh. Tolerances are its own: 2 % on length, 1 % on area, 10 mm
on sizes and thicknesses, counts exact.
"""

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ifcopenshell
import pytest
import shapely

from pathproof.job import Site, Wall
from pathproof.job.geometry import SiteGeometry
from pathproof.plans import PlanImport, import_ifc

PRESENT_M = 1.2  # a wall counts for a device at this height


@pytest.fixture(scope="module")
def plan(field_data: Path) -> PlanImport:
    return import_ifc(field_data / "plans" / "duplex.ifc")


@pytest.fixture(scope="module")
def geometry(plan: PlanImport) -> SiteGeometry:
    return SiteGeometry(
        Site(
            name="Duplex",
            floors=list(plan.floors),
            walls=list(plan.walls),
            constructions=dict(plan.constructions),
        )
    )


@pytest.fixture(scope="module")
def things(field_data: Path) -> Callable[[list[str]], list[str]]:
    """Ids of elements by the numbers that the fact sheet gives: their GlobalIds."""
    file = ifcopenshell.open(str(field_data / "plans" / "duplex.ifc"))

    def ids(numbers: list[str]) -> list[str]:
        return ["ifc-" + file.by_id(int(n)).GlobalId.replace("$", "-") for n in numbers]

    return ids


def present(plan: PlanImport, storey: str) -> list[Wall]:
    (floor,) = [f for f in plan.floors if f.name == storey]
    return [
        w
        for w in plan.walls
        if w.floor == floor.id
        and (w.base_m or 0.0) < PRESENT_M < (floor.height_m if w.top_m is None else w.top_m)
    ]


def thickness(plan: PlanImport, wall: Wall) -> float:
    return sum(x.thickness_m for x in plan.constructions[wall.construction].layers)


def test_storeys(plan: PlanImport) -> None:
    assert [(f.name, f.elevation_m) for f in plan.floors] == [
        ("Level 1", 0.0),
        ("Level 2", pytest.approx(3.1, abs=0.001)),
    ]
    assert [f.height_m for f in plan.floors] == pytest.approx([3.1, 2.9], abs=0.001)
    left_out = {x.what for x in plan.report.left_out}
    assert {"storey T/FDN", "storey Roof"} <= left_out
    assert plan.origin_m == (0.0, 0.0)


@pytest.mark.parametrize(
    ("storey", "walls", "length_m"), [("Level 1", 17, 90.70), ("Level 2", 19, 105.30)]
)
def test_walls_present(plan: PlanImport, storey: str, walls: int, length_m: float) -> None:
    found = present(plan, storey)
    assert len(found) == walls
    assert sum(w.length_m for w in found) == pytest.approx(length_m, rel=0.02)


def test_walls_kept_and_left_out(plan: PlanImport) -> None:
    # 57 walls, less 7 of the foundation, 4 parapets and 8 pieces of 0.288 m under the roof. Two
    # partitions at 2.612 to 3.100 m are kept beside the 17 and 19 present at 1.2 m.
    assert plan.report.walls == len(plan.walls) == 57 - 7 - 4 - 8 == 17 + 19 + 2
    high = [w for w in plan.walls if w.base_m is not None and w.base_m > PRESENT_M]
    assert [w.base_m for w in high] == pytest.approx([2.612, 2.612], abs=0.01)


@pytest.mark.parametrize("storey", ["Level 1", "Level 2"])
def test_outer_footprint(plan: PlanImport, storey: str) -> None:
    bodies = [
        shapely.LineString([w.start, w.end]).buffer(thickness(plan, w) / 2, cap_style="square")
        for w in present(plan, storey)
    ]
    joined: Any = shapely.union_all(bodies).buffer(0.005, join_style="mitre")
    outline = shapely.Polygon(joined.exterior).buffer(-0.005, join_style="mitre")
    assert outline.area == pytest.approx(156.64, rel=0.01)


def test_openings(plan: PlanImport) -> None:
    found: Counter[tuple[str, float, float, float]] = Counter()
    names = {f.id: f.name for f in plan.floors}
    for wall in plan.walls:
        for o in wall.openings:
            key = (names[wall.floor], round(o.width_m, 2), round(o.head_m - o.sill_m, 2))
            found[(*key, round(o.sill_m, 2))] += 1
    # width, height and sill as printed, to 10 mm
    assert found == {
        ("Level 1", 0.76, 2.03, 0.0): 2,
        ("Level 1", 0.81, 2.42, 0.0): 2,
        ("Level 1", 1.25, 2.01, 0.0): 2,
        ("Level 1", 4.83, 2.42, 0.1): 2,  # 4.835
        ("Level 1", 0.75, 2.20, 0.1): 2,
        ("Level 2", 0.76, 2.03, 0.0): 2,
        ("Level 2", 0.86, 2.03, 0.0): 6,
        ("Level 2", 2.80, 2.41, 0.1): 4,
        ("Level 2", 0.75, 2.20, 0.1): 2,
        ("Level 2", 0.82, 0.76, 0.1): 4,
        ("Level 2", 0.82, 0.76, 0.93): 4,
        ("Level 2", 0.82, 0.76, 1.75): 4,
    }
    assert plan.report.openings == 36  # 14 doors and 24 windows, less 2 skylights in the roof
    skylights = [x for x in plan.report.left_out if "roof" in x.what]
    assert [x.count for x in skylights] == [2]


# Millimetres, first layer outside; the count is of walls present at 1.2 m.
BRICK = (("brick", 92), ("air", 25), ("air", 50), ("concrete", 193), ("air", 41),
         ("plasterboard", 16))  # fmt: skip
PARTY = (("plasterboard", 16), ("air", 41), ("concrete", 193), ("air", 50), ("concrete", 193),
         ("air", 41), ("plasterboard", 16))  # fmt: skip
PARTITION = (("plasterboard", 16), ("air", 92), ("plasterboard", 16))
PLUMBING = (("plasterboard", 16), ("air", 152), ("plasterboard", 16))
FURRING = (("air", 136), ("plasterboard", 16))


def test_build_ups(plan: PlanImport) -> None:
    found = Counter(
        tuple(
            (str(x.material), round(1000 * x.thickness_m))
            for x in plan.constructions[w.construction].layers
        )
        for w in plan.walls
    )
    # 12 brick walls less 4 parapets; 4 party walls, 2 of them cut on one side from 550 to 493 mm.
    assert found == {
        BRICK: 8,
        PARTY: 2,
        PARTY[:-2]: 2,
        PARTITION: 18,
        PLUMBING: 2,
        FURRING: 6,
    }


def test_build_up_lengths(plan: PlanImport) -> None:
    # Centre lines of the fact sheet's table; the 12 brick walls hold the parapets' 51.53 m.
    expected = {"brick": 154.60 - 51.53, "partition": 48.11, "furring": 21.31, "party": 27.23}
    found = dict.fromkeys(expected, 0.0)
    kinds = {417: "brick", 124: "partition", 152: "furring", 550: "party", 493: "party"}
    for wall in plan.walls:
        kind = kinds.get(round(1000 * thickness(plan, wall)))
        if kind is not None:
            found[kind] += wall.length_m
    assert found == pytest.approx(expected, rel=0.02)


def test_outer_walls_have_brick_on_their_left(plan: PlanImport) -> None:
    for wall in plan.walls:
        first = plan.constructions[wall.construction].layers[0]
        if first.material == "brick":
            (x0, y0), (x1, y1) = wall.start, wall.end
            middle = (4.4 - x0, -8.9 - y0)  # of the house
            assert (x1 - x0) * middle[1] - (y1 - y0) * middle[0] < 0


D = {
    "D1": ((5.5, -2.8, 1.2), (5.5, -9.2, 1.2), ["24596", "4287"]),
    "D2": ((7.3, -13.2, 1.2), (1.5, -4.6, 1.2), ["4553", "24768", "4465", "24680", "24723"]),
    "D3": ((6.9, -9.9, 4.3), (1.9, -7.9, 4.3), ["5948", "31431", "5399", "31476", "5687"]),
    "D5": ((6.0, 3.0, 1.2), (6.0, -2.8, 1.2), ["6426"]),
    "D6": ((1.9, -7.9, 4.3), (2.3, -3.3, 4.3), ["8283"]),
    "D7": ((1.9, -7.9, 5.5), (2.3, -3.3, 5.5), ["5642"]),
    "D8": ((6.0, -4.0, 1.2), (6.0, -4.0, 4.3), ["23671", "6247", "20903"]),
    "D9": ((7.9, -9.8, 1.2), (7.9, -9.8, 4.3), []),
}


@pytest.mark.parametrize("name", D)
def test_straight_lines_cross_what_the_meshes_say(
    geometry: SiteGeometry, things: Callable[[list[str]], list[str]], name: str
) -> None:
    start, end, steps = D[name]
    forth = [c.thing for c in geometry.crossed(start, end)]
    back = [c.thing for c in geometry.crossed(end, start)]
    assert forth == things(steps)
    assert back == forth[::-1]


@pytest.mark.parametrize("name", [n for n in D if n not in ("D8", "D9")])
@pytest.mark.parametrize("shift", [(0.1, 0.1), (-0.1, -0.1), (0.1, -0.1), (-0.1, 0.1)])
def test_a_small_shift_changes_nothing(
    geometry: SiteGeometry,
    things: Callable[[list[str]], list[str]],
    name: str,
    shift: tuple[float, float],
) -> None:
    # "unchanged when both ends move +-0.1 m"
    (x0, y0, z0), (x1, y1, z1), steps = D[name]
    dx, dy = shift
    crossed = geometry.crossed((x0 + dx, y0 + dy, z0), (x1 + dx, y1 + dy, z1))
    assert [c.thing for c in crossed] == things(steps)


def test_floor_between_the_storeys(plan: PlanImport) -> None:
    # Structural slabs 59.23 and 59.33 m2. Floor: plywood 19, timber 286; ceiling: stud 45, board
    # 12; finishes: wood 16 and underlay 3, tile 10 and grout 3.
    upper = plan.floors[1]
    areas: dict[tuple[int, ...], list[float]] = {}
    for slab in upper.slabs:
        layers = plan.constructions[slab.construction].layers
        key = tuple(round(1000 * x.thickness_m) for x in layers)
        areas.setdefault(key, []).append(shapely.Polygon(slab.outline, slab.holes).area)
    assert set(areas) == {(19, 286), (16, 3), (10, 3), (45, 12)}
    assert sorted(areas[(19, 286)]) == pytest.approx([59.23, 59.33], rel=0.01)


def test_no_firm_or_address_leaves_the_file(plan: PlanImport, field_data: Path) -> None:
    text = (field_data / "plans" / "duplex.ifc").read_text("latin-1")
    private = [
        name
        for line in text.splitlines()
        if "IFCORGANIZATION(" in line or "IFCPOSTALADDRESS(" in line
        for name in line.split("'")[1::2]
        if len(name) > 3
    ]
    assert private, "the field file names a firm and an address"
    shown = repr((plan.floors, plan.walls, dict(plan.constructions), plan.report))
    assert not [name for name in private if name in shown]
