"""`pathproof map`: in words, as JSON, as a picture, and what is refused."""

import errno
import io
import json
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from pathproof.assess.floor_map import FloorMap, MapOf
from pathproof.cli._screen import Screen
from pathproof.cli.map import map_as_json, show_map, value_text
from pathproof.job import Floor

GROUND = ("--floor", "ground", "--cell-m", "1")


def plain(text: str) -> str:
    return " ".join(text.split())


def test_json_contract(run: Any, job_path: Path) -> None:
    answer = json.loads(run("map", job_path, *GROUND, "--what", "worst", "--json").stdout)
    assert list(answer) == [
        "floor",
        "origin",
        "cell_m",
        "shape",
        "unit",
        "required",
        "values",
        "what",
        "label",
        "notes",
        "beside",
    ]
    # The ground floor's walls run from (0, 0) to (14, 31) with an open yard between the houses.
    assert (answer["floor"], answer["origin"], answer["cell_m"]) == ("ground", [0.0, 0.0], 1.0)
    assert (answer["shape"], answer["unit"], answer["required"]) == ([31, 14], "dB", 0.0)
    assert answer["what"] == "worst"
    rows = answer["values"]
    assert [len(rows), *{len(row) for row in rows}] == [31, 14]
    assert rows[15] == [None] * 14  # y 15.5: the yard
    assert all(isinstance(x, float) for x in rows[0])


def test_row_0_is_at_the_smallest_y_and_nan_is_null() -> None:
    found = FloorMap(
        what=MapOf.parse("network:001-01"),
        floor="g",
        origin_m=(-1.0, 2.0),
        cell_m=0.5,
        values=np.array([[-100.12345, np.nan], [-90.0, -80.0]]),
        spread_db=np.array([[4.00049, np.nan], [5.0, 6.0]]),
        unit="dBm",
        required=None,
        label="Level",
    )
    answer = map_as_json(found)
    assert answer["values"] == [[-100.123, None], [-90.0, -80.0]]
    assert answer["spread_db"] == [[4.0, None], [5.0, 6.0]]
    assert answer["required"] is None
    assert answer["what"] == "network:001-01"


def test_figures_beside_the_values(run: Any, job_path: Path) -> None:
    ask = ("map", job_path, *GROUND, "--what")
    answer = json.loads(run(*ask, "worst", "--json").stdout)
    beside, said = answer["beside"], plain(run(*ask, "worst").stdout)
    values = np.array(answer["values"], dtype=np.float64)
    assert beside["near_best"] == (values >= np.nanmax(values) - 1.0).sum() > 1
    assert f"nothing to choose between {beside['near_best']} cells: within 1 dB" in said
    first = beside["held_down_by"][0]
    assert f"by share of the storey: {first['device']} ({100 * first['share_ratio']:.0f} %)" in said
    assert f"in the best cell {beside['best_held_down_by']}" in said
    each = json.loads(run(*ask, f"device:{beside['best_held_down_by']}", "--json").stdout)
    one = np.array(each["values"], dtype=np.float64)
    assert one.flat[np.nanargmax(values)] == np.nanmax(values)
    odds = json.loads(run(*ask, "odds", "--json").stdout)
    every = [x for row in odds["values"] for x in row if x is not None]
    assert beside["odds_all_range"] == [min(every), max(every)]


def test_the_panel_s_place_and_candidates_are_told(run: Any, job_path: Path) -> None:
    # The demo's panel hangs downstairs, as does the second of its candidates.
    ask = ("map", job_path, *GROUND, "--what", "worst")
    places = json.loads(run(*ask, "--json").stdout)["beside"]["at_places"]
    assert [(p["name"], p["at_m"], p["height_m"]) for p in places] == [
        ("the panel now", [5.8, 6.2], 1.7),
        ("candidate 2", [6.3, 9.6], 2.2),
    ]
    said = plain(run(*ask).stdout)
    for place in places:
        assert f"Place {place['name']}: −{-place['value']:.1f} dB, x" in said
        assert f"{place['height_m']:.2f} m up; worst {place['device']}, all heard" in said


