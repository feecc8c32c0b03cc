"""A plan put into a site, and put in again."""

from typing import Any

import pytest

from pathproof.job import Construction, Device, Floor, LayerSpec, Site, Source, Wall
from pathproof.plans import merge_plan
from pathproof.terms import Evidence, Material, PlanError


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


def test_storey_in_use_cannot_vanish(plan_file: Any, imported: Any) -> None:
    plan = plan_of(plan_file, imported)
    site = merge_plan(Site(name="x"), plan)
    device = Device(id="d1", name="Door", part="contact", floor=plan.floors[0].id, at=(1.0, 1.0))
    site = site.model_copy(update={"devices": [device]})
    file = plan_file()
    for _ in range(5):  # other numbers than before
        file.make("IfcDirection", DirectionRatios=(1.0, 0.0, 0.0))
    file.room(file.storey("Other"))
    with pytest.raises(PlanError, match="does not fit the site"):
        merge_plan(site, imported(file))
