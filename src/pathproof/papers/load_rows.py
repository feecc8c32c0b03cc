"""What takes current from the panel's supply, on paper: a table that a pencil can add up."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pathproof.assess.power.loads import Draws, LoadSchedule
from pathproof.assess.types import Line
from pathproof.assess.wording import technology_text
from pathproof.papers._text import figure, ranges
from pathproof.papers.names import Names
from pathproof.papers.working import SourceBook, arithmetic

NOT_KNOWN = "not known"


@dataclass(frozen=True, kw_only=True)
class LoadRow:
    """Things of one part. Currents are texts in ampere."""

    count: int
    name: str
    things: str
    reports: str
    """Of a module, how its average comes about and which technology the other currents are of."""
    standby_each: str
    standby: str
    alarm_each: str
    alarm: str
    burst: str
    """Current in a burst, of a module."""
    sources: str


@dataclass(frozen=True, kw_only=True)
class LoadTable:
    """The load schedule."""

    rows: tuple[LoadRow, ...]
    standby: str
    """Sum of all while idle, "at least" where something is not known."""
    alarm: str
    """Sum of all in alarm."""
    missing: str
    """What nobody tells; empty where all is known."""


def load_table(
    schedule: LoadSchedule, averages: Iterable[Line], names: Names, book: SourceBook
) -> LoadTable:
    """The table; `averages` are the lines that work out what reporting modules take, in order."""
    reporting = [d for d in schedule.draws if d.reporting is not None]
    sums = dict(zip(reporting, averages, strict=True))
    return LoadTable(
        rows=tuple(_row(draws, sums.get(draws), names, book) for draws in schedule.draws),
        standby=_sum(schedule.standby_a, [d.standby_a for d in schedule.draws]),
        alarm=_sum(schedule.alarm_a, [d.alarm_a for d in schedule.draws]),
        missing=" ".join(_missing(schedule)),
    )


def _row(draws: Draws, average: Line | None, names: Names, book: SourceBook) -> LoadRow:
    count = len(draws.things)
    peak = NOT_KNOWN if draws.peak_a is None else figure(draws.peak_a, "A")
    return LoadRow(
        count=count,
        name=draws.name,
        things=names.places(draws.things),
        reports="; ".join(_reports(draws, average)),
        standby_each=_current(draws.standby_a),
        standby=_current(draws.standby_a, count),
        alarm_each=_current(draws.alarm_a),
        alarm=_current(draws.alarm_a, count),
        burst=peak if draws.is_module else "",
        sources=ranges(book.note(s).number for s in draws.sources),
    )


def _reports(draws: Draws, average: Line | None) -> Iterator[str]:
    if draws.reporting is not None and average is not None:
        by = technology_text(draws.reporting.technology)
        yield f"idle with reports by {by}: {arithmetic(average)}"
    if draws.alarm_by is not None:
        yield f"in alarm by {technology_text(draws.alarm_by)}, which takes most (safe case)"
    if draws.burst_by is not None:
        yield f"burst by {technology_text(draws.burst_by)}, which takes most (safe case)"


def _current(each_a: float | None, count: int = 1) -> str:
    return NOT_KNOWN if each_a is None else figure(count * each_a, "A")


def _sum(sum_a: float, each: list[float | None]) -> str:
    return f"{'at least ' if None in each else ''}{figure(sum_a, 'A')}"


def _missing(schedule: LoadSchedule) -> Iterator[str]:
    """That figures are missing, and what stands in no row of the table."""
    in_rows = {d.unknown for d in schedule.draws if d.unknown}
    if schedule.unknown:
        yield "The sums are too low: a part's papers or a measurement tell what is not known here."
    for unknown in schedule.unknown:
        if unknown not in in_rows:
            yield f"Not in the table is {unknown}."
