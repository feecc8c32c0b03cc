"""Underlays: plane geometry of their place, and the picture beside the job file."""

import hashlib
import math
from pathlib import Path

import pytest
from pydantic import ValidationError

from pathproof.job import (
    Floor,
    Job,
    Library,
    Underlay,
    content_hash,
    dump_job,
    read_job,
    read_underlay,
    store_underlay,
    underlay_path,
    write_job,
)
from pathproof.job.fingerprint import Fingerprints
from pathproof.terms import JobError, UnderlayKind

PNG = b"\x89PNG\r\n\x1a\n not much of a picture"


def underlay(**fields: object) -> Underlay:
    given = {
        "sha256": "0" * 64,
        "kind": UnderlayKind.PICTURE,
        "width_px": 400,
        "height_px": 300,
        "m_per_px": 0.05,
        "origin": (2.0, 1.0),
    }
    return Underlay.model_validate({**given, **fields})


def with_underlay(job: Job, picture: Underlay) -> Job:
    floors: list[Floor] = [f.model_copy(update={"underlay": picture}) for f in job.site.floors]
    return job.model_copy(update={"site": job.site.model_copy(update={"floors": floors})})


# Plane geometry by hand: 400 x 300 px at 0.05 m are 20 x 15 m.
@pytest.mark.parametrize(
    ("rotation_deg", "upper_right"),
    [(0.0, (22.0, 16.0)), (90.0, (-13.0, 21.0)), (180.0, (-18.0, -14.0)), (-90.0, (17.0, -19.0))],
)
def test_the_corner_right_and_up(rotation_deg: float, upper_right: tuple[float, float]) -> None:
    picture = underlay(rotation_deg=rotation_deg)
    assert picture.on_site(0, 300) == pytest.approx((2.0, 1.0))
    assert picture.on_site(400, 0) == pytest.approx(upper_right)
    assert picture.corners[2] == pytest.approx(upper_right)


def test_pixels_and_metres_go_both_ways_and_lengths_hold_at_any_turn() -> None:
    picture = underlay(rotation_deg=-33.3)
    a, b = picture.on_site(10, 20), picture.on_site(310, 420)
    assert math.dist(a, b) == pytest.approx(500 * 0.05)
    assert picture.in_picture(*a) == pytest.approx((10, 20))


@pytest.mark.parametrize(
    "wrong",
    [
        {"m_per_px": 0.0},
        {"m_per_px": 11.0},
        {"width_px": 0},
        {"origin": (600.0, 0.0)},
        {"rotation_deg": 361.0},
        {"sha256": "../../etc/passwd"},
        {"kind": "sketch"},
        {"page": 0},
    ],
)
def test_what_cannot_be_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        underlay(**wrong)


def test_it_is_no_evidence_and_no_obstacle(sample: Job) -> None:
    plain, drawn = Fingerprints(sample), Fingerprints(with_underlay(sample, underlay()))
    names = {name for entry in sample.record for name in entry.fits}
    assert names
    assert {n: drawn.of(n) for n in names} == {n: plain.of(n) for n in names}


def test_a_job_without_one_keeps_its_bytes_and_hash(sample: Job) -> None:
    taken_off = with_underlay(sample, underlay())
    assert content_hash(taken_off) != sample.hash
    floors = [f.model_copy(update={"underlay": None}) for f in taken_off.site.floors]
    taken_off = sample.model_copy(
        update={"site": sample.site.model_copy(update={"floors": floors})}
    )
    assert content_hash(taken_off) == sample.hash
    assert dump_job(taken_off) == dump_job(sample)
    assert "underlay" not in dump_job(sample)


def test_the_picture_lies_beside_the_job_under_its_hash(tmp_path: Path, sample: Job) -> None:
    path = tmp_path / "house.json"
    sha256 = store_underlay(path, PNG)
    assert sha256 == hashlib.sha256(PNG).hexdigest()
    assert (tmp_path / "house.underlays" / f"{sha256}.png").read_bytes() == PNG
    write_job(path, with_underlay(sample, underlay(sha256=sha256)), Library())
    found = read_job(path, Library()).site.floors[0].underlay
    assert found is not None
    assert read_underlay(path, found.sha256) == PNG


def test_the_same_picture_twice_is_one_file_and_a_spoiled_one_is_mended(tmp_path: Path) -> None:
    path = tmp_path / "house.json"
    sha256 = store_underlay(path, PNG)
    underlay_path(path, sha256).write_bytes(b"spoiled")
    assert store_underlay(path, PNG) == sha256
    assert [p.read_bytes() for p in (tmp_path / "house.underlays").iterdir()] == [PNG]


def test_a_replaced_picture_stays_for_older_revisions(tmp_path: Path, sample: Job) -> None:
    path = tmp_path / "house.json"
    first = store_underlay(path, PNG)
    saved = write_job(path, with_underlay(sample, underlay(sha256=first)), Library())
    second = store_underlay(path, PNG + b"2")
    write_job(path, with_underlay(saved, underlay(sha256=second)), Library())
    old = read_job(tmp_path / "house.revisions" / "house.r0008.json", Library())
    assert old.site.floors[0].underlay is not None
    assert read_underlay(path, old.site.floors[0].underlay.sha256) == PNG


def test_missing_or_changed_is_said_in_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "house.json"
    with pytest.raises(JobError, match=r"house.underlays.* is missing\. .*pathproof underlay"):
        read_underlay(path, "0" * 64)
    sha256 = store_underlay(path, PNG)
    underlay_path(path, sha256).write_bytes(PNG + b" retouched")
    with pytest.raises(JobError, match="was changed since it was stored"):
        read_underlay(path, sha256)
    underlay_path(path, sha256).unlink()
    underlay_path(path, sha256).mkdir()
    with pytest.raises(JobError, match="cannot be read"):
        read_underlay(path, sha256)


def test_a_folder_that_cannot_be_made_is_said_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "house.underlays").write_text("a file in the way")
    with pytest.raises(JobError, match=r"cannot be written to .*house\.underlays"):
        store_underlay(tmp_path / "house.json", PNG)
    with pytest.raises(JobError, match="cannot be written"):
        store_underlay(tmp_path / "nowhere" / "house.json", PNG)
