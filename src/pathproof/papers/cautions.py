"""What every paper warns of. Local codes and licensed persons come first."""

from dataclasses import dataclass

from pathproof.assess.power import care
from pathproof.assess.radio_distance import centimetres, radio_distance
from pathproof.calc.power import VOLTAGE_LIMITS, Class2Supply, class_2_limits
from pathproof.job import Job, SupplyPart
from pathproof.terms import AccountState, OutOfRangeError


@dataclass(frozen=True, kw_only=True)
class Caution:
    """One caution with its heading."""

    heading: str
    text: str


NOT_SHOWN = Caution(
    heading="What this paper does not show",
    text=(
        "It follows signals from a device to the monitoring centre. It does not show that a "
        "detector sees an intruder, smoke, gas or water where it hangs, that the right number or "
        "kind of detectors was chosen, or that anybody will act on a signal. A calculation is "
        "not a test: only what is marked proven was shown at this site, on the day it was shown."
    ),
)

_FIRST = Caution(
    heading="Local codes and licensed persons first",
    text=(
        "Laws, building and electrical codes, licences and the insurer's terms of the place come "
        "before anything in this paper. Where they ask for a licensed person, a licensed person "
        "does the work."
    ),
)

_REST = (
    Caution(
        heading="People who rely on an alarm",
        text=(
            "An alarm system lowers a risk, it does not take it away. Nobody's safety may rest on "
            "a signal that is not proven, and fire, gas and hold-up signals follow rules of their "
            "own. Test at the intervals that the maker and the code ask for."
        ),
    ),
    Caution(
        heading="Mains",
        text=care.MAINS,
    ),
    Caution(
        heading="Batteries",
        text=f"{care.BATTERY_HANDLING} {care.CELLS}",
    ),
    Caution(
        heading="Heights",
        text=(
            "Use a ladder or platform made for the height, on firm ground, with somebody near. "
            "Keep clear of overhead lines with ladders and antennas."
        ),
    ),
    Caution(
        heading="Drilling",
        text=(
            "Find cables, pipes and heating in walls and floors before drilling. Older buildings "
            "may hold asbestos or lead paint: have it checked first. Wear eye protection."
        ),
    ),
)


_OUTSIDE = Caution(
    heading="Antennas outside",
    text=(
        "An antenna outside and its cable bring lightning and surges into the house: earthing, "
        "bonding and lightning protection go by the codes of the place, and where these ask for a "
        "licensed person, a licensed person does it. It may need leave of the owner or of the "
        "authorities. Fit it so that it cannot fall, seal the wall where the cable comes in, and "
        "stop work when a thunderstorm comes near."
    ),
)


_NO_VERDICT = (
    "Whether a supply is Class 2, a limited power source, SELV or ES1 stands on its label and in "
    "its papers: this paper does not judge it. Use what the panel's maker asks for, on an outlet "
    "that nobody switches off, with nothing else on it. Do not join supplies unless they are "
    "listed for it, and keep their cables away from those of the mains as the local code asks."
)


def cautions(job: Job) -> tuple[Caution, ...]:
    """All cautions for a job, those that come first at the top."""
    return (_FIRST, *_REST, _supply(job), _OUTSIDE, _radio(job), NOT_SHOWN)


def _supply(job: Job) -> Caution:
    supply = job.site.supply
    part = None if supply is None else job.part(supply.part)
    limits = _limits(part.output_v) if isinstance(part, SupplyPart) else ""
    return Caution(heading="Power supply", text=f"{_NO_VERDICT}{limits}")


def _limits(output_v: float) -> str:
    """What is remembered of the limits at these volts; nothing beyond the tables."""
    try:
        class_2 = class_2_limits(Class2Supply.DC_INHERENTLY_LIMITED, output_v)
    except OutOfRangeError:
        return ""
    return (
        f" From memory, to be checked in your own copy: at {output_v:g} V DC the label of a Class "
        f"2 supply (NEC chapter 9) states no more than {class_2.nameplate_a:.3g} A and "
        f"{class_2.nameplate_va:.3g} VA, and SELV (IEC 60950-1) and ES1 (IEC 62368-1) end at "
        f"{VOLTAGE_LIMITS['SELV'].dc_v:g} V DC."
    )


def _radio(job: Job) -> Caution:
    in_use = [c for c in job.site.communicators if c.state is not AccountState.ENDED]
    distances = [radio_distance(job, c).keep_m for c in in_use]
    at_least = f", and at least {centimetres(max(distances))} cm" if distances else ""
    return Caution(
        heading="Radio exposure",
        text=(
            "Hang the antenna so that people stay as far from it as the module's own papers "
            f"ask{at_least}. Keep it as far from implants and medical devices as their makers or a "
            "doctor ask. Before anybody works at the antenna or its plugs, tell the monitoring "
            "centre and switch the module off."
        ),
    )
