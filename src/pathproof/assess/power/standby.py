"""Standby link: how long the battery carries the panel and all that it feeds without mains."""

import math
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.battery_life import battery_life
from pathproof.assess.power.loads import load_schedule
from pathproof.assess.power.standby_asked import Asked, asked_of
from pathproof.assess.power.standby_figures import StandbyFigures, standby_figures
from pathproof.assess.power.standby_tests import measured
from pathproof.assess.power.standby_working import (
    write_currents,
    write_dates,
    write_figures,
    write_volts,
)
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Link, Margin
from pathproof.calc.power import BatterySize
from pathproof.job import PANEL_ID, BatteryPart, Job, PanelPart
from pathproof.job import links as names
from pathproof.job.site import FittedBattery
from pathproof.terms import LinkKind, OutOfRangeError, Reason, Word

__all__ = ["held_volts", "standby_link"]

_OTHER_SYSTEM_RATIO: Final = 1.25
"""Nominal volts further apart than this are of different systems. House value. [ratio]"""
_LEAST_A: Final = 1e-6
"""Less than this is a slip of the pen: no panel idles on it. House value. [A]"""


def standby_link(ctx: Context) -> Link:
    """The link of the standby battery to the panel, with its hours, its word and its working."""
    fitted = ctx.site.battery
    if fitted is None:
        return _link(ctx, Word.UNDECIDED, "no battery is given", reason=Reason.INPUT)
    return _Standby(ctx, fitted).assess()


def held_volts(job: Job) -> float | None:
    """Volts that the battery has to hold under load: its own end and the panel's least; or none."""
    known = []
    if job.site.battery is not None:
        battery = job.part(job.site.battery.part)
        known += [battery.end_v] if isinstance(battery, BatteryPart) else []
    if job.site.panel is not None:
        panel = job.part(job.site.panel.part)
        known += [panel.minimum_v] if isinstance(panel, PanelPart) else []
    return max((v for v in known if v is not None), default=None)


