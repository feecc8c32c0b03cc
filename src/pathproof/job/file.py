"""The job file: one JSON file with site, record and everything they refer to."""

import hashlib
import json
import os
import tempfile
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Any, Literal, NoReturn, Self

from pydantic import Field, StringConstraints, ValidationError, model_validator

from pathproof.job._model import Id, Model
from pathproof.job._problems import explain
from pathproof.job.catalogue import Part
from pathproof.job.construction import Construction
from pathproof.job.library import Library, shipped
from pathproof.job.profile import Profile
from pathproof.job.record import Entry
from pathproof.job.site import Site
from pathproof.terms import JobError, NewerFormatError

FORMAT = "pathproof-job"
FORMAT_VERSION = 1
MAX_BYTES = 64 * 2**20
"""Larger files are not job files; the largest sensible one has a few MB."""


class Embedded(Model):
    """What site and record refer to, so that the file can be opened anywhere and years later."""

    catalogue: dict[Id, Part] = {}
    """Catalogue entries by id."""
    constructions: dict[Id, Construction] = {}
    """Constructions from the library by id."""
    profile: Profile | None = None
    """The profile the site is judged by, with its bases filled in."""


class Job(Model):
    """A job file."""

    format: Literal["pathproof-job"] = "pathproof-job"
    """Always pathproof-job."""
    format_version: Literal[1] = 1
    """Version of the format."""
    revision: Annotated[int, Field(ge=0)] = 0
    """Counts saves."""
    hash: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")] | None = None
    """SHA-256 of the content as saved; none before the first save."""
    site: Site
    """What is there and what is intended."""
    record: list[Entry] = []
    """What happened."""
    embedded: Embedded = Embedded()
    """What site and record refer to."""

    @model_validator(mode="after")
    def _record_is_sound(self) -> Self:
        seen: set[str] = set()
        for i, entry in enumerate(self.record):
            if entry.id in seen:
                raise ValueError(f"record[{i}].id: {entry.id!r} is used twice")
            if entry.replaces is not None and entry.replaces not in seen:
                raise ValueError(
                    f"record[{i}].replaces: there is no earlier entry {entry.replaces!r}"
                )
            seen.add(entry.id)
        return self

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


def embed(job: Job, library: Library | None = None) -> Job:
    """The job with exactly those entries embedded that it refers to.

    Entries already embedded stay as they are; only missing ones come from the library.

    Raises
    ------
    JobError
        A part, construction or profile is in neither; the message names the place and the nearest
        known names.
    """
    library = library or shipped()
    parts = {**library.parts, **job.embedded.catalogue}
    constructions = {**library.constructions, **job.embedded.constructions}
    problems = [
        *_kind_problems(job.site, parts),
        *(
            _unknown(path, "construction", wanted, {**constructions, **job.site.constructions})
            for path, wanted in _constructions_used(job.site)
            if wanted not in constructions and wanted not in job.site.constructions
        ),
    ]
    if problems:
        raise JobError("The job cannot be used:\n" + "\n".join(f"  {p}" for p in problems[:10]))
    profile = job.embedded.profile
    if profile is None or profile.id != job.site.profile:
        profile = library.profile(job.site.profile)
    return job.model_copy(
        update={
            "embedded": Embedded(
                catalogue={i: parts[i] for i in sorted({p for _, p, _ in _parts_used(job.site)})},
                constructions={
                    i: constructions[i]
                    for i in sorted({c for _, c in _constructions_used(job.site)})
                    if i not in job.site.constructions
                },
                profile=profile,
            )
        }
    )


def parse_job(text: str | bytes, library: Library | None = None, name: str = "the file") -> Job:
    """The job in a JSON text, with everything it refers to embedded.

    Raises
    ------
    NewerFormatError
        Written by a newer Pathproof.
    JobError
        Not a job file; the message says where, what was given and what is allowed.
    """
    data = _json_object(text, name)
    if data.get("format") != FORMAT:
        raise JobError(f'{name} is not a job file: it has no "format": "{FORMAT}".')
    version = data.get("format_version")
    if isinstance(version, int) and version > FORMAT_VERSION:
        raise NewerFormatError(
            f"{name} has format version {version} and was written by a newer Pathproof; this one "
            f"reads version {FORMAT_VERSION}. Update Pathproof, then open it again."
        )
    try:
        job = Job.model_validate_json(text)
    except ValidationError as error:
        raise JobError(f"{name} cannot be used:\n{explain(error)}") from error
    return embed(job, library)


def read_job(path: Path, library: Library | None = None) -> Job:
    """The job in a file; see `parse_job`."""
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise JobError(
                f"{path} has {size / 2**20:.0f} MB; a job file has at most "
                f"{MAX_BYTES // 2**20} MB. Is it a plan? Use: pathproof import."
            )
        text = path.read_bytes()
    except OSError as error:
        raise JobError(f"{path} cannot be read: {error.strerror}.") from error
    return parse_job(text, library, str(path))


