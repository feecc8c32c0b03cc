"""What a profile asks of the standby battery: hours, alarm, and what is added to the charge."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from pathproof.assess.context import Context
from pathproof.calc.power import Allowance, SeparateFactors, WholeMargin
from pathproof.calc.power.standby import MOST_DESIGN_RATIO
from pathproof.job.site import Supply
from pathproof.terms import LimitName, SupplyKind

__all__ = ["Asked", "asked_of", "hours_limit"]

_HOURS: Final[Mapping[SupplyKind, LimitName]] = MappingProxyType(
    {
        SupplyKind.MAINS_RECHARGED: LimitName.STANDBY_H,
        SupplyKind.MAINS_NOT_RECHARGED: LimitName.STANDBY_NOT_RECHARGED_H,
        SupplyKind.BATTERY_ONLY: LimitName.BATTERY_ONLY_H,
    }
)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What is asked, in the order in which a sheet works it out."""

    hours: LimitName
    """The limit that holds for this kind of supply."""
    within: bool
    """Whether the alarm is part of these hours."""
    standby_h: float
    """Idle, before the alarm. [h]"""
    alarm_h: float
    """[h]"""
    allowance: Allowance

    @property
    def limits(self) -> tuple[LimitName, ...]:
        """The limits that it rests on."""
        return (
            self.hours,
            LimitName.ALARM_MIN,
            LimitName.STANDBY_MARGIN_RATIO,
            LimitName.AGEING_RATIO,
        )


def hours_limit(supply: Supply) -> LimitName:
    """The limit of the hours that a supply of this kind has to bridge."""
    if supply.kind is SupplyKind.MAINS_RECHARGED and supply.mains_fail_notified:
        return LimitName.STANDBY_NOTIFIED_H
    return _HOURS[supply.kind]


def asked_of(ctx: Context, supply: Supply) -> Asked | str:
    """What the profile asks for this supply, or what is wrong with the profile; how to mend it.

    An ageing below 1 goes with a design margin of 1.15 at most, so that ageing never counts twice.
    """
    hours = hours_limit(supply)
    named = (hours, LimitName.ALARM_MIN, LimitName.STANDBY_MARGIN_RATIO, LimitName.AGEING_RATIO)
    not_given = [name for name in named if name not in ctx.limits]
    if not_given:
        return (
            f"profile {ctx.profile.id} gives no {not_given[0]}; add {not_given[0]} to the profile"
        )
    total_h, alarm_h = ctx.value(hours), ctx.value(LimitName.ALARM_MIN) / 60.0
    within = ctx.profile.alarm_within_standby
    standby_h = total_h - alarm_h if within else total_h
    if standby_h <= 0.0:
        return (
            f"{hours} is {total_h:g} h, which leaves no standby before {alarm_h * 60:g} min of "
            "alarm; correct these hours in the profile"
        )
    ageing, margin = ctx.value(LimitName.AGEING_RATIO), ctx.value(LimitName.STANDBY_MARGIN_RATIO)
    if ageing < 1.0 and margin > MOST_DESIGN_RATIO:
        return (
            f"standby_margin_ratio {margin:g} beside ageing_ratio {ageing:g} counts ageing twice; "
            f"set ageing_ratio to 1, or standby_margin_ratio to {MOST_DESIGN_RATIO:g} or less"
        )
    allowance = (
        WholeMargin(ratio=margin)
        if ageing == 1.0
        else SeparateFactors(ageing_ratio=ageing, design_ratio=margin)
    )
    return Asked(
        hours=hours, within=within, standby_h=standby_h, alarm_h=alarm_h, allowance=allowance
    )
