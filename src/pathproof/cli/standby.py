"""`pathproof standby`: the battery that standby and alarm ask for, and how long one lasts."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Final

import typer

from pathproof.calc.power import (
    END_OF_LIFE_RATIO,
    STANDARD_SIZES_AH,
    Allowance,
    Battery,
    BatterySize,
    Endurance,
    RequiredCapacity,
    SeparateFactors,
    StandbyDemand,
    WholeMargin,
    endurance,
    next_size,
    required_capacity,
)
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
    STANDARD_SIZES,
    STANDBY_FORM,
)
from pathproof.calc.power.standby import MOST_BLOCKS, MOST_DESIGN_RATIO
from pathproof.calc.sources import Source
from pathproof.cli._options import (
    AsciiOnly,
    AsJson,
    as_number,
    command_app,
    wrong_use,
    wrong_value,
)
from pathproof.cli._screen import Screen, print_json
from pathproof.cli._sources import cited
from pathproof.terms import InvalidInputError, OutOfRangeError

MOST_A: Final = 1000.0
MOST_H: Final = 10_000.0
MOST_MIN: Final = 10_000.0
MOST_MARGIN: Final = 5.0
MOST_PEUKERT: Final = 2.0
MOST_HOUR_RATE_H: Final = 100.0
MOST_AH: Final = 10_000.0
USUAL_HOUR_RATE_H: Final = 20.0
LEAST_AGEING_RATIO: Final = 0.5

MARGINS_DIFFER: Final = (
    "which one, the adopted edition decides: NFPA 72 adds 20 % in its editions 2010 to 2019 (1.2) "
    "and 25 % from 2022 (1.25), EN 54-4 and BS 5839-1 25 % (1.25)"
)
CAUTIONS: Final = (
    "This is arithmetic, not a statement that a rule is met. Hours, alarm time, margin and edition "
    "come from the rule in force where the system stands and from who enforces it there.",
    "Currents are averages, from the papers of the parts or measured. A module's bursts ask for "
    "volts, not for charge: they are a matter of supply and cable.",
    "Replace a battery only with a type that the equipment is approved with. Blocks in series add "
    "volts, not capacity; in parallel only of one type and age, where the charger's maker allows "
    "it.",
    "Insulate the terminals, take off rings, keep the place vented, and never charge a frozen or "
    "swollen block. The mains side is for a licensed person, by the local code.",
)

app = command_app()


@dataclass(frozen=True, kw_only=True)
class _Fitted:
    """How long a battery lasts that somebody has or thinks of."""

    battery: Battery
    aged_ratio: float
    new: Endurance
    aged: Endurance


@app.command()
def standby(
    standby_a: Annotated[
        float,
        typer.Option(
            parser=as_number,
            metavar="A",
            help="Average current while idle, of all that the battery feeds. [A]",
            show_default=False,
        ),
    ],
    standby_h: Annotated[
        float,
        typer.Option(
            parser=as_number,
            metavar="H",
            help="How long it has to last idle, before the alarm. [h]",
            show_default=False,
        ),
    ],
    alarm_a: Annotated[
        float,
        typer.Option(
            parser=as_number,
            metavar="A",
            help="Average current in alarm, of all that the battery feeds. [A]",
            show_default=False,
        ),
    ],
    alarm_min: Annotated[
        float,
        typer.Option(
            parser=as_number,
            metavar="MIN",
            help="How long the alarm lasts after that. [min]",
            show_default=False,
        ),
    ],
    margin: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="RATIO",
            help="New capacity over the charge taken, ageing in it: 1.2 or 1.25, by the edition. "
            f"With --ageing a design margin, {MOST_DESIGN_RATIO:g} at most.",
        ),
    ] = None,
    ageing: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="RATIO",
            help="Capacity at the end of service over new capacity, as 0.8, in place of a margin "
            "that has ageing in it.",
        ),
    ] = None,
    temperature_degc: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="DEGC",
            help="Lowest usual temperature of a lead-acid battery, -3.9 to 51.7; not corrected "
            "for if not given. [degC]",
        ),
    ] = None,
    peukert: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="K",
            help="Peukert exponent, as 1.15: loads above the rated current count for more.",
        ),
    ] = None,
    hour_rate_h: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="H",
            help="Time that the rated capacity is for, with --peukert; "
            f"{USUAL_HOUR_RATE_H:g} if not given. [h]",
        ),
    ] = None,
    battery_ah: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="AH",
            help="Rated capacity of a battery: says how long it lasts. [Ah]",
        ),
    ] = None,
    as_json: AsJson = False,
    ascii_only: AsciiOnly = False,
) -> None:
    """Work out the battery that standby and alarm ask for, and how long one lasts."""
    _check_above_0("--standby-a", standby_a, MOST_A)
    _check_above_0("--standby-h", standby_h, MOST_H)
    _check_above_0("--alarm-a", alarm_a, MOST_A)
    _check("--alarm-min", alarm_min, 0.0, MOST_MIN)
    allowance = _allowance(margin, ageing)
    exponent, rate_h = _rating(peukert, hour_rate_h)
    demand = StandbyDemand(
        standby_a=standby_a, standby_h=standby_h, alarm_a=alarm_a, alarm_h=alarm_min / 60.0
    )
    try:
        needed = required_capacity(demand, allowance, temperature_degc, exponent, rate_h)
    except (InvalidInputError, OutOfRangeError) as error:
        raise wrong_value(error) from error
    fitted = None
    if battery_ah is not None:
        _check_above_0("--battery-ah", battery_ah, MOST_AH)
        battery = Battery(capacity_ah=battery_ah, hour_rate_h=rate_h, peukert=exponent)
        fitted = _fitted(battery, needed, END_OF_LIFE_RATIO if ageing is None else ageing)
    working = list(_working(needed, temperature_degc, exponent, rate_h, fitted))
    sources = list(_sources(needed, temperature_degc, exponent))
    if as_json:
        print_json(_as_json(needed, fitted, working, sources))
        return
    screen = Screen(ascii_only=ascii_only)
    screen.paragraph((_answer(needed), "bold"))
    if fitted is not None:
        screen.paragraph(_lasting(fitted, demand))
    screen.heading("How this comes about")
    for number, text in enumerate(working, start=1):
        screen.paragraph(text, first=f"{number}. ")
    screen.line()
    screen.paragraph(f"Sources: {'; '.join(map(cited, sources))}.")
    screen.heading("Mind")
    for text in CAUTIONS:
        screen.paragraph(text, first="- ")


def _check(option: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise wrong_use(f"given {value:g}; allowed: {low:g} to {high:g}.", option)


def _check_above_0(option: str, value: float, high: float) -> None:
    if not 0.0 < value <= high:
        raise wrong_use(f"given {value:g}; allowed: above 0, {high:g} at most.", option)


def _allowance(margin: float | None, ageing: float | None) -> Allowance:
    """One margin, or ageing by itself with a small one beside it."""
    if margin is not None:
        _check("--margin", margin, 1.0, MOST_MARGIN)
    if ageing is None:
        if margin is None:
            raise wrong_use(
                f"is needed; {MARGINS_DIFFER}. Or give --ageing 0.8 in its place.", "--margin"
            )
        return WholeMargin(ratio=margin)
    if not LEAST_AGEING_RATIO <= ageing <= 1.0:
        hint = f" A factor of {ageing:g} is {1 / ageing:g}." if 1.0 < ageing <= 2.0 else ""
        raise wrong_use(
            f"given {ageing:g}; allowed: {LEAST_AGEING_RATIO:g} to 1, the share of its capacity "
            f"that is left at the end.{hint}",
            "--ageing",
        )
    design = 1.0 if margin is None else margin
    if design > MOST_DESIGN_RATIO:
        raise wrong_use(
            f"given {design:g} beside --ageing; allowed: a design margin of 1 to "
            f"{MOST_DESIGN_RATIO:g}. A margin of 1.2 or 1.25 has ageing in it, which would count "
            "twice: leave out one of the two.",
            "--margin",
        )
    return SeparateFactors(ageing_ratio=ageing, design_ratio=design)


def _rating(peukert: float | None, hour_rate_h: float | None) -> tuple[float, float]:
    """Exponent and hour rate; without an exponent charge counts as it is."""
    if peukert is not None:
        _check("--peukert", peukert, 1.0, MOST_PEUKERT)
    if hour_rate_h is None:
        return peukert or 1.0, USUAL_HOUR_RATE_H
    _check_above_0("--hour-rate-h", hour_rate_h, MOST_HOUR_RATE_H)
    if peukert is None:
        raise wrong_use("says something only together with --peukert; give both.", "--hour-rate-h")
    return peukert, hour_rate_h


def _fitted(battery: Battery, needed: RequiredCapacity, aged_ratio: float) -> _Fitted:
    demand = needed.demand
    loads = (demand.standby_a, demand.alarm_a, demand.alarm_h)
    in_the_cold = 1.0 / needed.temperature_factor
    return _Fitted(
        battery=battery,
        aged_ratio=aged_ratio,
        new=endurance(battery, *loads, in_the_cold),
        aged=endurance(battery, *loads, in_the_cold * aged_ratio),
    )


def _as_json(
    needed: RequiredCapacity, fitted: _Fitted | None, working: list[str], sources: list[Source]
) -> dict[str, object]:
    size = next_size(needed.capacity_ah)
    return {
        "capacity_ah": needed.capacity_ah,
        "next_size_ah": None if size is None else size.size_ah,
        "blocks": None if size is None else size.blocks,
        "standby_ah": needed.demand.standby_ah,
        "alarm_ah": needed.demand.alarm_ah,
        "taken_ah": needed.taken_ah,
        "temperature_factor": needed.temperature_factor,
        "allowance_factor": needed.allowance.factor,
        "lasts_new_h": None if fitted is None else fitted.new.standby_h,
        "lasts_aged_h": None if fitted is None else fitted.aged.standby_h,
        "alarm_held_aged": None if fitted is None else fitted.aged.alarm_held,
        "working": working,
        "sources": [
            {"ref": s.ref, "edition": s.edition, "evidence": str(s.evidence)} for s in sources
        ],
    }


def _answer(needed: RequiredCapacity) -> str:
    size = next_size(needed.capacity_ah)
    asked = f"{needed.capacity_ah:.5g} Ah are asked for"
    return f"{asked}; {'no usual size holds that' if size is None else f'fit {_named(size)}'}."


def _named(size: BatterySize) -> str:
    if size.blocks == 1:
        return f"{size.size_ah:g} Ah"
    return f"{size.blocks} blocks of {size.block_ah:g} Ah in parallel, {size.size_ah:g} Ah"


def _lasting(fitted: _Fitted, demand: StandbyDemand) -> str:
    aged_percent = fitted.aged_ratio * 100
    return (
        f"A battery of {fitted.battery.capacity_ah:g} Ah carries {_carried(fitted.new)} when new "
        f"and {_carried(fitted.aged)} at {aged_percent:g} % of its rating; asked for are "
        f"{demand.standby_h:g} h and {demand.alarm_h * 60:g} min of alarm."
    )


def _carried(found: Endurance) -> str:
    """In tenths of an hour, never rounded up."""
    if not found.alarm_held:
        return "not even the alarm"
    return f"{math.floor(found.standby_h * 10) / 10:.1f} h of standby and then the alarm"


def _working(
    needed: RequiredCapacity,
    temperature_degc: float | None,
    peukert: float,
    hour_rate_h: float,
    fitted: _Fitted | None,
) -> Iterator[str]:
    demand = needed.demand
    yield f"Standby: {demand.standby_a:g} A × {demand.standby_h:g} h = {demand.standby_ah:.5g} Ah."
    yield (
        f"Alarm: {demand.alarm_a:g} A × {demand.alarm_h * 60:g} min / 60 = "
        f"{demand.alarm_ah:.5g} Ah."
    )
    yield f"Together: {demand.charge_ah:.5g} Ah."
    if peukert > 1.0:
        yield (
            f"By Peukert, exponent {peukert:g} at the {hour_rate_h:g} h rate, loads above the "
            f"rated current of {needed.capacity_ah / hour_rate_h:.4g} A count for more: "
            f"{needed.taken_ah:.5g} Ah are taken."
        )
    yield _temperature_line(needed.temperature_factor, temperature_degc)
    yield from _allowance_lines(needed.allowance)
    yield f"Asked for: {_product(needed)} = {needed.capacity_ah:.5g} Ah."
    yield _size_line(next_size(needed.capacity_ah))
    if fitted is not None:
        yield (
            f"A battery of {fitted.battery.capacity_ah:g} Ah: each load takes its share of what is "
            f"there, {fitted.battery.capacity_ah / needed.temperature_factor:.5g} Ah new and "
            f"{fitted.aged_ratio:g} of that at the end; standby gets what the alarm leaves."
        )


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


def _sources(
    needed: RequiredCapacity,
    temperature_degc: float | None,
    peukert: float,
) -> Iterator[Source]:
    yield STANDBY_FORM
    if peukert > 1.0:
        yield from (PEUKERT, PEUKERT_CAP)
    if temperature_degc is not None:
        yield from (IEEE_485_TEMPERATURE, IEEE_485_SPAN, NO_CREDIT_FOR_WARMTH)
    match needed.allowance:
        case WholeMargin():
            yield from (NFPA_72_MARGIN_2010, NFPA_72_MARGIN_2022, EN_54_4_FORM, AGEING)
        case SeparateFactors():
            yield from (AGEING, DESIGN_MARGIN)
    yield STANDARD_SIZES
