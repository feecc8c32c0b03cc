"""Findings on what a battery's catalogue entry leaves out, for which a prediction is too kind."""

from collections.abc import Iterator
from typing import Final

from pathproof.assess.context import Context
from pathproof.assess.power.battery_life import BatteryLife, battery_life
from pathproof.assess.power.check import amount
from pathproof.assess.power.loads import load_schedule
from pathproof.assess.power.standby_tests import measured
from pathproof.assess.wording import years_text
from pathproof.calc.power import END_OF_LIFE_RATIO
from pathproof.terms import Severity

__all__ = ["battery_findings"]

_KINDER: Final = "so the prediction is kinder than it would be with the battery's papers"

_Draft = tuple[Severity, str, str, str]


def battery_findings(ctx: Context) -> Iterator[_Draft]:
    """Severity, what it is about, text and what to do, of each finding."""
    life = battery_life(ctx)
    if life is None:
        return
    if life.part.life_years is None:
        yield _no_life(life)
    taken = measured(ctx, None, None, slips_count=False).alarm_a
    alarm_a = load_schedule(ctx.job).alarm_a if taken is None else taken.value
    left_a = END_OF_LIFE_RATIO * life.part.capacity_ah * life.count / life.part.hour_rate_h
    if life.part.peukert is None and alarm_a > left_a:
        yield _no_exponent(life, alarm_a, left_a)


def _no_life(life: BatteryLife) -> _Draft:
    counted = (
        "it counts however old it is, and cannot be proven"
        if life.years is None
        else f"it counts for the {years_text(life.years)} of the rule on replacement"
    )
    return (
        Severity.ADVICE,
        "battery",
        f"The catalogue states no life for {life.part.name}: {counted}, {_KINDER}.",
        f"Enter life_years of {life.part.id} in the catalogue, from its papers.",
    )


def _no_exponent(life: BatteryLife, alarm_a: float, left_a: float) -> _Draft:
    return (
        Severity.ADVICE,
        "battery",
        f"The catalogue states no Peukert exponent for {life.part.name}. A battery gives less "
        f"above its rated current, which is {amount(left_a, 'A')} when it has aged to "
        f"{100 * END_OF_LIFE_RATIO:g} %; the {amount(alarm_a, 'A')} in alarm count as they are, "
        f"{_KINDER}.",
        f"Enter peukert of {life.part.id} in the catalogue: from its papers, or from two ratings "
        "there, t1 at I1 and t2 at I2, as ln(t1 / t2) / ln(I2 / I1).",
    )
