"""Standby link: how long the battery carries the panel and all that it feeds without mains."""

from dataclasses import dataclass, replace
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.battery_life import battery_life
from pathproof.assess.power.check import CHOOSE_BATTERY, amount
from pathproof.assess.power.loads import LoadSchedule, load_schedule
from pathproof.assess.power.standby_asked import Asked, asked_of
from pathproof.assess.power.standby_figures import (
    StandbyFigures,
    asked_capacity,
    standby_figures,
)
from pathproof.assess.power.standby_tests import MEASURE_AGAIN, Measured, measured
from pathproof.assess.power.standby_working import (
    write_asked,
    write_currents,
    write_dates,
    write_figures,
    write_volts,
)
from pathproof.assess.power.volts import other_system
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Link, Margin
from pathproof.calc.power import BatterySize, next_size
from pathproof.job import PANEL_ID, BatteryPart, Job, PanelPart
from pathproof.job import links as names
from pathproof.job.site import FittedBattery
from pathproof.terms import LinkKind, OutOfRangeError, Reason, Word

__all__ = ["held_volts", "standby_link"]

_MEASURE: Final = (
    "Give the currents in the catalogue, from the papers of these parts; or measure standby and "
    "alarm current at the panel and record them as a supply test."
)
_LEAST_A: Final = 1e-6
"""Less than this is a slip of the pen: no panel idles on it. House value. [A]"""
_FROST_DEGC: Final = 0.0
"""Below it only lead-acid batteries have factors here. [degC]"""


def standby_link(ctx: Context) -> Link:
    """The link of the standby battery to the panel, with its hours, its word and its working."""
    fitted = ctx.site.battery
    if fitted is None:
        return _without_battery(ctx)
    link = _Standby(ctx, fitted).assess()
    return link if link.word in (Word.PREDICTED, Word.PROVEN) else _unless_a_slip(ctx, fitted, link)


def _unless_a_slip(ctx: Context, fitted: FittedBattery, link: Link) -> Link:
    """The link, unless it fails for one current alone that looks like a slip of the pen."""
    slip = measured(ctx, None, None).slip
    if not slip:
        return link
    by_parts = _Standby(ctx, fitted, slips_count=False).assess()
    if by_parts.word is not Word.PREDICTED:
        return by_parts
    return replace(
        by_parts,
        word=Word.UNDECIDED,
        reason=Reason.INPUT,
        why=f"measured were {slip}; the battery is too small for that, and for what the parts "
        "state it is not",
        margin=None,
        scale=None,
        missing=MEASURE_AGAIN,
    )


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


@dataclass(frozen=True, kw_only=True)
class _Taken:
    """Standby and alarm current that count: measured, else by the schedule."""

    schedule: LoadSchedule
    found: Measured

    @property
    def standby_a(self) -> float:
        taken = self.found.standby_a
        return self.schedule.standby_a if taken is None else taken.value

    @property
    def alarm_a(self) -> float:
        taken = self.found.alarm_a
        return self.schedule.alarm_a if taken is None else taken.value

    @property
    def unknown(self) -> str:
        """Which current nobody says, in words; empty where both are known."""
        unknown = [
            d.unknown
            for d in self.schedule.draws
            if (d.standby_a is None and self.found.standby_a is None)
            or (d.alarm_a is None and self.found.alarm_a is None)
        ]
        if unknown:
            return (
                f"not known: {'; '.join(unknown)}; take it from its papers, or measure standby and "
                "alarm current at the panel"
            )
        if self.standby_a < _LEAST_A:
            return "nothing takes current from the battery by what the parts state"
        return ""


