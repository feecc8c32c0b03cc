"""Material names to P.2040 rows: order of the table, eight languages, nothing known is unknown.

The cases are the names and rules of the plan fact sheet, section 2 (common practice); `unknown`
stands for no row.
"""

import pytest

from pathproof.plans.materials import Rule, by_keyword, keyword_table, normalised


@pytest.mark.parametrize(
    ("name", "material"),
    [
        # the order matters: stud before metal and wood
        ("Metal - Stud Layer", "air"),
        ("Wood stud 45x95", "air"),
        # insulation before glass, stone and wood
        ("Glaswolle 040", "air"),
        ("laine de roche", "air"),
        ("Steinwolle", "air"),
        ("Holzfaserdämmung", "air"),
        ("Insulation / Thermal Barriers - Rigid insulation", "air"),
        # concrete before steel
        ("Stahlbeton C25/30", "concrete"),
        # foil before board
        ("Foil-faced foam", "metal"),
        # the rest of the table's cases
        ("Masonry - Concrete Block", "concrete"),
        ("Porenbeton", "brick"),
        ("Leichtbeton", "concrete"),
        ("Plasterboard", "plasterboard"),
        ("Plaque de plâtre BA13", "plasterboard"),
        ("Zementestrich", "concrete"),
        ("Masonry - Grout", "concrete"),
        ("OSB/3", "chipboard"),
        ("MDF", "chipboard"),
        ("CLT 120", "wood"),
        ("Brettsperrholz", "wood"),
        ("Wood - Sheathing - plywood", "plywood"),
        ("Wood - Flooring", "wood"),
        ("Parkett Eiche", "wood"),
        ("Naturstein", "marble"),
        ("Ceramic Tile", "brick"),
        ("Misc. Air Layers - Air Space", "air"),
        ("Roofing - EPDM Membrane", "air"),
        ("Masonry - Brick", "brick"),
        ("Ladrillo", "brick"),
        ("Calcestruzzo armato", "concrete"),
        ("Baksteen", "brick"),
        ("Trapezblech", "metal"),
        ("Lättbetong", "brick"),
        # unknown, never concrete by silence
        ("Default", "unknown"),
        ("Solid", "unknown"),
        ("<Unnamed>", "unknown"),
        ("200", "unknown"),
        ("Hatch 45°", "unknown"),
    ],
)
def test_name_to_material(name: str, material: str) -> None:
    assert str(by_keyword(name).material or "unknown") == material


@pytest.mark.parametrize(
    ("name", "rule"),
    [
        ("Metal - Stud Layer", Rule.STUDS),
        ("Low-E glass", Rule.COATED),
        ("Float glass", Rule.GLAZING),
        ("Hohlblockstein", Rule.HOLLOW),
        ("PIR board", Rule.FACING),
        ("Alu-kaschiert", Rule.FOIL),
        ("Undefined", Rule.UNKNOWN),
    ],
)
def test_name_to_rule(name: str, rule: Rule) -> None:
    assert by_keyword(name).rule is rule


def test_normalised() -> None:
    assert normalised("  Wärmedämmung_Außen  (Süd) ") == "waermedaemmung aussen (sued)"
    assert normalised("Plâtre Été") == "platre ete"


def test_every_row_says_where_it_comes_from() -> None:
    assert len(keyword_table()) > 30
    for row in keyword_table():
        assert row.evidence
        assert row.languages
        assert row.note
        assert (row.material is None) == (row.rule is Rule.UNKNOWN)
