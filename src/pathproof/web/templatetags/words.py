"""Words, figures and drawings as pages show them."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final
from uuid import UUID
from zoneinfo import ZoneInfo

from django import template
from django.forms import BoundField
from django.urls import reverse
from django.utils.formats import date_format

from pathproof.assess import Link
from pathproof.assess.strip import StripLayout, StripLink, StripSegment
from pathproof.assess.strip import caption as caption_of
from pathproof.job import Site
from pathproof.papers.working import SourceBook, work_rows
from pathproof.terms import Word
from pathproof.web.refusals import sentences
from pathproof.web.saying import word_of

register = template.Library()

LONGEST_CAPTION: Final = 44
"""Longer ones would make a strip too high on a phone; they stand under it as notes. [characters]"""
_DEEPEST: Final = 4


@dataclass(frozen=True, kw_only=True)
class Part:
    """One link of a strip as the page draws it."""

    url: str
    place: str
    """Its classes: word, weakest, columns and row."""
    kind: str
    word: str
    caption: str
    named: bool
    """Whether its kind is shown, as of what hangs below the panel."""


class _Notes:
    """Captions too long for a strip, numbered; equal ones once."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def caption(self, text: str) -> str:
        if len(text) <= LONGEST_CAPTION:
            return text
        if text not in self.texts:
            self.texts.append(text)
        return f"see note {self.texts.index(text) + 1}"


@register.inclusion_tag("includes/strip.html")
def strip(layout: StripLayout, url_name: str = "", job_id: UUID | None = None) -> dict[str, Any]:
    """One signal as a strip; its links lead to their working where `url_name` is given."""
    notes = _Notes()

    def part(link: StripLink, place: str, *, named: bool = False) -> Part:
        return Part(
            url=reverse(url_name, args=[job_id, link.link]) if url_name else "",
            place=f"{link.word}{' weakest' if link.weakest else ''}{place}",
            kind=str(link.kind),
            word=str(link.word),
            caption=notes.caption(link.caption),
            named=named,
        )

    columns = max(layout.columns - 1, 1)
    return {
        "title": layout.title,
        "word": layout.word,
        "columns": columns,
        "rows": layout.rows,
        "hang_column": min(layout.hang_column, columns - 1),
        "hang_row": layout.hang_row,
        "nodes": [
            {"label": n.label, "place": _node_place(n.column, n.row, columns)} for n in layout.nodes
        ],
        "segments": [
            part(s.link, f" c{s.start_column} e{s.end_column} r{s.row}") for s in layout.segments
        ],
        "forks": [fork for s in layout.segments for fork in _forks(s)],
        "hanging": [part(link, "", named=True) for link in layout.hanging],
        "notes": notes.texts,
    }


def _node_place(column: int, row: int, columns: int) -> str:
    if column == columns:
        return f"last c{column - 1} r{row}"
    return f"{'first ' if column == 0 else ''}c{column} r{row}"


def _forks(segment: StripSegment) -> list[str]:
    """Classes of the upright lines that join a link's row to those of its ends."""
    word, row = segment.link.word, segment.row
    forks = []
    if segment.start_row < row:
        forks.append(f"{word} start c{segment.start_column} r{segment.start_row} to{row}")
    if segment.end_row < row:
        forks.append(f"{word} end c{segment.end_column - 1} r{segment.end_row} to{row}")
    return forks


@register.inclusion_tag("includes/key.html")
def strip_key() -> dict[str, Any]:
    """What the styles of the lines mean."""
    return {"words": list(Word)}


@register.inclusion_tag("includes/working.html")
def working(link: Link, open: bool = False) -> dict[str, Any]:
    """A link's calculation sheet, folded to its last line."""
    rows, notes = work_rows(link.working, SourceBook())
    results = [row for row in rows if row.result]
    return {
        "rows": [{**vars(row), "indent": min(row.indent, _DEEPEST)} for row in rows],
        "last": next(reversed(results or rows), None),
        "notes": notes,
        "open": open,
    }


@register.filter
def caption(link: Link) -> str:
    """What stands under a link: margin, shortfall, or what is missing."""
    return caption_of(link)


@register.filter
def word(value: object) -> str:
    """A word of the vocabulary as people read it."""
    return word_of(value)


@register.filter
def problems(bound: BoundField) -> list[str]:
    """Why a field was refused, a sentence each."""
    return list(sentences(bound))


@register.filter
def day(value: date | None) -> str:
    """A day, such as 25 November 2026."""
    return "" if value is None else date_format(value, "j F Y")


@register.filter
def moment(value: datetime | None, site: Site) -> str:
    """A moment at the site, such as 25 November 2026, 18:05."""
    if value is None:
        return ""
    return date_format(value.astimezone(ZoneInfo(site.time_zone)), "j F Y, H:i")
