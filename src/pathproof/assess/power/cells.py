"""How many years the cells of a wireless part last at this site."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from pathproof.assess.context import Context, cite
from pathproof.assess.sheet import Sheet
from pathproof.assess.wording import years_text
from pathproof.calc.power import CELL_TYPES, CellLife, CellUse, cell_life
from pathproof.calc.power.cells import SELF_DISCHARGE_PER_YEAR, SHELF_LIFE_YEARS, USABLE_RATIO
from pathproof.calc.power.sources import CELL_LIFE, CELL_SELF_DISCHARGE, CELL_USABLE, SHELF_LIFE
from pathproof.calc.sources import Source
from pathproof.job import DetectorPart, Limit
from pathproof.job.catalogue import Cell
from pathproof.terms import DeviceKind, InvalidInputError, LimitName

__all__ = ["CellsLast", "cell_name", "cells_last", "cells_text", "lives_on_cells"]

_ALKALINE: Final = "L"
"""How designations of IEC 60086 start for zinc and manganese dioxide in alkali (restated)."""


@dataclass(frozen=True, kw_only=True)
class CellsLast:
    """How long the cells of a part last, or why that is not known."""

    years: float | None
    """[years]"""
    why: str
    line: str | None
    """Id of the line of the sheet that gives the years."""


def lives_on_cells(part: DetectorPart) -> bool:
    """Whether a part has cells: by its figures, or as a wireless one that takes nothing else."""
    return part.cell is not None or (part.radio is not None and part.standby_current_a is None)


def cells_text(cell: Cell, devices: int) -> str:
    """What to bring for so many devices, such as "4 x CR17345 (CR123A)"."""
    return f"{devices * cell.count} x {cell_name(cell)}"


def cell_name(cell: Cell) -> str:
    """What one cell is called, such as "CR17345 (CR123A)"."""
    known = CELL_TYPES.get(cell.designation)
    return cell.designation if known is None else f"{cell.designation} ({known.name})"


def cells_last(ctx: Context, part: DetectorPart, sheet: Sheet) -> CellsLast:
    """How long the cells of a part last at this site, written to the sheet."""
    cell = part.cell
    if cell is None:
        return _unknown(f"the catalogue gives no figures for the cells of {part.name}")
    events = ctx.limits.get(LimitName.CELL_EVENTS_PER_DAY)
    if events is None:
        return _unknown(f"profile {ctx.profile.id} gives no {LimitName.CELL_EVENTS_PER_DAY}")
    told_s = part.supervision_interval_s
    supervision = ctx.limits.get(LimitName.SUPERVISION_INTERVAL_S) if told_s is None else None
    try:
        use = CellUse(
            sleep_current_a=cell.sleep_current_a,
            message_current_a=cell.message_current_a,
            message_s=cell.message_s,
            events_per_day=events.value,
            supervision_interval_s=told_s if supervision is None else supervision.value,
        )
    except InvalidInputError as error:
        return _unknown(f"the figures of {part.name} cannot be: {error}")
    life = cell_life(cell.capacity_ah, use)
    line = _Working(sheet, part, cell, use).write(life, events, supervision)
    limits = [x for x in (events, supervision) if x is not None]
    why = "; ".join(_says(part, cell, life, limits))
    return CellsLast(years=life.years, why=why, line=line)


def _unknown(why: str) -> CellsLast:
    return CellsLast(years=None, why=why, line=None)


def _says(part: DetectorPart, cell: Cell, life: CellLife, limits: Sequence[Limit]) -> Iterator[str]:
    """How long, by what, and what the figure leaves out."""
    if life.by_charge_years > life.years:
        yield f"{years_text(life.years)} by shelf life"
    else:
        yield f"{years_text(life.years)} by charge"
    known = CELL_TYPES.get(cell.designation)
    if known is not None and cell.capacity_ah > known.high_ah:
        yield (
            f"the catalogue has {cell.capacity_ah:g} Ah, such a cell typically {known.low_ah:g} to "
            f"{known.high_ah:g} Ah"
        )
    if cell.designation.startswith(_ALKALINE):
        yield "with the self-discharge of lithium, and alkaline cells lose more"
    if part.what is DeviceKind.SOUNDER:
        yield "what sounding takes is not counted"
    if any(not limit.usable for limit in limits):
        yield "by limits from memory that nobody confirmed"


class _Working:
    """Writes what takes the charge of the cells in a year."""

    def __init__(self, sheet: Sheet, part: DetectorPart, cell: Cell, use: CellUse) -> None:
        self._sheet = sheet
        self._cell = cell
        self._use = use
        own = (s for figure, s in part.sources.items() if figure.partition(".")[0] == "cell")
        self._sources = tuple(cite(s) for s in dict.fromkeys([part.source, *own]))
        self._interval = cite(part.sources.get("supervision_interval_s", part.source))

    def write(self, life: CellLife, events: Limit, supervision: Limit | None) -> str:
        """Write all lines; returns the id of the one with the years."""
        interval = self._interval if supervision is None else cite(supervision.source)
        taken = {
            "asleep": (self._asleep(life), life.sleep_ah_per_year),
            "events": (self._events(life, cite(events.source)), life.events_ah_per_year),
            "supervision": (
                self._supervision(life, interval),
                life.supervision_ah_per_year,
            ),
            "lost": (self._lost(life), life.self_discharge_ah_per_year),
        }
        by_charge = self._sheet.add(
            f"Years by the charge of {self._cell.designation}",
            life.by_charge_years,
            "years",
            formula=f"u * C / ({' + '.join(taken)})",
            inputs={
                "u": (USABLE_RATIO, ""),
                "C": (self._cell.capacity_ah * 1e3, "mAh"),
                **{name: (value_ah * 1e3, "mAh") for name, (_, value_ah) in taken.items()},
            },
            sources=(CELL_LIFE, CELL_USABLE, *self._sources),
            needs=[line for line, _ in taken.values()],
        )
        return self._sheet.add(
            "Counted on for",
            life.years,
            "years",
            formula="the shorter",
            inputs={"shelf life": (SHELF_LIFE_YEARS, "years")},
            sources=(SHELF_LIFE,),
            needs=(by_charge,),
        )

    def _asleep(self, life: CellLife) -> str:
        return self._sheet.add(
            "Taken in a year asleep",
            life.sleep_ah_per_year * 1e3,
            "mAh",
            formula="I0 * 8.76",
            inputs={"I0": (self._cell.sleep_current_a * 1e6, "uA")},
            sources=self._sources,
        )

    def _events(self, life: CellLife, source: Source) -> str:
        return self._sheet.add(
            "Taken in a year by messages of what it detects",
            life.events_ah_per_year * 1e3,
            "mAh",
            formula="N * 365 * I * t / 3600",
            inputs={"N": (self._use.events_per_day, ""), **self._message()},
            sources=tuple(dict.fromkeys([source, *self._sources])),
        )

    def _supervision(self, life: CellLife, source: Source) -> str:
        interval_s = self._use.supervision_interval_s
        if interval_s is None:
            return self._sheet.add("Taken in a year by supervision, none told", 0.0, "mAh")
        return self._sheet.add(
            "Taken in a year by supervision messages",
            life.supervision_ah_per_year * 1e3,
            "mAh",
            formula="86400 / T * 365 * I * t / 3600",
            inputs={"T": (interval_s, "s"), **self._message()},
            sources=tuple(dict.fromkeys([source, *self._sources])),
        )

    def _message(self) -> dict[str, tuple[float | str, str]]:
        return {
            "I": (self._cell.message_current_a * 1e3, "mA"),
            "t": (self._cell.message_s, "s"),
        }

    def _lost(self, life: CellLife) -> str:
        return self._sheet.add(
            "Lost in a year by itself",
            life.self_discharge_ah_per_year * 1e3,
            "mAh",
            formula="s * C",
            inputs={
                "s": (SELF_DISCHARGE_PER_YEAR, ""),
                "C": (self._cell.capacity_ah * 1e3, "mAh"),
            },
            sources=(CELL_SELF_DISCHARGE, *self._sources),
        )
