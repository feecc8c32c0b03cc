"""Saving: whole or not at all, one revision after the other, nothing lost."""

import hashlib
import json
import math
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pathproof.job import (
    Job,
    Library,
    content_hash,
    dump_job,
    parse_job,
    read_job,
    write_atomically,
    write_job,
)
from pathproof.terms import JobError

NOTHING = Library()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "house.json"


@pytest.fixture
def saved(path: Path, sample: Job) -> Job:
    return write_job(path, sample, NOTHING)


def renamed(job: Job, name: str) -> Job:
    return job.model_copy(update={"site": job.site.model_copy(update={"name": name})})


def everything_below(folder: Path) -> dict[str, bytes]:
    files = (p for p in folder.rglob("*") if p.is_file())
    return {str(p.relative_to(folder)): p.read_bytes() for p in files}


def test_what_is_saved_is_what_is_read(path: Path, sample: Job) -> None:
    saved = write_job(path, sample, NOTHING)
    assert saved.revision == sample.revision + 1
    assert read_job(path, NOTHING) == saved
    assert saved.model_copy(update={"revision": 7, "hash": sample.hash}) == sample
    assert not saved.changed_outside


def test_the_first_save_keeps_nothing_and_leaves_one_file(
    tmp_path: Path, path: Path, saved: Job
) -> None:
    assert everything_below(tmp_path) == {"house.json": dump_job(saved).encode()}


def test_every_replaced_revision_is_kept_to_the_letter(
    tmp_path: Path, path: Path, saved: Job
) -> None:
    contents = [path.read_bytes()]
    job = saved
    for name in ("second", "third"):
        job = write_job(path, renamed(job, name), NOTHING)
        contents.append(path.read_bytes())
    assert job.revision == 10
    assert everything_below(tmp_path) == {
        "house.json": contents[2],
        "house.revisions/house.r0008.json": contents[0],
        "house.revisions/house.r0009.json": contents[1],
    }
    old = read_job(tmp_path / "house.revisions" / "house.r0009.json", NOTHING)
    assert (old.site.name, old.revision) == ("second", 9)


def test_a_kept_revision_is_never_overwritten(tmp_path: Path, path: Path, saved: Job) -> None:
    first = path.read_bytes()
    second = write_job(path, renamed(saved, "second"), NOTHING)
    write_job(path, renamed(second, "third"), NOTHING)
    path.write_bytes(first)  # somebody puts an old revision back
    job = write_job(path, renamed(saved, "other"), NOTHING)
    write_job(path, renamed(job, "another"), NOTHING)
    kept = everything_below(tmp_path / "house.revisions")
    names = {name: json.loads(content)["site"]["name"] for name, content in kept.items()}
    assert names == {
        "house.r0008.json": saved.site.name,
        "house.r0009.json": "second",
        "house.r0009-2.json": "other",
    }


def test_a_stale_revision_is_refused(path: Path, saved: Job) -> None:
    write_job(path, renamed(saved, "first"), NOTHING)
    before = everything_below(path.parent)
    with pytest.raises(JobError) as caught:
        write_job(path, renamed(saved, "second"), NOTHING)
    assert str(caught.value) == (
        f"{path} is at revision 9, this change was made on revision 8. Nothing was saved; read it "
        "again and repeat the change."
    )
    assert everything_below(path.parent) == before


