"""What is erased is erased everywhere: files, memory, the database's log, and for good."""

import os
import sqlite3
import time
from contextlib import closing
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connections
from django.urls import reverse

from pathproof.assess.kept_maps import KEPT_MAPS
from pathproof.assess.moving import Thing, place_of
from pathproof.job import PANEL_ID
from pathproof.web.backup import writing
from pathproof.web.backup.writing import other_sqlite
from pathproof.web.erasing import erase_all, tidy
from pathproof.web.jobs import answers, store
from pathproof.web.jobs.models import StoredJob
from pathproof.web.survey import _maps, importing

MARK = "the burglar's map"


def uploaded(job) -> str:
    """Token of a plan that was sent for a job and not taken yet."""
    url = importing.start_import(job.pk, [SimpleUploadedFile("plan.dxf", MARK.encode())])
    return url.rstrip("/").rsplit("/", 1)[1]


def test_plans_that_were_sent_go_with_their_job(stored, plain_job, technician):
    other = store.add_job(plain_job, by=technician, what="made")
    mine, theirs = uploaded(stored), uploaded(other)
    erase_all(stored.pk)
    assert not (settings.DATA / "plans" / mine).exists()
    assert importing.upload_of(other.pk, theirs) is not None
    importing.throw_away(theirs)


def test_nothing_of_it_stays_in_memory(stored):
    answers.answer(stored.pk, wait=True)
    job = store.load(stored.pk)
    panel = place_of(job.site, Thing.PANEL, PANEL_ID)
    assert panel is not None
    _maps.heard_at(stored.pk, job, Thing.PANEL, PANEL_ID, panel)
    kept = [store._LOADED._kept, answers._KNOWN._kept]
    assert all(any(key[0] == stored.pk for key in keys) for keys in kept)
    assert str(stored.pk) in KEPT_MAPS._sites
    erase_all(stored.pk)
    assert not any(key[0] == stored.pk for keys in kept for key in keys)
    assert str(stored.pk) not in KEPT_MAPS._sites


def test_a_form_that_waited_does_not_make_the_erased_job_again(technician, as_):
    client, new = as_(technician), reverse("listing:new")
    form = {"name": "Mill house", "time_zone": "UTC", "currency": "EUR", "devices": ""}
    form["key"] = str(uuid4())
    assert client.post(new, form).status_code == 302
    erase_all(StoredJob.objects.get().pk)
    got = client.post(new, form)
    assert got.status_code == 422
    assert "was erased since" in got.text
    assert not StoredJob.objects.exists()
    assert client.post(new, {**form, "key": str(uuid4())}).status_code == 302


@pytest.mark.parametrize(("overwritten", "said"), [(False, True), (True, False)])
def test_what_the_log_still_holds_is_said(overwritten, said, stored, office, as_, monkeypatch):
    monkeypatch.setattr(store, "overwrite_log", lambda: overwritten)
    monkeypatch.setattr(store.transaction, "on_commit", lambda work: work())
    client = as_(office)
    client.post(reverse("listing:erase", args=[stored.pk]), {"name": stored.name})
    text = client.get(reverse("listing:jobs")).text
    assert f"{stored.name} is erased." in text
    assert ("Something else reads the database just now" in text) is said


@pytest.mark.skipif(
    "sqlite" not in settings.DATABASES["default"]["ENGINE"], reason="PostgreSQL keeps no such log"
)
def test_the_log_is_overwritten_as_soon_as_nobody_reads_what_was(
    tmp_path, monkeypatch, django_db_blocker
):
    path = tmp_path / "logged.sqlite3"
    log = path.with_name(f"{path.name}-wal")
    with (
        django_db_blocker.unblock(),
        other_sqlite("logged", path),
        closing(sqlite3.connect(path)) as reader,
    ):
        monkeypatch.setattr(store, "connection", connections["logged"])
        with connections["logged"].cursor() as cursor:
            cursor.execute("CREATE TABLE kept (what TEXT)")
            cursor.execute("INSERT INTO kept VALUES (%s)", [MARK])
            reader.execute("BEGIN")
            reader.execute("SELECT * FROM kept").fetchall()
            cursor.execute("DELETE FROM kept")
            usual = cursor.execute("PRAGMA busy_timeout").fetchone()
            began = time.monotonic()
            assert not store.overwrite_log()
            assert time.monotonic() - began < 5.0  # and not the 20 s that a save may wait
            assert cursor.execute("PRAGMA busy_timeout").fetchone() == usual
            assert MARK.encode() in log.read_bytes()
            reader.rollback()
            assert store.overwrite_log()
            assert MARK.encode() not in path.read_bytes() + log.read_bytes()


def test_what_is_left_over_is_tidied_up(stored, monkeypatch):
    monkeypatch.setattr(store, "overwrite_log", lambda: True)
    token = uploaded(stored)
    left, fresh = (settings.DATA / f"{writing.COPIES}{name}" for name in ("left", "fresh"))
    for folder in (left, fresh):
        folder.mkdir()
        (folder / "copy.sqlite3").write_text(MARK)
    old = time.time() - 90_000
    for folder in (left, settings.DATA / "plans" / token):
        os.utime(folder, (old, old))
    tidy()
    assert not left.exists()
    assert importing.upload_of(stored.pk, token) is None
    assert fresh.exists()
    (fresh / "copy.sqlite3").unlink()
    fresh.rmdir()
