"""What is replaced by when, on paper: a calendar, and how the years come about."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from pathproof.assess.types import Assessment, Consumable, Line, Replacement
from pathproof.job import Job
from pathproof.papers._text import counted, date_text, listed
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
    """A sentence for the battery, and one each for cells overdue, to come, and without a day."""
    for item in items:
        if item.what is Consumable.BATTERY:
            yield f"The standby battery: {_plain_day(item.due, item.overdue)}"
    cells = [item for item in items if item.what is Consumable.CELLS]
    overdue = [item for item in cells if item.overdue]
    to_come = [item for item in cells if item.due is not None and not item.overdue]
    for some in (overdue, to_come, [item for item in cells if item.due is None]):
        if some:
            devices = counted(sum(len(item.things) for item in some), "wireless device")
            yield f"Batteries of {devices}{_plain_days(some)}"


def _plain_day(due: date | None, overdue: bool) -> str:
    if due is None:
        return "the day is not known yet, as a date or figure is not on record."
    return f"overdue since {date_text(due)}. Call us." if overdue else f"by {date_text(due)}."


def _plain_days(items: Sequence[Replacement]) -> str:
    """The day of all, or the first with how many devices follow in which year."""
    due, overdue = items[0].due, items[0].overdue
    if due is None or all(item.due == due for item in items):
        return f": {_plain_day(due, overdue)}"
    if overdue:
        return f": overdue, the first since {date_text(due)}. Call us."
    years: Counter[int] = Counter()
    for item in items:
        if item.due is not None:
            years[item.due.year] += len(item.things)
    said = listed([f"{devices} in {year}" for year, devices in years.items()])
    return f", the first by {date_text(due)}: {said}."
