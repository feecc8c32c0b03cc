"""From a paper's dataclass to PDF: the same bytes for the same paper, on any machine.

The data goes in as JSON and is only ever shown, never read as markup. No system fonts, no clock,
no files but the template; a warning of the typesetter is an error.
"""

import dataclasses
import json
from enum import Enum
from functools import cache
from importlib.resources import files
from typing import Any

import typst

from pathproof.papers._text import printable
from pathproof.papers.design_assessment import DesignAssessment


def render(paper: DesignAssessment) -> bytes:
    """The paper as a tagged PDF."""
    data = json.dumps(_plain(paper), ensure_ascii=False, separators=(",", ":"))
    pdf, warnings = typst.compile_with_warnings(
        _template(paper.template),
        sys_inputs={"data": data},
        font_paths=_fonts(),
        ignore_system_fonts=True,
        timestamp=paper.time_stamp_s,
    )
    if warnings:
        raise warnings[0]
    return pdf


@cache
def _template(name: str) -> bytes:
    return (files("pathproof.papers") / "templates" / name).read_bytes()


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True)


def _plain(value: object) -> Any:
    """Dataclasses as objects, shapes with their kind, all text made printable."""
    if isinstance(value, tuple):
        return [_plain(x) for x in value]
    if isinstance(value, Enum):
        return str(value)
    if isinstance(value, str):
        return printable(value)
    if dataclasses.is_dataclass(value):
        kind: type = type(value)
        return {"kind": kind.__name__} | {n: _plain(getattr(value, n)) for n in _fields(kind)}
    return value


@cache
def _fields(kind: type) -> tuple[str, ...]:
    return tuple(f.name for f in dataclasses.fields(kind))
