"""Lines of a list of devices, and what stands in each."""

import csv
import re
from dataclasses import dataclass
from typing import Final

from pathproof.plans.materials import normalised
from pathproof.terms import PlanError

MAX_TEXT: Final = 100_000
"""Longest list. [characters]"""
MAX_LINES: Final = 500
"""Most lines of a list."""
EXAMPLE: Final = "'door contact, Back door, 12 m, 2 brick, 1 floor'"
_HEADINGS: Final = ("what", "device", "detector", "part", "type", "kind")
_BETWEEN: Final = re.compile(r"[,;+&\n]|\band\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ListedLine:
    """A line of the list as it was written."""

    number: int
    what: str
    where: str
    distance: str
    """How far; empty where nothing is said."""
    between: tuple[str, ...]
    """What stands between, one kind of wall or floor each."""


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of a list."""

    lines: tuple[ListedLine, ...]
    heading: str
    """The first line where it is a heading; otherwise empty."""


def lines_of(text: str) -> Lines:
    """The lines of a list, without empty ones and without a heading.

    Raises
    ------
    PlanError
        Too long, or nothing in it.
    """
    if len(text) > MAX_TEXT:
        raise PlanError(
            f"The list has {len(text)} characters; {MAX_TEXT} are read at most. Split it."
        )
    rows = re.split(r"\r*\n|\r", text.removeprefix("\ufeff"))
    found = [(number, _fields(row)) for number, row in enumerate(rows, start=1) if row.strip()]
    heading = found[0][1] if found and _is_heading(found[0][1]) else []
    lines = tuple(_line(number, fields) for number, fields in found[bool(heading) :])
    if not lines:
        raise PlanError(f"The list holds no device; write one a line, as {EXAMPLE}.")
    if len(lines) > MAX_LINES:
        raise PlanError(f"The list has {len(lines)} lines; {MAX_LINES} are read at once. Split it.")
    return Lines(lines, ", ".join(heading))


def _fields(row: str) -> list[str]:
    """What stands between tabs, else between semicolons, else between commas."""
    delimiter = next((d for d in "\t;" if d in row.strip()), ",")
    return [" ".join(field.split()) for field in next(csv.reader([row], delimiter=delimiter))]


def _is_heading(fields: list[str]) -> bool:
    return normalised(fields[0]) in _HEADINGS and not any(c.isdigit() for f in fields for c in f)


def _line(number: int, fields: list[str]) -> ListedLine:
    what, where, distance, *between = [*fields, "", "", ""]
    items = (item.strip() for field in between for item in _BETWEEN.split(field))
    return ListedLine(number, what, where, distance, tuple(item for item in items if item))
