"""Validation errors as sentences: where in the file, what was given, what is allowed."""

from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError

from pathproof.terms import RecordKind

_PART_KINDS = {
    "panel",
    "detector",
    "repeater",
    "communicator",
    "antenna",
    "feeder",
    "battery",
    "supply",
    "cable",
    "instrument",
}
_TAGS = _PART_KINDS | {str(k) for k in RecordKind}
_SHOWN = 10


def explain(error: ValidationError, prefix: tuple[str | int, ...] = ()) -> str:
    """One line per problem, at most ten."""
    lines = [line for e in error.errors() for line in _lines((*prefix, *e["loc"]), e)]
    more = f"\n  and {len(lines) - _SHOWN} more" if len(lines) > _SHOWN else ""
    return "\n".join(f"  {line}" for line in lines[:_SHOWN]) + more


def _lines(loc: tuple[str | int, ...], error: Any) -> Iterable[str]:
    path = _path(loc)
    if error["type"] == "value_error":
        message = str(error["ctx"]["error"])
        for part in message.split("; "):
            own_path = part.split(":")[0]
            joint = "." if ": " in part and " " not in own_path.split("[")[0] else ": "
            yield f"{path}{joint}{part}" if path else part
    elif error["type"] == "missing":
        yield f"{path}: is missing and has to be given"
    elif error["type"] == "extra_forbidden":
        yield f"{path}: is not a field of this format; take it out or check its spelling"
    else:
        yield f"{path}: given {_short(error['input'])}; allowed: {_allowed(error['msg'])}"


def _path(loc: tuple[str | int, ...]) -> str:
    path = ""
    before: str | int = ""
    for i, item in enumerate(loc):
        in_union = isinstance(before, int) or loc[max(0, i - 2) : i - 1] == ("catalogue",)
        if isinstance(item, int):
            path += f"[{item}]"
        elif not (item in _TAGS and in_union):
            path += f".{item}" if path else str(item)
        before = item
    return path


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _allowed(message: str) -> str:
    for start in ("Input should be ", "Value should ", "String should ", "Input should have "):
        message = message.removeprefix(start)
    return message[:1].lower() + message[1:]
