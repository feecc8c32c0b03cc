"""Plans that were sent in, kept between sending and accepting them.

`start_import` is what other pages call: it keeps what was sent and gives the address that goes on
with it. What nobody accepts is thrown away after a day, or with its job.
"""

import json
import re
import secrets
import shutil
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Any, Final
from uuid import UUID

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.urls import reverse
from django.utils.text import get_valid_filename

from pathproof.job import Job
from pathproof.plans import PlanImport, import_dxf_apart, import_ifc_apart, merge_plan
from pathproof.plans.picture import Picture, read_picture_apart
from pathproof.terms import JobError, PlanError
from pathproof.web.jobs._recent import Recent
from pathproof.web.works import WAIT_S, Progress, forget, result_of

LARGEST_BYTES: Final = 150_000_000
"""Of all files sent at once; each reader has a limit of its own. [byte]"""
MOST_FILES: Final = 20
KEPT_S: Final = 86_400.0
SUFFIXES: Final = {
    ".ifc": "ifc",
    ".dxf": "dxf",
    **dict.fromkeys(
        (".pdf", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".gif", ".webp"), "picture"
    ),
}
"""Which reader a file goes to; whether it is such a file, the reader finds out."""

_ABOUT: Final = "about.json"
_TOKEN: Final = re.compile(r"[0-9a-f]{32}")
_PLANS: Final[Recent[tuple[str, str], PlanImport]] = Recent(most=4)
_PICTURES: Final[Recent[tuple[str, int | None], Picture]] = Recent(most=2)


@dataclass(frozen=True, kw_only=True)
class Upload:
    """What was sent for one job."""

    token: str
    kind: str
    """ifc, dxf or picture."""
    files: tuple[Path, ...]


def start_import(job_id: UUID, files: Sequence[UploadedFile]) -> str:
    """Keep what was sent for a job; gives the address of the page that goes on with it.

    Raises
    ------
    PlanError
        No file, too many or too large, or kinds that do not go together.
    """
    kind = _kind_of(files)
    sweep()
    token = secrets.token_hex(16)
    folder = _folder() / token
    folder.mkdir(mode=0o700)
    names = _names_of(files)
    about = {"job": str(job_id), "kind": kind, "files": names}
    (folder / _ABOUT).write_text(json.dumps(about))  # first, so that all of it goes with the job
    for name, file in zip(names, files, strict=True):
        with (folder / name).open("wb") as kept:
            for chunk in file.chunks():
                kept.write(chunk)
    return reverse("survey:look", args=[job_id, token])


def _names_of(files: Sequence[UploadedFile]) -> list[str]:
    """Names to keep the files under, each once."""
    names: list[str] = []
    for number, file in enumerate(files):
        given = get_valid_filename(PurePath(file.name or "plan").name[-80:])
        names.append(given if given not in [*names, _ABOUT] else f"{number + 1}-{given}")
    return names


def upload_of(job_id: UUID, token: str) -> Upload | None:
    """What was sent for a job under that name; none where it is gone or of another job."""
    if not _TOKEN.fullmatch(token):
        return None
    folder = _folder() / token
    try:
        about: dict[str, Any] = json.loads((folder / _ABOUT).read_text())
    except (FileNotFoundError, NotADirectoryError):
        return None
    if about["job"] != str(job_id):
        return None
    files = tuple(folder / name for name in about["files"])
    return Upload(token=token, kind=about["kind"], files=files)


def throw_away(token: str) -> None:
    """Keep nothing of it any longer."""
    shutil.rmtree(_folder() / token, ignore_errors=True)
    _PLANS.drop(lambda key: key[0] == token)
    _PICTURES.drop(lambda key: key[0] == token)
    forget(lambda key: isinstance(key, tuple) and token in key)


def read_plan(upload: Upload, options: dict[str, Any], *, wait_s: float = WAIT_S) -> PlanImport:
    """The plan in an upload, read once for each set of options.

    Raises
    ------
    StillWorkingError
        It takes longer; ask again.
    PlanError
        It cannot be read, or something has to be said first.
    """
    key = (upload.token, repr(sorted(options.items())))
    known = _PLANS.seen(key)
    if known is not None:
        return known

    def work(progress: Progress) -> PlanImport:
        def tell(done: int, total: int, what: str) -> None:
            progress.say(what, done, total)

        if upload.kind == "dxf":
            return import_dxf_apart(upload.files, progress=tell, **options)
        return import_ifc_apart(upload.files[0], progress=tell)

    found = result_of(("plan", *key), "Reading the plan", work, wait_s=wait_s)
    _PLANS.put(key, found)
    return found


def read_sheet(upload: Upload, page: int | None, *, wait_s: float = WAIT_S) -> Picture:
    """The picture in an upload, or a page of its PDF.

    Raises
    ------
    StillWorkingError, PlanError
        As for `read_plan`.
    """
    key = (upload.token, page)
    known = _PICTURES.seen(key)
    if known is None:
        known = result_of(
            ("sheet", *key),
            "Reading the picture",
            lambda progress: read_picture_apart(upload.files[0], page),
            wait_s=wait_s,
        )
        _PICTURES.put(key, known)
    return known


def with_plan(job: Job, plan: PlanImport) -> Job:
    """The job with the plan in place of an earlier one.

    Raises
    ------
    JobError
        It does not fit what stands on the site.
    """
    try:
        return job.model_copy(update={"site": merge_plan(job.site, plan)})
    except PlanError as error:
        raise JobError(str(error)) from error


def _kind_of(files: Sequence[UploadedFile]) -> str:
    if not files:
        raise PlanError("No file was sent. Choose an IFC file, DXF files, a picture or a PDF.")
    total = sum(file.size or 0 for file in files)
    if len(files) > MOST_FILES or total > LARGEST_BYTES:
        raise PlanError(
            f"{len(files)} files of {total / 1e6:.0f} MB were sent; allowed: {MOST_FILES} files of "
            f"{LARGEST_BYTES / 1e6:.0f} MB together."
        )
    kinds = {SUFFIXES.get(PurePath(file.name or "").suffix.lower(), "") for file in files}
    if kinds == {"dxf"} or (len(files) == 1 and "" not in kinds):
        return kinds.pop()
    names = ", ".join(str(file.name) for file in files[:4])
    raise PlanError(
        f"Sent: {names}. Allowed: one IFC file; DXF files, one for each storey; or one picture "
        f"({', '.join(s for s, kind in SUFFIXES.items() if kind == 'picture')})."
    )


def _folder() -> Path:
    folder: Path = settings.DATA / "plans"
    folder.mkdir(mode=0o700, exist_ok=True)
    return folder


def throw_away_of(job_id: UUID) -> None:
    """Keep nothing of what was sent for a job."""
    for folder in _folder().iterdir():
        if _job_of(folder) == str(job_id):
            throw_away(folder.name)


def _job_of(folder: Path) -> str | None:
    """The job that something was sent for; none where it is gone or was cut off."""
    try:
        job: str = json.loads((folder / _ABOUT).read_text())["job"]
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return None
    return job


def sweep() -> None:
    """Throw away what nobody accepted within a day."""
    for folder in _folder().iterdir():
        try:
            old = time.time() - folder.stat().st_mtime > KEPT_S
        except FileNotFoundError:  # somebody accepted it just now
            continue
        if old:
            throw_away(folder.name)