class _Standby:
    def __init__(self, ctx: Context, fitted: FittedBattery) -> None:
        part = ctx.job.part(fitted.part)
        assert isinstance(part, BatteryPart)
        self._ctx, self._fitted, self._part = ctx, fitted, part
        self._needed_v = held_volts(ctx.job)
        self._life = battery_life(ctx)
        dated = None if self._life is None else self._life.dated
        self._found = measured(ctx, self._needed_v, dated)
        self._schedule = load_schedule(ctx.job)
        self._sheet = Sheet()
        self._currents = write_currents(self._sheet, self._schedule, self._found)

    def assess(self) -> Link:
        if self._found.volts_fail:
            return self._volts_fail()
        supply = self._ctx.site.supply
        if supply is None:
            return self._undecided("no supply is given, so it is not known which hours are asked")
        asked = asked_of(self._ctx, supply)
        if isinstance(asked, str):
            return self._undecided(asked, Reason.LIMIT)
        why_not = self._misfit() or self._currents_unknown()
        if why_not:
            return self._undecided(why_not)
        try:
            figures = standby_figures(
                self._fitted, self._part, asked, self._standby_a, self._alarm_a
            )
        except OutOfRangeError as error:
            return self._undecided(
                f"the battery stands at {error.value:g} degC, and the factors for lead-acid "
                f"batteries cover {error.low:g} to {error.high:g} degC; put it elsewhere"
            )
        write_figures(self._sheet, self._ctx, asked, figures, self._currents)
        write_volts(self._sheet, self._found, self._needed_v)
        if self._life is not None:
            write_dates(self._sheet, self._life)
        return self._conclude(asked, figures)

    @property
    def _standby_a(self) -> float:
        taken = self._found.standby_a
        return self._schedule.standby_a if taken is None else taken.value

    @property
    def _alarm_a(self) -> float:
        taken = self._found.alarm_a
        return self._schedule.alarm_a if taken is None else taken.value

    @property
    def _by_measurement(self) -> bool:
        return self._found.standby_a is not None and self._found.alarm_a is not None

    def _volts_fail(self) -> Link:
        loaded, needed_v = self._found.loaded_v, self._needed_v
        assert loaded is not None
        assert needed_v is not None
        write_volts(self._sheet, self._found, needed_v)
        minutes = loaded.entry.values.loaded_minutes
        after = "" if minutes is None else f" after {minutes:g} min"
        return self._link(
            Word.LACKING,
            f"the battery held {loaded.value:g} V under alarm load{after} ({loaded.told}); it has "
            f"to hold {needed_v:g} V",
        )

    def _misfit(self) -> str:
        """Why the battery does not go with the panel, in words; empty where it does."""
        panel = self._ctx.site.panel
        if panel is None:
            return "no panel is chosen"
        part, battery = self._ctx.job.part(panel.part), self._part
        assert isinstance(part, PanelPart)
        ratio = battery.nominal_v / part.nominal_v
        if max(ratio, 1.0 / ratio) > _OTHER_SYSTEM_RATIO:
            return (
                f"{battery.name} has {battery.nominal_v:g} V and {part.name} is for "
                f"{part.nominal_v:g} V; choose the battery that the panel is made for"
            )
        end_v, minimum_v = battery.end_v, part.minimum_v
        if end_v is not None and minimum_v is not None and end_v < minimum_v:
            return (
                f"{part.name} stops at {minimum_v:g} V, before {battery.name} has given its "
                f"capacity at {end_v:g} V, so how much of that counts is not known"
            )
        return ""

    def _currents_unknown(self) -> str:
        """Which current nobody says, in words; empty where both are known."""
        found = self._found
        unknown = [
            d.unknown
            for d in self._schedule.draws
            if (d.standby_a is None and found.standby_a is None)
            or (d.alarm_a is None and found.alarm_a is None)
        ]
        if unknown:
            return (
                f"not known: {'; '.join(unknown)}; take it from its papers, or measure standby and "
                "alarm current at the panel"
            )
        if self._standby_a < _LEAST_A:
            return "nothing takes current from the battery by what the parts state"
        return ""

    def _conclude(self, asked: Asked, figures: StandbyFigures) -> Link:
        waiting = [name for name in asked.limits if not self._ctx.limit(name).usable]
        if waiting:
            return self._undecided(
                f"the limit {waiting[0]} is from memory and not confirmed", Reason.LIMIT
            )
        if figures.margin_warm_h < 0.0:
            return self._with_margin(Word.LACKING, self._lacks(figures), figures)
        if figures.margin_h < 0.0:
            return self._undecided(
                f"it lacks {_shown_h(-figures.margin_h, up=True)} h only by the factor for "
                f"{figures.temperature_degc:g} degC, which is from memory; {_fit(figures)}, or "
                "check the factor in your own copy of IEEE 485",
                Reason.LIMIT,
            )
        due = None if self._life is None else self._life.due
        if due is not None and due < self._ctx.as_of.date():
            return self._undecided(
                f"the battery was to be replaced by {due.isoformat()}, so what it still holds is "
                "not known; fit a new one and give its date"
            )
        missing = self._missing()
        if not missing:
            how = f"worked out from measured inputs ({self._evidence_text()})"
            return self._with_margin(Word.PROVEN, f"{self._holds(figures)}, {how}", figures)
        why = f"{self._holds(figures)}, {self._how()}"
        if not self._found.in_part:
            return self._with_margin(Word.PREDICTED, why, figures)
        told = f"missing to prove it: {'; '.join(missing)}"
        return self._with_margin(
            Word.PREDICTED, f"{why}; {told}", figures, missing=f"{told[0].upper()}{told[1:]}"
        )

    def _missing(self) -> list[str]:
        """What is missing for a proof, in words."""
        found = self._found
        return [
            *(["the standby current, measured"] if found.standby_a is None else []),
            *(["the alarm current, measured"] if found.alarm_a is None else []),
            *([found.missing_of_volts] if found.missing_of_volts else []),
            *self._date_missing(),
        ]

    def _date_missing(self) -> list[str]:
        """What is missing of the battery's date, in words."""
        life, fitted_on = self._life, self._fitted.fitted_on
        if life is None or life.dated is None:
            return ["the date of the battery"]
        if fitted_on is None and life.entry not in {e.id for e in self._found.tests}:
            return [f"the date of this battery ({life.entry} read it before something changed)"]
        if life.dated > self._ctx.as_of.date():
            return [f"a date of the battery that has come; {life.dated.isoformat()} has not"]
        return [] if life.years is not None else [f"how long the battery is counted on: {life.why}"]

    def _how(self) -> str:
        if self._by_measurement:
            return "by measured currents"
        one = self._found.standby_a or self._found.alarm_a
        if one is None:
            return "by what the parts state"
        which = "standby" if one is self._found.standby_a else "alarm"
        return f"by the measured {which} current and what the parts state"

    def _holds(self, figures: StandbyFigures) -> str:
        alarm_min = figures.demand.alarm_h * 60.0
        aged = (
            f"; at {100 * figures.end_of_life_ratio:g} % of its rating it would fall short"
            if figures.falls_short_aged
            else ""
        )
        return (
            f"with its margin kept it lasts {_shown_h(figures.kept.standby_h)} h and then "
            f"{alarm_min:g} min in alarm, {_shown_h(figures.margin_h)} h more than the "
            f"{figures.demand.standby_h:g} h asked for{aged}"
        )

    def _lacks(self, figures: StandbyFigures) -> str:
        lasts = (
            f"lasts {_shown_h(figures.kept.standby_h)} h of the {figures.demand.standby_h:g} h "
            "asked for before the alarm"
            if figures.kept.alarm_held
            else "does not even carry the alarm"
        )
        return (
            f"with its margin kept it {lasts}, {self._how()}: "
            f"{figures.battery.capacity_ah:g} Ah are fitted and "
            f"{_shown_h(figures.needed.capacity_ah, up=True)} Ah asked for; {_fit(figures)}"
        )

    def _evidence_text(self) -> str:
        found = self._found
        taken = [t for t in (found.standby_a, found.alarm_a, found.loaded_v) if t is not None]
        return ", ".join(dict.fromkeys(t.told for t in taken))

    def _with_margin(
        self, word: Word, why: str, figures: StandbyFigures, *, missing: str = ""
    ) -> Link:
        return _link(
            self._ctx,
            word,
            why,
            sheet=self._sheet,
            margin=Margin(value=figures.margin_h, unit="h"),
            scale=figures.demand.standby_h,
            missing=missing,
        )

    def _undecided(self, why: str, reason: Reason = Reason.INPUT) -> Link:
        return self._link(Word.UNDECIDED, why, reason)

    def _link(self, word: Word, why: str, reason: Reason | None = None) -> Link:
        return _link(self._ctx, word, why, reason=reason, sheet=self._sheet)


