"""What is to be replaced, in the answer of `pathproof assess`."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

HEADING = "To be replaced"
AS_OF = ("--as-of", "2026-10-07")
BATTERY = "Standby battery, Lead block 12 V 7 Ah"


def _section(shown: str) -> str:
    start = shown.index(f"\n{HEADING}\n")
    return " ".join(shown[start : shown.index("\nFindings\n")].split())


def _with_dates(fitted_on: str | None) -> Callable[[Any], None]:
    def change(data: Any) -> None:
        for device in data["site"]["devices"]:
            device["cells_fitted_on"] = fitted_on

    return change


def test_the_soonest_first_and_what_asks_for_the_first_visit(
    run: Any, job_path: Path, edit: Any
) -> None:
    edit(job_path, _with_dates(None))
    section = _section(run("assess", job_path, *AS_OF, code=None).stdout)
    # The catalogue gives the block 5 years, the record its date: 2026-10-05.
    assert f"First visit by 2031-10-05, in 4.9 years: {BATTERY}." in section
    assert f"2031-10-05 {BATTERY}: 5 years after 2026-10-05, the date on it by" in section
    assert "no date 2 x CR17345 (CR123A) for Lark keypad 868, both ways: 5.5 years" in section
    assert section.index("2031-10-05") < section.index("no date")


def test_overdue_is_said_as_of_the_day(run: Any, job_path: Path, edit: Any) -> None:
    edit(job_path, _with_dates("2020-01-01"))
    section = _section(run("assess", job_path, *AS_OF, code=None).stdout)
    assert "Lark keypad 868, both ways: overdue; fitted on 2020-01-01, 5.5 years" in section
    assert "no date" not in section
    early = run("assess", job_path, "--as-of", "2024-01-01", "--leave-out-later", code=None)
    assert "overdue" not in _section(early.stdout)


def test_a_long_calendar_is_cut_and_says_so(run: Any, job_path: Path, edit: Any) -> None:
    def all_apart(data: Any) -> None:
        for i, device in enumerate(data["site"]["devices"], start=1):
            device["cells_fitted_on"] = f"2026-09-{i:02d}"

    edit(job_path, all_apart)
    rows = json.loads(run("assess", job_path, *AS_OF, "--json", code=None).stdout)["replacements"]
    section = _section(run("assess", job_path, *AS_OF, code=None).stdout)
    assert f"And {len(rows) - 15} more: --json has all of them." in section
    assert section.count("fitted on 2026-09-") == 14  # and the battery


def test_a_site_with_nothing_to_replace_has_no_section(run: Any, empty_job: Path) -> None:
    assert HEADING not in run("assess", empty_job, code=4).stdout


def test_working_of_a_row(run: Any, job_path: Path, edit: Any) -> None:
    edit(job_path, _with_dates(None))
    shown = run("assess", job_path, *AS_OF, "--working", "cells:lark_keypad", code=None).stdout
    assert shown.startswith("2 x CR17345 (CR123A) for Lark keypad 868, both ways\n5.5 years")
    # 20 uA asleep for 8760 h
    assert "20.00 µA × 8.76" in shown
    assert "175.20 mAh" in shown
    assert "Sources" in shown
    battery = run("assess", job_path, *AS_OF, "--working", "battery", code=None).stdout
    assert battery.startswith(BATTERY)
    assert "2031-10-05" in battery


def test_working_as_json_holds_the_row(run: Any, job_path: Path) -> None:
    command = ("assess", job_path, *AS_OF, "--working", "battery", "--json")
    data = json.loads(run(*command, code=None).stdout)
    assert [r["id"] for r in data["replacements"]] == ["battery"]
    assert data["replacements"][0]["working"][-1]["value"] == "2031-10-05"
    assert len(data["links"]) > 1


def test_a_row_without_working_says_so(run: Any, job_path: Path, edit: Any) -> None:
    def no_figures(data: Any) -> None:
        del data["embedded"]["catalogue"]["lark_keypad"]["cell"]

    edit(job_path, _with_dates(None))
    edit(job_path, no_figures)
    shown = run("assess", job_path, *AS_OF, "--working", "cells:lark_keypad", code=None).stdout
    assert "the catalogue gives no figures for the cells of Lark keypad" in shown
    assert "There is no working" in shown


def test_an_unknown_row_names_its_like(run: Any, job_path: Path) -> None:
    told = run("assess", job_path, *AS_OF, "--working", "cells:lark_keypat", code=2).stderr
    assert "cells:lark_keypad" in told
