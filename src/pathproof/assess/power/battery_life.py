"""When the standby battery is to be replaced: by its life where it stands, or by a rule."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from pathproof.assess.context import Context, cite
from pathproof.assess.power.standby_tests import date_not_come
from pathproof.assess.retirements import years_after
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Line
from pathproof.assess.wording import years_text
from pathproof.calc.power import (
    REPLACEMENT_RULES,
    ReplacementRule,
    replace_after_years,
    service_life_years,
)
from pathproof.calc.power.life import WARMEST_DEGC
from pathproof.calc.power.sources import LIFE_BY_TEMPERATURE, NFPA_72_MARGIN_2010
from pathproof.job import BatteryPart
from pathproof.job.record import SupplyTestEntry
from pathproof.job.site import FittedBattery
from pathproof.terms import LimitName

__all__ = ["BatteryLife", "battery_life"]

_STATED_AT_DEGC: Final = 20.0
"""Temperature that a design life is taken to be stated for (practice). [degC]"""
_NFPA_72: Final = "NFPA 72"


@dataclass(frozen=True, kw_only=True)
class BatteryLife:
    """How long the standby battery is counted on, and until when."""

    part: BatteryPart
    count: int
    years: float | None
    """From its date on; none where nobody tells. [years]"""
    dated: date | None
    """Its date: what stands on it, else when it was fitted; none where neither is on record."""
    why: str
    """How long and from when, or what is not known."""
    entry: str | None
    """Id of the supply test that read the date on it."""
    working: tuple[Line, ...]
    in_future: bool = False
    """Whether its date has not come, so that it does not count."""

    @property
    def due(self) -> date | None:
        """The day until which it is counted on."""
        if self.years is None or self.dated is None or self.in_future:
            return None
        return years_after(self.dated, self.years)

    def past(self, day: date) -> bool:
        """Whether that day is over."""
        return self.due is not None and self.due < day


def battery_life(ctx: Context) -> BatteryLife | None:
    """How long the standby battery is counted on; none where the site has none.

    Its date is the one that the newest supply test since its fitting read on it, else that of its
    fitting; one in the future does not count. The life that its maker states is taken to hold at
    20 degC; of a lead-acid one it halves for each 10 K above. Where the profile's standby goes by
    NFPA 72, its rule on replacement comes on top: that of the profile's edition, and of an open one
    the shortest.
    """
    fitted = ctx.site.battery
    if fitted is None:
        return None
    part = ctx.job.part(fitted.part)
    assert isinstance(part, BatteryPart)
    sheet = Sheet()
    years, lines, unknown = _years(sheet, part, fitted, _rule(ctx))
    test = _dated_test(ctx, fitted)
    dated, whence = _date(fitted, test)
    in_future = dated is not None and dated > ctx.as_of.date()
    whence += ": a date in the future, which does not count" if in_future else ""
    if years is not None:
        _write_due(sheet, years, None if in_future else dated, whence, lines)
    return BatteryLife(
        part=part,
        count=fitted.count,
        years=years,
        dated=dated,
        why=unknown if years is None else _why(years, dated, whence),
        entry=None if test is None else test.id,
        working=sheet.lines,
        in_future=in_future,
    )


def _rule(ctx: Context) -> ReplacementRule | None:
    """The rule of the profile's world; the shortest one where it leaves the edition open."""
    asked = (LimitName.STANDBY_H, LimitName.STANDBY_MARGIN_RATIO)
    sources = [ctx.limits[name].source for name in asked if name in ctx.limits]
    editions = {source.edition for source in sources if _NFPA_72 in source.ref}
    if not editions:
        return None
    if editions == {NFPA_72_MARGIN_2010.edition}:
        return REPLACEMENT_RULES["nfpa_72_before_2022"]
    return min(REPLACEMENT_RULES.values(), key=lambda rule: rule.years)


def _years(
    sheet: Sheet, part: BatteryPart, fitted: FittedBattery, rule: ReplacementRule | None
) -> tuple[float | None, list[str], str]:
    """How many years it is counted on, the lines they come from, and what is not known."""
    lines: list[str] = []
    years, unknown = None, f"the catalogue states no life for {part.name}"
    if part.life_years is not None:
        years, lines, unknown = _life(sheet, part, part.life_years, fitted.temperature_degc)
    if rule is not None:
        line = sheet.add(
            "Longest time by the rule on replacement",
            rule.years,
            "years",
            sources=(rule.source, *(r.source for r in REPLACEMENT_RULES.values() if r != rule)),
        )
        lines = [*lines, line]
        years = rule.years if years is None else replace_after_years(years, rule)
    return years, lines, unknown


def _life(
    sheet: Sheet, part: BatteryPart, stated_years: float, temperature_degc: float
) -> tuple[float | None, list[str], str]:
    source = cite(part.sources.get("life_years", part.source))
    stated = sheet.add("Life as stated, at 20 degC", stated_years, "years", sources=(source,))
    if part.chemistry != "lead_acid":
        return stated_years, [stated], ""
    if temperature_degc > WARMEST_DEGC:
        return (
            None,
            [],
            f"no rule on hand tells the life of {part.name} at {temperature_degc:g} degC",
        )
    years = service_life_years(stated_years, temperature_degc, _STATED_AT_DEGC)
    line = sheet.add(
        "Life where it stands, by the lowest usual temperature there",
        years,
        "years",
        formula="L * 2^(-max(0, T - 20) / 10)",
        inputs={"L": (stated_years, "years"), "T": (temperature_degc, "degC")},
        sources=(LIFE_BY_TEMPERATURE,),
        needs=(stated,),
    )
    return years, [line], ""


def _dated_test(ctx: Context, fitted: FittedBattery) -> SupplyTestEntry | None:
    """The newest supply test since the battery was fitted that read the date on it."""
    tests = [
        e
        for e in ctx.entries
        if isinstance(e, SupplyTestEntry)
        and e.values.battery_date is not None
        and not date_not_come(e)
        and (fitted.fitted_on is None or e.at.date() >= fitted.fitted_on)
    ]
    return tests[-1] if tests else None


def _date(fitted: FittedBattery, test: SupplyTestEntry | None) -> tuple[date | None, str]:
    if test is not None:
        return test.values.battery_date, f"the date on it by {test.id}"
    return fitted.fitted_on, "when it was fitted"


def _write_due(
    sheet: Sheet, years: float, dated: date | None, whence: str, lines: list[str]
) -> None:
    counted = sheet.add(
        "Counted on for",
        years,
        "years",
        formula="the shorter" if len(lines) > 1 else "",
        needs=lines,
    )
    if dated is None:
        return
    from_line = sheet.add(f"Date of the battery: {whence}", dated.isoformat())
    sheet.add(
        "To be replaced by",
        years_after(dated, years).isoformat(),
        formula="date + years",
        inputs={"date": (dated.isoformat(), ""), "years": (years, "years")},
        needs=(from_line, counted),
    )


def _why(years: float, dated: date | None, whence: str) -> str:
    if dated is None:
        return years_text(years)
    return f"{years_text(years)} after {dated.isoformat()}, {whence}"
