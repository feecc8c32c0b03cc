"""Mobile readings as people read them, the same in terminal and page."""

import math

from pathproof.assess.wording import technology_text
from pathproof.calc.mobile import Interval
from pathproof.instruments import Level, Watched
from pathproof.job import Level as RecordedLevel
from pathproof.job.record import ReadingValues
from pathproof.terms import Quantity


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
    """A figure with a minus sign that is one; none where there is none."""
    return None if value is None else f"{value:g}".replace("-", "−")
