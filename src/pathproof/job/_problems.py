"""Validation errors as sentences: where in the file, what was given, what is allowed."""

import json
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

from pydantic import ValidationError

from pathproof.job._model import PATTERN_WORDS

Loc = tuple[str | int, ...]

_SHOWN: Final = 10
_LONGEST: Final = 70
_LISTS_OF_KINDS: Final = ("record", "part", "catalogue")
"""Fields whose items are of several kinds; pydantic names the kind after the item."""

_STEP: Final = re.compile(r"\[(?P<number>[0-9]{1,9})\]|\.?(?P<field>[^.\[]+)|.", re.DOTALL)
"""One step of a path: an item of a list or a field."""

_WHOLE: Final = "a whole number, without quotes"
_MOMENT: Final = "a moment with its offset, such as 2026-05-04T10:00:00+02:00"
_DATE: Final = "a date, such as 2026-05-04"
_ALLOWED: Final = {
    "model_type": "an object in braces { }",
    "dict_type": "an object in braces { }",
    "list_type": "a list in brackets [ ]",
    "tuple_type": "a list in brackets [ ]",
    "string_type": "text in quotes",
    "bool_type": "true or false, without quotes",
    "bool_parsing": "true or false, without quotes",
    "float_type": "a number, without quotes",
    "float_parsing": "a number, without quotes",
    "finite_number": "a finite number",
    "int_type": _WHOLE,
    "int_parsing": _WHOLE,
    "int_from_float": _WHOLE,
    "datetime_type": _MOMENT,
    "datetime_parsing": _MOMENT,
    "datetime_from_date_parsing": _MOMENT,
    "timezone_aware": _MOMENT,
    "date_type": _DATE,
    "date_parsing": _DATE,
    "date_from_datetime_parsing": _DATE,
    "date_from_datetime_inexact": _DATE,
}


class Problems(ValueError):
    """What is wrong with one model: paths inside it, each with a sentence."""

    def __init__(self, found: Sequence[tuple[str, str]]) -> None:
        self.found = tuple(found)
        super().__init__("; ".join(f"{path}: {text}" for path, text in found))


def explain(error: ValidationError, given: object = None, *, skip: int = 0) -> str:
    """One line per problem, at most ten; items of lists with their ids where `given` has them.

    The first `skip` steps of each path are left out.
    """
    found = [line for e in error.errors() for line in _lines(e["loc"][skip:], e)]
    return listed([f"{named(path, given)}: {text}" if path else text for path, text in found])


def named(path: str, given: object) -> str:
    """The path with ids behind the numbers of items, such as `devices[3] (front_door).zone`."""
    shown = ""
    for step in _STEP.finditer(path):
        shown += step[0]
        if step["number"] is None:
            given = _field(given, step["field"] or "")
            continue
        items = given if isinstance(given, list | tuple) else ()
        number = int(step["number"])
        given = items[number] if number < len(items) else None
        name = _field(given, "id")
        shown += f" ({short(name)})" if isinstance(name, str) and name else ""
    return shown


def _field(of: object, name: str) -> object:
    return of.get(name) if isinstance(of, dict) else getattr(of, name, None)


def listed(lines: Sequence[str]) -> str:
    """Problems one below the other, at most ten."""
    more = f"\n  and {len(lines) - _SHOWN} more" if len(lines) > _SHOWN else ""
    return "\n".join(f"  {printable(line)}" for line in lines[:_SHOWN]) + more


def printable(text: str) -> str:
    """The text with control characters escaped: names in a file may not steer a terminal."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def short(text: str) -> str:
    """The text, cut where it is far too long to be read."""
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."


def _lines(loc: Loc, error: Any) -> Iterator[tuple[str, str]]:
    """Paths, each with what is wrong there."""
    path = _path(loc)
    context = error.get("ctx", {})
    match error["type"]:
        case "value_error":
            yield from _own(path, error["input"], context["error"])
        case "missing":
            yield path, "is missing and has to be given"
        case "extra_forbidden":
            yield path, "is not a field of this format; take it out or check its spelling"
        case "union_tag_not_found":
            yield f"{path}.kind", "is missing and has to be given"
        case "union_tag_invalid":
            tag = short(repr(context["tag"]))
            yield f"{path}.kind", f"given {tag}; allowed: {context['expected_tags']}"
        case "json_invalid":
            yield "", str(error["msg"])
        case _ if loc[-1:] == ("[key]",):
            name = _given(error["input"])
            yield _path(loc[:-2]), f"given the name {name}; allowed: {_allowed(error)}"
        case _:
            yield path, f"given {_given(error['input'])}; allowed: {_allowed(error)}"


def _own(path: str, given: object, error: ValueError) -> Iterable[tuple[str, str]]:
    """Problems found by a model's own checks."""
    if isinstance(error, Problems):
        joint = "." if path else ""
        return [(f"{path}{joint}{inside}", text) for inside, text in error.found]
    if isinstance(given, str | int | float):
        return [(path, f"given {_given(given)}; allowed: {error}")]
    return [(path, str(error))]


def _path(loc: Loc) -> str:
    path = ""
    for i, item in enumerate(loc):
        if isinstance(item, int):
            path += f"[{item}]"
        elif not (i > 1 and loc[i - 2] in _LISTS_OF_KINDS):
            path += f".{short(item)}" if path else short(item)
    return path


def _given(value: object) -> str:
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    return short(json.dumps(value, ensure_ascii=False, default=str))


def _allowed(error: Any) -> str:
    if error["type"] == "string_pattern_mismatch":
        return PATTERN_WORDS[error["ctx"]["pattern"]]
    if error["type"] in _ALLOWED:
        return _ALLOWED[error["type"]]
    if error["type"] in ("too_long", "too_short"):
        limits = {"max_length": "at most", "min_length": "at least"}
        words = " and ".join(
            f"{w} {error['ctx'][k]}" for k, w in limits.items() if k in error["ctx"]
        )
        return f"{words} items; it has {error['ctx']['actual_length']}"
    message = str(error["msg"])
    for start in ("Input should be ", "Value should ", "String should have "):
        message = message.removeprefix(start)
    return message[:1].lower() + message[1:]
