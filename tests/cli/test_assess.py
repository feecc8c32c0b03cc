"""`pathproof assess`: the JSON contract, exit codes, and the answer as people read it."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

AS_OF = ("--as-of", "2026-10-07")


def test_json_contract(run: Any, job_path: Path) -> None:
    answer = json.loads(run("assess", job_path, *AS_OF, "--json", code=3).stdout)
    assert {"site", "as_of", "revision", "word", "links", "signals", "findings", "next"} <= set(
        answer
    )
    kinds = {"radio", "mobile", "reporting", "supply", "standby"}
    for link in answer["links"]:
        assert {"id", "kind", "from", "to", "word", "why", "margin", "probability"} <= set(link)
        assert {"evidence", "working"} <= set(link)
        assert link["kind"] in kinds
        assert link["margin"] is None or set(link["margin"]) == {"value", "unit"}
        for line in link["working"]:
            assert {"id", "label", "formula", "inputs", "value", "unit", "sources"} <= set(line)
            for source in line["sources"]:
                assert set(source) == {"ref", "edition", "clause", "evidence"}
            assert "needs" in line
    for signal in answer["signals"]:
        assert {"about", "kind", "zone", "word", "weakest", "path"} <= set(signal)
    for finding in answer["findings"]:
        assert set(finding) == {"id", "severity", "about", "text", "do"}
    assert answer["as_of"] == "2026-10-07T23:59:59+02:00"


def test_a_site_without_devices_is_undecided(run: Any, empty_job: Path) -> None:
    answer = json.loads(run("assess", empty_job, "--json", code=4).stdout)
    assert answer["word"] == "undecided"
    shown = run("assess", empty_job, code=4).stdout
    assert shown.startswith("undecided  Bare site")
    assert "no devices" in shown


def test_undecided_where_nothing_lacks(run: Any, job_path: Path, edit: Callable[..., None]) -> None:
    def without_the_hard_one(data: Any) -> None:
        site = data["site"]
        site["devices"] = [d for d in site["devices"] if d["id"] != "cold_store_door"]

    edit(job_path, without_the_hard_one)
    run("assess", job_path, *AS_OF, code=4)


def test_the_word_comes_first_and_the_unproven_before_the_rest(run: Any, job_path: Path) -> None:
    shown = run("assess", job_path, *AS_OF, code=3).stdout
    assert shown.startswith("lacking  Quellrain dairy and shop\n")
    assert "9 of 21 proven to reach the panel" in shown
    strips = shown[shown.index("\nSignals\n") :]
    assert strips.index("lacking  ") < strips.index("undecided  ")
    assert "Cold store door" in strips[: strips.index("undecided  ")]
    for heading in ("Findings", "Next", "The site"):
        assert f"\n{heading}\n" in shown


@pytest.mark.parametrize("columns", [40, 80, 200])
def test_no_line_is_wider_than_the_screen(
    run: Any, job_path: Path, monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    for args in ((), ("--working", "radio:cold_store_door>yard_repeater")):
        shown = run("assess", job_path, *AS_OF, *args, code=3).stdout
        assert max(len(line) for line in shown.splitlines()) <= columns


def test_ascii_is_plain_ascii(run: Any, job_path: Path) -> None:
    for args in ((), ("--signal", "9"), ("--working", "mobile:main")):
        assert run("assess", job_path, *AS_OF, "--ascii", *args, code=3).stdout.isascii()


def test_no_colour_where_there_is_no_terminal(run: Any, job_path: Path) -> None:
    assert "\x1b" not in run("assess", job_path, *AS_OF, code=3).stdout


def test_one_signal_device_or_zone(run: Any, job_path: Path) -> None:
    for name in ("signal:cold_store_door:alarm", "cold_store_door", "9"):
        shown = run("assess", job_path, *AS_OF, "--signal", name, code=3).stdout
        assert "Cold store door" in shown
        assert "Shop door" not in shown
        answer = json.loads(
            run("assess", job_path, *AS_OF, "--signal", name, "--json", code=3).stdout
        )
        assert {s["about"] for s in answer["signals"]} == {"cold_store_door"}
    assert (
        "cold_store_door" in run("assess", job_path, *AS_OF, "--signal", "cold_door", code=2).stderr
    )


def test_working_shows_every_line_with_its_value_and_sources(run: Any, job_path: Path) -> None:
    link = "radio:cold_store_door>yard_repeater"
    answer = json.loads(run("assess", job_path, *AS_OF, "--working", link, "--json", code=3).stdout)
    assert [x["id"] for x in answer["links"]] == [link]
    shown = run("assess", job_path, *AS_OF, "--working", link, code=3).stdout
    for line in answer["links"][0]["working"]:
        assert line["label"] in shown
    assert "Sources" in shown
    assert "practice" in shown
    assert "radio:" in run("assess", job_path, *AS_OF, "--working", "radio:x", code=2).stderr


def test_entries_after_the_as_of_date_are_refused_or_left_out(run: Any, job_path: Path) -> None:
    refused = run("assess", job_path, "--as-of", "2026-10-01", code=1)
    assert "dated after the as-of date" in refused.stderr
    assert "--leave-out-later" in refused.stderr
    assert refused.stdout == ""
    left_out = run(
        "assess", job_path, "--as-of", "2026-10-01", "--leave-out-later", "--json", code=3
    )
    evidence = {e for link in json.loads(left_out.stdout)["links"] for e in link["evidence"]}
    assert not any(e.startswith("walk") for e in evidence)


@pytest.mark.parametrize("when", ["soon", "2026-02-30", "07.10.2026", ""])
def test_an_as_of_that_is_no_date(run: Any, job_path: Path, when: str) -> None:
    assert "--as-of" in run("assess", job_path, "--as-of", when, code=2).stderr


def test_as_of_a_moment(run: Any, job_path: Path) -> None:
    for text in ("2026-10-07T18:00", "2026-10-07T18:00+02:00", "2026-10-07T16:00Z"):
        answer = json.loads(run("assess", job_path, "--as-of", text, "--json", code=3).stdout)
        assert answer["as_of"].startswith(
            ("2026-10-07T18:00:00+02:00", "2026-10-07T16:00:00+00:00")
        )


def test_another_profile(run: Any, job_path: Path) -> None:
    asked = run("assess", job_path, *AS_OF, "--profile", "en_50131_grade_2", "--json", code=3)
    assert json.loads(asked.stdout)["profile"] == "en_50131_grade_2"
