"""Storeys of several DXF files, notes on them, and a drawing put into a site again."""

from pathlib import Path
from typing import Any

import pytest

from pathproof.job import Device, Floor, Site, Underlay, Wall
from pathproof.plans import (
    DrawingNotes,
    PlanImport,
    Unit,
    import_dxf,
    load_drawing_notes,
    merge_plan,
    moved_storeys,
)
from pathproof.terms import PlanError, UnderlayKind

from ._drawing import Drawing


@pytest.fixture
def files(tmp_path: Path) -> Any:
    def files(*drawings: Drawing) -> list[Path]:
        return [d.save(tmp_path / f"storey{k}.dxf") for k, d in enumerate(drawings)]

    return files


def room(size: tuple[float, float] = (5.0, 4.0), at: tuple[float, float] = (0.0, 0.0)) -> Drawing:
    drawing = Drawing()
    drawing.room(size, at=at)
    return drawing


def noted(tmp_path: Path, text: str) -> DrawingNotes:
    path = tmp_path / "notes.toml"
    path.write_text(text, "utf-8")
    return load_drawing_notes(path)


def heights(plan: PlanImport) -> list[tuple[str, float, float]]:
    return [(f.name, f.elevation_m, f.height_m) for f in plan.floors]


def test_storeys_lie_on_each_other_in_the_order_given(files: Any) -> None:
    plan = import_dxf(files(room(), room((5.0, 3.0)), room((5.0, 2.0))))
    assert heights(plan) == [
        ("Storey 1", 0.0, 2.7),
        ("Storey 2", 2.7, 2.7),
        ("Storey 3", 5.4, 2.7),
    ]
    assert sum(g.as_ == "2.7 m" for g in plan.report.guessed) == 3
    # floors nobody drew come first
    assert [g.what for g in plan.report.guessed[:2]] == ["floor of Storey 2", "floor of Storey 3"]
    assert plan.report.storeys == 3


def test_told_height(files: Any) -> None:
    plan = import_dxf(files(room(), room((5.0, 3.0))), storey_height_m=3.1)
    assert heights(plan) == [("Storey 1", 0.0, 3.1), ("Storey 2", 3.1, 3.1)]
    assert not any("height of" in g.what for g in plan.report.guessed)


def test_notes_on_storeys(files: Any, tmp_path: Path) -> None:
    notes = noted(
        tmp_path,
        '[storeys]\n"storey0.dxf" = { name = "Cellar", elevation_m = -2.5 }\n'
        '"storey1.dxf" = { name = "Ground", elevation_m = 0.0, height_m = 3.0, '
        "move_m = [10.0, 0.0] }\n",
    )
    plan = import_dxf(files(room(), room((5.0, 3.0), at=(-10.0, 0.0))), notes=notes)
    assert heights(plan) == [("Cellar", -2.5, 2.5), ("Ground", 0.0, 3.0)]
    upper = [w for w in plan.walls if w.floor == plan.floors[1].id]
    assert min(min(w.start, w.end) for w in upper) == pytest.approx((0.0, 0.0), abs=0.001)
    assert not plan.report.warnings


def test_storeys_side_by_side_are_said(files: Any) -> None:
    apart = import_dxf(files(room(), room(at=(30.0, 0.0))))
    assert "does not lie above" in apart.report.warnings[0]
    both = room()
    both.room(at=(30.0, 0.0))
    both.room((6.0, 6.0), at=(60.0, 0.0))
    (warning,) = import_dxf(files(both)).report.warnings
    assert "separate buildings" in warning


def test_storeys_out_of_line_are_said_with_the_move_that_helps(files: Any, tmp_path: Path) -> None:
    paths = files(room((12.0, 8.0)), room((12.0, 8.0), at=(2.0, -0.5)))
    (warning,) = import_dxf(paths).report.warnings
    # outlines of 12.2 x 8.2 m that share 10.2 x 7.7 m
    assert f"{100 * 10.2 * 7.7 / (12.2 * 8.2):.0f} % lie on the other" in warning
    assert "move_m = [-2, 0.5]" in warning
    notes = noted(tmp_path, '[storeys]\n"storey1.dxf" = { move_m = [-2, 0.5] }\n')
    assert not import_dxf(paths, notes=notes).report.warnings


def test_a_smaller_storey_anywhere_on_the_lower_one_is_in_line(files: Any) -> None:
    plan = import_dxf(files(room((12.0, 8.0)), room((5.0, 4.0), at=(3.0, 2.0))))
    assert not plan.report.warnings


def test_a_storey_without_walls_is_refused(files: Any) -> None:
    empty = Drawing()
    empty.line((0.0, 0.0), (5.0, 0.0))
    with pytest.raises(PlanError, match=r"storey1\.dxf: no two lines"):
        import_dxf(files(room(), empty), unit=Unit.MM)


