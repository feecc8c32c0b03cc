"""A backup put back: all of it or nothing, into a place where no work is lost."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.color import no_style
from django.db import DatabaseError, connection, connections, transaction
from django.db.migrations.executor import MigrationExecutor

from pathproof.terms import ServingError
from pathproof.web.backup._reading import OpenBackup, opened
from pathproof.web.backup._rows import OURS, kept_models, name_of, rows_in
from pathproof.web.backup.writing import Progress, other_sqlite
from pathproof.web.serving.lock import alone

_NEW: Final = "restored"


@dataclass(frozen=True, kw_only=True)
class Restored:
    """What was put back."""

    jobs: int
    made_at: str
    aside: str | None
    """Where that which was there before is kept now."""


def restore(path: Path, now: datetime, progress: Progress, *, replace: bool) -> Restored:
    """Put a backup back, made by this or an older version, on either database.

    Parameters
    ----------
    path : Path
        The backup.
    now : datetime
        Names what is kept aside.
    progress : callable
        Told how far it is.
    replace : bool
        Keep what is there aside and put the backup in its place.

    Raises
    ------
    ServingError
        The backup cannot be used, the app is being served, or there is something already.
    """
    with alone(Path(settings.DATA), f"restored from {path}"), opened(path) as backup:
        something = _something_there()
        if something and not replace:
            raise ServingError(
                "There is something in the app already. Restore into an empty data folder or "
                "database, or give --replace to keep what is there aside and put the backup in "
                "its place."
            )
        place = _in_postgresql if connection.vendor == "postgresql" else _beside_sqlite
        with place(f"before_{now:%Y%m%d_%H%M%S}", something) as (using, aside):
            counts = _fill(backup, using, progress, path)
    return Restored(
        jobs=counts["rows/jobs.storedjob.jsonl"], made_at=backup.manifest.made_at, aside=aside
    )


def _something_there() -> bool:
    """Whether the database holds accounts or jobs, of whatever version."""
    tables = connection.introspection.table_names()
    with connection.cursor() as cursor:
        for table in {"people_person", "jobs_storedjob"} & set(tables):
            cursor.execute(f"SELECT 1 FROM {table} LIMIT 1")
            if cursor.fetchone():
                return True
    return False


@contextmanager
def _in_postgresql(aside: str, something: bool) -> Iterator[tuple[str, str | None]]:
    """Our own schema, emptied; what was in it goes into one of another name."""
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SELECT current_schema()")
            name = connection.ops.quote_name(cursor.fetchone()[0])
            cursor.execute(f"ALTER SCHEMA {name} RENAME TO {aside}")
            cursor.execute(f"CREATE SCHEMA {name}")
            if not something:
                cursor.execute(f"DROP SCHEMA {aside} CASCADE")
        yield connection.alias, f"the database's schema {aside}" if something else None


@contextmanager
def _beside_sqlite(aside: str, something: bool) -> Iterator[tuple[str, str | None]]:
    """A new database file, which takes the place of ours at the end."""
    ours = Path(settings.DATABASES["default"]["NAME"])
    new, kept = ours.with_name(f"{_NEW}.sqlite3"), ours.with_name(f"{aside}.sqlite3")
    new.unlink(missing_ok=True)  # of a run that was cut off
    try:
        with other_sqlite(_NEW, new):
            yield _NEW, str(kept) if something else None
            _in_one_file(connections[_NEW])
        _in_one_file(connection)
        connection.close()
        if something:
            os.link(ours, kept)
        os.replace(new, ours)
    finally:
        for leftover in ("", "-wal", "-shm"):
            new.with_name(new.name + leftover).unlink(missing_ok=True)


def _in_one_file(database: Any) -> None:
    """All of a SQLite database in its file, so that no log beside it is taken for another's."""
    with database.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        cursor.execute("PRAGMA journal_mode=DELETE")
        if cursor.fetchone()[0] != "delete":
            raise ServingError(
                "The database is in use by another program. Stop it, then restore again."
            )


def _fill(backup: OpenBackup, using: str, progress: Progress, path: Path) -> dict[str, int]:
    """How many rows went into each model: at the backup's version, then brought up to ours."""
    database = connections[using]
    executor = MigrationExecutor(database)
    targets = _targets(executor, backup, path)
    database.disable_constraint_checking()
    try:
        with transaction.atomic(using=using):
            then = executor.migrate(targets).apps
            try:
                counts = _rows_of(backup, then, using, progress)
                database.check_constraints()
            except (ValueError, KeyError, ValidationError, DatabaseError) as error:
                raise ServingError(
                    f"{path} holds rows that do not fit its own version. Nothing was restored. "
                    f"Take another backup. The first that does not fit: {error}"
                ) from error
            _count_on(then, database)
            newest = MigrationExecutor(database)
            newest.migrate(newest.loader.graph.leaf_nodes())
    finally:
        database.enable_constraint_checking()
    return counts


def _targets(executor: MigrationExecutor, backup: OpenBackup, path: Path) -> list[tuple[str, str]]:
    """The last of our own migrations that the backup's database had."""
    graph = executor.loader.graph
    had = {m for m in backup.manifest.migrations if m[0] in OURS}
    if not had <= graph.nodes.keys():
        raise ServingError(
            f"{path} was made by a newer version ({backup.manifest.made_by}). Install that version "
            "or a newer one."
        )
    return sorted(m for m in had if not any(c.key in had and c.key[0] == m[0]
                                            for c in graph.node_map[m].children))  # fmt: skip


def _rows_of(backup: OpenBackup, then: Any, using: str, progress: Progress) -> dict[str, int]:
    models = [m for m in kept_models(then) if name_of(m) in backup.manifest.files]
    counts = {}
    for number, model in enumerate(models):
        progress(number, len(models), str(model._meta.verbose_name_plural))
        with backup.archive.open(name_of(model)) as lines:
            counts[name_of(model)] = rows_in(model, lines, using)
    return counts


def _count_on(then: Any, database: Any) -> None:
    """New rows get numbers after those that were put back."""
    with database.cursor() as cursor:
        for order in database.ops.sequence_reset_sql(no_style(), kept_models(then)):
            cursor.execute(order)
