"""What `pathproof standby` found, and how it says that, with its working and sources."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from pathproof.calc.power import (
    CHARGE_LIMIT_PER_H,
    END_OF_LIFE_RATIO,
    STANDARD_SIZES_AH,
    Allowance,
    BatterySize,
    Endurance,
    RequiredCapacity,
    SeparateFactors,
    StandbyDemand,
    SupplyRating,
    WholeMargin,
    next_size,
)
from pathproof.calc.power.charging import CHARGE_EFFICIENCY_RATIO, RECHARGE_RATIO
from pathproof.calc.power.sources import (
    AGEING,
    DESIGN_MARGIN,
    EN_54_4_FORM,
    IEEE_485_SPAN,
    IEEE_485_TEMPERATURE,
    NFPA_72_MARGIN_2010,
    NFPA_72_MARGIN_2022,
    NO_CREDIT_FOR_WARMTH,
    PEUKERT,
    PEUKERT_CAP,
    RECHARGE,
    STANDARD_SIZES,
    STANDBY_FORM,
    SUPPLY_RATING,
)
from pathproof.calc.power.standby import MOST_BLOCKS
from pathproof.calc.sources import Source

MARGINS_DIFFER: Final = (
    "which one, the adopted edition decides: NFPA 72 adds 20 % in its editions 2010 to 2019 (1.2) "
    "and 25 % from 2022 (1.25), EN 54-4 and BS 5839-1 25 % (1.25)"
)


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """How long a battery lasts that somebody has or thinks of."""

    capacity_ah: float
    aged_ratio: float
    new: Endurance
    aged: Endurance


@dataclass(frozen=True, kw_only=True)
class Charger:
    """What puts the charge back in a time."""

    capacity_ah: float
    recharge_h: float
    charging_a: float
    supply: SupplyRating


@dataclass(frozen=True, kw_only=True)
class Found:
    """All that was worked out, and what it was worked out with."""

    needed: RequiredCapacity
    given_alarm_a: float
    """The demand counts the standby current where that is larger."""
    temperature_degc: float | None
    peukert: float
    hour_rate_h: float
    fitted: Fitted | None
    charger: Charger | None


def answer(needed: RequiredCapacity) -> str:
    """The capacity asked for and the size to fit."""
    size = next_size(needed.capacity_ah)
    asked = f"{needed.capacity_ah:.5g} Ah are asked for"
    return f"{asked}; {'no usual size holds that' if size is None else f'fit {_named(size)}'}."


def _named(size: BatterySize) -> str:
    if size.blocks == 1:
        return f"{size.size_ah:g} Ah"
    return f"{size.blocks} blocks of {size.block_ah:g} Ah in parallel, {size.size_ah:g} Ah"


def lasting(fitted: Fitted, demand: StandbyDemand) -> str:
    """How long the battery carries the loads, new and aged, beside what is asked for."""
    aged_percent = fitted.aged_ratio * 100
    return (
        f"A battery of {fitted.capacity_ah:g} Ah carries {_carried(fitted.new)} when new "
        f"and {_carried(fitted.aged)} at {aged_percent:g} % of its rating; asked for are "
        f"{demand.standby_h:g} h and {demand.alarm_h * 60:g} min of alarm."
    )


def _carried(found: Endurance) -> str:
    """In tenths of an hour, never rounded up."""
    if not found.alarm_held:
        return "not even the alarm"
    return f"{math.floor(found.standby_h * 10 + 1e-6) / 10:.1f} h of standby and then the alarm"


def charging(charger: Charger) -> str:
    """What the supply has to give to recharge in time."""
    return (
        f"To put {RECHARGE_RATIO * 100:g} % back in {charger.recharge_h:g} h the supply gives "
        f"{charger.supply.average_a:.3g} A all day and {charger.supply.peak_a:.3g} A in alarm, "
        "without the bursts of a module."
    )


def working(found: Found) -> Iterator[str]:
    """How the figures come about, line by line."""
    needed = found.needed
    demand = needed.demand
    yield f"Standby: {demand.standby_a:g} A × {demand.standby_h:g} h = {demand.standby_ah:.5g} Ah."
    if found.given_alarm_a < demand.standby_a:
        yield (
            f"The alarm current was given as {found.given_alarm_a:g} A, less than while idle: "
            f"{demand.standby_a:g} A count in its place, as what idles still takes its current. "
            "Look for a slip of the pen."
        )
    yield (
        f"Alarm: {demand.alarm_a:g} A × {demand.alarm_h * 60:g} min / 60 = "
        f"{demand.alarm_ah:.5g} Ah."
    )
    yield f"Together: {demand.charge_ah:.5g} Ah."
    if found.peukert > 1.0:
        yield (
            f"By Peukert, exponent {found.peukert:g} at the {found.hour_rate_h:g} h rate, loads "
            f"above the rated current of what is left at the end, "
            f"{needed.taken_ah / found.hour_rate_h:.4g} A, count for more: {needed.taken_ah:.5g} "
            "Ah are taken."
        )
    yield _temperature_line(needed.temperature_factor, found.temperature_degc)
    yield from _allowance_lines(needed.allowance)
    yield f"Asked for: {_product(needed)} = {needed.capacity_ah:.5g} Ah."
    yield _size_line(next_size(needed.capacity_ah))
    if found.fitted is not None:
        yield _fitted_line(found.fitted, needed.temperature_factor)
    if found.charger is not None:
        yield from _charger_lines(found.charger, demand)


def _temperature_line(factor: float, temperature_degc: float | None) -> str:
    if temperature_degc is None:
        return (
            "Temperature: not corrected for, as at 25 °C. In the cold a battery gives less; say "
            "how cold it gets with --temperature-degc."
        )
    warm = ", warmth not counted" if factor == 1.0 and temperature_degc > 25.0 else ""
    return f"Temperature: {temperature_degc:g} °C, factor {factor:.4g}{warm}; for lead-acid only."


def _allowance_lines(allowance: Allowance) -> Iterator[str]:
    match allowance:
        case WholeMargin():
            yield (
                f"Margin: factor {allowance.ratio:g} for everything, so nothing more is added for "
                f"ageing; {MARGINS_DIFFER}."
            )
            if allowance.ratio * END_OF_LIFE_RATIO < 1.0:
                yield (
                    f"A battery that is just large enough then falls short before it has aged to "
                    f"{END_OF_LIFE_RATIO * 100:g} % of its rating; that takes a factor of "
                    f"{1 / END_OF_LIFE_RATIO:g}."
                )
        case SeparateFactors():
            yield (
                f"Ageing: factor 1 / {allowance.ageing_ratio:g} = "
                f"{1 / allowance.ageing_ratio:.5g}, by itself, so no margin with ageing in it."
            )
            yield f"Design margin: factor {allowance.design_ratio:g}, ageing not in it."


def _product(needed: RequiredCapacity) -> str:
    factors = [needed.temperature_factor]
    match needed.allowance:
        case WholeMargin():
            factors.append(needed.allowance.ratio)
        case SeparateFactors():
            factors += [1 / needed.allowance.ageing_ratio, needed.allowance.design_ratio]
    return " × ".join([f"{needed.taken_ah:.5g} Ah", *(f"{x:.5g}" for x in factors)])


def _size_line(size: BatterySize | None) -> str:
    usual = ", ".join(f"{x:g}" for x in STANDARD_SIZES_AH)
    if size is None:
        return f"Usual sizes are {usual} Ah; more than {MOST_BLOCKS} in parallel are not usual."
    return f"Next larger size: {_named(size)}; usual sizes are {usual} Ah."


def _fitted_line(fitted: Fitted, cold: float) -> str:
    return (
        f"A battery of {fitted.capacity_ah:g} Ah: each load takes its share of what is there, "
        f"{fitted.capacity_ah / cold:.5g} Ah new and {fitted.aged_ratio:g} of that at the end; "
        "standby gets what the alarm leaves."
    )


def _charger_lines(charger: Charger, demand: StandbyDemand) -> Iterator[str]:
    yield (
        f"Charging: {RECHARGE_RATIO:g} × {charger.capacity_ah:g} Ah / "
        f"({CHARGE_EFFICIENCY_RATIO:g} × {charger.recharge_h:g} h) = {charger.charging_a:.3g} A."
    )
    most_a = CHARGE_LIMIT_PER_H * charger.capacity_ah
    if charger.charging_a > most_a:
        yield (
            f"That is more than the {most_a:.3g} A that a battery of this size usually takes: its "
            "papers tell what it bears."
        )
    yield (
        f"Supply: {demand.standby_a:g} A + {charger.charging_a:.3g} A all day; "
        f"{demand.alarm_a:g} A + {charger.charging_a:.3g} A in alarm."
    )


def sources(found: Found) -> Iterator[Source]:
    """What the figures stand on."""
    yield STANDBY_FORM
    if found.peukert > 1.0:
        yield from (PEUKERT, PEUKERT_CAP)
    if found.temperature_degc is not None:
        yield from (IEEE_485_TEMPERATURE, IEEE_485_SPAN, NO_CREDIT_FOR_WARMTH)
    match found.needed.allowance:
        case WholeMargin():
            yield from (NFPA_72_MARGIN_2010, NFPA_72_MARGIN_2022, EN_54_4_FORM, AGEING)
        case SeparateFactors():
            yield from (AGEING, DESIGN_MARGIN)
    yield STANDARD_SIZES
    if found.charger is not None:
        yield from (RECHARGE, SUPPLY_RATING)
