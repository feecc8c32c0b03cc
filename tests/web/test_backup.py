"""Everything in one file, and back: on SQLite, and on PostgreSQL where the tests have one."""

import json
import os
import secrets
import shutil
import sqlite3
import zipfile
from contextlib import closing
from urllib.parse import urlsplit

import psycopg
import pytest

from served import Served

HELD = """
import json
import django
django.setup()
from datetime import UTC, datetime
from django.apps import apps
from pathproof.assess import assess
from pathproof.web.backup._rows import kept_models, rows_out
from pathproof.web.jobs import store
from pathproof.web.jobs.models import StoredJob
for model in kept_models(apps):
    for line in rows_out(model, "default"):
        print(model.__name__, line.decode().strip())
now = datetime(2026, 11, 25, 12, tzinfo=UTC)
for pk in StoredJob.objects.order_by("pk").values_list("pk", flat=True):
    print(pk, json.dumps(assess(store.load(pk), now, leave_out_later=True).as_dict()))
"""
USE = """
import django
django.setup()
from django.utils import timezone
from pathproof.web.jobs import store
from pathproof.web.jobs.models import CustomerLink, Paper, Picture, SignalColumns, StoredJob
from pathproof.web.jobs.answers import answer
from pathproof.web.people.models import Person
by = Person.objects.get(username="tech")
def named(name):
    return lambda job: job.model_copy(update={"site": job.site.model_copy(update={"name": name})})
plain = StoredJob.objects.get(name="Plain site")
store.save(plain.pk, named("Plein café site"), based_on=1, by=by, what="renamed")
store.save(plain.pk, named("Another name"), based_on=1, by=by, what="renamed as well")
store.keep_picture(plain.pk, bytes(range(256)))
answer(plain.pk)
Paper.objects.create(job=plain, revision=2, kind="design", made_by="T", word="", sha256="0" * 64,
                     pdf=b"%PDF-\\x00\\xff")
CustomerLink.objects.create(job=plain, digest="d" * 64, made_by="T", expires_at=timezone.now())
SignalColumns.objects.create(shape="s", columns={"zone": 3, "at": [1, None]}, by="T")
"""


@pytest.fixture(scope="module")
def _full_and_backup(tmp_path_factory):
    folder = tmp_path_factory.mktemp("full")
    served = Served(folder)
    served.python("from pathproof.web.serving.setup import set_up; set_up()\n"
                  "from pathproof.web.serving.ready import make_ready; make_ready()")  # fmt: skip
    served.fill()
    served.python(USE)
    path = tmp_path_factory.mktemp("backup") / "backup.zip"
    done = served.command("backup", str(path))
    assert done.returncode == 0, done.stderr
    return folder, path, _held(served)


@pytest.fixture
def full(_full_and_backup, tmp_path):
    """Data with something in every table: two people, two jobs, a contest, papers and links."""
    return Served(shutil.copytree(_full_and_backup[0], tmp_path / "full"))


@pytest.fixture
def empty(tmp_path):
    folder = tmp_path / "empty"
    folder.mkdir()
    return Served(folder)


@pytest.fixture
def backup(_full_and_backup):
    return _full_and_backup[1]


@pytest.fixture
def postgresql():
    """The address of an empty PostgreSQL database, dropped again at the end."""
    server = os.environ.get("PATHPROOF_DATABASE")
    if not server:
        pytest.skip("PATHPROOF_DATABASE names no PostgreSQL to make a database in")
    name = f"backup_{secrets.token_hex(4)}"
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
        yield urlsplit(server)._replace(path=f"/{name}").geturl()
        connection.execute(f"DROP DATABASE {name}")


@pytest.fixture
def known(_full_and_backup):
    """What `full` holds before anybody does anything to it."""
    return _full_and_backup[2]


def _held(served, **variables):
    """Every row and every job's assessment; PostgreSQL keeps JSON without the order of its keys."""
    lines = served.python(HELD, **variables).splitlines()
    return [(name, json.loads(row)) for name, row in (line.split(" ", 1) for line in lines)]


def test_a_restored_backup_gives_the_same_rows_and_assessments(known, empty, backup):
    done = empty.command("restore", str(backup))
    assert done.returncode == 0, done.stderr
    assert done.stdout.endswith(": 2. People sign in anew.\n")
    assert _held(empty) == known


def test_over_postgresql_and_back_nothing_changes(known, empty, backup, postgresql, tmp_path):
    there = {"PATHPROOF_DATABASE": postgresql}
    done = empty.command("restore", str(backup), **there)
    assert done.returncode == 0, done.stderr
    assert _held(empty, **there) == known
    refused = empty.command("restore", str(backup), **there)
    assert (refused.returncode, "already" in refused.stderr) == (1, True)
    replaced = empty.command("restore", str(backup), "--replace", **there)
    assert "schema before_" in replaced.stdout, replaced.stderr
    assert empty.command("backup", str(tmp_path / "2.zip"), **there).returncode == 0
    assert empty.command("restore", str(tmp_path / "2.zip")).returncode == 0
    assert _held(empty) == known


