"""Findings on what is to be replaced: overdue, due within a year, of unknown age or life."""

from collections.abc import Collection, Iterator, Sequence
from datetime import date
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.battery_advice import battery_findings
from pathproof.assess.power.care import BATTERY_IN_BRIEF, CELLS_IN_BRIEF
from pathproof.assess.retirements import years_after
from pathproof.assess.types import Consumable, Replacement
from pathproof.job import PANEL_ID
from pathproof.job.record import EventEntry, LevelEntry, SupplyTestEntry, WalkEntry
from pathproof.terms import Severity

__all__ = ["replacement_findings"]

_AHEAD_YEARS: Final = 1.0
_MOST_NAMED: Final = 6

_Draft = tuple[Severity, str, str, str]


def replacement_findings(ctx: Context, calendar: Sequence[Replacement]) -> Iterator[_Draft]:
    """Severity, what it is about, text and what to do, of each finding."""
    for item in calendar:
        if item.overdue:
            yield (
                Severity.GAP,  # what it still holds is not known
                _listed(item.things),
                f"{item.name}: to be replaced by {item.due} ({item.why}), which is past.",
                _how_to_replace(item),
            )
    yield from _soon(ctx, calendar)
    yield from _undated(ctx, calendar)
    yield from _in_future(ctx)
    yield from battery_findings(ctx)


def _how_to_replace(item: Replacement) -> str:
    if item.what is Consumable.BATTERY:
        return f"Replace it, record its date and test standby and supply again. {BATTERY_IN_BRIEF}"
    return f"Replace them, and write the date into the job. {CELLS_IN_BRIEF}"


def _soon(ctx: Context, calendar: Sequence[Replacement]) -> Iterator[_Draft]:
    """What is due before a year is out, so that one visit does."""
    until = years_after(ctx.as_of.date(), _AHEAD_YEARS)
    soon = [r for r in calendar if r.due is not None and not r.overdue and r.due <= until]
    if soon:
        yield (
            Severity.ADVICE,
            _listed([thing for r in soon for thing in r.things]),
            f"To be replaced before {until}: "
            f"{'; '.join(f'{r.name} by {r.due}' for r in soon[:_MOST_NAMED])}"
            f"{_more(len(soon))}.",
            "Do it on one visit, and write the dates into the job.",
        )


def _undated(ctx: Context, calendar: Sequence[Replacement]) -> Iterator[_Draft]:
    """What the record shows to be in place, with no date of its cells or battery."""
    in_place = {
        thing
        for entry in ctx.entries
        if isinstance(entry, WalkEntry | LevelEntry | EventEntry | SupplyTestEntry)
        for thing in entry.about
    }
    undated = [
        thing
        for item in calendar
        if item.years is not None and item.due is None
        for thing in item.things
        if thing in in_place and thing not in _dated_in_future(ctx)
    ]
    if undated:
        yield (
            Severity.GAP,
            _listed(undated),
            "These have been tested in place, and the date of their cells or battery is not on "
            "record, so that nobody can tell when they are to be replaced.",
            "Look on the next visit, and write the dates into the job (cells_fitted_on of a "
            "device, fitted_on of the battery).",
        )


def _in_future(ctx: Context) -> Iterator[_Draft]:
    """Dates of fitting that have not come, most often a slip of the pen."""
    things = _dated_in_future(ctx)
    if things:
        yield (
            Severity.GAP,
            _listed(things),
            "The date at which these got their cells or battery is in the future: "
            f"{'; '.join(f'{thing} {on}' for thing, on in [*things.items()][:_MOST_NAMED])}"
            f"{_more(len(things))}. It does not count.",
            "Correct the date in the job (cells_fitted_on of a device, fitted_on of the battery).",
        )


def _dated_in_future(ctx: Context) -> dict[str, date]:
    """Things with cells or battery fitted after the day of the assessment, with that date."""
    fitted = {device.id: device.cells_fitted_on for device in ctx.site.devices}
    if ctx.site.battery is not None:
        fitted[PANEL_ID] = ctx.site.battery.fitted_on
    today = ctx.as_of.date()
    return {thing: on for thing, on in fitted.items() if on is not None and on > today}


def _listed(things: Collection[str]) -> str:
    return f"{', '.join([*things][:_MOST_NAMED])}{_more(len(things))}"


def _more(number: int) -> str:
    return f" and {number - _MOST_NAMED} more" if number > _MOST_NAMED else ""
