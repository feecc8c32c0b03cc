"""What is no plan gets one clear sentence; what is a poor plan still imports."""

import os
import random
import re
from pathlib import Path
from typing import Any

import pytest

from pathproof.plans import import_ifc
from pathproof.terms import PlanError


@pytest.fixture
def good(plan_file: Any, save: Any) -> bytes:
    file = plan_file()
    file.room(file.storey())
    return bytes(save(file).read_bytes())


def refused(path: Path, **options: Any) -> str:
    with pytest.raises(PlanError) as caught:
        import_ifc(path, **options)
    sentence = str(caught.value)
    assert path.name in sentence
    assert str(path.parent) not in sentence
    assert "\n" not in sentence
    return sentence


def test_truncated(good: bytes, tmp_path: Path) -> None:
    path = tmp_path / "short.ifc"
    path.write_bytes(good[: len(good) // 2])
    assert "cut short" in refused(path)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"hello world", "not an IFC file"),
        (random.Random(1).randbytes(5000), "not an IFC file"),
        (b"PK\x03\x04 zipped", "zip archive"),
        (b"<?xml version='1.0'?><ifcXML/>", "XML"),
        (b"ISO-10303-21;" + random.Random(2).randbytes(5000) + b"END-ISO-10303-21;", "broken"),
    ],
    ids=["empty", "text", "noise", "zip", "xml", "noise between"],
)
def test_not_ifc(content: bytes, says: str, tmp_path: Path) -> None:
    path = tmp_path / "plan.ifc"
    path.write_bytes(content)
    assert says in refused(path)


def test_folder_and_missing_file(tmp_path: Path) -> None:
    folder = tmp_path / "plans"
    folder.mkdir()
    assert "folder" in refused(folder)
    assert "cannot be read" in refused(tmp_path / "absent.ifc")


def test_huge_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.ifc"
    with path.open("wb") as stream:
        os.truncate(stream.fileno(), 200_000_000)  # sparse: takes no room on disk
    assert "200 MB; 150 MB is the limit" in refused(path)


def test_size_limit_can_be_set(good: bytes, tmp_path: Path) -> None:
    path = tmp_path / "plan.ifc"
    path.write_bytes(good)
    refused(path, largest_bytes=1000)
    assert len(import_ifc(path, largest_bytes=len(good)).walls) == 4


def test_schema_that_is_not_read(good: bytes, tmp_path: Path) -> None:
    path = tmp_path / "plan.ifc"
    path.write_bytes(good.replace(b"('IFC4')", b"('IFC2X2_FINAL')"))
    assert "IFC2X3, IFC4, IFC4X3" in refused(path)


def test_file_without_a_project(good: bytes, tmp_path: Path) -> None:
    path = tmp_path / "plan.ifc"
    lines = [line for line in good.split(b"\n") if b"IFCPROJECT" not in line]
    path.write_bytes(b"\n".join(lines))
    assert "IfcProject" in refused(path)


def test_wrong_length_unit(plan_file: Any, save: Any) -> None:
    # Millimetre figures in a file that says metres: a storey 3 km up.
    file = plan_file()
    file.room(file.storey("Ground", 0.0), size=(6.0, 4.0))
    file.room(file.storey("Upper", 3000.0), size=(6.0, 4.0))
    with pytest.raises(PlanError, match="length unit"):
        import_ifc(save(file))


def test_broken_reference_costs_only_its_element(good: bytes, tmp_path: Path) -> None:
    path = tmp_path / "plan.ifc"
    lines = good.split(b"\n")
    solids = [i for i, line in enumerate(lines) if b"IFCEXTRUDEDAREASOLID" in line]
    del lines[solids[0]]
    path.write_bytes(b"\n".join(lines))
    plan = import_ifc(path)

    assert len(plan.walls) == 3
    assert any("damaged" in w for w in plan.report.warnings)
    assert any(x.what == "wall" and x.count == 1 for x in plan.report.left_out)


def turned(content: bytes, kind: bytes, reference: int, to: bytes) -> bytes:
    """The file with one reference of its first thing of a kind turned to the first of another."""
    lines = content.split(b"\n")
    target = next(line for line in lines if b"=" + to + b"(" in line).split(b"=")[0]
    index = next(i for i, line in enumerate(lines) if b"=" + kind + b"(" in line)
    number, _, rest = lines[index].partition(b"=")
    old = list(re.finditer(rb"#\d+", rest))[reference]
    lines[index] = number + b"=" + rest[: old.start()] + target + rest[old.end() :]
    return b"\n".join(lines)


@pytest.mark.parametrize("to", [b"IFCCARTESIANPOINT", b"IFCWALL", b"IFCBUILDINGSTOREY"])
def test_a_wrong_material_costs_only_the_build_up(
    plan_file: Any, save: Any, tmp_path: Path, to: bytes
) -> None:
    file = plan_file()
    file.room(file.storey(), layers=[("Brick", 0.2)], name="Outer wall")
    path = tmp_path / "plan.ifc"
    path.write_bytes(turned(save(file).read_bytes(), b"IFCRELASSOCIATESMATERIAL", -1, to))
    plan = import_ifc(path)

    assert len(plan.walls) == 4
    built = {w.construction for w in plan.walls}
    assert sorted(plan.constructions[c].guessed for c in built) == [False, True]
    assert [(g.what, g.count) for g in plan.report.guessed if "Outer wall" in g.what] == [
        ("Outer wall", 1)
    ]


def test_a_wrong_opening_costs_only_itself(plan_file: Any, save: Any, tmp_path: Path) -> None:
    file = plan_file()
    walls = file.room(file.storey(), layers=[("Brick", 0.2)])
    file.opening(walls[0], 1.0, 0.9, 0.0, 2.0)
    file.opening(walls[2], 1.0, 0.9, 0.0, 2.0)
    path = tmp_path / "plan.ifc"
    path.write_bytes(turned(save(file).read_bytes(), b"IFCRELVOIDSELEMENT", -1, b"IFCMATERIAL"))
    plan = import_ifc(path)

    assert (len(plan.walls), plan.report.openings) == (4, 1)
    assert [(x.what, x.count) for x in plan.report.left_out if "broken" in x.why] == [
        ("opening", 1)
    ]


def test_a_wall_that_is_its_own_opening_ends(plan_file: Any, save: Any, tmp_path: Path) -> None:
    file = plan_file()
    file.opening(file.room(file.storey())[0], 1.0, 0.9, 0.0, 2.0)
    path = tmp_path / "plan.ifc"
    path.write_bytes(turned(save(file).read_bytes(), b"IFCRELVOIDSELEMENT", -1, b"IFCWALL"))
    assert len(import_ifc(path).walls) == 4


def test_units_that_are_none(good: bytes, tmp_path: Path) -> None:
    path = tmp_path / "plan.ifc"
    path.write_bytes(turned(good, b"IFCPROJECT", -1, b"IFCWALL"))
    assert "units lead to the wrong kind of thing" in refused(path)


def test_no_walls_warns_and_imports(plan_file: Any, imported: Any) -> None:
    file = plan_file()
    file.space(file.storey("Ground", 0.0))
    file.space(file.storey("Upper", 3.0))
    plan = imported(file)

    assert plan.walls == ()
    assert plan.storey_names == ("Ground", "Upper")
    assert (plan.report.storeys, plan.report.walls) == (0, 0)
    assert any("no walls" in w for w in plan.report.warnings)


def test_nothing_is_printed(good: bytes, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "plan.ifc"
    path.write_bytes(good)
    import_ifc(path)
    assert capfd.readouterr() == ("", "")
