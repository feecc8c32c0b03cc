"""The unit of a DXF drawing: header against sizes.

The rule is the project's own (door swings, wall lines, extent, dimension style; two or more
against the header), from the plan fact sheet, section 3: common practice, no source.
"""

from itertools import permutations
from pathlib import Path
from typing import Any

import pytest

from pathproof.plans import PlanImport, Unit, import_dxf
from pathproof.terms import PlanError

from ._drawing import METRES, Drawing


@pytest.fixture
def imported(tmp_path: Path) -> Any:
    def imported(drawing: Drawing, **options: Any) -> PlanImport:
        return import_dxf(drawing.save(tmp_path / "plan.dxf"), **options)

    return imported


def house(unit: str, header: str) -> Drawing:
    """12 x 8 m with a door of 0.9 m."""
    drawing = Drawing(unit, header=header)
    drawing.room((12.0, 8.0), 0.2)
    drawing.swing((3.0, 0.0), 0.9, 0.0)
    return drawing


@pytest.mark.parametrize("unit", list(Unit))
def test_right_header_is_taken_in_silence(imported: Any, unit: str) -> None:
    plan = imported(house(unit, unit))
    assert not any("unit" in g.what for g in plan.report.guessed)
    assert not plan.report.warnings


@pytest.mark.parametrize(("unit", "header"), list(permutations(METRES, 2)))
def test_wrong_header_is_asked_about(imported: Any, unit: str, header: str) -> None:
    with pytest.raises(PlanError) as caught:
        imported(house(unit, header))
    message = str(caught.value)
    names = {
        "in": "inches",
        "mm": "millimetres",
        "m": "metres",
        "cm": "centimetres",
        "ft": "feet",
    }
    assert f"the header says {names[header]}" in message
    assert f"looks like {names[unit]}" in message
    assert "a door swing of" in message
    assert "(0.9 m)" in message
    assert f"--unit {unit}" in message
    assert f"--unit {header} if the header is right" in message
    assert "12.2 x 8.2 m" in message  # 12 and 8 m between middles, and 0.2 m of wall


def test_told_unit_counts_and_is_reported(imported: Any) -> None:
    plan = imported(house("in", "mm"), unit=Unit.INCH)
    first = plan.report.guessed[0]
    assert (first.as_, first.why) == ("inches", "by --unit; the header says millimetres")
    assert sum(w.length_m for w in plan.walls) == pytest.approx(40.0, abs=0.001)


def test_told_unit_that_the_header_says_too(imported: Any) -> None:
    plan = imported(house("mm", "mm"), unit=Unit.MM)
    assert not any("unit" in g.what for g in plan.report.guessed)


def test_header_without_a_unit_is_filled_in_where_the_drawing_is_clear(imported: Any) -> None:
    plan = imported(house("mm", "none"))
    first = plan.report.guessed[0]
    assert first.as_ == "millimetres"
    assert first.why.startswith("its header names no unit; a door swing of 900 units (0.9 m)")
    assert sum(w.length_m for w in plan.walls) == pytest.approx(40.0, abs=0.001)


def test_header_without_a_unit_and_little_to_see_is_asked_about(imported: Any) -> None:
    drawing = Drawing("m", header="none")
    drawing.wall((0, 0), (3, 0), 0.6)
    with pytest.raises(PlanError, match=r"header names no unit.*--unit"):
        imported(drawing)


def test_nothing_fits(imported: Any) -> None:
    drawing = Drawing("m", header="none")
    drawing.wall((0, 0), (3e6, 0), 5e5)
    with pytest.raises(PlanError, match="no unit fits the drawing"):
        imported(drawing)


def test_one_hint_against_the_header_is_a_warning_where_doors_fit_it(imported: Any) -> None:
    drawing = Drawing("cm")
    drawing.room((3.0, 2.0), 0.06)  # thin for walls, small for a building; in inches neither
    drawing.swing((1.0, 0.0), 0.9, 0.0)
    plan = imported(drawing)
    assert sum(w.length_m for w in plan.walls) == pytest.approx(10.0)
    assert "as its header says" in plan.report.warnings[0]


@pytest.mark.parametrize(
    ("unit", "thick"),
    [("cm", 0.1), ("in", 0.3), ("m", 0.3), ("ft", 0.15)],  # fits in and cm, ft and m alike
)
def test_what_fits_two_units_alike_is_asked_where_no_door_tells(
    imported: Any, unit: str, thick: float
) -> None:
    other = {"cm": "in", "in": "cm", "m": "ft", "ft": "m"}[unit]
    drawing = Drawing(unit)
    drawing.room((14.0, 12.0), thick)
    with pytest.raises(PlanError, match=f"no door tells.*--unit {other}, or --unit {unit} "):
        imported(drawing)
    assert len(imported(drawing, unit=Unit(unit)).walls) == 4
    drawing.swing((3.0, 0.0), 0.9, 0.0)
    assert len(imported(drawing).walls) == 4


@pytest.mark.parametrize(("drawn", "header"), list(permutations(METRES, 2)))
def test_wrong_header_without_a_door_is_asked(imported: Any, drawn: str, header: str) -> None:
    drawing = Drawing(drawn, header=header)
    drawing.room((14.0, 12.0), 0.25)
    with pytest.raises(PlanError, match=r"looks like|may as well be in"):
        imported(drawing)


@pytest.mark.parametrize("unit", list(Unit))
def test_right_header_without_a_door_stands_and_is_said(imported: Any, unit: str) -> None:
    drawing = Drawing(unit)
    drawing.room((12.0, 8.0), 0.2)
    plan = imported(drawing)
    assert sum(w.length_m for w in plan.walls) == pytest.approx(40.0, abs=0.001)
    assert "no door swing bears it out" in plan.report.guessed[0].why


def test_header_stands_where_only_the_extent_fits_another_unit_too(imported: Any) -> None:
    drawing = Drawing("mm")
    for radius in (3.0, 3.2):  # a round wall has no straight lines beside each other
        drawing.space.add_circle((0, 0), radius * drawing.scale, dxfattribs={"layer": "WALL"})
    plan = imported(drawing)
    assert "no door swing bears it out" in plan.report.guessed[0].why
