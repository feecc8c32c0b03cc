"""The site as arrays: heights on the site's scale, and what a path meets, in order."""

import math

import pytest

from pathproof.job import Device, Floor, Job, Opening, Panel, Site, Slab, Spot, Wall
from pathproof.job.geometry import OPENING, SLAB, WALL, SiteGeometry, things
from pathproof.job.site import Repeater

OUTLINE = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
STAIR_WELL = [(4.0, 4.0), (6.0, 4.0), (6.0, 6.0), (4.0, 6.0)]


def site(**more: object) -> Site:
    return Site.model_validate(
        {
            "name": "x",
            "floors": [
                Floor(id="g", name="g", elevation_m=0.5, height_m=2.5),
                Floor(
                    id="u",
                    name="u",
                    elevation_m=3.3,
                    height_m=2.5,
                    slabs=[
                        Slab(
                            id="slab",
                            construction="floor",
                            elevation_m=3.15,
                            outline=OUTLINE,
                            holes=[STAIR_WELL],
                        )
                    ],
                ),
            ],
            "walls": [
                Wall(
                    id="outer",
                    floor="g",
                    start=(5.0, 0.0),
                    end=(5.0, 10.0),
                    construction="brick",
                    openings=[
                        Opening(id="passage", offset_m=2.0, width_m=1.0, head_m=2.0),
                        Opening(
                            id="window",
                            offset_m=6.0,
                            width_m=1.0,
                            sill_m=0.9,
                            head_m=2.0,
                            construction="glass",
                        ),
                    ],
                ),
                Wall(id="inner", floor="g", start=(7.0, 0.0), end=(7.0, 10.0), construction="stud"),
                Wall(
                    id="parapet",
                    floor="g",
                    start=(8.0, 0.0),
                    end=(8.0, 10.0),
                    construction="brick",
                    base_m=-0.5,
                    top_m=0.5,
                ),
            ],
            **more,
        }
    )


def met(
    start: tuple[float, float, float], end: tuple[float, float, float]
) -> list[tuple[str, ...]]:
    crossed = SiteGeometry(site()).crossed(start, end)
    return [(c.kind, c.thing, c.construction or "nothing") for c in crossed]


def test_walls_in_the_order_of_the_path() -> None:
    assert met((1, 1, 2.0), (9, 1, 2.0)) == [("wall", "outer", "brick"), ("wall", "inner", "stud")]
    assert met((9, 1, 2.0), (1, 1, 2.0)) == [("wall", "inner", "stud"), ("wall", "outer", "brick")]


def test_openings_stand_in_place_of_their_wall() -> None:
    assert met((4, 2.5, 2.0), (6, 2.5, 2.0)) == [("opening", "passage", "nothing")]
    assert met((4, 6.5, 2.0), (6, 6.5, 2.0)) == [("opening", "window", "glass")]


def test_heights_are_above_the_storeys_floor() -> None:
    """The storey lies at 0.5 m, so the window's sill is at 1.4 m and the parapet's top at 1 m."""
    assert met((4, 6.5, 1.3), (6, 6.5, 1.3)) == [("wall", "outer", "brick")]
    assert met((7.5, 1, 0.9), (8.5, 1, 0.9)) == [("wall", "parapet", "brick")]
    assert met((7.5, 1, 1.1), (8.5, 1, 1.1)) == []
    assert met((4, 1, 2.9), (6, 1, 2.9)) == [("wall", "outer", "brick")]
    assert met((4, 1, 3.1), (6, 1, 3.1)) == []


def test_slabs_inside_their_outline_and_not_in_a_hole() -> None:
    assert met((2, 2, 2.0), (2, 2, 4.0)) == [("floor", "slab", "floor")]
    assert met((4.5, 5, 2.0), (4.5, 5, 4.0)) == []
    assert met((12, 2, 2.0), (12, 2, 4.0)) == []


def test_angle_and_place() -> None:
    """A ray at 60 degrees to the normal of a wall, crossed in its middle."""
    along = math.tan(math.radians(60.0))
    (crossed,) = SiteGeometry(site()).crossed((4.0, 0.1, 2.0), (6.0, 0.1 + 2 * along, 2.0))
    assert crossed.incidence_deg == pytest.approx(60.0, abs=0.1)  # ends lie on a grid of 1/1024 m
    assert crossed.share == pytest.approx(0.5, abs=1e-3)


def test_positions() -> None:
    device = Device(id="d", name="d", part="p", floor="u", at=(1.0, 2.0), height_m=2.2)
    spot = Spot(id="s", name="s", floor="g", at=(3.0, 4.0))
    panel = Panel(part="p", floor="g", at=(5.0, 6.0))
    geometry = SiteGeometry(site(devices=[device], spots=[spot], panel=panel))
    assert geometry.position(device) == (1.0, 2.0, 5.5)
    assert geometry.position(spot) == (3.0, 4.0, 2.0)
    assert geometry.position(panel) == (5.0, 6.0, 2.5)
    assert geometry.position(Spot(id="t", name="t", floor="g")) is None
    assert geometry.position(Device(id="e", name="e", part="p")) is None


def test_things_by_the_id_that_links_use(sample: Job) -> None:
    assert list(things(sample.site)) == [
        *("door", "ward", "smoke", "button", "shed", "store"),
        *("attic", "hut"),
        "panel",
    ]
    repeater = Repeater(id="r", name="r", part="p")
    assert things(Site(name="x", repeaters=[repeater])) == {"r": repeater}


def test_constructions_by_number() -> None:
    geometry = SiteGeometry(site())
    assert geometry.construction_of(WALL, 1) == "stud"
    assert geometry.construction_of(OPENING, 0) is None
    assert geometry.construction_of(OPENING, 1) == "glass"
    assert geometry.construction_of(SLAB, 0) == "floor"
    assert geometry.has_plan
    assert not SiteGeometry(Site(name="x")).has_plan


def test_a_site_without_walls() -> None:
    assert SiteGeometry(Site(name="x")).crossed((0, 0, 0), (9, 9, 9)) == []
