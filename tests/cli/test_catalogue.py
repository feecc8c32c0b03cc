"""`pathproof catalogue`: everything by name, and one entry with its sources."""

import json
from pathlib import Path
from typing import Any

import pytest

from pathproof.job import shipped
from pathproof.terms import Material


def test_everything_stands_in_the_list(run: Any) -> None:
    shown = run("catalogue").stdout
    answer = json.loads(run("catalogue", "--json").stdout)
    library = shipped()
    assert {p["id"] for p in answer["parts"]} == set(library.parts)
    assert {c["id"] for c in answer["constructions"]} == set(library.constructions)
    assert {m["id"] for m in answer["materials"]} == set(Material)
    for name in (*library.parts, *library.constructions, *Material):
        assert f"\n{name}  " in shown


@pytest.mark.parametrize("kind", sorted({p.kind for p in shipped().parts.values()}))
def test_one_kind(run: Any, kind: str) -> None:
    answer = json.loads(run("catalogue", kind, "--json").stdout)
    assert {p["kind"] for p in answer["parts"]} == {kind}
    assert all(p["figures"] for p in answer["parts"])
    assert answer["constructions"] == answer["materials"] == []
    assert run("catalogue", kind).stdout.startswith(f"\n{kind.capitalize()}\n")


def test_a_part_with_the_sources_of_its_figures(run: Any) -> None:
    shown = " ".join(run("catalogue", "plover_contact").stdout.split())
    part = shipped().parts["plover_contact"]
    for source in (part.source, *part.sources.values()):
        assert source.ref in shown
        assert f"({source.evidence})" in shown
    answer = json.loads(run("catalogue", "plover_contact", "--json").stdout)
    assert answer["radio"]["frequency_hz"] == 345e6


def test_a_construction_and_a_material(run: Any) -> None:
    shown = run("catalogue", "steel_door").stdout
    assert "fixed_loss_db: 25.0" in shown
    assert "(practice)" in shown
    made = json.loads(run("catalogue", "stud_partition_100", "--json").stdout)
    assert {x["material"] for x in made["layers"]} == {"air", "plasterboard"}
    # Rec. ITU-R P.2040-3 table 3: brick from 1 to 40 GHz (restated)
    brick = json.loads(run("catalogue", "brick", "--json").stdout)
    assert brick["known"] == [{"low_hz": 1e9, "high_hz": 40e9}]
    assert "P.2040" in run("catalogue", "brick").stdout


def test_what_is_not_there_names_the_nearest(run: Any) -> None:
    assert "lark_contact" in run("catalogue", "lark_contakt", code=2).stderr
    assert "kinds are panel" in run("catalogue", "0000", code=2).stderr


def test_ones_own_come_on_top(run: Any, tmp_path: Path) -> None:
    (tmp_path / "own-library" / "constructions_own.toml").write_text(
        '[barn_boards]\nname = "Barn boards"\n'
        'layers = [{ material = "wood", thickness_m = 0.03 }]\n'
        'source = { ref = "Measured with a rule", evidence = "practice" }\n',
        "utf-8",
    )
    assert "wood 30 mm" in run("catalogue", "construction").stdout
    assert "Measured with a rule" in run("catalogue", "barn_boards").stdout
