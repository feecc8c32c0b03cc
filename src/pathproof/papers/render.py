"""From a paper's dataclass to PDF, from a map to PNG: the same bytes on any machine.

The data goes in as JSON and is only ever shown, never read as markup. No system fonts, no clock,
no files but the templates; a warning of the typesetter is an error.
"""

import dataclasses
import json
from enum import Enum
from functools import cache
from importlib.resources import files
from typing import Any, ClassVar, Final, Protocol, cast

import typst

from pathproof.papers._text import printable

_SHARED: Final = ("drawing.typ", "sheet.typ")
"""What draws shapes and what a sheet is, imported by the other templates."""


class Paper(Protocol):
    """What can be rendered: a dataclass with its template."""

    __dataclass_fields__: ClassVar[dict[str, dataclasses.Field[Any]]]

    @property
    def template(self) -> str:
        """File name of its template."""

    @property
    def time_stamp_s(self) -> int:
        """As-of moment, seconds since 1970. [s]"""


def render(paper: Paper) -> bytes:
    """The paper as a tagged PDF."""
    return typeset(paper, paper.template, timestamp=paper.time_stamp_s)


def typeset(data: object, template: str, **settings: Any) -> bytes:
    """A dataclass put into a template, with the typesetter's own settings for form and size."""
    made, warnings = typst.compile_with_warnings(
        {"main.typ": _template(template)} | {name: _template(name) for name in _SHARED},
        sys_inputs={"data": json.dumps(_plain(data), ensure_ascii=False, separators=(",", ":"))},
        font_paths=_fonts(),
        ignore_system_fonts=True,
        **settings,
    )
    if warnings:
        raise warnings[0]
    return cast(bytes, made)


@cache
def _template(name: str) -> bytes:
    return (files("pathproof.papers") / "templates" / name).read_bytes()


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True)


def _plain(value: object) -> Any:
    """Dataclasses as objects, shapes with their kind, bytes as numbers, all text made printable."""
    if isinstance(value, tuple):
        return [_plain(x) for x in value]
    if isinstance(value, Enum):
        return str(value)
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, bytes):
        return list(value)
    if dataclasses.is_dataclass(value):
        kind: type = type(value)
        return {"kind": kind.__name__} | {n: _plain(getattr(value, n)) for n in _fields(kind)}
    return value


@cache
def _fields(kind: type) -> tuple[str, ...]:
    return tuple(f.name for f in dataclasses.fields(kind))
