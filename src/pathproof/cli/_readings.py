"""Texts of modems, phones and panels as readings, and readings as people read them."""

import math
import sys
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pathproof.assess.mobile_expected import CARRIED_OVER
from pathproof.assess.mobile_levels import allowed_networks, grading
from pathproof.assess.mobile_readings import unnamed_antenna
from pathproof.assess.wording import technology_text
from pathproof.calc.mobile import Interval
from pathproof.cli._options import wrong_use
from pathproof.instruments import (
    Level,
    Reading,
    Watched,
    read,
    read_many,
    read_scale_step,
)
from pathproof.job import CommunicatorPart, Job, Library, Scale, Site
from pathproof.job import Level as RecordedLevel
from pathproof.job.home import user_library
from pathproof.job.record import ReadingValues
from pathproof.terms import InvalidInputError, PathproofError, Quantity, Technology

FROM_INPUT = "-"


def readings_of(
    texts: Sequence[str], quantity: Quantity | None, scale_of: str | None
) -> list[Reading]:
    """One reading of a text, or those in the lines of standard input where the text is `-`.

    Raises
    ------
    PathproofError
        Not a reading.
    """
    from_input = list(texts) == [FROM_INPUT]
    text = _standard_input() if from_input else "\n".join(texts).replace(":\n", ": ")  # unquoted
    if scale_of is None:
        try:
            if from_input:
                return list(read_many(text, quantity=quantity))
            return [read(text, quantity=quantity)]
        except PathproofError as error:
            shows = text if from_input else " ".join(texts)
            raise _hinting_at_scales(error, shows) from error
    scale = part_scale(user_library(), scale_of)
    steps = text.splitlines() if from_input else [" ".join(texts)]
    found = [read_scale_step(scale, step) for step in steps if step.strip()]
    if not found:
        raise InvalidInputError("Nothing was given; write a step as the panel or phone shows it.")
    return found


def read_levels(text: str, quantity: Quantity | None) -> Reading:
    """One reading of a text that is no step of a scale.

    Raises
    ------
    PathproofError
        Not a reading; where it looks like a step of a scale, with how to read that.
    """
    try:
        return read(text, quantity=quantity)
    except PathproofError as error:
        raise _hinting_at_scales(error, text) from error


def _hinting_at_scales(error: PathproofError, text: str) -> PathproofError:
    """The error, with the scales that have one of the lines as a step."""
    lines = {_folded(line) for line in text.splitlines()}
    having = [
        i
        for i, part in user_library().parts.items()
        if isinstance(scale := getattr(part, "scale", None), Scale)
        and any(_folded(step.name) in lines for step in scale.steps)
    ]
    if not having:
        return error
    return InvalidInputError(
        f"{error} If a panel or phone shows it so, say whose scale it is: --scale "
        f"{' or '.join(sorted(having))}, or a part of your own."
    )


def _folded(text: str) -> str:
    return "".join(text.split()).casefold()


def _standard_input() -> str:
    try:
        return sys.stdin.read()
    except UnicodeDecodeError as error:
        raise InvalidInputError(
            "Standard input is not text in UTF-8; give the module's answers as plain text."
        ) from error


def part_scale(known: Library, part_id: str) -> Scale:
    """The scale by which a part of the catalogue shows levels.

    Raises
    ------
    typer.BadParameter
        There is no such part, or it has no scale.
    """
    scales = {i: getattr(p, "scale", None) for i, p in known.parts.items()}
    scale = scales.get(part_id)
    if not isinstance(scale, Scale):
        problem = "has no scale of its own" if part_id in scales else "is not in the catalogue"
        having = ", ".join(sorted(i for i, s in scales.items() if s is not None))
        raise wrong_use(f"{part_id!r} {problem}; parts with one: {having or 'none'}.", "--scale")
    return scale


def unknown_network(values: Mapping[str, Any], site: Site) -> str | None:
    """That nobody knows the network of a reading; none where the site or a card names it."""
    network = values.get("network")
    here = [n.mcc_mnc for n in site.networks]
    cards = [n for c in site.communicators if c.sim is not None for n in c.sim.networks]
    if network is None or network in (*here, *cards):
        return None
    return (
        f"It will grade nothing: {network} is not among the networks of the site "
        f"({', '.join(here) or 'none yet'}); check the code, or add the network to the site."
    )


def grades_nothing(values: Mapping[str, Any], site: Site) -> str | None:
    """Why a reading on record will grade nothing; none where it may, or where nobody knows.

    Parameters
    ----------
    values : mapping
        The values of its entry, as plain JSON values.
    site : Site
        The site with its networks.
    """
    network, told = values.get("network"), values.get("technology")
    of_network = [n.technologies for n in site.networks if n.mcc_mnc == network]
    spoken = [Technology(told)] if told else [t for known in of_network for t in known]
    graded_by = list(dict.fromkeys(q for t in spoken for q in grading(t)))
    moments = [values["levels"], *(sample["levels"] for sample in values.get("series", []))]
    read = list(dict.fromkeys(Quantity(level["quantity"]) for x in moments for level in x))
    if not read or not graded_by or set(read) & set(graded_by):
        return None
    given, wanted = (" or ".join(quantity_words(q)[0] for q in x) for x in (read, graded_by))
    of = f"{network}, which is " if network else ""
    return f"It will grade nothing: {given} does not grade {of}{', '.join(spoken)}; read {wanted}."


