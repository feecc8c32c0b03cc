"""The library: catalogue, constructions, profiles and retirements, as shipped and as the user adds.

They are TOML files: `catalogue*.toml` with `[[part]]` entries, `constructions*.toml` with one
table a construction, `profile_*.toml` with one profile each, `retirements*.toml` with
`[[retirement]]` rows.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Self

from pydantic import TypeAdapter, ValidationError, model_validator

from pathproof.job._model import Model
from pathproof.job._problems import Problems, explain
from pathproof.job.catalogue import Part
from pathproof.job.construction import Construction
from pathproof.job.profile import Profile
from pathproof.job.retirement import Retirement, given_twice
from pathproof.terms import JobError


class _Catalogue(Model):
    """A catalogue file."""

    part: list[Part] = []
    """Its entries."""

    @model_validator(mode="after")
    def _ids_once(self) -> Self:
        first: dict[str, int] = {}
        twice = [
            (f"part[{i}].id", f"{part.id!r} is already that of part[{first[part.id]}]")
            for i, part in enumerate(self.part)
            if first.setdefault(part.id, i) != i
        ]
        if twice:
            raise Problems(twice)
        return self


class _Retirements(Model):
    """A retirements file."""

    retirement: list[Retirement] = []
    """Its rows."""

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        twice = given_twice(self.retirement, "retirement")
        if twice:
            raise Problems(twice)
        return self


_CONSTRUCTIONS: TypeAdapter[dict[str, Construction]] = TypeAdapter(dict[str, Construction])


@dataclass(frozen=True, kw_only=True)
class Library:
    """Parts, constructions and profiles by id, retirements by what they speak for."""

    parts: Mapping[str, Part] = field(default_factory=dict)
    constructions: Mapping[str, Construction] = field(default_factory=dict)
    profiles: Mapping[str, Profile] = field(default_factory=dict)
    retirements: Mapping[str, Retirement] = field(default_factory=dict)

    def with_folder(self, folder: Path) -> "Library":
        """This library with a user's own TOML files on top; theirs win."""
        return _read(self, files_in(folder))

    def profile(self, profile_id: str) -> Profile:
        """A profile with everything filled in that its bases say.

        Raises
        ------
        JobError
            There is no such profile, or its bases go in a circle.
        """
        chain: list[Profile] = []
        wanted: str | None = profile_id
        while wanted is not None:
            if wanted not in self.profiles:
                known = ", ".join(sorted(self.profiles))
                for_whom = f", the base of {chain[-1].id!r}" if chain else ""
                raise JobError(f"There is no profile {wanted!r}{for_whom}. Known: {known}.")
            if any(p.id == wanted for p in chain):
                raise JobError(f"The bases of profile {profile_id!r} go in a circle.")
            chain.append(self.profiles[wanted])
            wanted = chain[-1].base
        limits = {name: limit for p in reversed(chain) for name, limit in p.limits.items()}
        flags: dict[str, bool] = {
            name: getattr(p, name)
            for p in reversed(chain)
            for name in ("all_paths", "alarm_within_standby")
            if name in p.model_fields_set
        }
        return chain[0].model_copy(update={**flags, "limits": limits, "base": None})


def files_in(folder: Path) -> dict[str, bytes]:
    """The files of a library in a folder, by their names."""
    return {path.name: path.read_bytes() for path in sorted(folder.glob("*.toml"))}


@cache
def shipped_files() -> Mapping[str, bytes]:
    """The files of the library that comes with Pathproof, by their names."""
    folder = files("pathproof.job") / "data"
    return {f.name: f.read_bytes() for f in folder.iterdir() if f.name.endswith(".toml")}


@cache
def shipped() -> Library:
    """The library that comes with Pathproof."""
    return _read(Library(), shipped_files())


def _read(below: Library, contents: Mapping[str, bytes]) -> Library:
    """A library with what TOML files hold, by their names, on top."""
    parts, constructions = dict(below.parts), dict(below.constructions)
    profiles, retirements = dict(below.profiles), dict(below.retirements)
    came_from: dict[str, str] = {}
    for name, content in sorted(contents.items()):
        data = _toml(name, content)
        try:
            if name.startswith("catalogue"):
                parts.update({p.id: p for p in _Catalogue.model_validate(data).part})
            elif name.startswith("constructions"):
                constructions.update(_CONSTRUCTIONS.validate_python(data))
            elif name.startswith("retirements"):
                rows = _Retirements.model_validate(data).retirement
                retirements.update({row.key: row for row in rows})
            elif name.startswith("profile_"):
                profile = Profile.model_validate(data)
                profiles[profile.id] = profile
                came_from[profile.id] = name
            else:
                raise JobError(
                    f"{name} is not a file of the library: their names begin with catalogue, "
                    "constructions, retirements or profile_. Rename it, or put it into another "
                    "folder."
                )
        except ValidationError as error:
            raise JobError(f"{name} cannot be used:\n{explain(error, data)}") from error
    library = Library(
        parts=parts, constructions=constructions, profiles=profiles, retirements=retirements
    )
    _check_bases(library, came_from)
    return library


def _check_bases(library: Library, came_from: Mapping[str, str]) -> None:
    for profile_id, name in came_from.items():
        try:
            library.profile(profile_id)
        except JobError as error:
            raise JobError(f"{name} cannot be used: profile {profile_id!r}: {error}") from error


def _toml(name: str, content: bytes) -> dict[str, Any]:
    try:
        return tomllib.loads(content.decode("utf-8"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise JobError(f"{name} is not a TOML file in UTF-8: {error}.") from error
