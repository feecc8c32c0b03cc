"""Files that are no DXF plan, damaged ones and hostile ones."""

import math
import time
from pathlib import Path
from typing import Any

import pytest

from pathproof.plans import Unit, import_dxf
from pathproof.plans.dxf import LARGEST_BYTES, _joints, _pairs
from pathproof.terms import PlanError

from ._drawing import Drawing


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"AC1032\x00\x00\x00\x00", "DWG.*save it as DXF"),
        (b"PK\x03\x04", "zip archive"),
        (b"%PDF-1.7", "PDF.*pathproof underlay"),
        (b"\xff\xd8\xff\xe0", "picture; .*pathproof underlay"),
        (b"\x89PNG\r\n", "picture; .*pathproof underlay"),
        (b"ISO-10303-21;\nHEADER;", "IFC"),
        (b"my notes", "not a DXF file"),
        (b"\x00" * 3000, "not a DXF file"),
        (b"  0\nSECTION\n  2\nHEADER\nnonsense", "broken inside"),
    ],
)
def test_what_is_no_dxf_is_refused_in_a_sentence(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "plan.dxf"
    path.write_bytes(content)
    with pytest.raises(PlanError, match=f"plan.dxf.*{said}"):
        import_dxf(path)


def test_paths_that_lead_nowhere(tmp_path: Path) -> None:
    with pytest.raises(PlanError, match="cannot be read"):
        import_dxf(tmp_path / "none.dxf")
    with pytest.raises(PlanError, match="is a folder"):
        import_dxf(tmp_path)
    with pytest.raises(PlanError, match="No file"):
        import_dxf([])


def test_size_limit(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.room()
    path = drawing.save(tmp_path / "plan.dxf")
    with pytest.raises(PlanError, match=r"\d+ MB is the limit"):
        import_dxf(path, largest_bytes=path.stat().st_size - 1)
    assert LARGEST_BYTES < 100_000_000


def test_binary_dxf(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.room()
    drawing.doc.saveas(tmp_path / "plan.dxf", fmt="bin")
    assert len(import_dxf(tmp_path / "plan.dxf").walls) == 4


def test_empty_model_space(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.space = drawing.doc.layout("Layout1")
    drawing.room()
    with pytest.raises(PlanError, match="no lines in its model space"):
        import_dxf(drawing.save(tmp_path / "plan.dxf"))


@pytest.mark.parametrize("bad", ["nan", "inf", "1e300"])
def test_coordinates_that_are_none(tmp_path: Path, bad: str) -> None:
    drawing = Drawing()
    drawing.room()
    drawing.line((111.0, 0.0), (222.0, 0.0))
    path = drawing.save(tmp_path / "plan.dxf")
    text = path.read_text("utf-8")
    assert "222000.0" in text
    path.write_text(text.replace("222000.0", bad), "utf-8")
    plan = import_dxf(path)
    assert sum(w.length_m for w in plan.walls) == pytest.approx(18.0, abs=0.001)
    assert any("not numbers of a plan" in x.why for x in plan.report.left_out)


def test_damaged_file_is_mended_and_said(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.room()
    path = drawing.save(tmp_path / "plan.dxf")
    text = path.read_text("utf-8")
    path.write_text(text[: text.rindex("SECTION")], "utf-8")  # cut short: the last section is gone
    plan = import_dxf(path)
    assert len(plan.walls) == 4
    assert "damaged" in plan.report.warnings[0]


def test_file_broken_inside_is_refused(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.room()
    path = drawing.save(tmp_path / "plan.dxf")
    text = path.read_text("utf-8")
    path.write_text(text.replace("ENTITIES\n", "ENTITIES\nnonsense\n"), "utf-8")
    with pytest.raises(PlanError, match="broken inside"):
        import_dxf(path)


def test_blocks_in_each_other_without_end(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.room()
    one, two = drawing.block("ONE"), drawing.block("TWO")
    one.add_blockref("TWO", (0, 0))
    two.add_blockref("ONE", (0, 0))
    drawing.space.add_blockref("ONE", (0, 0))
    drawing.space.add_blockref("NOT THERE", (0, 0))
    plan = import_dxf(drawing.save(tmp_path / "plan.dxf"))
    assert len(plan.walls) == 4
    assert any("holds itself" in x.why for x in plan.report.left_out)
    assert any("does not hold" in x.why for x in plan.report.left_out)


def test_blocks_that_multiply(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.room()
    model = drawing.space
    drawing.space = drawing.block("B0")
    drawing.line((0, 0), (1, 0))
    for k in range(1, 30):
        block: Any = drawing.block(f"B{k}")
        for _ in range(10):
            block.add_blockref(f"B{k - 1}", (0, 0))
    model.add_blockref("B29", (0, 0))
    started = time.monotonic()
    with pytest.raises(PlanError, match="2,000,000"):
        import_dxf(drawing.save(tmp_path / "plan.dxf"))
    assert time.monotonic() - started < 20


def test_blocks_nested_too_deep(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.room()
    for k in range(1, 200):
        drawing.block(f"B{k}").add_blockref(f"B{k + 1}", (0, 0))
    drawing.space.add_blockref("B1", (0, 0))
    plan = import_dxf(drawing.save(tmp_path / "plan.dxf"))
    assert any("40 others" in x.why for x in plan.report.left_out)


def test_names_and_addresses_in_the_drawing_are_never_read(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.room()
    drawing.space.add_text("Petronella Probst, Erfundene Gasse 17", dxfattribs={"layer": "WALL"})
    drawing.doc.header.custom_vars.append("Client", "Petronella Probst")
    plan = import_dxf(drawing.save(tmp_path / "probst.dxf"))
    shown = f"{plan.floors} {plan.walls} {plan.constructions} {plan.report}"
    assert "robst" not in shown
    assert "Gasse" not in shown


def test_hatch_lines_on_a_wall_layer_take_no_time_and_become_no_walls(tmp_path: Path) -> None:
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    for k in range(300):
        drawing.line((1.0, 1.0 + 0.01 * k), (7.0, 1.0 + 0.01 * k))
    plan = import_dxf(drawing.save(tmp_path / "plan.dxf"), unit=Unit.MM)
    room = {((0, 0), (8, 0)), ((0, 6), (8, 6)), ((0, 0), (0, 6)), ((8, 0), (8, 6))}
    found = {tuple(sorted([w.start, w.end])) for w in plan.walls}
    assert room <= found
    assert found == room
    # lines up to 0.5 m above, from 0.05 m on: 46 above most of the 300, fewer than 41 near the top
    (hatch,) = [x for x in plan.report.left_out if "hatch" in x.why]
    assert hatch.count == 300 - 45


def test_more_lines_beside_each_other_than_any_building_has(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_pairs, "MOST_PAIRS", 1000)
    drawing = Drawing("m")
    for j in range(200):  # each has eight beside it within half a metre: fewer than a hatch
        drawing.line((0.0, 0.06 * j), (5.0, 0.06 * j))
    path = drawing.save(tmp_path / "plan.dxf")
    with pytest.raises(PlanError, match=r"1,000 pairs of lines.*--walls"):
        import_dxf(path, unit=Unit.M)


def test_more_walls_in_one_place_than_any_building_has(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_joints, "_MOST_NEAR", 1000)
    drawing = Drawing()
    drawing.room((8.0, 6.0))
    for k in range(40):  # 40 ends near 40 walls at each end: over 1,000
        x, y = (0.2 * f(math.pi * k / 40) for f in (math.cos, math.sin))
        drawing.wall((4 - x, 3 - y), (4 + x, 3 + y), 0.1)
    with pytest.raises(PlanError, match=r"meet in one place.*--walls"):
        import_dxf(drawing.save(tmp_path / "plan.dxf"), unit=Unit.MM)


def test_thousands_of_walls_in_seconds(tmp_path: Path) -> None:
    drawing = Drawing("m")
    for i in range(40):
        for j in range(40):
            drawing.box((5.0 * i, 5.0 * j), (5.0 * i + 4.9, 5.0 * j + 4.9))
    path = drawing.save(tmp_path / "plan.dxf")
    told: list[tuple[int, int, str]] = []
    started = time.monotonic()
    plan = import_dxf(path, progress=lambda *step: told.append(step))
    assert time.monotonic() - started < 30
    # gaps of 0.1 m between rooms, in 39 rows and 39 columns: walls through all of each
    length = 2 * 39 * (40 * 4.9 + 39 * 0.1)
    assert sum(w.length_m for w in plan.walls) == pytest.approx(length, abs=0.01)
    assert told[-1][0] == told[-1][1]