def content_hash(job: Job) -> str:
    """SHA-256 of the job's canonical JSON, without the hash and fields at their default."""
    data = job.model_dump(mode="json", exclude={"hash"}, exclude_defaults=True)
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
        Somebody else saved the file since this job was read, or it cannot be written.
    """
    if path.exists():
        on_disk = read_job(path, library)
        if on_disk.revision != job.revision:
            raise JobError(
                f"{path} is at revision {on_disk.revision}, this change was made on revision "
                f"{job.revision}. Nothing was saved; read it again and repeat the change."
            )
    saved = embed(job, library).model_copy(update={"revision": job.revision + 1, "hash": None})
    saved = saved.model_copy(update={"hash": content_hash(saved)})
    try:
        _keep_old_revision(path, job.revision)
        write_atomically(path, dump_job(saved).encode())
    except OSError as error:
        raise JobError(f"{path} cannot be written: {error.strerror}. Nothing was saved.") from error
    return saved


def write_atomically(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, _mode_for(path))
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def _mode_for(path: Path) -> int:
    if path.exists():
        return path.stat().st_mode & 0o777
    umask = os.umask(0)
    os.umask(umask)
    return 0o666 & ~umask


def _keep_old_revision(path: Path, revision: int) -> None:
    if not path.exists():
        return
    folder = path.with_name(f"{path.stem}.revisions")
    folder.mkdir(exist_ok=True)
    write_atomically(folder / f"{path.stem}.r{revision:04d}.json", path.read_bytes())


def _json_object(text: str | bytes, name: str) -> dict[str, Any]:
    def refuse(constant: str) -> NoReturn:
        raise JobError(f"{name} holds {constant}, which is not a number. Give a finite number.")

    try:
        data = json.loads(text, parse_constant=refuse)
    except UnicodeDecodeError as error:
        raise JobError(f"{name} is not text in UTF-8, so it is not a job file.") from error
    except (json.JSONDecodeError, RecursionError) as error:
        raise JobError(f"{name} is not JSON: {error}. Is it cut short?") from error
    if not isinstance(data, dict):
        raise JobError(f"{name} is not a job file: it does not hold a JSON object.")
    return data


def _parts_used(site: Site) -> list[tuple[str, str, str]]:
    """Place in the file, part id, kind wanted."""
    used: list[tuple[str, str, str]] = []
    if site.panel is not None:
        used.append(("site.panel.part", site.panel.part, "panel"))
    used += [(f"site.devices[{i}].part", d.part, "detector") for i, d in enumerate(site.devices)]
    used += [
        (f"site.repeaters[{i}].part", r.part, "repeater") for i, r in enumerate(site.repeaters)
    ]
    for i, c in enumerate(site.communicators):
        used.append((f"site.communicators[{i}].part", c.part, "communicator"))
        if c.antenna is not None:
            used.append((f"site.communicators[{i}].antenna", c.antenna, "antenna"))
        if c.feeder is not None:
            used.append((f"site.communicators[{i}].feeder.part", c.feeder.part, "feeder"))
    if site.supply is not None:
        used.append(("site.supply.part", site.supply.part, "supply"))
    if site.battery is not None:
        used.append(("site.battery.part", site.battery.part, "battery"))
    used += [(f"site.cables[{i}].part", c.part, "cable") for i, c in enumerate(site.cables)]
    return used


def _constructions_used(site: Site) -> list[tuple[str, str]]:
    used: list[tuple[str, str]] = []
    for i, wall in enumerate(site.walls):
        used.append((f"site.walls[{i}].construction", wall.construction))
        used += [
            (f"site.walls[{i}].openings[{j}].construction", o.construction)
            for j, o in enumerate(wall.openings)
            if o.construction is not None
        ]
    for i, floor in enumerate(site.floors):
        used += [
            (f"site.floors[{i}].slabs[{j}].construction", s.construction)
            for j, s in enumerate(floor.slabs)
        ]
    betweens = [
        *((f"site.devices[{i}].between", d.between) for i, d in enumerate(site.devices)),
        *(
            (f"site.devices[{i}].between_repeaters.{r}", b)
            for i, d in enumerate(site.devices)
            for r, b in d.between_repeaters.items()
        ),
        *((f"site.repeaters[{i}].between", r.between) for i, r in enumerate(site.repeaters)),
    ]
    for path, between in betweens:
        if between is not None:
            used += [(f"{path}.walls", c) for c in between.walls]
            if between.floor_construction is not None:
                used.append((f"{path}.floor_construction", between.floor_construction))
    return used


def _kind_problems(site: Site, parts: dict[str, Part]) -> list[str]:
    problems = []
    for path, wanted, kind in _parts_used(site):
        if wanted not in parts:
            of_kind = {i: p for i, p in parts.items() if p.kind == kind}
            problems.append(_unknown(path, f"{kind} in the catalogue", wanted, of_kind))
        elif parts[wanted].kind != kind:
            problems.append(f"{path}: {wanted!r} is a {parts[wanted].kind}, a {kind} is wanted")
    return problems


def _unknown(path: str, what: str, wanted: str, known: dict[str, Any]) -> str:
    near = get_close_matches(wanted, known, n=3, cutoff=0.4) or sorted(known)[:5]
    hint = f"; nearest: {', '.join(near)}" if near else ""
    return f"{path}: there is no {what} called {wanted!r}{hint}"
