"""A person's own map: comes first, and says clearly what is wrong with it."""

import pickle
from pathlib import Path
from typing import Any

import pytest

from pathproof.job import shipped
from pathproof.plans import import_ifc, load_material_map
from pathproof.terms import PlanError


@pytest.fixture
def written(tmp_path: Path) -> Any:
    def write(text: str) -> Path:
        path = tmp_path / "map.toml"
        path.write_text(text, "utf-8")
        return path

    return write


def test_map_comes_before_the_keyword_table(plan_file: Any, save: Any, written: Any) -> None:
    file = plan_file()
    layers = [("Mystery panel", 0.1), ("Brick", 0.1), ("Foil facing XY", 0.0)]
    file.wall(file.storey(), (0.0, 0.0), (5.0, 0.0), layers=layers)
    path = save(file)
    own = load_material_map(
        written(
            "[materials]\n"
            '"mystery PANEL" = "plasterboard"\n'
            '"Brick" = "concrete"\n'
            '"Foil facing XY" = { material = "metal", thickness_m = 0.00005 }\n'
        )
    )
    before, after = import_ifc(path), import_ifc(path, materials=own)

    assert any(g.what == "Mystery panel" for g in before.report.guessed)
    assert not any(g.what == "Mystery panel" for g in after.report.guessed)
    (wall,) = after.walls
    layers_made = after.constructions[wall.construction].layers
    assert [(str(x.material), x.thickness_m) for x in layers_made] == [
        ("plasterboard", 0.1),
        ("concrete", 0.1),
        ("metal", 0.00005),
    ]
    assert before.walls[0].id == wall.id


def test_whole_walls_and_doors_by_name(plan_file: Any, save: Any, written: Any) -> None:
    file = plan_file()
    walls = file.room(file.storey())
    file.typed("IfcWallType", "Generic 200 mm", walls)
    file.opening(walls[0], 1.0, 0.9, 0.0, 2.0, filling="IfcDoor", name="Back door:900:1")
    file.opening(walls[0], 3.0, 0.9, 0.0, 2.0, filling="IfcWindow", name="Shop front:900:2")
    path = save(file)
    own = load_material_map(
        written(
            "[constructions]\n"
            '"Generic 200 mm" = "brick:0.1,air:0.05,plasterboard:0.05"\n'
            '"Back door" = "steel_door"\n'
            '"Shop front" = { loss_db = 22.5, source = "compared on site" }\n'
        )
    )
    plan = import_ifc(path, materials=own)

    assert plan.report.guessed == ()
    stacks = {
        tuple((str(x.material), x.thickness_m) for x in plan.constructions[i].layers)
        for i in {w.construction for w in plan.walls}
    }
    assert stacks == {(("brick", 0.1), ("air", 0.05), ("plasterboard", 0.05))}
    made = {o.id: plan.constructions[o.construction or ""] for w in plan.walls for o in w.openings}
    assert {c.name for c in made.values()} == {"Steel door in a steel frame", "Shop front"}
    assert {c.fixed_loss_db for c in made.values()} == {25.0, 22.5}
    assert not any(c.guessed for c in made.values())


@pytest.fixture
def two_doors(plan_file: Any, save: Any) -> Path:
    """A house with an outer and an inner door of the same kind."""
    file = plan_file()
    storey = file.storey()
    walls = file.room(storey)
    file.typed("IfcWallType", "Brick wall", walls)
    inner = file.wall(storey, (2.5, 0.0), (2.5, 4.0), layers=[("Brick", 0.1)])
    file.opening(walls[0], 1.0, 0.9, 0.0, 2.0, filling="IfcDoor", name="Flush:900:1")
    file.opening(inner, 1.0, 0.9, 0.0, 2.0, filling="IfcDoor", name="Flush:900:2")
    return Path(save(file))


def test_every_printed_guess_is_a_name(two_doors: Path, written: Any) -> None:
    guessed = [g.what for g in import_ifc(two_doors).report.guessed]
    assert {"inner door Flush", "outer door Flush"} <= set(guessed)
    for name, left in [
        ("inner door Flush", {"outer door Flush"}),
        ("Outer door  FLUSH", {"inner door Flush"}),
        ("Flush", set()),
    ]:
        own = load_material_map(written(f'[constructions]\n"{name}" = "steel_door"\n'))
        report = import_ifc(two_doors, materials=own).report
        assert {g.what for g in report.guessed if "Flush" in g.what} == left
        assert report.warnings == ()


def test_the_name_with_the_kind_comes_first(two_doors: Path, written: Any) -> None:
    text = '[constructions]\n"Flush" = "timber_door"\n"inner door Flush" = "steel_door"\n'
    plan = import_ifc(two_doors, materials=load_material_map(written(text)))
    made = {o.construction for w in plan.walls for o in w.openings}
    assert {plan.constructions[c].name for c in made if c} == {
        shipped().constructions[c].name for c in ("timber_door", "steel_door")
    }
    assert plan.report.warnings == ()


def test_a_name_that_nothing_has_is_warned_of(two_doors: Path, written: Any) -> None:
    text = (
        '[materials]\n"Brik" = "brick"\n"inner door Flush" = "metal"\n'
        '[constructions]\n"Fluish Tür" = "steel_door"\n"Brick" = "brick:0.1"\n'
    )
    report = import_ifc(two_doors, materials=load_material_map(written(text))).report
    said = sorted(report.warnings)
    assert len(said) == 4
    assert "'Brick' under [constructions]" in said[0]
    assert "write it under [materials]" in said[0]
    assert "'Brik' under [materials]" in said[1]
    assert "as the report prints them" in said[1]
    assert "'Fluish Tür' under [constructions]" in said[2]
    assert "write it under [constructions]" in said[3]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("materials = [", "not TOML"),
        ("[walls]\n", "no table 'walls'"),
        ("materials = 3\n", "[materials]"),
        ('[materials]\n"A" = "cheese"\n', "no material 'cheese'; allowed are air,"),
        ('[materials]\n"A" = 3\n', "no material 3"),
        ('[materials]\n"A" = { material = "metal", thickness_m = -1 }\n', "above 0"),
        ('[materials]\n"A" = { material = "metal", depth = 1 }\n', "no field 'depth'"),
        ('[constructions]\n"A" = "brick:thick"\n', "'thick'"),
        ('[constructions]\n"A" = "brick:0.1,:0.1"\n', "no material ''"),
        ('[constructions]\n"A" = "no_such_thing"\n', "no construction 'no_such_thing'"),
        ('[constructions]\n"A" = { loss_db = "much" }\n', "'much'"),
        ('[constructions]\n"A" = { loss_db = 3, by = "me" }\n', "no field 'by'"),
        ('[constructions]\n"A" = 3\n', "give layers"),
    ],
)
def test_bad_map(text: str, says: str, written: Any) -> None:
    with pytest.raises(PlanError) as caught:
        load_material_map(written(text))
    assert says in str(caught.value)
    assert str(caught.value).startswith("map.toml")


def test_absent_map(tmp_path: Path) -> None:
    with pytest.raises(PlanError, match=r"absent\.toml cannot be read"):
        load_material_map(tmp_path / "absent.toml")


def test_a_map_goes_into_another_process_and_comes_back_equal(written: Any) -> None:
    own = load_material_map(
        written('[materials]\n"A" = "brick"\n[constructions]\n"B" = "wood:0.04"\n')
    )
    assert pickle.loads(pickle.dumps(own)) == own
