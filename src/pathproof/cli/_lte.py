"""The LTE channel that was read: its bandwidth, its number, and whether levels fit each other."""

from collections.abc import Sequence
from typing import Annotated, Any, Final

import typer

from pathproof.assess.mobile_consistency import RULE_TEXTS, AnyLevel, contradicted, lte_reading
from pathproof.calc.mobile import (
    LTE_RESOURCE_BLOCKS,
    Contradiction,
    Rule,
    contradictions,
    implied_level,
)
from pathproof.calc.radio.bands import band_number, downlink_hz
from pathproof.cli._options import as_number, as_whole_number, given, wrong_use
from pathproof.cli._readings import interval_text, quantity_words
from pathproof.terms import InvalidInputError, Quantity

_BANDWIDTHS: Final = ", ".join(f"{hz / 1e6:g}" for hz in LTE_RESOURCE_BLOCKS)
_THREE: Final = (Quantity.RSRP_DBM, Quantity.RSRQ_DB, Quantity.RSSI_DBM)


def as_bandwidth_mhz(text: str) -> float:
    """The bandwidth of an LTE channel that an option was given. [MHz]

    Raises
    ------
    typer.BadParameter
        No LTE channel has it.
    """
    bandwidth_mhz = as_number(text)
    if bandwidth_mhz * 1e6 not in LTE_RESOURCE_BLOCKS:
        raise typer.BadParameter(f"given {text!r}; allowed: {_BANDWIDTHS}.")
    return bandwidth_mhz


Earfcn = Annotated[
    int | None,
    typer.Option(
        parser=as_whole_number,
        metavar="N",
        help="Downlink channel number (EARFCN) that the module shows, as 6300; gives the band.",
    ),
]
BandwidthMhz = Annotated[
    float | None,
    typer.Option(
        parser=as_bandwidth_mhz,
        metavar="MHZ",
        help=f"Bandwidth of the LTE channel: {_BANDWIDTHS}; shows levels that cannot be. [MHz]",
    ),
]


def channel_values(
    band: str | None, earfcn: int | None, bandwidth_mhz: float | None
) -> dict[str, Any]:
    """Band and bandwidth of a reading, as a record entry holds them.

    Raises
    ------
    typer.BadParameter
        No band has this channel number, or another band than the one given.
    """
    return given(
        band=_band(band, earfcn),
        bandwidth_hz=None if bandwidth_mhz is None else bandwidth_mhz * 1e6,
    )


def _band(band: str | None, earfcn: int | None) -> str | None:
    if earfcn is None:
        return band
    try:
        channel = downlink_hz(earfcn)
        told = channel.band.number if band is None else band_number(band)
    except InvalidInputError as error:
        raise wrong_use(error, "--earfcn" if "earfcn" in str(error) else "--band") from error
    if told != channel.band.number:
        raise wrong_use(
            f"{earfcn} is a channel of band {channel.band.number} ({channel.frequency_hz / 1e6:g} "
            f"MHz), and --band says {band}; look at the module again and leave one of them out.",
            "--earfcn",
        )
    return band or told


def channel_text(earfcn: int) -> str:
    """What a channel number says, where :func:`channel_values` took it."""
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
