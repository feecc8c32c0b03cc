"""The job file: one JSON file with site, record and everything they refer to."""

import hashlib
import json
import operator
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import Field, PrivateAttr, ValidationError, model_validator

from pathproof.job._disk import keep_revision, one_writer, write_atomically
from pathproof.job._json import json_object
from pathproof.job._model import Model, Sha256
from pathproof.job._problems import Problems, explain, short
from pathproof.job.catalogue import Part
from pathproof.job.construction import Construction
from pathproof.job.embedded import Embedded, completed
from pathproof.job.library import Library, shipped
from pathproof.job.profile import Profile
from pathproof.job.record import Entry
from pathproof.job.site import Site
from pathproof.terms import JobError, NewerFormatError

FORMAT = "pathproof-job"
FORMAT_VERSION = 1
MAX_BYTES = 64 * 2**20
"""Larger files are not job files; the largest sensible one has a few MB."""

LAST_REVISION = 2_000_000_000
"""No job is saved so often; stores keep the number in 32 bits."""


@dataclass(frozen=True)
class _AsRead:
    """What a job's file held when the job was read from it or saved to it."""

    content_hash: str | None = field(default=None, compare=False)
    """None for a job that was made, not read. Jobs that say the same are equal either way."""
    changed_outside: bool = False


class Job(Model):
    """A job file."""

    format: Literal["pathproof-job"] = "pathproof-job"
    """Always pathproof-job."""
    format_version: Literal[1] = 1
    """Version of the format."""
    revision: Annotated[int, Field(ge=0, le=LAST_REVISION)] = 0
    """Counts saves."""
    hash: Sha256 | None = None
    """SHA-256 of the content as saved; none before the first save."""
    site: Site
    """The site: what is there and what is intended."""
    record: list[Entry] = []
    """What happened."""
    embedded: Embedded = Embedded()
    """What site and record refer to."""

    _as_read: _AsRead = PrivateAttr(default=_AsRead())

    @model_validator(mode="after")
    def _record_is_sound(self) -> Self:
        problems = [*_repeated(self.record), *unsound_corrections(self.record)]
        if problems:
            raise Problems(problems)
        return self

    @property
    def changed_outside(self) -> bool:
        """Whether its file was changed by something else than a save, so that its hash is wrong."""
        return self._as_read.changed_outside

    def part(self, part_id: str) -> Part:
        """The catalogue entry of that id."""
        return self.embedded.catalogue[part_id]

    def construction(self, construction_id: str) -> Construction:
        """The site's construction of that id, or the library's."""
        own = self.site.constructions.get(construction_id)
        return own if own is not None else self.embedded.constructions[construction_id]

    @property
    def profile(self) -> Profile:
        """The profile the site is judged by."""
        if self.embedded.profile is None:
            raise JobError("This job holds no profile; read it with a library.")
        return self.embedded.profile


def _repeated(record: list[Entry]) -> list[tuple[str, str]]:
    first: dict[str, int] = {}
    problems = []
    for i, entry in enumerate(record):
        if first.setdefault(entry.id, i) != i:
            problems.append(
                (f"record[{i}].id", f"{entry.id!r} is already that of record[{first[entry.id]}]")
            )
    return problems


def unsound_corrections(record: Sequence[Entry]) -> list[tuple[str, str]]:
    """Corrections of nothing, of another kind, made twice or in a circle, by their place.

    The order of entries in the file does not matter.
    """
    problems = [*_wrongly_replaced(record)]
    replaces = {entry.id: entry.replaces for entry in record}
    sound: set[str] = set()
    for i, entry in enumerate(record):
        way: set[str] = set()
        at: str | None = entry.id
        while at is not None and at not in sound and at not in way:
            way.add(at)
            at = replaces.get(at)
        if at in way:
            problems.append(
                (f"record[{i}].replaces", "goes in a circle; an entry corrects another")
            )
        sound |= way
    return problems


def _wrongly_replaced(record: Sequence[Entry]) -> Iterator[tuple[str, str]]:
    kinds = {entry.id: entry.kind for entry in record}
    corrected_by: dict[str, str] = {}
    for i, entry in enumerate(record):
        replaced = entry.replaces
        if replaced is None:
            continue
        place = f"record[{i}].replaces"
        if replaced not in kinds:
            yield place, f"there is no entry {replaced!r}"
        elif kinds[replaced] != entry.kind:
            yield (
                place,
                f"{replaced!r} is of kind {kinds[replaced]} and this entry of kind {entry.kind}; "
                "an entry replaces one of its own kind",
            )
        elif corrected_by.setdefault(replaced, entry.id) != entry.id:
            yield (
                place,
                f"{replaced!r} is already replaced by {corrected_by[replaced]!r}; replace that one",
            )