def test_storeys_in_the_wrong_order(files: Any, tmp_path: Path) -> None:
    notes = noted(
        tmp_path,
        '[storeys]\n"storey0.dxf" = { elevation_m = 3.0 }\n"storey1.dxf" = { elevation_m = 0.0 }\n',
    )
    with pytest.raises(PlanError, match="from the lowest storey up"):
        import_dxf(files(room(), room((5.0, 3.0))), notes=notes)
    with pytest.raises(PlanError, match=r"1.8 to 100 m"):
        import_dxf(files(room()), storey_height_m=0.5)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[walls]\n", "no table 'walls'"),
        ("layers = 3\n", "no table 'layers'"),
        ("not toml", "is not TOML"),
        ('[layers]\n"A" = "chocolate"\n', "chocolate"),
        ('[single_lines]\n"A" = "thick"\n', "number of metres"),
        ('[single_lines]\n"A" = 3.0\n', "0.005 to 1.5"),
        ("thickest_wall_m = 7", "0.05 to 1.5"),
        ('[storeys]\n"a.dxf" = { hight_m = 3 }\n', "elevation_m"),
        ('[storeys]\n"a.dxf" = { move_m = 3 }\n', "two numbers"),
        ('[storeys]\n"a.dxf" = { name = "" }\n', "1 to 200 letters"),
        ('[storeys]\n"a.dxf" = { height_m = nan }\n', "1.8 to 100"),
    ],
)
def test_wrong_notes_are_refused_by_name(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(PlanError, match=f"notes.toml(?s:.*){said}"):
        noted(tmp_path, text)


def test_notes_that_are_not_there(tmp_path: Path) -> None:
    with pytest.raises(PlanError, match="cannot be read"):
        load_drawing_notes(tmp_path / "none.toml")


def test_notes_that_nothing_fits_are_warned_of(files: Any, tmp_path: Path) -> None:
    notes = noted(tmp_path, '[storeys]\n"other.dxf" = { height_m = 3.0 }\n')
    (warning,) = import_dxf(files(room()), notes=notes).report.warnings
    assert "'other.dxf'" in warning


def test_storeys_of_one_plan_have_ids_of_their_own(files: Any) -> None:
    plan = import_dxf(files(room(), room()))
    assert len({f.id for f in plan.floors}) == 2
    assert len({w.id for w in plan.walls}) == 8
    Site(
        name="Twice",
        floors=list(plan.floors),
        walls=list(plan.walls),
        constructions=dict(plan.constructions),
    )


def test_drawing_put_into_a_site_again(files: Any) -> None:
    own = Site(
        name="Yard",
        floors=[Floor(id="shed", name="Shed", elevation_m=0.0, height_m=2.2)],
        walls=[
            Wall(id="w1", floor="shed", start=(20, 0), end=(22, 0), construction="brick_solid_115")
        ],
    )
    before = import_dxf(files(room()))
    site = merge_plan(own, before)
    floor = before.floors[0].id
    device = Device(id="d", name="Door", part="x", floor=floor, at=(1.0, 1.0))
    site = site.model_copy(update={"devices": [device]})
    wider = room()
    wider.wall((2.0, 0.1), (2.0, 3.9), 0.1)
    after = import_dxf(files(wider))
    again = merge_plan(site, after)
    assert [w.id for w in again.walls if w.id.startswith("dxf-")] == [w.id for w in after.walls]
    assert [w.id for w in again.walls if not w.id.startswith("dxf-")] == ["w1"]
    assert {d.floor for d in again.devices} == {after.floors[0].id}
    assert merge_plan(again, after) == again


def test_things_follow_their_storey_when_a_cellar_is_added_below(files: Any) -> None:
    ground = room()
    before = import_dxf(files(ground))
    device = Device(id="d", name="Door", part="x", floor=before.floors[0].id, at=(1.0, 1.0))
    site = merge_plan(Site(name="House"), before).model_copy(update={"devices": [device]})
    after = merge_plan(site, import_dxf(files(room((6.0, 4.0)), ground)))
    (upper,) = [f for f in after.floors if f.id == after.devices[0].floor]
    assert upper.elevation_m == 2.7


def with_device(site: Site, floor: str) -> Site:
    device = Device(id="d", name="Door", part="x", floor=floor, at=(1.0, 1.0))
    return site.model_copy(update={"devices": [device]})


def test_things_stay_on_their_storey_of_two_that_are_drawn_alike(
    files: Any, tmp_path: Path
) -> None:
    one = noted(tmp_path, '[storeys."storey0.dxf"]\nname = "Ground"\nelevation_m = 0.0\n')
    before = import_dxf(files(room()), notes=one)
    site = with_device(merge_plan(Site(name="House"), before), before.floors[0].id)
    both = noted(
        tmp_path,
        '[storeys."storey0.dxf"]\nname = "Cellar"\nelevation_m = -2.5\n'
        '[storeys."storey1.dxf"]\nname = "Ground"\nelevation_m = 0.0\n',
    )
    after = merge_plan(site, import_dxf(files(room(), room()), notes=both))
    (floor,) = [f for f in after.floors if f.id == after.devices[0].floor]
    assert (floor.name, floor.elevation_m) == ("Ground", 0.0)


def named(tmp_path: Path, *storeys: tuple[str, float]) -> DrawingNotes:
    """Notes on storey0.dxf and so on by name and height."""
    return noted(
        tmp_path,
        "".join(
            f'[storeys."storey{k}.dxf"]\nname = "{name}"\nelevation_m = {at}\n'
            for k, (name, at) in enumerate(storeys)
        ),
    )


def where(site: Site) -> tuple[str, float]:
    """The storey on which the only device is."""
    (floor,) = [f for f in site.floors if f.id == site.devices[0].floor]
    return floor.name, floor.elevation_m


def test_things_of_a_storey_that_is_gone_do_not_move_to_one_drawn_alike(
    files: Any, tmp_path: Path
) -> None:
    both = named(tmp_path, ("Ground", 0.0), ("First", 2.7))
    before = import_dxf(files(room(), room()), notes=both)
    bare = merge_plan(Site(name="House"), before)
    site = with_device(bare, before.floors[0].id)
    first = import_dxf(files(room()), notes=named(tmp_path, ("First", 2.7)))
    assert where(merge_plan(with_device(bare, before.floors[1].id), first)) == ("First", 2.7)
    with pytest.raises(PlanError, match="things stand on storey 'Ground'"):
        merge_plan(with_second_device(site, before.floors[1].id), first)
    with pytest.raises(PlanError, match="things stand on storey 'Ground'"):
        merge_plan(site, first)


def with_second_device(site: Site, floor: str) -> Site:
    device = Device(id="e", name="Door", part="x", floor=floor, at=(1.0, 1.0))
    return site.model_copy(update={"devices": [*site.devices, device]})


def test_name_and_height_come_before_the_id(files: Any, tmp_path: Path) -> None:
    notes = named(tmp_path, ("Ground", 0.0), ("First", 2.7))
    before = import_dxf(files(room(), room((5.0, 3.0))), notes=notes)
    site = with_device(merge_plan(Site(name="House"), before), before.floors[0].id)
    swapped = import_dxf(files(room((5.0, 3.0)), room()), notes=notes)
    assert swapped.floors[0].id == before.floors[1].id
    assert where(merge_plan(site, swapped)) == ("Ground", 0.0)
    assert not moved_storeys(site, swapped)


def test_storeys_known_by_their_id_at_another_height_are_said(files: Any, tmp_path: Path) -> None:
    before = import_dxf(files(room()), notes=named(tmp_path, ("Ground", 0.0)))
    site = with_device(merge_plan(Site(name="House"), before), before.floors[0].id)
    assert not moved_storeys(site, before)
    after = import_dxf(files(room()), notes=named(tmp_path, ("Hall", 1.2)))
    (said,) = moved_storeys(site, after)
    assert "'Ground' at 0.00 m stands on 'Hall' at 1.20 m" in said
    assert where(merge_plan(site, after)) == ("Hall", 1.2)


def test_a_nameless_storey_among_more_that_are_drawn_alike_is_said(files: Any) -> None:
    before = import_dxf(files(room()))
    site = with_device(merge_plan(Site(name="House"), before), before.floors[0].id)
    after = import_dxf(files(room(), room()))
    (said,) = moved_storeys(site, after)
    assert "other storeys are drawn alike" in said
    assert not moved_storeys(merge_plan(site, after), after)


def test_a_storeys_own_name_outlives_a_changed_drawing(files: Any) -> None:
    before = import_dxf(files(room()))
    site = with_device(merge_plan(Site(name="House"), before), before.floors[0].id)
    renamed = [site.floors[0].model_copy(update={"name": "EG"})]
    site = site.model_copy(update={"floors": renamed})
    for drawing in (room(), room((7.0, 4.0))):
        site = merge_plan(site, import_dxf(files(drawing)))
        assert [f.name for f in site.floors] == ["EG"]
        assert site.devices[0].floor == site.floors[0].id


def test_a_storey_made_for_a_picture_becomes_the_plans(files: Any) -> None:
    under = Underlay(
        sha256="0" * 64,
        kind=UnderlayKind.PICTURE,
        width_px=400,
        height_px=300,
        m_per_px=0.05,
        origin=(0.0, 0.0),
    )
    floor = Floor(id="eg", name="Ground", elevation_m=0.0, height_m=2.6, underlay=under)
    plan = import_dxf(files(room()))
    before = with_device(Site(name="House", floors=[floor]), "eg")
    site = merge_plan(before, plan)
    assert [(f.name, f.underlay) for f in site.floors] == [("Ground", under)]
    assert site.devices[0].floor == site.floors[0].id
    drawn = Wall(id="w1", floor="eg", start=(0, 0), end=(2, 0), construction="brick_solid_115")
    before = before.model_copy(update={"walls": [drawn]})
    assert len(merge_plan(before, plan).floors) == 2
    (said,) = moved_storeys(before, plan)
    assert "both lie at 0.00 m" in said