def test_of_many_who_save_at_once_one_succeeds(path: Path, saved: Job) -> None:
    outcomes: list[str] = []
    start = threading.Barrier(6)

    def save(name: str) -> None:
        start.wait()
        try:
            outcomes.append(write_job(path, renamed(saved, name), NOTHING).site.name)
        except JobError:
            outcomes.append("refused")

    threads = [threading.Thread(target=save, args=[f"n{i}"]) for i in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert outcomes.count("refused") == 5
    assert read_job(path, NOTHING).site.name in outcomes


def test_changed_by_hand_after_it_was_read(path: Path, saved: Job) -> None:
    path.write_bytes(path.read_bytes().replace(b"Kiebitzweg", b"Lerchenweg"))
    before = everything_below(path.parent)
    with pytest.raises(JobError, match="was changed since this job was read from it"):
        write_job(path, renamed(saved, "x"), NOTHING)
    assert everything_below(path.parent) == before


@pytest.mark.parametrize("given", [None, "0" * 64])
def test_changed_by_hand_after_it_was_read_without_a_right_hash(
    path: Path, saved: Job, given: str | None
) -> None:
    data = {**json.loads(path.read_bytes()), "hash": given}
    path.write_text(json.dumps(data), "utf-8")
    job = read_job(path, NOTHING)
    data["site"]["name"] = "By hand"
    path.write_text(json.dumps(data), "utf-8")
    before = everything_below(path.parent)
    with pytest.raises(JobError, match="was changed since this job was read from it"):
        write_job(path, renamed(job, "x"), NOTHING)
    assert everything_below(path.parent) == before
    assert write_job(path, renamed(read_job(path, NOTHING), "x"), NOTHING).site.name == "x"


def test_a_job_that_was_never_read_replaces_none(path: Path, saved: Job) -> None:
    path.write_text(json.dumps({**json.loads(path.read_bytes()), "revision": 0}), "utf-8")
    before = everything_below(path.parent)
    with pytest.raises(JobError, match="was changed since this job was read from it"):
        write_job(path, Job(site=saved.site), NOTHING)
    assert everything_below(path.parent) == before


def test_changed_by_hand_before_it_was_read(path: Path, saved: Job) -> None:
    by_hand = path.read_bytes().replace(b"Kiebitzweg", b"Lerchenweg")
    path.write_bytes(by_hand)
    job = read_job(path, NOTHING)
    assert job.changed_outside
    assert job.site.name == "Tierpraxis Lerchenweg"
    assert renamed(job, "x").changed_outside
    again = write_job(path, renamed(job, "x"), NOTHING)
    assert not again.changed_outside
    assert not read_job(path, NOTHING).changed_outside
    assert (path.parent / "house.revisions" / "house.r0008.json").read_bytes() == by_hand


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data["record"].pop(),
        lambda data: data["record"][2]["values"].update(received=10),
        lambda data: data["record"][2].update(at="2026-03-02T10:20:01+01:00"),
        lambda data: data["site"]["devices"][0].update(at=[1.5, 0.11]),
        lambda data: data["embedded"]["catalogue"]["kw_panel"]["radios"][0].update(
            sensitivity_dbm=-107.0
        ),
        lambda data: data["embedded"]["profile"]["limits"]["standby_h"].update(value=11.0),
        lambda data: data["embedded"]["constructions"].pop("stud_100"),
        lambda data: data.update(revision=8),
    ],
)
def test_every_change_by_hand_shows(
    sample: Job, change: Callable[[dict[str, Any]], object]
) -> None:
    data = json.loads(dump_job(sample))
    change(data)
    library = Library(constructions=sample.embedded.constructions)
    assert parse_job(json.dumps(data), library).changed_outside


def test_layout_of_the_text_is_no_change(sample: Job) -> None:
    data = json.loads(dump_job(sample))
    shuffled = {key: data[key] for key in reversed(data)}
    shuffled["site"] = dict(reversed(data["site"].items()))
    assert not parse_job(json.dumps(shuffled, indent=4), NOTHING).changed_outside
    # A field written out at its default says the same.
    shuffled["site"]["walls"][1]["openings"] = []
    assert not parse_job(json.dumps(shuffled), NOTHING).changed_outside


def test_library_that_came_later_is_no_change(sample: Job) -> None:
    """The hash speaks for the file as it stands, before missing entries are filled in."""
    data = json.loads(dump_job(sample))
    del data["embedded"]["catalogue"]["kw_coax"]
    library = Library(parts=sample.embedded.catalogue)
    bare = parse_job(json.dumps({**data, "hash": None}), library)
    assert not bare.changed_outside
    assert parse_job(json.dumps(data), library).changed_outside


def test_hash_is_worked_out_as_the_format_says(saved: Job, path: Path) -> None:
    """SHA-256 of the file without format, version and hash; keys and record sorted, UTF-8."""
    data = json.loads(path.read_bytes())
    given = data.pop("hash")
    del data["format"], data["format_version"]
    data["record"].sort(key=lambda entry: entry["id"])
    text = json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert hashlib.sha256(text.encode("utf-8")).hexdigest() == given == content_hash(saved)


@pytest.mark.parametrize("call", ["replace", "fsync"])
@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_failure_in_the_middle_leaves_the_old_file(
    path: Path,
    saved: Job,
    monkeypatch: pytest.MonkeyPatch,
    call: str,
    error: BaseException,
) -> None:
    before = everything_below(path.parent)

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(os, call, fail)
    with pytest.raises((JobError, KeyboardInterrupt)) as caught:
        write_job(path, renamed(saved, "x"), NOTHING)
    if isinstance(error, OSError):
        assert str(caught.value) == (
            f"{path} cannot be written: No space left on device. Nothing was saved."
        )
    monkeypatch.undo()
    assert everything_below(path.parent) == before
    assert write_job(path, renamed(saved, "x"), NOTHING).revision == saved.revision + 1


