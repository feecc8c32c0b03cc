"""Generated buildings: as many walls as asked for, the same for a seed, closed, devices inside."""

import math
from itertools import pairwise

import pytest
import shapely

from pathproof.assess import assess
from pathproof.job import Site, dump_job, parse_job
from pathproof.job.geometry import SiteGeometry
from pathproof.simulate import AS_OF, BuildingKind, generated_job, generated_site

KINDS = list(BuildingKind)
WALLS = {
    BuildingKind.HOUSE: (36, 44),
    BuildingKind.CLINIC: (270, 330),
    BuildingKind.SCHOOL: (4500, 5500),
    BuildingKind.WAREHOUSE: (80, 120),
}
STOREYS = {
    BuildingKind.HOUSE: 2,
    BuildingKind.CLINIC: 2,
    BuildingKind.SCHOOL: 3,
    BuildingKind.WAREHOUSE: 2,
}
ROOMS = {  # closed spaces of the storey with most of them, at least
    BuildingKind.HOUSE: 6,
    BuildingKind.CLINIC: 35,
    BuildingKind.SCHOOL: 250,
    BuildingKind.WAREHOUSE: 7,
}


def _lines(site: Site, floor_id: str) -> list[shapely.LineString]:
    """Walls of a storey that reach up to where a room ends."""
    return [
        shapely.LineString([w.start, w.end])
        for w in site.walls
        if w.floor == floor_id and (w.base_m is None or w.base_m <= 0.0)
    ]


def _around(site: Site, floor_id: str) -> list[shapely.Polygon]:
    """What the walls of a storey enclose, gaps up to 4 mm taken as closed, and its rooms."""
    thick = shapely.union_all(shapely.buffer(_lines(site, floor_id), 0.002))
    return [p for p in shapely.get_parts([thick]) if isinstance(p, shapely.Polygon)]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", [1, 2, 7])
def test_walls_and_storeys_are_as_many_as_said(kind: BuildingKind, seed: int) -> None:
    site = generated_site(kind, seed=seed)
    low, high = WALLS[kind]
    assert low <= len(site.walls) <= high
    assert len(site.floors) == STOREYS[kind]


@pytest.mark.parametrize("kind", KINDS)
def test_a_seed_gives_one_building(kind: BuildingKind) -> None:
    assert generated_site(kind, devices=9, seed=3) == generated_site(kind, devices=9, seed=3)
    assert generated_site(kind, seed=3).walls != generated_site(kind, seed=4).walls


@pytest.mark.parametrize("kind", KINDS)
def test_more_devices_change_neither_the_building_nor_the_first_ones(kind: BuildingKind) -> None:
    few, many = generated_site(kind, devices=5), generated_site(kind, devices=40)
    assert (few.walls, few.floors, few.panel) == (many.walls, many.floors, many.panel)
    assert (len(few.devices), len(many.devices)) == (5, 40)
    assert few.devices == many.devices[:5]


@pytest.mark.parametrize("kind", KINDS)
def test_every_device_hangs_in_a_closed_room_and_off_the_walls(kind: BuildingKind) -> None:
    site = generated_site(kind, devices=100, seed=2)
    assert site.panel is not None
    for floor in site.floors:
        shapes = _around(site, floor.id)
        rooms = shapely.union_all([shapely.Polygon(r) for s in shapes for r in s.interiors])
        lines = shapely.union_all(_lines(site, floor.id))
        for thing in [*site.devices, site.panel]:
            if thing.floor == floor.id:
                place = shapely.Point(thing.at)
                assert shapely.contains(rooms, place), (floor.id, thing)
                assert shapely.distance(lines, place) > 0.15


@pytest.mark.parametrize("kind", KINDS)
def test_devices_hang_on_every_storey(kind: BuildingKind) -> None:
    site = generated_site(kind, devices=100)
    assert {d.floor for d in site.devices} == {f.id for f in site.floors}


@pytest.mark.parametrize("kind", KINDS)
def test_walls_close_many_rooms_within_one_outline(kind: BuildingKind) -> None:
    site = generated_site(kind)
    found = [_around(site, f.id) for f in site.floors]
    closed = [sum(len(shape.interiors) for shape in shapes) for shapes in found]
    assert max(closed) >= ROOMS[kind]
    if kind is not BuildingKind.WAREHOUSE:  # its racks stand free
        outlines = [[s for s in shapes if s.interiors] for shapes in found]
        assert [len(o) for o in outlines] == [1] * len(site.floors)


@pytest.mark.parametrize("kind", KINDS)
def test_slabs_lie_under_upper_storeys_without_overlap_and_leave_the_stairs_out(
    kind: BuildingKind,
) -> None:
    site = generated_site(kind)
    for below, floor in pairwise(site.floors):
        pieces = [shapely.Polygon(s.outline, s.holes) for s in floor.slabs]
        assert all(p.is_valid for p in pieces)
        assert all(s.elevation_m < floor.elevation_m for s in floor.slabs)
        whole = shapely.union_all(pieces)
        assert whole.area == pytest.approx(sum(p.area for p in pieces), abs=0.1)
        assert below.elevation_m + 2.0 < floor.elevation_m
        assert any(s.holes or len(s.outline or []) > 4 for s in floor.slabs)


@pytest.mark.parametrize("kind", KINDS)
def test_there_is_a_bit_of_everything_that_plans_hold(kind: BuildingKind) -> None:
    site = generated_site(kind)
    partial = [w for w in site.walls if w.top_m is not None]
    assert partial
    assert len({w.construction for w in site.walls}) >= 4
    fillings = {o.construction for w in site.walls for o in w.openings}
    assert len(fillings) >= 3
    slopes = {
        round(math.degrees(math.atan2(w.end[1] - w.start[1], w.end[0] - w.start[0])) % 90, 3)
        for w in site.walls
    }
    assert len(slopes - {0.0, 90.0}) >= 1  # at odd angles
    whole_dm = [
        all(math.isclose(10 * c, round(10 * c), abs_tol=1e-9) for c in (*w.start, *w.end))
        for w in site.walls
    ]
    assert 0.1 < sum(whole_dm) / len(whole_dm) < 0.95
    ends = [p for w in site.walls for p in (w.start, w.end)]
    assert len(ends) > len(set(ends))  # corners that meet exactly


@pytest.mark.parametrize("kind", KINDS)
def test_job_is_complete_and_stays_itself_through_its_file(kind: BuildingKind) -> None:
    job = generated_job(kind, devices=12)
    assert parse_job(dump_job(job)).site == job.site
    used = {w.construction for w in job.site.walls}
    assert used <= set(job.embedded.constructions)
    assert all(job.construction(c).source.evidence for c in used)
    assert SiteGeometry(job.site).has_plan


def test_radio_of_a_generated_house_is_worked_out() -> None:
    job = generated_job(BuildingKind.HOUSE, devices=6)
    margins = [
        link.margin.value
        for link in assess(job, as_of=AS_OF).links
        if link.kind == "radio" and link.margin is not None
    ]
    assert len(margins) == 6
    # that a house is no trouble for such kit is common practice, no source
    assert min(margins) > 0.0
