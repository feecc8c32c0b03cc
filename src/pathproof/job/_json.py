"""JSON text to one object, with a sentence for everything that is not one."""

import json
from collections.abc import Iterator
from typing import Any

from pathproof.job._problems import listed, short
from pathproof.terms import JobError


def json_object(content: str | bytes, name: str) -> tuple[str, dict[str, Any]]:
    """The text of a file and the JSON object in it.

    NaN and infinity pass here; the models refuse them with their place in the file.

    Raises
    ------
    JobError
        Not UTF-8, not JSON, cut short, not an object, or a name given twice in one object.
    """
    text = content.removeprefix("\ufeff") if isinstance(content, str) else _decoded(content, name)
    if not text.strip():
        raise JobError(f"{name} is empty, so it is not a job file.")
    doubled: list[tuple[str, dict[str, Any]]] = []

    def keep_doubled(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            keys = [key for key, _ in pairs]
            doubled.append((next(key for key in keys if keys.count(key) > 1), found))
        return found

    try:
        data = json.loads(text, object_pairs_hook=keep_doubled)
    except json.JSONDecodeError as error:
        raise JobError(f"{name} is not JSON: {_why(error)}") from error
    except RecursionError as error:
        raise JobError(f"{name} is nested too deeply to be a job file.") from error
    except ValueError as error:  # a whole number of thousands of digits
        raise JobError(f"{name} is not a job file: {error}.") from error
    if not isinstance(data, dict):
        raise JobError(f"{name} is not a job file: it does not hold a JSON object in braces {{ }}.")
    if doubled:
        key, holder = doubled[0]
        path = f"{next(_paths_to(holder, data), '')}{short(key)}"
        problem = f"{path}: is given twice; keep one of them"
        raise JobError(f"{name} cannot be used:\n{listed([problem])}")
    return text, data


def _decoded(content: bytes, name: str) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise JobError(
            f"{name} is not text in UTF-8, so it is not a job file. If an editor saved it in "
            "another encoding, save it as UTF-8."
        ) from error


def _why(error: json.JSONDecodeError) -> str:
    if error.pos >= len(error.doc.rstrip()) or error.msg.startswith("Unterminated"):
        return f"it ends too early, in line {error.doc.count(chr(10)) + 1}; is it cut short?"
    return f"{error.msg} in line {error.lineno}, column {error.colno}."


def _paths_to(wanted: dict[str, Any], data: Any, path: str = "") -> Iterator[str]:
    """The path of an object inside the data, with a dot at its end."""
    if data is wanted:
        yield f"{path}." if path else ""
    elif isinstance(data, dict):
        for key, value in data.items():
            yield from _paths_to(wanted, value, f"{path}.{key}" if path else key)
    elif isinstance(data, list):
        for i, value in enumerate(data):
            yield from _paths_to(wanted, value, f"{path}[{i}]")