def embed(job: Job, library: Library | None = None, name: str = "The job") -> Job:
    """The job with exactly those entries embedded that it refers to.

    Entries already embedded stay as they are; only missing ones come from the library, and
    retirements that the library knows better.

    Raises
    ------
    JobError
        A part, construction or profile is in neither; the message names the place and the nearest
        known names.
    """
    embedded = completed(job.site, job.record, job.embedded, library or shipped(), name)
    return job.model_copy(update={"embedded": embedded})


def parse_job(text: str | bytes, library: Library | None = None, name: str = "the file") -> Job:
    """The job in a JSON text, with everything it refers to embedded.

    Raises
    ------
    NewerFormatError
        Written by a newer Pathproof.
    JobError
        Not a job file; the message says where, what was given and what is allowed.
    """
    return embed(as_it_stands(text, name), library, name)


def read_job(path: Path, library: Library | None = None) -> Job:
    """The job in a file; see `parse_job`."""
    return parse_job(_content(path), library, str(path))


def content_hash(job: Job) -> str:
    """SHA-256 of the job's canonical JSON, without the hash and fields at their default.

    The order of record entries means nothing, so they go in by id.
    """
    data = job.model_dump(mode="json", exclude={"hash"}, exclude_defaults=True)
    data.get("record", []).sort(key=operator.itemgetter("id"))
    canonical = json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()


def dump_job(job: Job) -> str:
    """The job as the JSON text of a file; fields at their default are left out."""
    data = job.model_dump(mode="json", exclude_defaults=True)
    head = {"format": FORMAT, "format_version": FORMAT_VERSION}
    return json.dumps({**head, **data}, indent=1, ensure_ascii=False) + "\n"


def write_job(path: Path, job: Job, library: Library | None = None) -> Job:
    """Save a job as its next revision and return it as saved.

    The write is atomic. The revision it replaces is kept beside it in `<name>.revisions/`.

    Raises
    ------
    JobError
        Somebody else saved or changed the file since this job was read, the job is not sound, or
        the file cannot be written.
    """
    try:
        with one_writer(path.parent):
            if path.exists():
                _refuse_if_stale(path, job)
            saved = _next_revision(job, library)
            if path.exists():
                keep_revision(path, job.revision)
            write_atomically(path, dump_job(saved).encode())
    except OSError as error:
        raise JobError(f"{path} cannot be written: {error.strerror}. Nothing was saved.") from error
    return saved


def _refuse_if_stale(path: Path, job: Job) -> None:
    on_disk = as_it_stands(_content(path), str(path))
    if on_disk.revision != job.revision:
        raise JobError(
            f"{path} is at revision {on_disk.revision}, this change was made on revision "
            f"{job.revision}. Nothing was saved; read it again and repeat the change."
        )
    if on_disk._as_read.content_hash != job._as_read.content_hash:
        raise JobError(
            f"{path} was changed since this job was read from it. Nothing was saved; read it again "
            "and repeat the change."
        )


def _next_revision(job: Job, library: Library | None) -> Job:
    """The job as it will be read again: changes made by copying are checked here."""
    complete = embed(job, library)
    text = dump_job(complete.model_copy(update={"revision": job.revision + 1, "hash": None}))
    saved = as_it_stands(text, "The changed job")
    return saved.model_copy(update={"hash": saved._as_read.content_hash})


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise JobError(f"{path} cannot be read: {error.strerror}.") from error
    if len(content) > MAX_BYTES:
        raise JobError(
            f"{path} has more than {MAX_BYTES // 2**20} MB, the most a job file has. "
            "Is it a plan? Use: pathproof import."
        )
    return content


def as_it_stands(content: str | bytes, name: str) -> Job:
    """The job in a JSON text with what it embeds itself, and nothing that was learnt since.

    Raises
    ------
    NewerFormatError, JobError
        As for `parse_job`.
    """
    text, data = json_object(content, name)
    _refuse_other_formats(data, name)
    try:
        job = Job.model_validate_json(text, strict=True)
    except ValidationError as error:
        raise JobError(f"{name} cannot be used:\n{explain(error, data)}") from error
    found = content_hash(job)
    job._as_read = _AsRead(found, changed_outside=job.hash not in (None, found))
    return job


def _refuse_other_formats(data: dict[str, Any], name: str) -> None:
    if data.get("format") != FORMAT:
        raise JobError(f'{name} is not a job file: it has no "format": "{FORMAT}".')
    version: Any = data.get("format_version")
    if type(version) in (int, float) and version > FORMAT_VERSION:
        raise NewerFormatError(
            f"{name} has format version {version} and was written by a newer Pathproof; this one "
            f"reads version {FORMAT_VERSION}. Update Pathproof, then open it again."
        )
    if type(version) is not int or version != FORMAT_VERSION:
        given = short(json.dumps(version)) if "format_version" in data else "nothing"
        raise JobError(
            f"{name} cannot be used:\n  format_version: given {given}; allowed: {FORMAT_VERSION}"
        )