def limits_of_use(
    values: Mapping[str, Any], about: Sequence[str], final_antenna: bool | None, job: Job
) -> Iterator[str]:
    """What a reading on record will not count for, though it may for something else.

    Parameters
    ----------
    values : mapping
        The values of its entry, as plain JSON values.
    about : sequence of str
        What it is about: spots and communicators.
    final_antenna : bool or None
        Whether it was read with the final antenna, as told.
    job : Job
        The job with its networks, cards and modules.
    """
    network, told = values.get("network"), values.get("technology")
    site = job.site
    if unnamed_antenna(site, about, final_antenna):
        yield (
            "It will not count: it is not said whose final antenna it was read with. Name the "
            "communicator too (--about)."
        )
    here = [n.mcc_mnc for n in site.networks]
    modules = [c for c in site.communicators if c.id in about or c.spot in about]
    own = [c for c in modules if c.id in about]
    possible = allowed_networks(site, own[0]) if own else here
    if network is None and len(possible) > 1:
        yield (
            f"It will count for no network: it names none of {', '.join(possible)}. Record it with "
            "--network."
        )
    for communicator in modules:
        allowed = allowed_networks(site, communicator)
        part = job.part(communicator.part)
        speaks = part.technologies if isinstance(part, CommunicatorPart) else []
        if network is not None and allowed and network not in allowed:
            yield (
                f"It will not count for the mobile link of {communicator.id}, whose card may use "
                f"{', '.join(allowed)}; it counts for spots and for a choice."
            )
        elif told is not None and speaks and Technology(told) not in speaks:
            yield _other_technology(communicator.id, Technology(told), speaks)


def _other_technology(communicator: str, told: Technology, speaks: Sequence[Technology]) -> str:
    spoken = " or ".join(map(technology_text, speaks))
    narrow = [technology_text(t) for t in speaks if t in CARRIED_OVER]
    if told is Technology.LTE and narrow:
        counts = f"it predicts {' or '.join(narrow)} at best, and proves nothing"
    else:
        counts = "it does not count for its mobile link"
    return (
        f"{communicator} speaks no {technology_text(told)}, so {counts}; what counts is read in "
        f"{spoken}."
    )


def level_of(text: str) -> Level:
    """One received level in dBm, with the bin of its last digit.

    Raises
    ------
    typer.BadParameter
        Not a number, or a level that no receiver shows.
    """
    try:
        float(text)
        return read(f"rssi {text} dBm").levels[0]
    except PathproofError as error:
        raise wrong_use(error, "--level-dbm") from error
    except ValueError as error:
        raise wrong_use(f"{text!r} is not a level; write it as -87.", "--level-dbm") from error


def level_text(level: Level | RecordedLevel) -> str:
    """A level with its bin, such as "RSRP −120.5 dBm (−121 to −120)"."""
    name, unit = quantity_words(level.quantity)
    edges = signed(level.low), signed(level.high)
    match edges:
        case (None, None):
            spread = ""
        case (None, high):
            spread = f" ({high} or less)"
        case (low, None):
            spread = f" ({low} or more)"
        case (low, high):
            spread = f" ({low} to {high})"
    return f"{name} {signed(level.value)} {unit}{spread}"


def quantity_words(quantity: Quantity) -> tuple[str, str]:
    """Name and unit of a quantity as people write them."""
    name, _, unit = quantity.rpartition("_")
    return name.upper().replace("_", "-"), {"dbm": "dBm", "db": "dB", "percent": "%"}[unit]


def interval_text(interval: Interval, unit: str) -> str:
    """What a level lies in, such as "−121 to −120 dBm" or "−140 dBm or less"."""
    low, high = (None if math.isinf(x) else round(x, 1) for x in (interval.low, interval.high))
    match signed(low), signed(high):
        case None, None:
            return f"any {unit}"
        case None, most:
            return f"{most} {unit} or less"
        case least, None:
            return f"{least} {unit} or more"
        case least, most:
            return f"{least} {unit}" if least == most else f"{least} to {most} {unit}"


def read_of(values: ReadingValues) -> str:
    """What was read, such as "001-01 LTE band 20"; empty where nobody said."""
    technology = "" if values.technology is None else technology_text(values.technology)
    band = "" if values.band is None else f"band {values.band}"
    return " ".join(x for x in (values.network, technology, band) if x)


def count_text(values: ReadingValues) -> str:
    """How many readings over how long, such as "22 readings over 35 min"."""
    if not values.series:
        return "1 reading"
    unknown = without_level(values)
    lost = f", {unknown} of them without a level" if unknown else ""
    return f"{1 + len(values.series)} readings over {duration_text(watched_s(values))}{lost}"


def watched_text(one: Watched) -> str:
    """Range, median and 10th percentile of one quantity over time."""
    name, unit = quantity_words(one.quantity)
    least, most = signed(min(one.shown)), signed(max(one.shown))
    between = least if least == most else f"{least} to {most}"
    if one.tenth_percentile is None:
        return f"{name} {between} {unit}; fewer than 9 of 10 reach any: {one.lost} without a level"
    median = "" if one.median is None else f"median {interval_text(one.median, unit)}; "
    reached = interval_text(one.tenth_percentile, unit)
    return f"{name} {between} {unit}; {median}9 of 10 reach {reached}"


def without_level(values: ReadingValues) -> int:
    """How many readings of a watch knew nothing."""
    return sum(not x for x in (values.levels, *(s.levels for s in values.series)))


def watched_s(values: ReadingValues) -> float:
    """From the first reading of a watch to the last. [s]"""
    return values.series[-1].after_s if values.series else 0.0


def duration_text(length_s: float) -> str:
    """A length of time as people say it, such as "31.5 min"."""
    if length_s < 100.0:
        return f"{length_s:g} s"
    return f"{length_s / 60.0:.3g} min" if length_s < 7200.0 else f"{length_s / 3600.0:.2g} h"


def signed(value: float | None) -> str | None:
    return None if value is None else f"{value:g}".replace("-", "−")