def _without_battery(ctx: Context) -> Link:
    """Undecided, with what a battery has to hold where that can be told without one."""
    sheet, supply = Sheet(), ctx.site.supply
    taken = _Taken(
        schedule=load_schedule(ctx.job), found=measured(ctx, None, None, slips_count=False)
    )
    currents = write_currents(sheet, taken.schedule, taken.found)
    why, do = "no battery is given", CHOOSE_BATTERY
    asked = None if supply is None else asked_of(ctx, supply)
    if isinstance(asked, Asked) and ctx.site.panel is not None and not taken.unknown:
        needed = asked_capacity(asked, taken.standby_a, taken.alarm_a)
        size = next_size(needed.capacity_ah)
        write_asked(sheet, ctx, asked, needed, size, currents)
        fit = "what its maker states" if size is None else f"{size_text(size)} (next usual size)"
        do = (
            f"Choose the battery: fit at least {fit}, as {amount(needed.capacity_ah, 'Ah')} are "
            "asked for, Peukert and temperature not counted."
        )
    return _link(ctx, Word.UNDECIDED, why, reason=Reason.INPUT, sheet=sheet, missing=do)


class _Standby:
    def __init__(self, ctx: Context, fitted: FittedBattery, *, slips_count: bool = True) -> None:
        part = ctx.job.part(fitted.part)
        assert isinstance(part, BatteryPart)
        self._ctx, self._fitted, self._part = ctx, fitted, part
        self._needed_v = held_volts(ctx.job)
        self._life = battery_life(ctx)
        dated = None if self._life is None else self._life.dated
        self._found = measured(ctx, self._needed_v, dated, slips_count=slips_count)
        self._taken = _Taken(schedule=load_schedule(ctx.job), found=self._found)
        self._sheet = Sheet()
        self._currents = write_currents(self._sheet, self._taken.schedule, self._found)

    def assess(self) -> Link:
        if self._found.volts_fail:
            return self._volts_fail()
        supply = self._ctx.site.supply
        if supply is None:
            return self._undecided(
                "no supply is given, so it is not known which hours are asked",
                "Choose the supply, and say of which kind it is.",
            )
        asked = asked_of(self._ctx, supply)
        if isinstance(asked, str):
            why, _, do = asked.partition("; ")
            return self._undecided(why, f"Mend the profile: {do}.", Reason.LIMIT)
        misfit = self._misfit()
        if misfit is not None:
            return self._undecided(*misfit)
        if self._taken.unknown:
            return self._undecided(self._taken.unknown, _MEASURE)
        try:
            figures = standby_figures(
                self._fitted, self._part, asked, self._taken.standby_a, self._taken.alarm_a
            )
        except OutOfRangeError as error:
            return self._undecided(
                f"the battery stands at {error.value:g} degC, and the factors for lead-acid "
                f"batteries cover {error.low:g} to {error.high:g} degC",
                f"Put the battery where it is {error.low:g} to {error.high:g} degC, or correct its "
                "temperature in the job.",
            )
        write_figures(self._sheet, self._ctx, asked, figures, self._currents)
        write_volts(self._sheet, self._found, self._needed_v)
        if self._life is not None:
            write_dates(self._sheet, self._life)
        return self._conclude(asked, figures)

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
            do="Check terminals, fuse and charger, fit a new battery of the type that the panel is "
            "made for, let it charge, put its date on record and test it again.",
        )

    def _misfit(self) -> tuple[str, str] | None:
        """Why the battery does not go with the panel, and what to do; none where it does."""
        panel = self._ctx.site.panel
        if panel is None:
            return "no panel is chosen", "Choose the panel."
        part, battery = self._ctx.job.part(panel.part), self._part
        assert isinstance(part, PanelPart)
        if other_system(battery, part):
            return (
                f"{battery.name} has {battery.nominal_v:g} V and {part.name} is for "
                f"{part.nominal_v:g} V",
                f"Choose a battery of {part.nominal_v:g} V, as {part.name} is made for.",
            )
        end_v, minimum_v = battery.end_v, part.minimum_v
        if end_v is not None and minimum_v is not None and end_v < minimum_v:
            return (
                f"{part.name} stops at {minimum_v:g} V, before {battery.name} has given its "
                f"capacity at {end_v:g} V, so how much of that counts is not known",
                f"Look up what {battery.name} gives down to {minimum_v:g} V and enter that with "
                f"its end_v, or choose a panel that works down to {end_v:g} V.",
            )
        return None

    def _conclude(self, asked: Asked, figures: StandbyFigures) -> Link:
        waiting = [name for name in asked.limits if not self._ctx.limit(name).usable]
        if waiting:
            listed, one = ", ".join(waiting), len(waiting) == 1
            return self._undecided(
                f"the limit{'' if one else 's'} {listed} {'is' if one else 'are'} from memory and "
                "not confirmed",
                f"Look {listed} up in your own copy and confirm {'it' if one else 'them'}: "
                "pathproof profile confirm.",
                Reason.LIMIT,
            )
        if figures.margin_warm_h < 0.0:
            do = (
                f"{_fit(figures)}, of a type that panel and charger are made for, or take load off "
                "the supply; put its date on record and test again."
            )
            return self._with_margin(Word.LACKING, self._lacks(figures), figures, missing=do)
        if self._part.chemistry != "lead_acid" and self._fitted.temperature_degc < _FROST_DEGC:
            return self._undecided(
                f"{self._part.name} stands at {self._fitted.temperature_degc:g} degC, and nothing "
                "here tells what a battery of its chemistry holds in frost",
                "Put the battery where it does not freeze, or look its capacity in the cold up in "
                "its papers and enter that.",
            )
        if figures.margin_h < 0.0:
            return self._undecided(
                f"it lacks {amount(-figures.margin_h, 'h')} only by the factor for "
                f"{figures.temperature_degc:g} degC, which is from memory",
                f"{_fit(figures)}, or check the factor in your own copy of IEEE 485.",
                Reason.LIMIT,
            )
        due = None if self._life is None else self._life.due
        if due is not None and due < self._ctx.as_of.date():
            return self._undecided(
                f"the battery was to be replaced by {due.isoformat()}, so what it still holds is "
                "not known",
                f"Replace the battery (past its date {due.isoformat()}) and put its date on "
                "record.",
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
            *found.missing_of_currents,
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
        if any(t is not None and t.doubt for t in (self._found.standby_a, self._found.alarm_a)):
            return "by what was measured or what the parts state, as one counts more"
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
            f"with its margin kept it lasts {amount(figures.kept.standby_h, 'h')} and then "
            f"{alarm_min:g} min in alarm, {amount(figures.margin_h, 'h')} more than the "
            f"{figures.demand.standby_h:g} h asked for{aged}"
        )

    def _lacks(self, figures: StandbyFigures) -> str:
        lasts = (
            f"lasts {amount(figures.kept.standby_h, 'h')} of the {figures.demand.standby_h:g} h "
            "asked for before the alarm"
            if figures.kept.alarm_held
            else "does not even carry the alarm"
        )
        return (
            f"with its margin kept it {lasts}, {self._how()}: "
            f"{figures.battery.capacity_ah:g} Ah are fitted and "
            f"{amount(figures.needed.capacity_ah, 'Ah')} asked for"
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

    def _undecided(self, why: str, do: str, reason: Reason = Reason.INPUT) -> Link:
        return self._link(Word.UNDECIDED, why, reason, do)

    def _link(self, word: Word, why: str, reason: Reason | None = None, do: str = "") -> Link:
        return _link(self._ctx, word, why, reason=reason, sheet=self._sheet, missing=do)


def _fit(figures: StandbyFigures) -> str:
    """What to fit instead, in words."""
    size = figures.next_size
    if size is None:
        return "Fit a larger battery that its maker states"
    return f"Fit {size_text(size)}"


def size_text(size: BatterySize) -> str:
    """A usual size as people say it, such as "12 Ah" or "2 x 40 Ah"."""
    return f"{size.block_ah:g} Ah" if size.blocks == 1 else f"{size.blocks} x {size.block_ah:g} Ah"


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
