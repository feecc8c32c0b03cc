"""Spots and networks in the answer of `pathproof assess`."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from scipy.stats import norm

AS_OF = ("--as-of", "2026-10-07")
HEADING = "Spots and networks"


def _reading(entry_id: str, network: str, value: float, low: float | None) -> dict[str, Any]:
    level = {"quantity": "rsrp_dbm", "value": value, "low": low, "high": value}
    return {
        "id": entry_id,
        "kind": "reading",
        "about": ["panel_room"],
        "at": "2026-10-01T10:00:00+02:00",
        "by": "A. Tester",
        "values": {"levels": [level], "network": network, "technology": "lte", "band": "20"},
    }


def _section(shown: str) -> str:
    start = shown.index(f"\n{HEADING}\n")
    return " ".join(shown[start : shown.index("\nFindings\n")].split())


def test_the_winner_its_level_and_its_odds(
    run: Any, job_path: Path, edit: Callable[..., None]
) -> None:
    def two_readings(data: Any) -> None:
        data["record"] = [
            _reading("one", "001-01", -98.0, -98.0),
            _reading("two", "999-70", -90.0, -90.0),
            _reading("three", "001-99", -90.0, -90.0),
        ]

    edit(job_path, two_readings)
    shown = _section(run("assess", job_path, *AS_OF, code=3).stdout)
    odds = norm.cdf(8.0 / (6.0**2 + 6.0**2) ** 0.5)  # 6 dB a reading: house figure, practice
    assert f"LTE: 999-70 by 8 dB over 001-01, odds {odds * 100:.0f} in 100; -90 dBm" in shown
    assert "15.0 dB over need and fade margin" in shown  # -115 dBm and 10 dB: house, practice
    assert "1 reading of 001-99, which is not among the site's networks" in shown
    assert "only Beside the panel was read" in shown
    report = json.loads(run("assess", job_path, *AS_OF, "--json", code=3).stdout)["spots"][0]
    assert report["contests"][0]["best"] == ["999-70"]
    assert report["levels"][0]["median_dbm"] == {"low": -98.0, "high": -98.0}


def test_a_narrow_screen_has_the_text_under_the_name(
    run: Any, job_path: Path, edit: Callable[..., None], monkeypatch: Any
) -> None:
    edit(job_path, lambda data: data.update(record=[_reading("one", "001-01", -98.0, -98.0)]))
    monkeypatch.setenv("COLUMNS", "40")
    shown = run("assess", job_path, *AS_OF, code=3).stdout
    lines = shown[shown.index(f"\n{HEADING}\n") :].splitlines()
    name = lines.index("Beside the panel")
    assert lines[name + 1].startswith("  LTE: only 001-01 was read; ")
    assert max(map(len, lines)) <= 40


def test_an_open_level_is_said(run: Any, job_path: Path, edit: Callable[..., None]) -> None:
    def below_the_instrument(data: Any) -> None:
        data["record"] = [
            _reading("one", "001-01", -124.0, None),
            _reading("two", "999-70", -125.0, -125.0),
        ]

    edit(job_path, below_the_instrument)
    shown = _section(run("assess", job_path, *AS_OF, code=3).stdout)
    assert "open between 001-01 and 999-70" in shown
    assert "-124 dBm or less" in shown


def test_nothing_read_says_where_to_begin(
    run: Any, job_path: Path, edit: Callable[..., None]
) -> None:
    edit(job_path, lambda data: data.update(record=[]))
    shown = _section(run("assess", job_path, *AS_OF, code=3).stdout)
    spots = json.loads(job_path.read_text("utf-8"))["site"]["spots"]
    assert shown.count("nothing that counts was read") == len(spots) > 1
    assert shown.count("Read here first: ") == 1
    assert "Landing window nothing that counts was read Read here first: " in shown


def test_a_site_without_spots_has_no_such_section(run: Any, empty_job: Path) -> None:
    assert HEADING not in run("assess", empty_job, code=4).stdout
