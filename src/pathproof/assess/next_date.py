"""The next date of a job: the soonest day on which something runs out, by the assessment's rules.

Dates of evidence are found by asking the links themselves: a day counts where a link's word gets
worse by nothing but the age of what is on record.
"""

from collections.abc import Callable, Iterator
from copy import copy
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import Final
from zoneinfo import ZoneInfo

from pathproof.assess.context import Context
from pathproof.assess.judge import WORST_FIRST
from pathproof.assess.mobile import mobile_link
from pathproof.assess.naming import called
from pathproof.assess.power.standby import standby_link
from pathproof.assess.power.supply import supply_link
from pathproof.assess.retirements import outlooks
from pathproof.assess.types import Assessment, Link
from pathproof.job import Job
from pathproof.job.record import OverrideEntry, ReadingEntry, SupplyTestEntry
from pathproof.terms import LimitName, Word

__all__ = ["DueDate", "next_date"]

_INSTANT: Final = timedelta(seconds=1)


@dataclass(frozen=True, kw_only=True)
class DueDate:
    """A day on which something has to be done, or has run out."""

    on: date
    what: str
    """What falls due, in words."""
    overdue: bool
    """Whether it is past already."""


def next_date(job: Job, assessment: Assessment) -> DueDate | None:
    """The soonest date of a job; none where nothing on record has one.

    Looked at are what is to be replaced, networks and services that end, evidence that gets too
    old, and how long a link was accepted as it is. What is overdue comes first, the longest first.

    Parameters
    ----------
    job : Job
        The job that was assessed; limits are those of its own profile.
    assessment : Assessment
        What `assess` says of it.
    """
    ctx = Context(job, assessment.as_of, None, leave_out_later=True)
    found = [
        *_replacements(assessment),
        *_endings(ctx),
        *_evidence(ctx),
        *_acceptances(ctx, assessment),
    ]
    return min(found, key=lambda d: (d.on, d.what), default=None)


def _replacements(assessment: Assessment) -> Iterator[DueDate]:
    for item in assessment.replacements:
        if item.due is not None:
            yield DueDate(on=item.due, what=f"{item.name}: to be replaced", overdue=item.overdue)


def _endings(ctx: Context) -> Iterator[DueDate]:
    """The day from which a communicator counts as cut off."""
    for outlook in outlooks(ctx.job, ctx.as_of):
        on = outlook.exposed_from
        if on is not None:
            told = [p for p in (*outlook.networks, *outlook.services) if p.counts_from == on]
            yield DueDate(
                on=on,
                what=f"Communicator {outlook.communicator}: "
                f"{'; '.join(f'{p.name} {p.why}' for p in told)}",
                overdue=on <= ctx.as_of.date(),
            )


def _acceptances(ctx: Context, assessment: Assessment) -> Iterator[DueDate]:
    """Until when somebody accepts a link as it is; past ones while it still lacks."""
    lacking = {x.id for x in assessment.links if x.word is Word.LACKING}
    for entry in ctx.entries:
        if not isinstance(entry, OverrideEntry) or entry.values.until is None:
            continue
        values, until = entry.values, entry.values.until
        past = until < ctx.as_of.date()
        if not past or values.link in lacking:
            yield DueDate(
                on=until,
                what=f"{values.link}: accepted by {entry.by} until then ({values.reason})",
                overdue=past,
            )


_Judged = Callable[[Context], Link]


def _evidence(ctx: Context) -> Iterator[DueDate]:
    """The day on which the evidence of each link gets too old."""
    for communicator in ctx.site.communicators:
        of_mobile = partial(mobile_link, communicator=communicator)
        here = {communicator.id, communicator.spot}
        read = [e.at for e in ctx.entries if isinstance(e, ReadingEntry) and here & {*e.about}]
        yield from _too_old(ctx, of_mobile, read, LimitName.MOBILE_MAX_AGE_DAYS)
    tests = [e.at for e in ctx.entries if isinstance(e, SupplyTestEntry)]
    for of_power in (supply_link, standby_link):
        yield from _too_old(ctx, of_power, tests, LimitName.SUPPLY_TEST_MAX_AGE_DAYS)


def _too_old(
    ctx: Context, judged: _Judged, taken: list[datetime], limit: LimitName
) -> Iterator[DueDate]:
    """The first day to come that makes a link worse, else the last one that has.

    A day that is past counts only where nothing was measured after it.
    """
    if not taken or limit not in ctx.limits:
        return
    ends = sorted({at + timedelta(days=ctx.value(limit)) for at in taken})
    to_come = [moment for moment in ends if moment >= ctx.as_of]
    past = [moment for moment in reversed(ends) if max(taken) <= moment < ctx.as_of]
    worse = next((m for m in (*to_come, *past) if _gets_worse(ctx, judged, m)), None)
    if worse is not None:
        yield DueDate(
            on=worse.astimezone(ZoneInfo(ctx.site.time_zone)).date(),
            what=f"{called(ctx, judged(ctx))}: what was measured gets too old",
            overdue=worse < ctx.as_of,
        )


def _gets_worse(ctx: Context, judged: _Judged, moment: datetime) -> bool:
    before, after = (judged(_at(ctx, m)).word for m in (moment, moment + _INSTANT))
    return WORST_FIRST.index(after) < WORST_FIRST.index(before)


def _at(ctx: Context, moment: datetime) -> Context:
    """The same record and limits, looked at on another day."""
    other = copy(ctx)
    other.as_of = moment
    return other
