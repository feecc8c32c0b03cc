"""Which layers of a DXF drawing hold walls."""

from pathlib import Path
from typing import Any

import pytest

from pathproof.plans import PlanImport, import_dxf
from pathproof.plans.dxf._layers import Kind, kind_by_name
from pathproof.terms import PlanError

from ._drawing import Drawing


@pytest.fixture
def imported(tmp_path: Path) -> Any:
    def imported(drawing: Drawing, **options: Any) -> PlanImport:
        return import_dxf(drawing.save(tmp_path / "plan.dxf"), **options)

    return imported


def of_layers(*names: str) -> Drawing:
    """A room of 18 m of walls on the first layer, and of 14 m on each other one."""
    drawing = Drawing()
    for k, name in enumerate(names):
        drawing.layer = name
        drawing.room((5.0, 4.0) if k == 0 else (4.0, 3.0), at=(7.0 * k, 0.0))
    return drawing


def total_m(plan: PlanImport) -> float:
    return sum(w.length_m for w in plan.walls)


@pytest.mark.parametrize(
    "name",
    [
        "A-WALL", "wall", "Innenwand", "WÄNDE_EG", "MUR", "murs porteurs", "MURO-1", "Pared",
        "PAREDE", "TABIQUE", "Mauer", "VÄGG", "CLOISON", "binnenmuren",
        "xref-plan$0$A-WALL-FULL", "floor1|A-WALL",
    ],
)  # fmt: skip
def test_names_of_walls_in_several_languages(imported: Any, name: str) -> None:
    assert total_m(imported(of_layers(name, "FURNITURE"))) == pytest.approx(18.0, abs=0.001)


@pytest.mark.parametrize(
    "name",
    [
        "WALL-PATT", "x$0$S-STEM-WALL", "S-FOOTER-WALL", "WALL-DIMS", "wall notes", "MURAL", "AMUR",
        "S-WALL-FNDN", "WALL-LIGHTS", "SOCKETS-WALL", "Wandleuchten", "Wandhydrant", "Wandschrank",
        "WALLPAPER",
    ],
)  # fmt: skip
def test_names_that_only_look_like_walls(imported: Any, name: str) -> None:
    assert total_m(imported(of_layers("A-WALL", name))) == pytest.approx(18.0, abs=0.001)
    with pytest.raises(PlanError, match="not clear which layers hold the walls"):
        imported(of_layers(name))


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("A-DOOR", Kind.DOOR), ("DOORS", Kind.DOOR), ("Haustür", Kind.DOOR),
        ("Innentür", Kind.DOOR),
        ("Schiebetür 2", Kind.DOOR), ("Türblatt", Kind.DOOR), ("INNENTUEREN", Kind.DOOR),
        ("porte", Kind.DOOR), ("puerta_01", Kind.DOOR), ("drzwi", Kind.DOOR), ("dør", Kind.DOOR),
        ("A-GLAZ", Kind.WINDOW), ("Kellerfenster", Kind.WINDOW), ("okno", Kind.WINDOW),
        ("vindue", Kind.WINDOW), ("doorbell", None), ("STRUKTUR", None), ("NATURSTEIN", None),
    ],
)  # fmt: skip
def test_names_of_doors_and_windows(name: str, kind: Kind | None) -> None:
    assert kind_by_name(name) is kind


def test_layers_are_listed_where_none_is_clear(imported: Any) -> None:
    with pytest.raises(PlanError) as caught:
        imported(of_layers("OUTLINE", "PARTS"))
    message = str(caught.value)
    assert "--walls" in message
    # two rectangles: 2 (5.2 + 4.2 + 4.8 + 3.8) and 2 (4.2 + 3.2 + 3.8 + 2.8) m, drawn in mm
    assert "OUTLINE: 8 lines, 36000 drawing units" in message
    assert "PARTS: 8 lines, 28000 drawing units" in message


def test_doubtful_walls_are_left_out_and_named(imported: Any) -> None:
    plan = imported(of_layers("A-WALL", "GARDEN-WALL"))
    assert total_m(plan) == pytest.approx(18.0, abs=0.001)
    (line,) = [x for x in plan.report.left_out if x.what == "layer GARDEN-WALL"]
    assert "--walls" in line.why
    assert total_m(imported(of_layers("A-WALL", "GARDEN-WALL"), walls=["*WALL"])) > 30


def test_only_doubtful_walls_are_asked_about(imported: Any) -> None:
    with pytest.raises(PlanError, match="GARDEN-WALL"):
        imported(of_layers("GARDEN-WALL"))


def test_picked_layers_case_patterns_and_bound_names(imported: Any) -> None:
    drawing = of_layers("plan$0$A-OUTER", "a-inner", "b")
    assert total_m(imported(drawing, walls=["A-*"])) == pytest.approx(32.0, abs=0.001)
    assert total_m(imported(drawing, walls=["a-outer", "B"])) == pytest.approx(32.0, abs=0.001)
    picked = imported(drawing, walls=["A-*"], without=["*inner"])
    assert total_m(picked) == pytest.approx(18.0, abs=0.001)


def test_pattern_that_fits_nothing_lists_the_layers(imported: Any) -> None:
    with pytest.raises(PlanError, match=r"no layer with lines fits 'B-\*'(?s:.*)A-WALL: 8 lines"):
        imported(of_layers("A-WALL"), walls=["B-*"])


def test_everything_left_out(imported: Any) -> None:
    with pytest.raises(PlanError, match="leaves no layer of walls"):
        imported(of_layers("A-WALL"), walls=["A-*"], without=["A-*"])


@pytest.mark.parametrize("state", ["off", "frozen"])
def test_hidden_layers_are_skipped_and_said(imported: Any, state: str) -> None:
    drawing = of_layers("A-WALL", "A-WALL-OLD")
    layer = drawing.doc.layers.add("A-WALL-OLD")
    layer.off() if state == "off" else layer.freeze()
    plan = imported(drawing)
    assert total_m(plan) == pytest.approx(18.0, abs=0.001)
    (line,) = [x for x in plan.report.left_out if x.what == "layer A-WALL-OLD"]
    assert state in line.why
    with pytest.raises(PlanError, match=f"is {state}"):
        imported(drawing, walls=["A-WALL-OLD"])


def test_taken_layers_stand_in_the_report(imported: Any) -> None:
    plan = imported(of_layers("A-WALL"))
    (line,) = [g for g in plan.report.guessed if g.what == "layer A-WALL"]
    assert (line.as_, line.why) == ("walls", "8 lines, 36 m in all")


def test_hatches_and_solids_on_the_walls_layer_are_said(imported: Any) -> None:
    drawing = of_layers("A-WALL")
    drawing.space.add_hatch(dxfattribs={"layer": "A-WALL"})
    plan = imported(drawing)
    assert any(x.what == "HATCH on a wall layer" for x in plan.report.left_out)
