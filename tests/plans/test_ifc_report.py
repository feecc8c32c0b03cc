"""The import as a whole: report, ids, progress, and what never leaves the file."""

import json
from typing import Any

import pytest

from pathproof.plans import import_ifc


@pytest.fixture
def house(plan_file: Any) -> Any:
    """Two storeys, a door, a window, a floor; a person's name wherever one can stand."""
    file = plan_file("IFC2X3", "mm")
    low, high = file.storey("Low", 0.0), file.storey("High", 3.0)
    walls = file.room(low, height=3.0, layers=[("Brick", 0.2)], name=f"Wall of {file.PERSON}")
    file.typed("IfcWallType", "Brick wall", walls)
    file.room(high, height=2.6, layers=[("Brick", 0.2)])
    file.opening(walls[0], 1.0, 0.9, 0.0, 2.0, filling="IfcDoor", name="Door:900:17")
    file.opening(walls[1], 1.0, 0.9, 0.9, 2.0, filling="IfcWindow", name="Window:900:18")
    whole = [(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)]
    file.slab(high, whole, -0.2, 0.2, layers=[("Beton", 0.2)])
    return file


def test_report_is_the_contract_of_the_command_line(house: Any, imported: Any) -> None:
    report = imported(house).report.as_dict()

    assert json.loads(json.dumps(report)) == report
    assert list(report) == [
        "storeys", "walls", "openings", "slabs", "mapped", "guessed", "left_out",
    ]  # fmt: skip
    assert [report[k] for k in ("storeys", "walls", "openings", "slabs")] == [2, 8, 2, 1]
    assert {"name": "Brick", "material": "brick", "count": 8} in report["mapped"]
    assert {"name": "Beton", "material": "concrete", "count": 1} in report["mapped"]
    assert all(list(line) == ["what", "as", "why", "count"] for line in report["guessed"])
    assert all(list(line) == ["what", "why", "count"] for line in report["left_out"])


def test_names_of_people_firms_and_addresses_stay_behind(house: Any, save: Any) -> None:
    path = save(house)
    plan = import_ifc(path)

    everything = [f.model_dump_json() for f in plan.floors]
    everything += [w.model_dump_json() for w in plan.walls]
    everything += [f"{i} {c.model_dump_json()}" for i, c in plan.constructions.items()]
    everything += [json.dumps(plan.report.as_dict()), *plan.report.warnings]
    text = " ".join(everything)
    assert house.PERSON.encode() in path.read_bytes()
    for private in (*house.PERSON.split(), house.FIRM, house.STREET):
        assert private not in text


def test_second_import_gives_the_same_ids(house: Any, save: Any) -> None:
    path = save(house)
    assert import_ifc(path) == import_ifc(path)


def test_ids_are_unique_and_refer_to_each_other(house: Any, imported: Any) -> None:
    plan = imported(house)

    floors = {f.id for f in plan.floors}
    assert {w.floor for w in plan.walls} == floors
    things = [*plan.walls, *(o for w in plan.walls for o in w.openings)]
    assert len({t.id for t in things}) == len(things)
    used = {t.construction for t in things} | {s.construction for f in plan.floors for s in f.slabs}
    assert used == set(plan.constructions)


def test_progress_is_told_to_the_end(house: Any, imported: Any) -> None:
    told: list[tuple[int, int, str]] = []
    imported(house, progress=lambda *step: told.append(step))

    assert all(0 <= done <= total for done, total, _ in told)
    assert {what for done, total, what in told if done == total} == {
        "walls and openings",
        "floors and ceilings",
    }
