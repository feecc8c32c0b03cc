"""A plan put into a site, and put in again."""

from dataclasses import replace
from typing import Any

import pytest

from pathproof.job import (
    Construction,
    Device,
    Floor,
    LayerSpec,
    Panel,
    Place,
    Repeater,
    Site,
    Source,
    Spot,
    Underlay,
    Wall,
)
from pathproof.plans import merge_plan
from pathproof.terms import Evidence, Material, PlanError, UnderlayKind


@pytest.fixture
def drawn() -> Site:
    """A shed drawn by hand."""
    board = Construction(
        name="Boards",
        layers=[LayerSpec(material=Material.WOOD, thickness_m=0.02)],
        source=Source(ref="measured", evidence=Evidence.PRACTICE),
    )
    return Site(
        name="Yard",
        floors=[Floor(id="shed", name="Shed", elevation_m=0.0, height_m=2.2)],
        walls=[Wall(id="w1", floor="shed", start=(10, 0), end=(12, 0), construction="boards")],
        constructions={"boards": board},
    )


def plan_of(plan_file: Any, imported: Any, *, storey: str = "Ground", **options: Any) -> Any:
    file = plan_file(**options)
    file.room(file.storey(storey), layers=[("Brick", 0.2)])
    return imported(file)


def test_what_was_drawn_stays(drawn: Site, plan_file: Any, imported: Any) -> None:
    plan = plan_of(plan_file, imported)
    site = merge_plan(drawn, plan)

    assert [f.id for f in site.floors] == ["shed", plan.floors[0].id]
    assert len(site.walls) == 5
    assert set(site.constructions) == {"boards", *plan.constructions}
    assert site.name == "Yard"
    assert merge_plan(site, plan) == site


def test_second_import_replaces_the_first(drawn: Site, plan_file: Any, imported: Any) -> None:
    site = merge_plan(drawn, plan_of(plan_file, imported))
    file = plan_file()
    file.room(file.storey("Ground"), size=(7.0, 4.0), layers=[("Concrete", 0.2)])
    site = merge_plan(site, imported(file))

    assert len(site.walls) == 5
    assert max(w.length_m for w in site.walls) == pytest.approx(7.0)
    names = [str(x.material) for c in site.constructions.values() for x in c.layers]
    assert sorted(names) == ["concrete", "wood"]


def test_placed_devices_keep_their_place(plan_file: Any, imported: Any) -> None:
    # The same house, drawn 1 m further east in a file whose coordinates are large.
    first = plan_of(plan_file, imported, site_at=(500_000.0, 0.0, 0.0))
    second = plan_of(plan_file, imported, site_at=(500_001.0, 0.0, 0.0))
    site = merge_plan(merge_plan(Site(name="x"), first), second)

    assert first.origin_m != second.origin_m
    assert site.plan_origin_m == first.origin_m
    assert min(w.start[0] for w in site.walls) == pytest.approx(
        min(w.start[0] for w in first.walls) + 1.0, abs=1e-3
    )


def placed(plan: Any) -> Site:
    """A site with something of each kind on the plan's lowest storey."""
    floor = plan.floors[0].id
    device = Device(id="d1", name="Door", part="contact", floor=floor, at=(1.0, 1.0))
    place = Place(floor=floor, at=(3.0, 1.0), height_m=2.0)
    site = merge_plan(Site(name="x"), plan)
    return Site.model_validate(
        {
            **dict(site),
            "devices": [device],
            "panel": Panel(part="p", floor=floor, at=(2.0, 1.0), candidates=[place]),
            "repeaters": [Repeater(id="r", name="R", part="r", floor=floor, at=(2.0, 2.0))],
            "spots": [Spot(id="s", name="S", floor=floor, at=(2.0, 2.0))],
        }
    )


def floors_of(site: Site) -> set[str | None]:
    assert site.panel is not None
    things = (*site.devices, site.panel, *site.panel.candidates, *site.repeaters, *site.spots)
    return {thing.floor for thing in things}


def test_ids_outlive_other_numbers_in_the_file(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    storey = file.storey("Ground")
    file.room(storey)
    plan = imported(file)
    again = plan_file()
    for _ in range(5):
        again.make("IfcDirection", DirectionRatios=(1.0, 0.0, 0.0))
    other = again.storey("Renamed")
    other.GlobalId = storey.GlobalId
    again.room(other)
    site = merge_plan(placed(plan), imported(again))
    assert [f.name for f in site.floors] == ["Renamed"]
    assert floors_of(site) == {plan.floors[0].id}


def test_a_storey_is_known_by_name_and_height_where_its_id_is_new(
    plan_file: Any, imported: Any
) -> None:
    site = placed(plan_of(plan_file, imported))
    file = plan_file()
    file.room(file.storey("Ground", 0.08))
    file.room(file.storey("Upper", 3.0))
    plan = imported(file)
    merged = merge_plan(site, plan)
    assert plan.floors[0].id not in floors_of(site)
    assert floors_of(merged) == {plan.floors[0].id}


@pytest.mark.parametrize(("name", "elevation"), [("Other", 0.0), ("Ground", 0.2)])
def test_storey_in_use_cannot_vanish(
    plan_file: Any, imported: Any, name: str, elevation: float
) -> None:
    site = placed(plan_of(plan_file, imported))
    file = plan_file()
    file.room(file.storey(name, elevation))
    plan = imported(file)
    with pytest.raises(PlanError, match=r"on storey 'Ground' at 0\.00 m") as caught:
        merge_plan(site, plan)
    assert f"{name!r} at {elevation:.2f} m" in str(caught.value)
    # What the sentence says to do helps.
    told = {"name": name, "elevation_m": elevation}
    told_site = site.model_copy(update={"floors": [site.floors[0].model_copy(update=told)]})
    assert floors_of(merge_plan(told_site, plan)) == {plan.floors[0].id}


def test_plans_too_far_apart_are_refused(plan_file: Any, imported: Any) -> None:
    first = plan_of(plan_file, imported, site_at=(500_000.0, 0.0, 0.0))
    second = plan_of(plan_file, imported, site_at=(503_000.0, 0.0, 0.0))
    site = merge_plan(Site(name="x"), first)
    with pytest.raises(PlanError, match=r"too far .* allowed: 512 m"):
        merge_plan(site, second)


@pytest.mark.parametrize("renumbered", [False, True])
def test_a_storey_keeps_its_underlay_when_the_plan_comes_again(
    drawn: Site, plan_file: Any, imported: Any, renumbered: bool
) -> None:
    """By its id, or by name and height where another export gave it a new one."""
    site = merge_plan(drawn, plan_of(plan_file, imported))
    under = Underlay(
        sha256="0" * 64,
        kind=UnderlayKind.PICTURE,
        width_px=400,
        height_px=300,
        m_per_px=0.05,
        origin=(0.0, 0.0),
    )
    floors = [f.model_copy(update={"underlay": under}) for f in site.floors]
    site = site.model_copy(update={"floors": floors})
    plan = plan_of(plan_file, imported)
    if not renumbered:
        plan = replace(plan, floors=(plan.floors[0].model_copy(update={"id": floors[1].id}),))
        plan = replace(plan, walls=())
    again = merge_plan(site, plan)
    assert (again.floors[1].id == floors[1].id) is not renumbered
    assert [f.underlay for f in again.floors] == [under, under]
