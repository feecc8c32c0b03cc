"""`pathproof exposure`: how far people should keep from a sending antenna."""

import math
from typing import Annotated, Final

import typer

from pathproof.calc.radio import (
    EXPOSURE_LIMITS,
    PUBLIC_RULES,
    STATED_DISTANCE_M,
    DistanceRule,
    DistanceToKeep,
    distance_to_keep,
    exposure_limit_w_per_m2,
    far_field_distance_m,
)
from pathproof.calc.radio.exposure import GROUND_REFLECTION_RATIO
from pathproof.calc.radio.sources import FAR_FIELD, GROUND_REFLECTION, NEAR_FIELD
from pathproof.cli._options import AsciiOnly, AsJson, as_number, command_app, wrong_value
from pathproof.cli._screen import Screen, print_json
from pathproof.cli._sources import cited
from pathproof.terms import InvalidInputError, OutOfRangeError

OCCUPATIONAL_RULES: Final = (DistanceRule.CFR_OCCUPATIONAL,)
CAUTIONS: Final = (
    "The distance and the greatest antenna gain that the module's papers state come first, and so "
    "do the rules of the place.",
    "Other senders near by add to this one. This is a caution for one sender that sends all the "
    "time where its antenna radiates most, not the assessment of a site.",
    "Switch the module off before you work at its antenna. People with a pacemaker or another "
    "implant keep the distance that its maker or their doctor asks for.",
)

app = command_app()


@app.command()
def exposure(
    eirp_dbm: Annotated[
        float,
        typer.Option(
            parser=as_number,
            metavar="DBM",
            help="Radiated power: power into the antenna plus its gain in dBi. [dBm]",
            show_default=False,
        ),
    ],
    frequency_hz: Annotated[
        float,
        typer.Option(
            parser=as_number,
            metavar="HZ",
            help="Lowest frequency that it sends at, as 824e6. [Hz]",
            show_default=False,
        ),
    ],
    stated_m: Annotated[
        float | None,
        typer.Option(
            parser=as_number,
            metavar="M",
            help=f"Distance that the module's papers state; {STATED_DISTANCE_M:.2f} if not given. "
            "[m]",
        ),
    ] = None,
    occupational: Annotated[
        bool,
        typer.Option("--occupational", help="By the limits for trained people at work."),
    ] = False,
    ground_reflection: Annotated[
        bool,
        typer.Option("--ground-reflection", help="With a full reflection from the ground."),
    ] = False,
    as_json: AsJson = False,
    ascii_only: AsciiOnly = False,
) -> None:
    """Say how far people should keep from a sending antenna.

    Never less than the module's papers state, nor than where the formula begins to hold.
    """
    rules = OCCUPATIONAL_RULES if occupational else PUBLIC_RULES
    stated = STATED_DISTANCE_M if stated_m is None else stated_m
    try:
        found = distance_to_keep(eirp_dbm, frequency_hz, stated, rules, ground_reflection)
    except (InvalidInputError, OutOfRangeError) as error:
        raise wrong_value(error) from error
    if as_json:
        print_json(_as_json(found, eirp_dbm, frequency_hz, ground_reflection=ground_reflection))
        return
    screen = Screen(ascii_only=ascii_only)
    _show(screen, found, stated_given=stated_m is not None)
    lines = _working(found, eirp_dbm, frequency_hz, ground_reflection=ground_reflection)
    screen.steps("How this comes about", lines)
    screen.points("Mind", CAUTIONS)


def _as_json(
    found: DistanceToKeep, eirp_dbm: float, frequency_hz: float, *, ground_reflection: bool
) -> dict[str, object]:
    by_first_rule = next(iter(found.far_field_m.values()))
    return {
        "far_field_m": by_first_rule,
        "keep_m": found.keep_m,
        "rule": str(found.rule),
        "near_field_m": found.near_field_m,
        "stated_m": found.stated_m,
        "ground_reflection": ground_reflection,
        "limits": [
            {
                "rule": str(rule),
                "limit_w_per_m2": exposure_limit_w_per_m2(rule, frequency_hz),
                "averaged_min": EXPOSURE_LIMITS[rule].averaged_min,
                "plain_m": far_field_distance_m(rule, eirp_dbm, frequency_hz),
                "reflected_m": far_field_distance_m(rule, eirp_dbm, frequency_hz, True),
                "evidence": str(EXPOSURE_LIMITS[rule].source.evidence),
            }
            for rule in found.far_field_m
        ],
    }


def _show(screen: Screen, found: DistanceToKeep, *, stated_given: bool) -> None:
    screen.paragraph((f"Keep people at least {_length(found.keep_m)} from the antenna.", "bold"))
    screen.line()
    stated = str(DistanceRule.STATED)
    if not stated_given:
        stated += ": the usual one, because none was given. Look it up in the module's papers"
    rows = [
        (DistanceRule.STATED, found.stated_m, stated),
        (DistanceRule.NEAR_FIELD, found.near_field_m, str(DistanceRule.NEAR_FIELD)),
        *((rule, far_m, str(rule)) for rule, far_m in found.far_field_m.items()),
    ]
    for rule, distance_m, text in rows:
        style = "bold" if rule is found.rule else ""
        screen.paragraph((text, style), first=f"{_centimetres(distance_m):8.1f} cm  ")


def _working(
    found: DistanceToKeep, eirp_dbm: float, frequency_hz: float, *, ground_reflection: bool
) -> list[str]:
    eirp_w = 10.0 ** ((eirp_dbm - 30.0) / 10.0)
    lines = [f"{eirp_dbm:g} dBm e.i.r.p. is {eirp_w:.3g} W."]
    for rule in found.far_field_m:
        limit = exposure_limit_w_per_m2(rule, frequency_hz)
        plain_m, reflected_m = (
            far_field_distance_m(rule, eirp_dbm, frequency_hz, reflected)
            for reflected in (False, True)
        )
        lines.append(
            f"{rule}: {limit:.4g} W/m² at {frequency_hz / 1e6:g} MHz, averaged over "
            f"{EXPOSURE_LIMITS[rule].averaged_min:g} min. Root of ({eirp_w:.3g} W / (4 pi × "
            f"{limit:.4g} W/m²)) = {_length(plain_m)}; with a full reflection from the ground "
            f"({GROUND_REFLECTION_RATIO:g} times the power density) {_length(reflected_m)}"
            + (", which counts here." if ground_reflection else ".")
        )
    inside = [str(r) for r, far_m in found.far_field_m.items() if far_m < found.near_field_m]
    lines.append(
        f"Near-field limit, a wavelength over 2 pi: {_length(found.near_field_m)}. Nearer than "
        "that the formula does not hold"
        + (f", so it says nothing here by {' and by '.join(inside)}." if inside else ".")
    )
    sources = [FAR_FIELD, *(EXPOSURE_LIMITS[rule].source for rule in found.far_field_m)]
    return [
        *lines,
        f"The largest counts: {found.rule}, {_length(found.keep_m)}. Lengths are rounded up.",
        f"Sources: {'; '.join(cited(s) for s in (*sources, GROUND_REFLECTION, NEAR_FIELD))}.",
    ]


def _length(length_m: float) -> str:
    return f"{_centimetres(length_m):.10g} cm"


def _centimetres(length_m: float) -> float:
    """Rounded up to the millimetre; what is off by less than a micrometre was meant."""
    return math.ceil(length_m * 1000.0 - 1e-3) / 10.0