def test_work_goes_on_after_it(full, empty, backup):
    """New rows get new numbers, and what was only ever added still is."""
    empty.command("restore", str(backup))
    again = USE.replace("Plain site", "Plein café site").replace("based_on=1", "based_on=2")
    empty.python(again.replace('"d" * 64', '"e" * 64').replace('shape="s"', 'shape="t"'))
    with (
        closing(sqlite3.connect(empty.home / "app" / "pathproof.sqlite3")) as database,
        pytest.raises(sqlite3.IntegrityError, match="only ever added"),
    ):
        database.execute("UPDATE jobs_revision SET by = 'somebody else'")


def test_no_secret_is_in_it_and_it_is_its_owners_alone(full, backup):
    assert backup.stat().st_mode & 0o777 == 0o600
    secret = (full.home / "app" / "secret_key").read_bytes()
    with zipfile.ZipFile(backup) as archive:
        assert all(secret not in archive.read(name) for name in archive.namelist())
        assert not [n for n in archive.namelist() if "session" in n]


def test_what_is_there_stays_unless_it_is_replaced_and_then_lies_aside(full, known, backup):
    refused = full.command("restore", str(backup))
    assert refused.returncode == 1
    assert "There is something in the app already" in refused.stderr
    assert _held(full) == known
    full.python("import django; django.setup()\n"
                "from pathproof.web.jobs.models import StoredJob\n"
                "StoredJob.objects.filter(name='Plein café site').delete()")  # fmt: skip
    done = json.loads(full.command("restore", str(backup), "--replace", "--json").stdout)
    assert done["jobs"] == 2
    assert _held(full) == known
    with closing(sqlite3.connect(done["aside"])) as aside:
        assert aside.execute("SELECT count(*) FROM jobs_storedjob").fetchone() == (1,)


def _changed(backup, target, change):
    """The backup with another manifest or other rows."""
    with zipfile.ZipFile(backup) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
    return target


def _refused(empty, path, sentence):
    done = empty.command("restore", str(path))
    assert done.returncode == 1
    assert sentence in done.stderr
    assert "Traceback" not in done.stderr
    with closing(sqlite3.connect(empty.home / "app" / "pathproof.sqlite3")) as database:
        assert database.execute("SELECT count(*) FROM sqlite_master").fetchone() == (0,)


def test_a_damaged_backup_is_refused(empty, backup, tmp_path):
    content = backup.read_bytes()
    damaged = tmp_path / "damaged.zip"
    for changed in (
        content[: len(content) // 2],
        content[:2000] + b"\0" * 40 + content[2040:],
        b"",
        b"PK\x05\x06" + b"\0" * 18,
    ):
        damaged.write_bytes(changed)
        _refused(empty, damaged, "is no backup of Pathproof, or it is damaged")


def test_rows_that_were_changed_by_hand_are_refused(empty, backup, tmp_path):
    def change(name, content):
        return content.replace(b"Plein", b"Plain") if "storedjob" in name else content

    path = _changed(backup, tmp_path / "changed.zip", change)
    _refused(empty, path, "damaged. Nothing was restored")


def test_a_backup_of_a_newer_version_is_refused(empty, backup, tmp_path):
    def later(name, content):
        if name != "manifest.json":
            return content
        manifest = json.loads(content)
        manifest["migrations"].append(["jobs", "9999_later"])
        return json.dumps(manifest)

    path = _changed(backup, tmp_path / "later.zip", later)
    _refused(empty, path, "was made by a newer version")

    def other_format(name, content):
        other = content.replace(b'"format_version": 1', b'"format_version": 2')
        return other if name == "manifest.json" else content

    path = _changed(backup, tmp_path / "format.zip", other_format)
    _refused(empty, path, "is a backup of version 2")


def test_a_backup_that_cannot_be_written_leaves_nothing_behind(full, tmp_path):
    done = full.command("backup", str(tmp_path / "nowhere" / "backup.zip"))
    assert done.returncode == 1
    assert "nowhere" in done.stderr
    assert "Traceback" not in done.stderr
    target = tmp_path / "is_a_folder"
    target.mkdir()
    assert full.command("backup", str(target)).returncode == 1
    assert not list(tmp_path.glob(".*.tmp"))
    shutil.rmtree(target)


def test_a_restore_that_was_cut_off_leaves_what_was_there(full, known, backup):
    """The file that it was working on is taken away by the next one."""
    (full.home / "app" / "restored.sqlite3").write_bytes(b"half a database")
    assert _held(full) == known
    assert full.command("restore", str(backup), "--replace").returncode == 0
    assert _held(full) == known
    assert not list((full.home / "app").glob("restored*"))
