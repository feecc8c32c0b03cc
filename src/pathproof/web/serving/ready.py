"""Database and browser files as this version wants them, made so before anything is served."""

import hashlib
from pathlib import Path
from typing import Final

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.db import OperationalError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from pathproof.job import write_atomically
from pathproof.terms import ServingError

_STAMP: Final = "static.stamp"


def make_ready() -> None:
    """Bring the database up to this version and lay out the browser files, where needed.

    Raises
    ------
    ServingError
        A newer version has been here, or the database does not answer.
    """
    try:
        migrate()
    except OperationalError as error:
        raise ServingError(
            f"The database does not answer: {str(error).strip()}. Check that it runs and that its "
            "address is right."
        ) from error
    collect()


def migrate() -> bool:
    """Whether the database had to be changed: all that is missing is done at once or not at all."""
    refuse_newer()
    executor = MigrationExecutor(connection)
    if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
        return False
    connection.disable_constraint_checking()  # SQLite cannot change tables with them, and says so
    try:
        with transaction.atomic():
            call_command("migrate", verbosity=0, interactive=False)
    finally:
        connection.enable_constraint_checking()
    return True


def refuse_newer() -> None:
    """Nothing, where this version knows everything that was ever done to the database.

    Raises
    ------
    ServingError
        A newer version has changed it.
    """
    loader = MigrationExecutor(connection).loader
    unknown = sorted(f"{app}.{name}" for app, name in loader.applied_migrations.keys()
                     - loader.disk_migrations.keys())  # fmt: skip
    if unknown:
        raise ServingError(
            f"A newer Pathproof has worked with this database ({', '.join(unknown)}). Install that "
            "version or a newer one, or restore a backup that this version made."
        )


def collect() -> bool:
    """Whether the browser files had to be laid out anew; files of before stay for open pages."""
    stamp = Path(settings.DATA) / _STAMP
    wanted = _digest()
    if stamp.is_file() and stamp.read_text() == wanted:
        return False
    stamp.unlink(missing_ok=True)
    call_command("collectstatic", verbosity=0, interactive=False)
    write_atomically(stamp, wanted.encode())
    return True


def _digest() -> str:
    """One hash of all files that browsers get."""
    digest = hashlib.sha256(str(settings.STATIC_ROOT).encode())
    for finder in get_finders():
        for name, storage in finder.list([]):
            with storage.open(name) as file:
                digest.update(f"{name}\0".encode() + hashlib.sha256(file.read()).digest())
    return digest.hexdigest()
