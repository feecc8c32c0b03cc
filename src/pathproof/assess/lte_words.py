"""The LTE channel that was read: its number, and whether levels fit each other, in words."""

from collections.abc import Sequence
from typing import Final

from pathproof.assess.mobile_consistency import RULE_TEXTS, AnyLevel, contradicted, lte_reading
from pathproof.assess.reading_words import interval_text, quantity_words
from pathproof.calc.mobile import (
    LTE_RESOURCE_BLOCKS,
    Contradiction,
    Rule,
    contradictions,
    implied_level,
)
from pathproof.calc.radio.bands import band_number, downlink_hz
from pathproof.terms import InvalidInputError, Quantity

_THREE: Final = (Quantity.RSRP_DBM, Quantity.RSRQ_DB, Quantity.RSSI_DBM)


def told_band(earfcn: int, told: str | None) -> str:
    """The band of a downlink channel number, written as it was told where it was.

    Raises
    ------
    InvalidInputError
        No band has this channel number, or another band than the one told.
    """
    channel = downlink_hz(earfcn)
    if told is not None and band_number(told) != channel.band.number:
        raise InvalidInputError(
            f"{earfcn} is a channel of band {channel.band.number} ({channel.frequency_hz / 1e6:g} "
            f"MHz), and the band is told as {told}; look at the module again and leave one of them "
            "out."
        )
    return told or channel.band.number


def channel_text(earfcn: int) -> str:
    """What a channel number says, where :func:`told_band` took it."""
    channel = downlink_hz(earfcn)
    also = f"; {_listed(channel.also_in)} cover that frequency too" if channel.also_in else ""
    return (
        f"EARFCN {earfcn} is band {channel.band.number}, {channel.frequency_hz / 1e6:g} MHz{also}."
    )


def _listed(bands: Sequence[str]) -> str:
    return f"band{'s' if len(bands) > 1 else ''} {' and '.join(bands)}"


def doubts(moments: Sequence[Sequence[AnyLevel]], bandwidth_hz: float | None) -> list[str]:
    """What in LTE readings cannot be, or hardly, by what was read beside it.

    Parameters
    ----------
    moments : sequence of sequence of Level
        Levels of each moment.
    bandwidth_hz : float, optional
        Bandwidth of the channel; without it, what needs it is not looked at. [Hz]
    """
    by_rule: dict[Rule, list[Contradiction]] = {}
    for contradiction in (c for levels in moments for c in contradicted(levels, bandwidth_hz)):
        by_rule.setdefault(contradiction.rule, []).append(contradiction)
    return [_contradiction_text(found, len(moments)) for found in by_rule.values()]


def implied(levels: Sequence[AnyLevel], bandwidth_hz: float) -> str:
    """What of RSRP, RSRQ and RSSI of one moment follows from the other two, or that they fit.

    Parameters
    ----------
    levels : sequence of Level
        Of one moment, with no firm contradiction in them.
    bandwidth_hz : float
        One of an LTE channel. [Hz]
    """
    blocks = LTE_RESOURCE_BLOCKS[bandwidth_hz]
    reading = lte_reading(levels)
    read = [q for q in _THREE if any(x.quantity is q for x in levels)]
    if len(read) < 2:
        return "Of RSRP, RSRQ and RSSI two are needed to hold them against each other."
    if contradictions(reading, blocks):
        return "What was read misses each other by a few dB, as two receive branches may."
    if len(read) == 3:
        return f"RSRP, RSRQ and RSSI fit each other in {blocks} resource blocks."
    third = next(q for q in _THREE if q not in read)
    name, unit = quantity_words(third)
    of = " and ".join(quantity_words(q)[0] for q in read)
    allowed = interval_text(implied_level(reading, third, blocks), unit)
    return f"By {of}, {name} is {allowed} in {blocks} resource blocks, at the same moment."


def _contradiction_text(found: Sequence[Contradiction], readings: int) -> str:
    worst = max(found, key=lambda c: c.beyond_db)
    name, unit = quantity_words(worst.what)
    often = f" in {len(found)} of {readings} readings" if readings > 1 else ""
    judged = (
        "That cannot be, so it will count for nothing: look whether a figure, its sign, its unit "
        "or the bandwidth is wrong."
        if worst.firm
        else "It may be, but hardly: read again, and look whether another cell is nearly as strong."
    )
    return (
        f"{name} {interval_text(worst.given, unit)} does not fit what was read beside it{often}, "
        f"which allows {interval_text(worst.allowed, unit)}: {RULE_TEXTS[worst.rule]}. {judged}"
    )