def test_a_map_of_coverage_has_little_beside_it(run: Any, job_path: Path) -> None:
    beside = json.loads(run("map", job_path, *GROUND, "--json").stdout)["beside"]
    assert beside.pop("near_best") >= 1
    assert not any(beside.values())


def test_an_unknown_device_is_echoed_shortened(run: Any, job_path: Path) -> None:
    said = plain(run("map", job_path, *GROUND, "--what", "device:" + "q" * 500, code=2).stderr)
    given, listed = said.count("q"), said.partition("this site has: ")[2]
    devices = len(json.loads(job_path.read_text("utf-8"))["site"]["devices"])
    assert given == 60
    assert listed.count(",") == 11
    assert f" and {devices - 12} more" in listed


def test_odds_keep_more_digits_in_json(run: Any, job_path: Path) -> None:
    answer = json.loads(run("map", job_path, *GROUND, "--what", "odds", "--json").stdout)
    values = [x for row in answer["values"] for x in row if x is not None]
    assert answer["unit"] == "ratio"
    assert 0.0 <= min(values) <= max(values) < 1.0


def test_words_name_the_best_place_of_the_same_map(run: Any, job_path: Path) -> None:
    ask = ("map", job_path, *GROUND, "--what", "device:yard_door")
    answer = json.loads(run(*ask, "--json").stdout)
    values = np.array(answer["values"], dtype=np.float64)  # null becomes NaN
    row, column = np.argwhere(values == np.nanmax(values))[0]
    said = plain(run(*ask).stdout)
    assert "Ground floor (ground)" in said
    assert answer["label"] in said
    best = f"{values[row, column]:+.1f} dB, panel at x {column + 0.5:.2f}, y {row + 0.5:.2f} m"
    assert f"Best {best}" in said
    cells, met = int((~np.isnan(values)).sum()), int((values >= 0).sum())
    assert f"{met} of {cells} cells" in said
    for note in answer["notes"]:
        assert note in said
    assert "A prediction, not proof." in said


def test_coverage_is_mapped_if_nothing_else_is_said(run: Any, job_path: Path) -> None:
    answer = json.loads(run("map", job_path, *GROUND, "--json").stdout)
    assert answer["what"] == "coverage"
    assert "panel at" not in run("map", job_path, *GROUND).stdout


def test_a_networks_level_with_its_requirement_and_spread(run: Any, job_path: Path) -> None:
    ask = ("map", job_path, "--floor", "upper", "--cell-m", "1", "--what", "network:001-01")
    answer = json.loads(run(*ask, "--json").stdout)
    assert answer["unit"] == "dBm"
    assert len(answer["spread_db"]) == len(answer["values"])
    said = plain(run(*ask).stdout)
    assert f"meets the requirement of −{-answer['required']:.1f} dBm" in said
    assert "standard deviation" in said
    assert "Worked out between the spots, not read." in said
    assert "−" not in run(*ask, "--ascii").stdout


def test_what_was_left_blank_is_not_counted_as_met(run: Any, job_path: Path) -> None:
    """One spot of the ground floor was read; what is more than 8 m away is blank."""
    ask = ("map", job_path, "--floor", "ground", "--cell-m", "1")
    level = plain(run(*ask, "--what", "network:001-01").stdout)
    mapped, blank = map(int, re.findall(r"storey: (\d+) mapped, (\d+) left blank", level)[0])
    assert f"100 % of the mapped part meets the requirement of −105.0 dBm: {mapped} of" in level
    coverage = plain(run(*ask).stdout)
    assert f"31 cells of 1 m, {mapped + blank} of them within the storey Best" in coverage
    assert re.search(r"\d % of the storey meets", coverage)


