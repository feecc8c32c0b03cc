"""`pathproof standby`: the battery that standby and alarm ask for, and how long one lasts."""

from typing import Annotated, Final

import typer

from pathproof.assess.power import care
from pathproof.calc.power import (
    END_OF_LIFE_RATIO,
    Allowance,
    Battery,
    RequiredCapacity,
    SeparateFactors,
    StandbyDemand,
    WholeMargin,
    charging_current_a,
    endurance,
    next_size,
    required_capacity,
    supply_rating,
)
from pathproof.calc.power.discharge import MOST_PEUKERT
from pathproof.calc.power.standby import MOST_DESIGN_RATIO
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
from pathproof.cli._standby_words import (
    MARGINS_DIFFER,
    Charger,
    Fitted,
    Found,
    answer,
    charging,
    lasting,
    sources,
    working,
)
from pathproof.terms import InvalidInputError, OutOfRangeError

LEAST_A: Final = 0.0001
MOST_A: Final = 1000.0
LEAST_H: Final = 0.01
MOST_H: Final = 10_000.0
MOST_MIN: Final = 10_000.0
MOST_MARGIN: Final = 5.0
MOST_HOUR_RATE_H: Final = 100.0
LEAST_AH: Final = 0.01
MOST_AH: Final = 10_000.0
USUAL_HOUR_RATE_H: Final = 20.0
LEAST_AGEING_RATIO: Final = 0.5

CAUTIONS: Final = (
    "This is arithmetic, not a statement that a rule is met. Hours, alarm time, margin and edition "
    "come from the rule in force where the system stands and from who enforces it there.",
    "Currents are averages, from the papers of the parts or measured. A module's bursts ask for "
    "volts, not for charge: they are a matter of supply and cable.",
    care.BATTERY_TYPE,
    care.BATTERY_HANDLING,
    care.MAINS,
)

app = command_app()


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
    recharge_h: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="H",
            help="Time in which the charger has to put 80 % back: says what that asks of the "
            "supply. [h]",
        ),
    ] = None,
    as_json: AsJson = False,
    ascii_only: AsciiOnly = False,
) -> None:
    """Work out the battery that standby and alarm ask for, and how long one lasts."""
    _check("--standby-a", standby_a, LEAST_A, MOST_A)
    _check("--standby-h", standby_h, LEAST_H, MOST_H)
    _check("--alarm-a", alarm_a, LEAST_A, MOST_A)
    _check("--alarm-min", alarm_min, 0.0, MOST_MIN)
    allowance = _allowance(margin, ageing)
    exponent, rate_h = _rating(peukert, hour_rate_h)
    demand = StandbyDemand(
        standby_a=standby_a,
        standby_h=standby_h,
        alarm_a=max(alarm_a, standby_a),
        alarm_h=alarm_min / 60.0,
    )
    try:
        needed = required_capacity(demand, allowance, temperature_degc, exponent, rate_h)
    except (InvalidInputError, OutOfRangeError) as error:
        raise wrong_value(error) from error
    found = Found(
        needed=needed,
        given_alarm_a=alarm_a,
        temperature_degc=temperature_degc,
        peukert=exponent,
        hour_rate_h=rate_h,
        fitted=_fitted(battery_ah, needed, exponent, rate_h, ageing or END_OF_LIFE_RATIO),
        charger=_charger(recharge_h, battery_ah, needed),
    )
    if as_json:
        print_json(_as_json(found))
    else:
        _show(Screen(ascii_only=ascii_only), found)


def _check(option: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise wrong_use(f"given {value:g}; allowed: {low:g} to {high:g}.", option)


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
    _check("--hour-rate-h", hour_rate_h, LEAST_H, MOST_HOUR_RATE_H)
    if peukert is None:
        raise wrong_use("says something only together with --peukert; give both.", "--hour-rate-h")
    return peukert, hour_rate_h


def _fitted(
    battery_ah: float | None,
    needed: RequiredCapacity,
    peukert: float,
    hour_rate_h: float,
    aged_ratio: float,
) -> Fitted | None:
    if battery_ah is None:
        return None
    _check("--battery-ah", battery_ah, LEAST_AH, MOST_AH)
    battery = Battery(capacity_ah=battery_ah, hour_rate_h=hour_rate_h, peukert=peukert)
    demand = needed.demand
    loads = (demand.standby_a, demand.alarm_a, demand.alarm_h)
    in_the_cold = 1.0 / needed.temperature_factor
    return Fitted(
        capacity_ah=battery_ah,
        aged_ratio=aged_ratio,
        new=endurance(battery, *loads, in_the_cold),
        aged=endurance(battery, *loads, in_the_cold * aged_ratio),
    )


def _charger(
    recharge_h: float | None, battery_ah: float | None, needed: RequiredCapacity
) -> Charger | None:
    """For the battery that was named, or else for the size to fit."""
    if recharge_h is None:
        return None
    _check("--recharge-h", recharge_h, LEAST_H, MOST_H)
    size = next_size(needed.capacity_ah)
    capacity_ah = battery_ah or (needed.capacity_ah if size is None else size.size_ah)
    charging_a = charging_current_a(capacity_ah, recharge_h)
    return Charger(
        capacity_ah=capacity_ah,
        recharge_h=recharge_h,
        charging_a=charging_a,
        supply=supply_rating(needed.demand.standby_a, needed.demand.alarm_a, charging_a),
    )


def _as_json(found: Found) -> dict[str, object]:
    needed, fitted, charger = found.needed, found.fitted, found.charger
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
        "charging_a": None if charger is None else charger.charging_a,
        "supply_average_a": None if charger is None else charger.supply.average_a,
        "supply_peak_a": None if charger is None else charger.supply.peak_a,
        "working": list(working(found)),
        "sources": [
            {"ref": s.ref, "edition": s.edition, "evidence": str(s.evidence)}
            for s in sources(found)
        ],
    }


def _show(screen: Screen, found: Found) -> None:
    screen.paragraph((answer(found.needed), "bold"))
    if found.fitted is not None:
        screen.paragraph(lasting(found.fitted, found.needed.demand))
    if found.charger is not None:
        screen.paragraph(charging(found.charger))
    screen.steps("How this comes about", working(found))
    screen.line()
    screen.paragraph(f"Sources: {'; '.join(map(cited, sources(found)))}.")
    screen.points("Mind", CAUTIONS)
