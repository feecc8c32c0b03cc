"""A site in pieces, so that changes made apart can be told apart and put together.

A piece is the smallest part of a site that two people's changes are kept apart by: one device, one
zone, one wall, the panel, or one plain field such as the site's name. Its key is its path, such as
`devices/kitchen_door`, `panel` or `name`; its content is its JSON.
"""

import json
from collections.abc import Mapping
from typing import Any, Final

from pydantic import ValidationError

from pathproof.job._problems import explain
from pathproof.job.site import Site
from pathproof.terms import JobError

Pieces = Mapping[str, Any]
"""Content of pieces by key; None means that there is no such piece."""

_BY_ID: Final = {
    "floors": "id",
    "walls": "id",
    "partitions": "id",
    "zones": "id",
    "devices": "id",
    "repeaters": "id",
    "spots": "id",
    "networks": "mcc_mnc",
    "communicators": "id",
    "cables": "id",
}
"""Lists whose items are pieces, and the field that names an item."""
_BY_KEY: Final = ("constructions", "signal_codes")
"""Mappings whose items are pieces."""


def pieces(site: Site) -> dict[str, Any]:
    """The site's content by piece; fields at their default are no pieces."""
    data = site.model_dump(mode="json", exclude_defaults=True)
    found: dict[str, Any] = {}
    for field, content in data.items():
        if field in _BY_ID:
            found |= {f"{field}/{item[_BY_ID[field]]}": item for item in content}
        elif field in _BY_KEY:
            found |= {f"{field}/{key}": item for key, item in content.items()}
        else:
            found[field] = content
    return found


def difference(before: Site, after: Site) -> dict[str, Any]:
    """What turns one site into the other: each piece that changed, with its new content."""
    old, new = pieces(before), pieces(after)
    changed = {key: content for key, content in new.items() if old.get(key) != content}
    return changed | {key: None for key in old if key not in new}


def with_pieces(site: Site, changes: Pieces) -> Site:
    """The site with those pieces put in, exchanged or (None) taken out.

    Items keep their place in their list; new ones stand last.

    Raises
    ------
    JobError
        The pieces do not make a sound site.
    """
    data = pieces(site)
    for key, content in changes.items():
        if content is None:
            data.pop(key, None)
        else:
            data[key] = content
    try:
        return Site.model_validate_json(json.dumps(_joined(data)), strict=True)
    except ValidationError as error:
        raise JobError(explain(error, _joined(data))) from error


def clashes(base: Site, mine: Site, theirs: Site) -> list[str]:
    """Pieces that two changes of the same base changed each in its own way."""
    return clashing(difference(base, mine), difference(base, theirs))


def clashing(mine: Pieces, theirs: Pieces) -> list[str]:
    """Pieces that are in both changes, each time with other content."""
    return [key for key, content in mine.items() if key in theirs and theirs[key] != content]


def _joined(data: Pieces) -> dict[str, Any]:
    """The JSON of the site that consists of these pieces."""
    site: dict[str, Any] = {}
    for path, content in data.items():
        field, _, key = path.partition("/")
        if field in _BY_ID:
            site.setdefault(field, []).append(content)
        elif field in _BY_KEY:
            site.setdefault(field, {})[key] = content
        else:
            site[field] = content
    return site
