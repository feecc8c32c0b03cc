"""What is replaced by when, on paper: a calendar, and how the years come about."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from pathproof.assess.types import Assessment, Consumable, Line, Replacement
from pathproof.job import Job
from pathproof.papers._text import counted, date_text
from pathproof.papers.cell_rows import CellTable, cell_table
from pathproof.papers.names import Names
from pathproof.papers.working import SourceBook, WorkRow, work_rows

_NO_DATE = "not known"
_RENEWED = (
    "We replace them when their day comes near, all batteries of a device at once. Call us when "
    "the panel or a device shows a weak battery before that day."
)


@dataclass(frozen=True, kw_only=True)
class ReplacementRow:
    """One thing that is replaced in the course of years."""

    by: str
    what: str
    where: str
    why: str
    warn: bool
    """Whether that day is over."""


@dataclass(frozen=True, kw_only=True)
class Calendar:
    """Everything that is replaced, the soonest first."""

    rows: tuple[ReplacementRow, ...]
    battery: tuple[WorkRow, ...]
    """How long the standby battery is counted on."""
    cells: CellTable | None


def calendar(job: Job, assessment: Assessment, names: Names, book: SourceBook) -> Calendar:
    """The replacements of the assessment."""
    parts = {d.id: job.part(d.part).name for d in job.site.devices}
    items = assessment.replacements
    battery = [r for r in items if r.what is Consumable.BATTERY]
    return Calendar(
        rows=tuple(_row(r, names) for r in items),
        battery=tuple(row for r in battery for row in work_rows(_years(r), book)[0]),
        cells=cell_table(
            {parts[r.things[0]]: r for r in items if r.what is Consumable.CELLS}, book
        ),
    )


def replacements_plain(assessment: Assessment) -> tuple[str, ...]:
    """The same for a customer, in sentences that name no place and no part."""
    said = tuple(_plain(assessment.replacements))
    return (*said, _RENEWED) if said else ()


def _years(item: Replacement) -> tuple[Line, ...]:
    """Its working without the dates, which the calendar has."""
    return tuple(line for line in item.working if line.unit)


def _row(item: Replacement, names: Names) -> ReplacementRow:
    return ReplacementRow(
        by=_NO_DATE if item.due is None else date_text(item.due),
        what=item.name,
        where=names.places(item.things),
        why=f"overdue; {item.why}" if item.overdue else item.why,
        warn=item.overdue,
    )


def _plain(items: Sequence[Replacement]) -> Iterator[str]:
    """One sentence for everything of a kind that has the same day."""
    devices: Counter[tuple[Consumable, date | None, bool]] = Counter()
    for item in items:
        devices[item.what, item.due, item.overdue] += len(item.things)
    for (what, due, overdue), count in devices.items():
        it = (
            "The standby battery"
            if what is Consumable.BATTERY
            else f"Batteries of {counted(count, 'wireless device')}"
        )
        if due is None:
            yield f"{it}: the day is not known yet, as a date or figure is not on record."
        elif overdue:
            yield f"{it}: overdue since {date_text(due)}. Call us."
        else:
            yield f"{it}: by {date_text(due)}."
