"""Job files that cannot be used: one clear sentence, exit 1, nothing written."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


def _device(site: Any) -> Any:
    return site["devices"][0]


def _nan(site: Any) -> None:
    _device(site)["height_m"] = float("nan")


def _infinite(site: Any) -> None:
    site["floors"][0]["height_m"] = float("inf")


def _negative_height(site: Any) -> None:
    _device(site)["height_m"] = -1.0


def _negative_width(site: Any) -> None:
    next(w for w in site["walls"] if w.get("openings"))["openings"][0]["width_m"] = -0.9


def _no_length(site: Any) -> None:
    site["walls"][0]["end"] = site["walls"][0]["start"]


def _above_every_storey(site: Any) -> None:
    _device(site)["height_m"] = 40.0


def _on_no_storey(site: Any) -> None:
    _device(site)["floor"] = "attic"


def _in_no_zone(site: Any) -> None:
    _device(site)["zone"] = "z_nowhere"


def _no_such_part(site: Any) -> None:
    _device(site)["part"] = "lark_contakt"


def _part_of_another_kind(site: Any) -> None:
    _device(site)["part"] = "lark_repeater"


def _no_such_construction(site: Any) -> None:
    site["walls"][0]["construction"] = "gingerbread"


def _no_such_profile(site: Any) -> None:
    site["profile"] = "grade_9"


def _same_id_twice(site: Any) -> None:
    site["devices"].append(_device(site))


def _unknown_field(site: Any) -> None:
    _device(site)["colour"] = "white"


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (_nan, "NaN"),
        (_infinite, "Infinity"),
        (_negative_height, "height_m"),
        (_negative_width, "width_m"),
        (_no_length, "same place"),
        (_above_every_storey, "outside the storey 'ground'"),
        (_on_no_storey, "'attic'"),
        (_in_no_zone, "'z_nowhere'"),
        (_no_such_part, "lark_contact"),
        (_part_of_another_kind, "parts of kind detector"),
        (_no_such_construction, "gingerbread"),
        (_no_such_profile, "grade_9"),
        (_same_id_twice, "shop_door"),
        (_unknown_field, "colour"),
    ],
)
def test_a_site_that_makes_no_sense(
    run: Any,
    job_path: Path,
    edit: Callable[..., None],
    spoil: Callable[[Any], None],
    said: str,
) -> None:
    edit(job_path, lambda data: spoil(data["site"]))
    before = job_path.read_bytes()
    for args in (
        ("assess", job_path, "--json"),
        ("record", "list", job_path),
        ("record", "add", job_path, "note", "--text", "x", "--by", "A. Tester"),
    ):
        done = run(*args, code=1)
        assert said in done.stderr
        assert str(job_path) in done.stderr or "The job cannot be used" in done.stderr
        assert done.stdout == ""
    assert job_path.read_bytes() == before
    assert not list(job_path.parent.glob("job.revisions/*"))


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{}",
        b"[]",
        b"not json",
        b'{"format": "pathproof-job", "format_version": 1',
        b"\xff\xfe\x00",
        b"[" * 100_000,
        b'{"format": "pathproof-job", "format_version": 1}',
    ],
)
def test_a_file_that_is_no_job(run: Any, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "some.json"
    path.write_bytes(content)
    error = run("assess", path, code=1).stderr
    assert str(path) in error
    assert len(error) < 1000


def test_a_newer_format_is_refused_by_name(
    run: Any, job_path: Path, edit: Callable[..., None]
) -> None:
    edit(job_path, lambda data: data.update(format_version=2, site={"new": "things"}))
    error = run("assess", job_path, code=1).stderr
    assert "format version 2" in error
    assert "newer Pathproof" in error
    assert "things" not in error


def test_a_job_of_200_mb_is_refused_before_it_is_read(run: Any, tmp_path: Path) -> None:
    path = tmp_path / "huge.json"
    with path.open("wb") as file:
        file.truncate(200 * 2**20)
    assert "MB" in run("assess", path, code=1).stderr


def test_a_record_with_a_level_that_is_none(
    run: Any, job_path: Path, edit: Callable[..., None]
) -> None:
    def spoil(data: Any) -> None:
        reading = next(e for e in data["record"] if e["kind"] == "reading")
        reading["values"]["levels"][0]["value"] = 0.0  # outside its own bin

    edit(job_path, spoil)
    assert "outside its bin" in run("assess", job_path, code=1).stderr


def test_a_file_that_somebody_else_saved_meanwhile(
    run: Any, job_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from pathproof.cli import record

    def saved_twice(path: Path) -> Any:
        job = open_before(path)
        data = json.loads(path.read_text())
        data["revision"] += 1
        path.write_text(json.dumps(data))
        return job

    open_before = record.open_job
    monkeypatch.setattr(record, "open_job", saved_twice)
    args = ("record", "add", job_path, "note", "--text", "x", "--by", "A. Tester")
    assert "read it again" in " ".join(run(*args, code=1).stderr.split())
