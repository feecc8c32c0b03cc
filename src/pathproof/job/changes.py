"""What changed between two revisions of a job, piece by piece and in words."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pathproof.job.pieces import Pieces, difference, pieces
from pathproof.job.record import Entry
from pathproof.job.site import Site

NOTHING: Final = "nothing"
"""What stands for a value that is not there."""
_LONGEST: Final = 160
_UNIT: Final = re.compile(r"_(m|s|h|v|a|ah|hz|db|dbm|dbi|deg|degc)$")
_UNITS: Final = {"v": "V", "a": "A", "ah": "Ah", "hz": "Hz", "db": "dB", "dbm": "dBm",
                 "dbi": "dBi", "degc": "°C"}  # fmt: skip
_ONE_OF: Final = {
    "floors": "storey",
    "walls": "wall",
    "partitions": "partition",
    "zones": "zone",
    "devices": "device",
    "repeaters": "repeater",
    "spots": "spot",
    "networks": "network",
    "communicators": "communicator",
    "cables": "cable",
    "constructions": "construction",
    "signal_codes": "code for",
}


@dataclass(frozen=True, kw_only=True)
class Field:
    """One value of a piece, as each side has it, in words."""

    name: str
    values: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class PieceChange:
    """One piece that differs, with the values that do."""

    key: str
    thing: str
    """What it is, such as `device Kitchen door`."""
    how: str
    """`added`, `taken out` or `changed`."""
    fields: tuple[Field, ...]


def changes(before: Site, after: Site) -> list[PieceChange]:
    """What turns one site into the other, in words; each field has both its values."""
    old, new = pieces(before), pieces(after)
    return [_change(key, old.get(key), new.get(key)) for key in difference(before, after)]


def sides(base: Site, mine: Pieces, theirs: Site) -> list[PieceChange]:
    """The pieces that a change touches, each field as it was, as it would be and as it is now."""
    old, now = pieces(base), pieces(theirs)
    return [_change(key, old.get(key), new, now.get(key)) for key, new in mine.items()]


def added_entries(entries: Sequence[Entry]) -> str:
    """What was added to the record, such as `2 walk, 1 note`; empty where nothing was."""
    kinds = Counter(str(entry.kind).replace("_", " ") for entry in entries)
    return ", ".join(f"{n} {kind}" for kind, n in kinds.items())


def _change(key: str, before: Any, after: Any, *others: Any) -> PieceChange:
    given = (before, after, *others)
    how = "added" if before is None else "taken out" if after is None else "changed"
    flat = [dict(_leaves(side)) for side in given]
    names = dict.fromkeys(name for side in flat for name in side)
    rows = [(name, [side.get(name) for side in flat]) for name in names]
    return PieceChange(
        key=key,
        thing=_thing(key, *given),
        how=how,
        fields=tuple(
            Field(name=_name(name), values=tuple(_value(v) for v in values))
            for name, values in rows
            if any(v != values[0] for v in values) and name != "id"
        ),
    )


def _leaves(content: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Values of a piece by their path; lists stay whole."""
    if isinstance(content, Mapping):
        for name, inner in content.items():
            yield from _leaves(inner, f"{path}.{name}" if path else name)
    elif content is not None:
        yield path, content


def _thing(key: str, *given: Any) -> str:
    field, _, own = key.partition("/")
    if not own:
        return field.replace("_", " ")
    known = next((g for g in given if isinstance(g, Mapping)), {})
    name = known.get("name") or known.get("label") or own.replace("_", " ")
    return f"{_ONE_OF[field]} {name}"


def _name(path: str) -> str:
    if not path:
        return "it"
    unit = _UNIT.search(path)
    plain = _UNIT.sub("", path).replace(".", ", ").replace("_", " ")
    return f"{plain} [{_UNITS.get(unit[1], unit[1])}]" if unit else plain


def _value(value: Any) -> str:
    if value is None:
        return NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        count = len(value)
        if not count or not all(isinstance(x, str | int | float) for x in value):
            return f"{count} of them"
        value = ", ".join(map(str, value))
    text = str(value)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"
