"""How long the fitted battery carries what takes current, against what is asked."""

import math
from dataclasses import dataclass

from pathproof.assess.power.standby_asked import Asked
from pathproof.calc.power import (
    END_OF_LIFE_RATIO,
    Battery,
    BatterySize,
    Endurance,
    RequiredCapacity,
    SeparateFactors,
    StandbyDemand,
    endurance,
    next_size,
    required_capacity,
)
from pathproof.job import BatteryPart
from pathproof.job.site import FittedBattery

__all__ = ["StandbyFigures", "asked_capacity", "standby_figures"]

_SAME = 1e-9
"""What falls short by less is rounding. [ratio]"""


@dataclass(frozen=True, kw_only=True)
class StandbyFigures:
    """One battery, what it has to carry, and how long it does."""

    part: BatteryPart
    battery: Battery
    """All blocks together."""
    temperature_degc: float | None
    """Where it stands; none for a chemistry that the factor is not for. [degC]"""
    needed: RequiredCapacity
    new: Endurance
    end_of_life: Endurance
    """At 80 % of its rating, or what the profile's ageing says."""
    kept: Endurance
    """With everything that the profile adds taken off: this one decides."""
    kept_warm: Endurance
    """The same at 25 degC, without the factor for the cold."""

    @property
    def demand(self) -> StandbyDemand:
        """What it has to carry."""
        return self.needed.demand

    @property
    def end_of_life_ratio(self) -> float:
        """What is left of the rating at the end of its life. [ratio]"""
        return _end_of_life_ratio(self.needed)

    @property
    def kept_ratio(self) -> float:
        """What is left of the rating with everything taken off that the profile adds. [ratio]"""
        return 1.0 / self.needed.allowance.factor

    @property
    def margin_h(self) -> float:
        """Hours over what is asked; below 0 it falls short. [h]"""
        return _over_h(self.kept, self.demand)

    @property
    def margin_warm_h(self) -> float:
        """The same without the factor for the cold. [h]"""
        return _over_h(self.kept_warm, self.demand)

    @property
    def falls_short_aged(self) -> bool:
        """Whether it carries less than asked at the end of its life, whatever the margin says."""
        return _over_h(self.end_of_life, self.demand) < 0.0

    @property
    def next_size(self) -> BatterySize | None:
        """The usual size that holds what is needed; none above all, or for another chemistry."""
        return next_size(self.needed.capacity_ah) if self.part.chemistry == "lead_acid" else None


def standby_figures(
    fitted: FittedBattery, part: BatteryPart, asked: Asked, standby_a: float, alarm_a: float
) -> StandbyFigures:
    """How long a battery carries standby and alarm current, new and aged.

    Parameters
    ----------
    fitted : FittedBattery
        How many blocks in parallel, and where.
    part : BatteryPart
        One block.
    asked : Asked
        Hours and what is added.
    standby_a : float
        Above 0. [A]
    alarm_a : float
        Counted as the standby current where it is below that. [A]

    Raises
    ------
    OutOfRangeError
        A lead-acid battery stands where the factors for the cold do not reach.
    """
    temperature_degc = fitted.temperature_degc if part.chemistry == "lead_acid" else None
    battery = Battery(
        capacity_ah=part.capacity_ah * fitted.count,
        hour_rate_h=part.hour_rate_h,
        peukert=part.peukert or 1.0,
    )
    demand = _demand(asked, standby_a, alarm_a)
    needed = required_capacity(
        demand, asked.allowance, temperature_degc, battery.peukert, battery.hour_rate_h
    )
    cold = needed.temperature_factor

    def carried(ratio: float) -> Endurance:
        return endurance(battery, standby_a, demand.alarm_a, demand.alarm_h, ratio)

    kept_ratio = 1.0 / asked.allowance.factor
    return StandbyFigures(
        part=part,
        battery=battery,
        temperature_degc=temperature_degc,
        needed=needed,
        new=carried(1.0 / cold),
        end_of_life=carried(_end_of_life_ratio(needed) / cold),
        kept=carried(kept_ratio / cold),
        kept_warm=carried(kept_ratio),
    )


def asked_capacity(asked: Asked, standby_a: float, alarm_a: float) -> RequiredCapacity:
    """What a profile asks of a battery that is not chosen yet: no Peukert, no temperature.

    Currents as for :func:`standby_figures`.
    """
    return required_capacity(_demand(asked, standby_a, alarm_a), asked.allowance)


def _demand(asked: Asked, standby_a: float, alarm_a: float) -> StandbyDemand:
    return StandbyDemand(
        standby_a=standby_a,
        standby_h=asked.standby_h,
        alarm_a=max(alarm_a, standby_a),
        alarm_h=asked.alarm_h,
    )


def _end_of_life_ratio(needed: RequiredCapacity) -> float:
    match needed.allowance:
        case SeparateFactors():
            return needed.allowance.ageing_ratio
        case _:
            return END_OF_LIFE_RATIO


def _over_h(held: Endurance, demand: StandbyDemand) -> float:
    over_h = held.standby_h - demand.standby_h
    return 0.0 if math.isclose(held.standby_h, demand.standby_h, rel_tol=_SAME) else over_h