def shown(values: list[list[float]], capsys: pytest.CaptureFixture[str], blank: int = 0) -> str:
    found = FloorMap(
        what=MapOf.parse("worst"),
        floor="g",
        origin_m=(0.0, 0.0),
        cell_m=1.0,
        values=np.array(values),
        blank_cells=blank,
        unit="dB",
        required=0.0,
        label="Margin",
    )
    show_map(Screen(), Floor(id="g", name="g", elevation_m=0.0, height_m=3.0), found)
    return plain(capsys.readouterr().out)


def test_a_few_cells_of_many_are_not_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Meets under 1 % of the storey" in shown([[1.0] + [-1.0] * 150], capsys)
    assert "Meets 0 % of the storey" in shown([[-2.0] + [-1.0] * 150], capsys)
    assert "Meets 99 % of the storey" in shown([[-2.0] + [1.0] * 150], capsys)
    assert "Meets 100 % of the storey" in shown([[2.0] + [1.0] * 150], capsys)


def test_places_as_good_as_the_best_are_counted(capsys: pytest.CaptureFixture[str]) -> None:
    said = shown([[3.0, 3.0, 3.0, 2.0, 1.0, 1.0]], capsys)
    assert "Best +3.0 dB, panel at x 0.50, y 0.50 m, and 2 more cells alike" in said
    assert "Worst +1.0 dB, panel at x 4.50, y 0.50 m, and 1 more cell alike" in said
    assert "alike" not in shown([[3.0, 2.0, 1.0]], capsys)
    assert "nothing to choose between 4 cells: within 1 dB of the best" in said
    assert "nothing to choose" not in shown([[3.0, 1.9, 1.0]], capsys)
    assert "nothing to choose" not in shown([[3.0, 3.0]], capsys)  # all alike, and said so


def test_a_picture_whole_and_the_same_every_time(run: Any, job_path: Path) -> None:
    for name in ("one.png", "two.PNG"):
        said = run("map", job_path, *GROUND, "-o", name, "--width-px", "500").stdout
        assert said.startswith(name)
    one, two = Path("one.png").read_bytes(), Path("two.PNG").read_bytes()
    assert one == two
    assert Image.open(io.BytesIO(one)).size[0] == 500
    assert sorted(p.name for p in Path().glob("*.png")) == ["one.png"]


def test_a_picture_and_json_at_once(run: Any, job_path: Path) -> None:
    answer = json.loads(run("map", job_path, *GROUND, "-o", "map.png", "--json").stdout)
    assert answer["floor"] == "ground"
    assert Image.open(io.BytesIO(Path("map.png").read_bytes())).size[0] == 1600


# ---- which storey --------------------------------------------------------------------------------


def test_the_storeys_name_will_do(run: Any, job_path: Path) -> None:
    by_name = run("map", job_path, "--floor", "ground FLOOR", "--cell-m", "1", "--json").stdout
    assert by_name == run("map", job_path, *GROUND, "--json").stdout


def test_the_only_storey_need_not_be_named(
    run: Any, job_path: Path, edit: Callable[..., None]
) -> None:
    def keep_one(data: Any) -> None:
        site = data["site"]
        site["floors"] = [f for f in site["floors"] if f["id"] == "ground"]
        for name in ("walls", "devices", "repeaters", "spots"):
            site[name] = [x for x in site[name] if x.get("floor") == "ground"]
        site["cables"], site["communicators"], data["record"] = [], [], []
        site["panel"]["candidates"] = []

    edit(job_path, keep_one)
    answer = json.loads(run("map", job_path, "--cell-m", "1", "--json").stdout)
    assert answer["floor"] == "ground"


@pytest.mark.parametrize(
    ("floor", "said"), [((), "say which storey"), (("--floor", "roof"), "no storey 'roof'")]
)
def test_which_storeys_there_are(
    run: Any, job_path: Path, floor: tuple[str, ...], said: str
) -> None:
    error = plain(run("map", job_path, *floor, code=2).stderr)
    assert said in error
    assert "there are: cellar (Cellar), ground (Ground floor), upper (Upper floor)." in error