def _fit(figures: StandbyFigures) -> str:
    """What to fit instead, in words."""
    size = figures.next_size
    if size is None:
        return "fit a larger one that its maker states"
    return f"fit {size_text(size)}"


def size_text(size: BatterySize) -> str:
    """A usual size as people say it, such as "12 Ah" or "2 x 40 Ah"."""
    return f"{size.block_ah:g} Ah" if size.blocks == 1 else f"{size.blocks} x {size.block_ah:g} Ah"


def _shown_h(value: float, *, up: bool = False) -> str:
    """In tenths, never in favour of the battery."""
    tenths = math.ceil(value * 10 - 1e-6) if up else math.floor(value * 10 + 1e-6)
    return f"{tenths / 10:.1f}"


def _link(
    ctx: Context,
    word: Word,
    why: str,
    *,
    reason: Reason | None = None,
    sheet: Sheet | None = None,
    margin: Margin | None = None,
    scale: float | None = None,
    missing: str = "",
) -> Link:
    return Link(
        id=names.STANDBY,
        kind=LinkKind.STANDBY,
        start="battery",
        end=PANEL_ID,
        word=word,
        why=why,
        reason=reason,
        margin=margin,
        scale=scale,
        missing=missing,
        evidence=tuple(e.id for e in ctx.fitting(ctx.entries, names.STANDBY)),
        working=() if sheet is None else sheet.lines,
    )
