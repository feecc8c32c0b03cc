"""What a job embeds: catalogue entries, constructions, profile and retirements that it is about."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from difflib import get_close_matches
from typing import Any, Final, Self

from pydantic import model_validator

from pathproof.job._model import Id, Model
from pathproof.job._problems import Problems, listed, named
from pathproof.job.catalogue import Part
from pathproof.job.construction import Construction
from pathproof.job.library import Library
from pathproof.job.profile import Profile
from pathproof.job.record import Entry
from pathproof.job.retirement import Retirement, centre_key, given_twice, newer, part_key
from pathproof.job.site import UNKNOWN_FLOOR, Site
from pathproof.terms import JobError

CHOSEN_FROM: Final = ("communicator", "service", "antenna", "feeder")
"""Kinds of parts that a choice is made from."""


class Embedded(Model):
    """What site and record refer to, so that the file can be opened anywhere and years later."""

    catalogue: dict[Id, Part] = {}
    """Catalogue entries by id."""
    constructions: dict[Id, Construction] = {}
    """Constructions from the library by id."""
    profile: Profile | None = None
    """The profile the site is judged by, with its bases filled in."""
    retirements: list[Retirement] = []
    """When the site's networks and what stands behind its communicators end, as far as known."""

    @model_validator(mode="after")
    def _sound(self) -> Self:
        wrong = [
            (
                f"catalogue.{key}.id",
                f"given {part.id!r}; allowed: {key!r}, the name it stands under",
            )
            for key, part in self.catalogue.items()
            if part.id != key
        ]
        wrong += given_twice(self.retirements, "retirements")
        if wrong:
            raise Problems(wrong)
        return self


def completed(
    site: Site, record: Iterable[Entry], own: Embedded, library: Library, name: str
) -> Embedded:
    """Exactly those entries that site and record refer to.

    A job's own entries stay as they are; only missing ones, limits of its profile too, come from
    the library. Retirements do too where the job's own were looked at later.

    Raises
    ------
    JobError
        A part, construction or profile is in neither.
    """
    parts = {**library.parts, **own.catalogue}
    constructions = {**library.constructions, **own.constructions}
    profiles = dict(library.profiles)
    if own.profile is not None:
        profiles[own.profile.id] = _with_new_limits(own.profile, library)
    at_hand = {**constructions, **site.constructions}
    problems = [
        *_part_problems(site, parts),
        *(
            _unknown(path, "construction", wanted, at_hand)
            for path, wanted in _constructions_used(site)
            if wanted not in at_hand
        ),
    ]
    if site.profile not in profiles:
        problems.append(_unknown("site.profile", "profile", site.profile, profiles))
    if problems:
        told = [named(problem, {"site": site}) for problem in problems]
        raise JobError(f"{name} cannot be used:\n{listed(told)}")
    used = {p for _, p, _ in _parts_used(site)} | _instruments_used(record, parts)
    return Embedded(
        catalogue={i: parts[i] for i in sorted(used)},
        constructions={
            i: constructions[i]
            for i in sorted({c for _, c in _constructions_used(site)})
            if i not in site.constructions
        },
        profile=replace(library, profiles=profiles).profile(site.profile),
        retirements=_retirements_of(site, own.retirements, library.retirements),
    )


def _with_new_limits(own: Profile, library: Library) -> Profile:
    """A job's own profile with limits that it has none of, as when Pathproof learnt a new one."""
    if own.id not in library.profiles:
        return own
    known = library.profile(own.id).limits
    return own.model_copy(update={"limits": {**known, **own.limits}})


def _retirements_of(
    site: Site, own: Iterable[Retirement], known: Mapping[str, Retirement]
) -> list[Retirement]:
    """Rows about the site's networks, and about its communicators' parts and centres."""
    rows = dict(known) | {row.key: newer(row, known.get(row.key)) for row in own}
    behind = {part_key(part) for part in (*(c.part for c in site.communicators), *site.considered)}
    behind |= {centre_key(c.centre) for c in site.communicators}
    return [
        row
        for key, row in sorted(rows.items())
        if key in behind or any(row.covers(n.mcc_mnc) for n in site.networks)
    ]


def _parts_used(site: Site) -> list[tuple[str, str, tuple[str, ...]]]:
    """Place in the file, part id, kinds wanted."""
    used: list[tuple[str, str, tuple[str, ...]]] = []
    if site.panel is not None:
        used.append(("site.panel.part", site.panel.part, ("panel",)))
    used += [(f"site.devices[{i}].part", d.part, ("detector",)) for i, d in enumerate(site.devices)]
    used += [
        (f"site.repeaters[{i}].part", r.part, ("repeater",)) for i, r in enumerate(site.repeaters)
    ]
    for i, c in enumerate(site.communicators):
        used.append((f"site.communicators[{i}].part", c.part, ("communicator",)))
        if c.service is not None:
            used.append((f"site.communicators[{i}].service", c.service, ("service",)))
        if c.antenna is not None:
            used.append((f"site.communicators[{i}].antenna", c.antenna, ("antenna",)))
        if c.feeder is not None:
            used.append((f"site.communicators[{i}].feeder.part", c.feeder.part, ("feeder",)))
    if site.supply is not None:
        used.append(("site.supply.part", site.supply.part, ("supply",)))
    if site.battery is not None:
        used.append(("site.battery.part", site.battery.part, ("battery",)))
    used += [(f"site.cables[{i}].part", c.part, ("cable",)) for i, c in enumerate(site.cables)]
    used += [(f"site.considered[{i}]", part, CHOSEN_FROM) for i, part in enumerate(site.considered)]
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
        if not floor.slabs and any(f.elevation_m < floor.elevation_m for f in site.floors):
            used.append((f"site.floors[{i}].slabs", UNKNOWN_FLOOR))
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
            if between.floors:
                used.append((f"{path}.floor_construction", between.floor_construction))
    return used


def _instruments_used(record: Iterable[Entry], parts: Mapping[str, Part]) -> set[str]:
    named = {entry.instrument for entry in record}
    return {i for i in named if i in parts and parts[i].kind == "instrument"}


def _part_problems(site: Site, parts: Mapping[str, Part]) -> list[str]:
    problems = []
    for path, wanted, kinds in _parts_used(site):
        what = " or ".join(kinds)
        if wanted not in parts:
            of_kind = {i: p for i, p in parts.items() if p.kind in kinds}
            problems.append(_unknown(path, f"{what} in the catalogue", wanted, of_kind))
        elif parts[wanted].kind not in kinds:
            given = f"{wanted!r}, a part of kind {parts[wanted].kind}"
            problems.append(f"{path}: given {given}; allowed: parts of kind {what}")
    return problems


def _unknown(path: str, what: str, wanted: str, known: Mapping[str, Any]) -> str:
    near = get_close_matches(wanted, known, n=3, cutoff=0.4) or sorted(known)[:5]
    hint = f"; nearest: {', '.join(near)}" if near else ""
    return f"{path}: there is no {what} called {wanted!r}{hint}"