def test_two_storeys_of_one_name_are_not_guessed(
    run: Any, job_path: Path, edit: Callable[..., None]
) -> None:
    edit(job_path, lambda data: [f.update(name="Floor") for f in data["site"]["floors"]])
    error = plain(run("map", job_path, "--floor", "Floor", code=2).stderr)
    assert "several storeys called 'Floor'" in error


def test_a_job_without_a_plan_says_so(run: Any, empty_job: Path) -> None:
    assert "has no plan" in run("map", empty_job, code=1).stderr


# ---- what is refused -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--what", "best"), "Given 'best'; allowed: worst, odds, coverage, device:ID"),
        (("--what", "device"), "allowed: worst"),
        (("--what", "device:nobody"), "there is no device 'nobody'; this site has: shop_door"),
        (("--what", "device:shop_dor"), "there is no device 'shop_dor'; nearest: shop_door"),
        (("--what", "network:001-99"), "there is no network '001-99'; nearest: 001-0"),
        (("--cell-m", "0"), "given 0; allowed: 0.01 to 100 m"),
        (("--cell-m", "-1"), "given -1; allowed"),
        (("--cell-m", "nan"), "given nan; allowed"),
        (("--cell-m", "inf"), "given inf; allowed"),
        (("--cell-m", "half"), "given 'half'; allowed: a number"),
        (("-o", "map.jpg"), "given 'map.jpg'; allowed: a file whose name ends in .png"),
        (("-o", "nowhere/map.png"), "there is no folder 'nowhere'. Make it first"),
        (("-o", "folder.png"), "'folder.png' is a folder"),
        (("--floor", "roof"), "there is no storey 'roof'; there are: cellar (Cellar), ground"),
        (("-o", "map.png", "--width-px", "399"), "given 399; allowed: 400 to 6000"),
        (("-o", "map.png", "--width-px", "wide"), "given 'wide'; allowed: a whole number"),
        (("--width-px", "800"), "only a picture has a width: give -o too"),
    ],
)
def test_wrong_use(run: Any, job_path: Path, args: tuple[str, ...], said: str) -> None:
    Path("folder.png").mkdir()
    before = sorted(Path().rglob("*"))
    error = plain(run("map", job_path, "--floor", "ground", *args, code=2).stderr)
    assert said in error
    assert sorted(Path().rglob("*")) == before


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--what", "device:back_door"), "wired"),
        (("--cell-m", "0.01"), "use cells of 0.0"),
        (("--cell-m", "100"), "are too large"),
        (("--as-of", "2026-10-01"), "--leave-out-later"),
    ],
)
def test_what_cannot_be_mapped(run: Any, job_path: Path, args: tuple[str, ...], said: str) -> None:
    args = ("map", job_path, "--floor", "ground", *args, "-o", "map.png")
    assert said in plain(run(*args, code=1).stderr)
    assert not Path("map.png").exists()


def test_later_entries_can_be_left_out(run: Any, job_path: Path) -> None:
    run("map", job_path, *GROUND, "--as-of", "2026-10-01", "--leave-out-later")


def test_a_system_that_refuses_to_write_is_a_sentence(
    run: Any, job_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: Path, _: bytes) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    monkeypatch.setattr("pathproof.cli.map.write_atomically", refuse)
    error = plain(run("map", job_path, *GROUND, "-o", "map.png", code=1).stderr)
    assert error == (
        "map.png: Permission denied. Check the path, its permissions and the free space."
    )


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (12.34, "dB", "+12.3 dB"),
        (-3.0, "dB", "−3.0 dB"),
        (-101.26, "dBm", "−101.3 dBm"),
        (0.95, "ratio", "95 in 100"),
    ],
)
def test_values_as_people_read_them(value: float, unit: str, said: str) -> None:
    assert value_text(value, unit) == said
