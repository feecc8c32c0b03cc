"""A backup file, checked before anything is done with it."""

import hashlib
import json
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, ConfigDict, ValidationError

from pathproof.terms import ServingError
from pathproof.web.backup.writing import FORMAT, FORMAT_VERSION, MANIFEST

_PIECE: Final = 2**20
_LARGEST_MANIFEST: Final = 2**20


class Rows(BaseModel):
    """What the manifest says of one model's rows."""

    rows: int
    sha256: str


class Manifest(BaseModel):
    """What a backup says of itself."""

    model_config = ConfigDict(extra="ignore")

    made_at: str
    made_by: str
    migrations: list[tuple[str, str]]
    files: dict[str, Rows]


class OpenBackup:
    """A backup file whose every byte is as it was written."""

    def __init__(self, archive: zipfile.ZipFile, manifest: Manifest) -> None:
        self.archive = archive
        self.manifest = manifest


@contextmanager
def opened(path: Path) -> Iterator[OpenBackup]:
    """The backup in a file.

    Raises
    ------
    ServingError
        It is none, is damaged, or was made by a newer version.
    OSError
        It cannot be read.
    """
    try:
        archive = zipfile.ZipFile(path)
    except zipfile.BadZipFile as error:
        raise _damaged(path) from error
    with archive:
        try:
            manifest = _manifest(archive, path)
            _check_hashes(archive, manifest, path)
        except (KeyError, zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError) as error:
            raise _damaged(path) from error
        yield OpenBackup(archive, manifest)


def _manifest(archive: zipfile.ZipFile, path: Path) -> Manifest:
    if archive.getinfo(MANIFEST).file_size > _LARGEST_MANIFEST:
        raise _damaged(path)
    try:
        given: Any = json.loads(archive.read(MANIFEST))
    except ValueError as error:
        raise _damaged(path) from error
    if not isinstance(given, dict) or given.get("format") != FORMAT:
        raise _damaged(path)
    if given.get("format_version") != FORMAT_VERSION:
        raise ServingError(
            f"{path} is a backup of version {given.get('format_version')}; this Pathproof reads "
            f"version {FORMAT_VERSION}. Install the version that made it, or a newer one."
        )
    try:
        return Manifest.model_validate(given)
    except ValidationError as error:
        raise _damaged(path) from error


def _check_hashes(archive: zipfile.ZipFile, manifest: Manifest, path: Path) -> None:
    for name, rows in manifest.files.items():
        digest = hashlib.sha256()
        with archive.open(name) as member:
            while piece := member.read(_PIECE):
                digest.update(piece)
        if digest.hexdigest() != rows.sha256:
            raise _damaged(path)


def _damaged(path: Path) -> ServingError:
    return ServingError(
        f"{path} is no backup of Pathproof, or it is damaged. Nothing was restored. Take another "
        "copy of it, or an older backup."
    )
