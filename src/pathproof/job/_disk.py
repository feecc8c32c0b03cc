"""Files written whole or not at all, by one writer at a time, with what they replace kept."""

import os
import secrets
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path

if sys.platform != "win32":
    import fcntl


def write_atomically(path: Path, content: bytes) -> None:
    """Write a file whole or not at all; a file that is replaced keeps its permissions.

    Raises
    ------
    OSError
        It cannot be written; the error names the file itself, never the temporary one.
    """
    try:
        _write_beside(Path(os.path.realpath(path)), content)  # a link stays a link
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error


def _write_beside(target: Path, content: bytes) -> None:
    temporary = target.with_name(f".{secrets.token_hex(8)}.tmp")
    handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    try:
        with os.fdopen(handle, "wb") as file:
            if target.exists():
                os.chmod(temporary, target.stat().st_mode & 0o777)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, target)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise


@contextmanager
def one_writer(folder: Path) -> Iterator[None]:
    """Others who save into the folder wait, where the system can make them."""
    if sys.platform == "win32":
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        with suppress(OSError):  # some network folders know no locks
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def keep_revision(path: Path, revision: int) -> None:
    """Keep a file's content beside it in `<name>.revisions/`; nothing kept is ever overwritten."""
    content = path.read_bytes()
    folder = path.with_name(f"{path.stem}.revisions")
    folder.mkdir(exist_ok=True)
    for again in count(1):
        suffix = "" if again == 1 else f"-{again}"
        kept = folder / f"{path.stem}.r{revision:04d}{suffix}.json"
        if not kept.exists():
            write_atomically(kept, content)
            return
        if kept.read_bytes() == content:
            return