@pytest.mark.skipif(sys.platform == "win32", reason="limits on file size are a POSIX matter")
def test_no_room_for_the_whole_file(path: Path, saved: Job, tmp_path: Path) -> None:
    """The system itself refuses to write more than the first thousand bytes."""
    source = (
        "import resource, sys; from pathlib import Path\n"
        "from pathproof.job import Library, read_job, write_job\n"
        "from pathproof.terms import JobError\n"
        "path = Path(sys.argv[1]); job = read_job(path, Library())\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "try: write_job(path, job, Library())\n"
        "except JobError as error: print(error)\n"
    )
    before = everything_below(path.parent)
    root = str(Path(sys.modules["pathproof"].__path__[0]).parent)
    run = subprocess.run(
        [sys.executable, "-c", source, str(path)],
        env={**os.environ, "PYTHONPATH": root},
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout == f"{path} cannot be written: File too large. Nothing was saved.\n"
    assert everything_below(path.parent) == before


def test_permissions_are_kept(path: Path, saved: Job) -> None:
    path.chmod(0o640)
    write_job(path, saved, NOTHING)
    assert path.stat().st_mode & 0o777 == 0o640


@pytest.mark.skipif(sys.platform == "win32", reason="there is no umask")
def test_new_files_follow_the_umask(path: Path, sample: Job) -> None:
    before = os.umask(0o027)
    try:
        write_job(path, sample, NOTHING)
    finally:
        os.umask(before)
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_link_stays_a_link(path: Path, saved: Job, tmp_path: Path) -> None:
    link = tmp_path / "elsewhere" / "link.json"
    link.parent.mkdir()
    link.symlink_to(path)
    write_job(link, saved, NOTHING)
    assert link.is_symlink()
    assert read_job(path, NOTHING).revision == saved.revision + 1
    assert (tmp_path / "elsewhere" / "link.revisions" / "link.r0008.json").exists()


def test_folder_that_is_not_there(tmp_path: Path, sample: Job) -> None:
    with pytest.raises(JobError, match=r"cannot be written: No such file.* Nothing was saved"):
        write_job(tmp_path / "nowhere" / "a.json", sample, NOTHING)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "content",
    [b"IFC", b'{"format": "pathproof-job", "format_version": 2}', b'{"format": "pathproof-job"}'],
)
def test_what_is_no_job_file_is_not_overwritten(path: Path, sample: Job, content: bytes) -> None:
    path.write_bytes(content)
    with pytest.raises(JobError):
        write_job(path, sample, NOTHING)
    assert everything_below(path.parent) == {"house.json": content}


def test_a_change_that_could_not_be_read_again_is_not_saved(path: Path, saved: Job) -> None:
    """Changes are copies, and copies are not checked; saving checks them."""
    before = everything_below(path.parent)
    devices = saved.site.devices

    def with_first(**change: Any) -> Job:
        changed = [devices[0].model_copy(update=change), *devices[1:]]
        return saved.model_copy(update={"site": saved.site.model_copy(update={"devices": changed})})

    for change, text in [
        ({"zone": "nix"}, "site.devices[0] (door).zone: there is no zone 'nix'"),
        ({"height_m": math.nan}, "site.devices[0] (door).height_m: given NaN; allowed: a finite"),
        ({"height_m": 9.0}, "site.devices[0] (door).height_m: 9 m is outside the storey 'ground'"),
        ({"id": "ward"}, "site.devices[1] (ward).id: 'ward' is already that of devices[0]"),
        ({"part": "nix"}, "site.devices[0] (door).part: there is no detector in the catalogue"),
    ]:
        with pytest.raises(JobError) as caught:
            write_job(path, with_first(**change), NOTHING)
        assert text in str(caught.value)
    assert everything_below(path.parent) == before


def test_write_atomically_replaces_and_creates(tmp_path: Path) -> None:
    target = tmp_path / "paper.pdf"
    write_atomically(target, b"one")
    write_atomically(target, b"two")
    assert everything_below(tmp_path) == {"paper.pdf": b"two"}
    with pytest.raises(IsADirectoryError):
        write_atomically(tmp_path, b"three")
    assert everything_below(tmp_path) == {"paper.pdf": b"two"}
    assert list(tmp_path.parent.glob(".*.tmp")) == []
