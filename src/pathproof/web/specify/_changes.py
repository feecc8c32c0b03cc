"""What the forms of these pages do to a job."""

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final

from pathproof.job import Job, Site
from pathproof.job.pieces import pieces, with_pieces
from pathproof.plans.listed import Ids, things_of
from pathproof.terms import JobError
from pathproof.web.jobs.store import Change
from pathproof.web.specify._fields import PieceForm
from pathproof.web.specify._shapes import Kind

_USED_BY: Final = re.compile(r"(?P<what>[a-z_]+?)s?\[\d+\](?: \((?P<id>[^()]+)\))?")
_NUMBERED: Final = {"partitions": "partition_", "zones": "z"}
"""Kinds whose ids come from their numbers."""


def key_of(kind: Kind, piece: str = "") -> str:
    """The name of a piece of the site, as the store keeps them apart."""
    return kind.at if kind.single else f"{kind.at}/{piece}"


def content_of(site: Site, kind: Kind, piece: str = "") -> Mapping[str, Any] | None:
    """What a piece holds; none where the site has no such piece."""
    content: Mapping[str, Any] | None = pieces(site).get(key_of(kind, piece))
    return content


def putting(form: PieceForm, kind: Kind, piece: str = "") -> Change:
    """The change that puts what was typed into a piece that is there, or the only one."""
    key = key_of(kind, piece)

    def change(job: Job) -> Job:
        made = form.put_into(pieces(job.site).get(key, {}))
        return with_changes(job, {key: made})

    return change


def adding(form: PieceForm, kind: Kind) -> Change:
    """The change that adds what was typed as one more piece."""

    def change(job: Job) -> Job:
        made = form.put_into({})
        name = str(made.get(kind.key) or new_id(job.site, kind, made))
        if f"{kind.at}/{name}" in pieces(job.site):
            raise JobError(f"{kind.at}[0].{kind.key}: {name} is there already; change that one.")
        return with_changes(job, {f"{kind.at}/{name}": {**made, kind.key: name}})

    return change


def new_id(site: Site, kind: Kind, made: Mapping[str, Any]) -> str:
    """An id for a new piece, by its number, its name or its kind."""
    own = {str(getattr(x, kind.key)) for x in getattr(site, kind.at)}
    if kind.at in _NUMBERED:
        stem = f"{_NUMBERED[kind.at]}{made.get('number', '')}"
    elif kind.at == "communicators":
        stem = str(made.get("role", "main"))
    else:
        stem = str(made.get("name", kind.one))
    return Ids({*own, *things_of(site)}).of(stem)


def removing(kind: Kind, piece: str, called: str) -> Change:
    """The change that takes a piece out; refused where something refers to it."""

    def change(job: Job) -> Job:
        try:
            return with_changes(job, {key_of(kind, piece): None})
        except JobError as error:
            raise JobError(
                f"{called} cannot be removed, because {users(str(error))} still "
                "needs it. Change that first."
            ) from error

    return change


def users(text: str) -> str:
    """Who refers to what was to be removed, from what the site's check says."""
    found = dict.fromkeys(
        f"{m['what'].replace('_', ' ')} {m['id'] or ''}".strip() for m in _USED_BY.finditer(text)
    )
    return ", ".join(found) or "something of the site"


def setting(form: PieceForm) -> Change:
    """The change that puts what was typed into the site's own fields."""

    def change(job: Job) -> Job:
        before = pieces(job.site)
        fields = {path.partition(".")[0] for path in form.shape.fields}
        held: dict[str, Any] = {}
        for key, item in before.items():
            name, _, inner = key.partition("/")
            if name in fields and inner:
                held.setdefault(name, {})[inner] = item
            elif name in fields:
                held[name] = item
        return with_changes(job, dict(_flat(form.put_into(held), held)))

    return change


def zoning(zones: Mapping[str, str | None]) -> Change:
    """The change that puts devices into zones, by their ids; None is no zone."""

    def change(job: Job) -> Job:
        devices = [
            d.model_copy(update={"zone": zones[d.id]}) if d.id in zones else d
            for d in job.site.devices
        ]
        return job.model_copy(update={"site": job.site.model_copy(update={"devices": devices})})

    return change


def with_changes(job: Job, changes: Mapping[str, Any]) -> Job:
    """The job with pieces of its site changed.

    Raises
    ------
    JobError
        They do not make a sound site.
    """
    return job.model_copy(update={"site": with_pieces(job.site, changes)})


def _flat(made: Mapping[str, Any], held: Mapping[str, Any]) -> Iterable[tuple[str, Any]]:
    """Pieces from fields: a mapping has a piece for each of its items."""
    for name in {*made, *held}:
        now, was = made.get(name), held.get(name)
        if isinstance(now, Mapping) or isinstance(was, Mapping):
            for key in {*(now or {}), *(was or {})}:
                yield f"{name}/{key}", (now or {}).get(key)
        else:
            yield name, now
