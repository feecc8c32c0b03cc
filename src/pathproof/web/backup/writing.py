"""A backup: a consistent copy of all rows, taken while the app is served, in one file."""

import hashlib
import json
import os
import secrets
import sqlite3
import tempfile
import zipfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from django.apps import apps
from django.conf import settings
from django.db import connection, connections, transaction
from django.db.migrations.recorder import MigrationRecorder

from pathproof import __version__
from pathproof.web.backup._rows import kept_models, name_of, rows_out

FORMAT: Final = "pathproof-backup"
FORMAT_VERSION: Final = 1
MANIFEST: Final = "manifest.json"
_COPY: Final = "copy"
COPIES: Final = "copy_"
"""How folders in the data folder begin that hold a copy of the database for a while."""

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True, kw_only=True)
class Written:
    """A backup that was written."""

    path: Path
    size_bytes: int
    jobs: int


def write_backup(path: Path, now: datetime, progress: Progress) -> Written:
    """Write a backup to a file, whole or not at all, readable by its owner alone.

    Raises
    ------
    OSError
        It cannot be written.
    """
    temporary = path.with_name(f".{secrets.token_hex(8)}.tmp")
    try:
        handle = os.open(temporary, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w+b") as file, frozen() as using:
            jobs = _write(file, using, now, progress)
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, path)
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error
    finally:
        temporary.unlink(missing_ok=True)
    return Written(path=path, size_bytes=path.stat().st_size, jobs=jobs)


@contextmanager
def frozen() -> Iterator[str]:
    """The alias of a database that holds still, while others go on to work with ours."""
    if connection.vendor == "postgresql":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield connection.alias
        return
    with tempfile.TemporaryDirectory(prefix=COPIES, dir=settings.DATA) as folder:
        copy = Path(folder) / "copy.sqlite3"
        connection.ensure_connection()
        with closing(sqlite3.connect(copy)) as target:
            connection.connection.backup(target)
        with other_sqlite(_COPY, copy):
            yield _COPY


@contextmanager
def other_sqlite(alias: str, path: Path) -> Iterator[None]:
    """While this holds, that SQLite file is reached under the alias."""
    connections.databases[alias] = {**connections.databases["default"], "NAME": str(path)}
    try:
        yield
    finally:
        connections[alias].close()
        del connections[alias]
        del connections.databases[alias]


def _write(file: Any, using: str, now: datetime, progress: Progress) -> int:
    kept = kept_models(apps)
    files: dict[str, dict[str, Any]] = {}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for number, model in enumerate(kept):
            progress(number, len(kept), str(model._meta.verbose_name_plural))
            files[name_of(model)] = _write_rows(archive, name_of(model), rows_out(model, using))
        manifest = {
            "format": FORMAT,
            "format_version": FORMAT_VERSION,
            "made_at": now.isoformat(),
            "made_by": f"pathproof {__version__}",
            "migrations": sorted(MigrationRecorder(connections[using]).applied_migrations()),
            "files": files,
        }
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1))
    jobs: int = files["rows/jobs.storedjob.jsonl"]["rows"]
    return jobs


def _write_rows(archive: zipfile.ZipFile, name: str, lines: Iterable[bytes]) -> dict[str, Any]:
    digest, count = hashlib.sha256(), 0
    with archive.open(name, "w", force_zip64=True) as member:
        for line in lines:
            member.write(line)
            digest.update(line)
            count += 1
    return {"rows": count, "sha256": digest.hexdigest()}
