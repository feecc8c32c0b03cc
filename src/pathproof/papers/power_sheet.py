"""The sheet on power: what takes current, how long the battery lasts, supply, cables, replacements.

Sums stand as they stand in the assessment's links, and go on from those of the table.
"""

from collections.abc import Iterable, Set
from dataclasses import dataclass, replace

from pathproof.assess.power import load_schedule, write_averages, write_loads
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Assessment, Line, Link
from pathproof.job import Job
from pathproof.job import links as link_names
from pathproof.papers.cable_rows import CableTable, cable_table
from pathproof.papers.communicator_rows import shown_by
from pathproof.papers.load_rows import LoadTable, load_table
from pathproof.papers.names import Names
from pathproof.papers.replacement_rows import Calendar, calendar
from pathproof.papers.working import SourceBook, WorkRow, work_rows
from pathproof.terms import Word

OWN_SHEET = frozenset({link_names.SUPPLY, link_names.STANDBY})
"""Links whose working stands on this sheet."""
_SUMS = (
    (link_names.STANDBY, "Standby: how long the battery lasts"),
    (link_names.SUPPLY, "Supply: charging, cables and bursts"),
)


@dataclass(frozen=True, kw_only=True)
class PowerSum:
    """The working of one link with its word."""

    heading: str
    word: Word
    why: str
    shown_by: str
    """What proves it, or the next step that would."""
    rows: tuple[WorkRow, ...]
    cables: CableTable | None


@dataclass(frozen=True, kw_only=True)
class PowerSheet:
    """Everything about power, in the order in which it is worked out."""

    loads: LoadTable
    sums: tuple[PowerSum, ...]
    """Standby, then supply with charger, cables and bursts."""
    calendar: Calendar


def power_sheet(
    job: Job, assessment: Assessment, names: Names, book: SourceBook
) -> PowerSheet | None:
    """The sheet; none for a site with nothing to feed and nothing to feed it."""
    site = job.site
    schedule = load_schedule(job)
    if not (schedule.draws or site.supply or site.battery or assessment.replacements):
        return None
    own, averages = Sheet(), Sheet()
    write_loads(own, schedule)
    write_averages(averages, schedule)
    in_table = {(line.label, line.value) for line in own.lines}
    return PowerSheet(
        loads=load_table(schedule, averages.lines, names, book),
        sums=tuple(
            PowerSum(
                heading=heading,
                word=link.word,
                why=names.plain(link.why),
                shown_by=shown_by(job, assessment, names, link.id),
                rows=work_rows(_spoken(rest, names), book)[0],
                cables=cables,
            )
            for link, heading in ((assessment.link(i), heading) for i, heading in _SUMS)
            for cables, rest in [cable_table(_not_in(in_table, link), names, book)]
        ),
        calendar=calendar(job, assessment, names, book),
    )


def _not_in(table: Set[tuple[str, float | str]], link: Link) -> list[Line]:
    """The working of a link without what the table of loads holds."""
    return [line for line in link.working if (line.label, line.value) not in table]


def _spoken(lines: Iterable[Line], names: Names) -> tuple[Line, ...]:
    """The lines with ids of things put in words."""
    return tuple(
        replace(
            line,
            label=names.spoken(line.label),
            formula=names.spoken(line.formula),
            inputs={names.spoken(name): value for name, value in line.inputs.items()},
        )
        for line in lines
    )
