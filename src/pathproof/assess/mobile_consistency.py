"""What in an LTE reading cannot be, by what was read beside it."""

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence

from pathproof.assess.context import Context
from pathproof.assess.mobile_levels import moments
from pathproof.calc.mobile import (
    LTE_RESOURCE_BLOCKS,
    Contradiction,
    Interval,
    LteReading,
    Rule,
    contradictions,
)
from pathproof.instruments import Level as ReadLevel
from pathproof.job import Level
from pathproof.job.record import ReadingEntry
from pathproof.terms import Quantity, Severity, Technology

__all__ = [
    "RULE_TEXTS",
    "AnyLevel",
    "consistency_findings",
    "contradicted",
    "impossible",
    "lte_reading",
]

AnyLevel = Level | ReadLevel
"""A level on record, or as an instrument gave it."""

SLACK_DB = 3.0
"""Levels of one answer may come from two receive branches. House value, no source. [dB]"""
RSSI_SLACK_DB = 6.0
"""RSSI (+CSQ) comes from another moment than RSRP and RSRQ (+CESQ), and its scale is the maker's;
as much as one reading leaves open about the level over time. House value, no source. [dB]"""

RULE_TEXTS = {
    Rule.IDENTITY: "RSRQ is RSRP over RSSI, times the resource blocks",
    Rule.RSRQ_LIMIT: "in an empty cell with one antenna port RSRQ is -3 dB, with load it is less",
    Rule.RSSI_LEAST: "RSSI holds at least the reference elements that RSRP is the mean of",
    Rule.SINR_NOISE: "signal over noise is at most RSRP over thermal noise",
    Rule.SINR_LOAD: "RSRQ bounds SINR between an empty and a full cell",
}
"""What a reading goes against, in words."""
_WITH_RSSI = {Rule.IDENTITY, Rule.RSSI_LEAST}
_NAMES = {
    Quantity.RSRQ_DB: ("RSRQ", "dB"),
    Quantity.RSSI_DBM: ("RSSI", "dBm"),
    Quantity.SINR_DB: ("SINR", "dB"),
}


def impossible(entry: ReadingEntry) -> frozenset[float]:
    """The moments of an entry, in seconds after its first, at which the levels cannot be. [s]"""
    return frozenset(after_s for after_s, found in _contradicted(entry) if found.firm)


def consistency_findings(ctx: Context) -> Iterator[tuple[Severity, str, str, str]]:
    """Contradictions within the readings on record: one finding for each entry and rule."""
    for entry in ctx.entries:
        if not isinstance(entry, ReadingEntry):
            continue
        by_rule: dict[Rule, list[Contradiction]] = defaultdict(list)
        for _, found in _contradicted(entry):
            by_rule[found.rule].append(found)
        total = 1 + len(entry.values.series)
        for found_by_rule in by_rule.values():
            yield _finding(entry, found_by_rule, total)


def _finding(
    entry: ReadingEntry, found: Sequence[Contradiction], total: int
) -> tuple[Severity, str, str, str]:
    worst = max(found, key=lambda c: c.beyond_db)
    name, unit = _NAMES[worst.what]
    often = f" ({len(found)} of {total} readings)" if total > 1 else ""
    text = (
        f"Entry {entry.id}: {name} was read as {_between(worst.given, unit)}; what was read beside "
        f"it allows {_between(worst.allowed, unit)}{often}: {RULE_TEXTS[worst.rule]}."
    )
    if worst.firm:
        return (
            Severity.GAP,
            ", ".join(entry.about),
            f"{text} That cannot be, so it counts for nothing.",
            "Look whether a figure, its sign, its unit or the bandwidth was taken down wrong, and "
            "read again.",
        )
    return (
        Severity.ADVICE,
        ", ".join(entry.about),
        f"{text} It may be, but hardly; the level counts all the same.",
        "Read again, and look whether another cell is nearly as strong.",
    )


def _contradicted(entry: ReadingEntry) -> Iterator[tuple[float, Contradiction]]:
    values = entry.values
    if values.technology not in (None, Technology.LTE):
        return
    for after_s, levels in moments(entry):
        for found in contradicted(levels, values.bandwidth_hz):
            yield after_s, found


def contradicted(levels: Sequence[AnyLevel], bandwidth_hz: float | None) -> Iterator[Contradiction]:
    """What in the LTE levels of one moment goes against the others by more than they may.

    Parameters
    ----------
    levels : sequence of Level
        Of one moment; of one quantity the first counts.
    bandwidth_hz : float, optional
        Bandwidth of the channel; without it, what needs it is not looked at. [Hz]
    """
    if len(levels) < 2 and all(x.quantity is not Quantity.RSRQ_DB for x in levels):
        return
    blocks = None if bandwidth_hz is None else LTE_RESOURCE_BLOCKS.get(bandwidth_hz)
    for found in contradictions(lte_reading(levels), blocks, slack_db=SLACK_DB):
        if found.rule not in _WITH_RSSI or found.beyond_db > RSSI_SLACK_DB:
            yield found


def lte_reading(levels: Sequence[AnyLevel]) -> LteReading:
    """The LTE levels of one moment with their bins; of one quantity the first."""
    read = {x.quantity: _interval(x) for x in reversed(levels)}
    return LteReading(
        rsrp_dbm=read.get(Quantity.RSRP_DBM, Interval()),
        rsrq_db=read.get(Quantity.RSRQ_DB, Interval()),
        rssi_dbm=read.get(Quantity.RSSI_DBM, Interval()),
        sinr_db=read.get(Quantity.SINR_DB, Interval()),
    )


def _interval(level: AnyLevel) -> Interval:
    low, high = level.low, level.high
    if low is None and high is None:
        return Interval(level.value, level.value)
    return Interval(-math.inf if low is None else low, math.inf if high is None else high)


def _between(interval: Interval, unit: str) -> str:
    low, high = interval.low, interval.high
    if math.isinf(low):
        return f"{high:.1f} {unit} or less"
    if math.isinf(high):
        return f"{low:.1f} {unit} or more"
    return f"{low:.1f} {unit}" if low == high else f"{low:.1f} to {high:.1f} {unit}"
