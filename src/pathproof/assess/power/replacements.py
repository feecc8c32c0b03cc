"""What is to be replaced at a site in the course of years, and by when: cells and battery."""

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

from pathproof.assess.context import Context
from pathproof.assess.power.battery_life import battery_life
from pathproof.assess.power.cells import cells_last, cells_text, lives_on_cells
from pathproof.assess.retirements import DAYS_A_YEAR, years_after
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Consumable, Replacement
from pathproof.assess.wording import years_text
from pathproof.job import PANEL_ID, DetectorPart

__all__ = ["first_visit", "replacements"]


def replacements(ctx: Context) -> tuple[Replacement, ...]:
    """What is to be replaced, the soonest first, then what has no date, then what nobody tells.

    Devices of one part whose cells have one date stand together. The end of networks and services
    is not in it (`retirements`).
    """
    return tuple(
        sorted(
            [*_cells(ctx), *_battery(ctx)],
            key=lambda r: (r.due or date.max, math.inf if r.years is None else r.years, r.id),
        )
    )


def first_visit(calendar: Sequence[Replacement], today: date) -> str:
    """Which of it asks for the first visit, and in how many years; empty where nothing does."""
    said = []
    overdue = [r for r in calendar if r.overdue]
    if overdue:
        more = f" and {len(overdue) - 1} more" if len(overdue) > 1 else ""
        said.append(f"Visit due now: {overdue[0].name}{more}.")
    first = next((r for r in calendar if r.due is not None and not r.overdue), None)
    if first is not None and first.due is not None:
        which = "Next" if overdue else "First"
        years = years_text((first.due - today).days / DAYS_A_YEAR)
        said.append(f"{which} visit by {first.due}, in {years}: {first.name}.")
    shortest = next((r for r in calendar if r.due is None and r.years is not None), None)
    if shortest is not None and shortest.years is not None:
        said.append(f"Without a date, shortest: {shortest.name}, {years_text(shortest.years)}.")
    return " ".join(said)


def _cells(ctx: Context) -> Iterator[Replacement]:
    together: dict[tuple[str, date | None], list[str]] = defaultdict(list)
    for device in ctx.site.devices:
        together[device.part, device.cells_fitted_on].append(device.id)
    for (part_id, fitted_on), devices in together.items():
        part = ctx.job.part(part_id)
        if isinstance(part, DetectorPart) and lives_on_cells(part):
            yield _cells_of(ctx, part, fitted_on, devices)


def _cells_of(
    ctx: Context, part: DetectorPart, fitted_on: date | None, devices: Sequence[str]
) -> Replacement:
    sheet = Sheet()
    last = cells_last(ctx, part, sheet)
    due = None
    why = last.why
    if fitted_on is not None and fitted_on > ctx.as_of.date():
        why = f"fitted on {fitted_on.isoformat()}: a date in the future, which does not count"
    elif fitted_on is not None and last.years is not None:
        due = years_after(fitted_on, last.years)
        why = f"fitted on {fitted_on.isoformat()}, {last.why}"
        sheet.add(
            "To be replaced by",
            due.isoformat(),
            formula="fitted + years",
            inputs={"fitted": (fitted_on.isoformat(), ""), "years": (last.years, "years")},
            needs=() if last.line is None else (last.line,),
        )
    what = "Cells" if part.cell is None else cells_text(part.cell, len(devices))
    return Replacement(
        id=":".join(["cells", part.id, *([fitted_on.isoformat()] if fitted_on else [])]),
        what=Consumable.CELLS,
        name=f"{what} for {f'{len(devices)} x ' if len(devices) > 1 else ''}{part.name}",
        things=tuple(devices),
        years=last.years,
        due=due,
        overdue=due is not None and due < ctx.as_of.date(),
        why=why,
        working=sheet.lines,
    )


def _battery(ctx: Context) -> Iterator[Replacement]:
    life = battery_life(ctx)
    if life is None:
        return
    count = f"{life.count} x " if life.count > 1 else ""
    yield Replacement(
        id="battery",
        what=Consumable.BATTERY,
        name=f"Standby battery, {count}{life.part.name}",
        things=(PANEL_ID,),
        years=life.years,
        due=life.due,
        overdue=life.past(ctx.as_of.date()),
        why=life.why,
        working=life.working,
    )
