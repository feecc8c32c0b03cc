"""What was read at the spots of a site: which network wins where, and which spot is best for each.

Levels are as an antenna of 0 dBi has them there, without feeder.
"""

import math
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from pathproof.calc.mobile import Interval
from pathproof.calc.sources import Source
from pathproof.terms import Quantity, Technology


class Standing(StrEnum):
    """How the best of several stands to the others."""

    BEST = "best"  # better than every other one
    TIE = "tie"  # with others nobody can tell from it
    OPEN = "open"  # a level beyond what the instrument shows leaves it open
    ALONE = "alone"  # nothing to compare with was read


@dataclass(frozen=True, kw_only=True)
class LevelRead:
    """What was read of one network in one technology at one spot.

    Intervals span what the level can be given the bins of the readings; an open end is infinite.
    """

    spot: str
    network: str
    technology: Technology
    quantity: Quantity
    bands: tuple[str, ...]
    """3GPP band numbers that were named; empty where none was."""
    readings: int
    """Moments read, those at which the network was not there too."""
    lost: int
    """At how many of them it was not there."""
    independent: float
    """As how many independent readings they count, as they hang together in time."""
    first_at: datetime
    last_at: datetime
    instruments: tuple[str, ...]
    """What it was read with, as the record names it."""
    median_dbm: Interval | None
    """None where the network was not there at the median. [dBm]"""
    tenth_dbm: Interval | None
    """Level that 9 of 10 readings reach, so the least of a few; none where it was not there. [dBm]
    """
    required_dbm: float | None
    """Need of the technology and fade margin; none where the profile does not say. [dBm]"""
    confirmed: bool
    """Whether that rests on nothing that is from memory and not confirmed."""

    @property
    def margin_db(self) -> Interval | None:
        """Level that 9 of 10 readings reach over need and fade margin. [dB]"""
        if self.required_dbm is None or self.tenth_dbm is None:
            return None
        need = self.required_dbm
        return Interval(self.tenth_dbm.low - need, self.tenth_dbm.high - need)


@dataclass(frozen=True, kw_only=True)
class Contest:
    """Which of several is best: networks at one spot, or spots for one network."""

    technology: Technology
    quantity: Quantity
    order: tuple[str, ...]
    """All that were read, the one with the highest median first."""
    standing: Standing
    best: tuple[str, ...]
    """The first, and with it those that nobody can tell from it."""
    runner_up: str | None
    """The one that the first is least likely better than."""
    odds_ratio: float | None
    """Odds that the first is better than that one; none where a level is open. [ratio]"""
    least_odds_ratio: float | None
    """The least that these odds can be, given the bins. [ratio]"""
    difference_db: Interval | None
    """Median of the first over that of the runner-up. [dB]"""
    spread_db: float | None
    """Standard deviation of that difference, half bins not in it. [dB]"""
    text: str
    """The same in words."""
    sources: tuple[Source, ...]
    """Of the comparison, and of what a single reading leaves open."""


@dataclass(frozen=True, kw_only=True)
class SpotReport:
    """What was read at one spot."""

    spot: str
    name: str
    levels: tuple[LevelRead, ...]
    """By network, then technology."""
    contests: tuple[Contest, ...]
    """Which network wins, for each technology that was read; most networks first."""
    not_read: tuple[str, ...]
    """Networks of the site of which nothing that counts was read here."""
    silent: tuple[str, ...]
    """Networks of which the instrument showed no level here, at one moment at least."""
    steps: tuple[str, ...]
    """Steps of scales tied to no levels that were read here, such as "3 bars of 001-01"."""
    notes: tuple[str, ...]
    """Sentences on what was read and does not count."""
    ask: str
    """What to read here, as a sentence; empty where every network is read."""


@dataclass(frozen=True, kw_only=True)
class Difference:
    """Two spots of a network in one band, held against what places inside differ anyway."""

    technology: Technology
    band: str
    frequency_hz: float
    """Middle of the band's downlink. [Hz]"""
    best: str
    worst: str
    difference_db: Interval
    """Median at the best over that at the worst. [dB]"""
    unusual: bool
    """Whether so many places in a building of traditional build would seldom differ as much, or it
    is the wrong way round."""
    text: str
    says: str
    """The same without what others may be held against too."""
    usual: str
    """That alone, as a sentence: what places inside span; empty where `says` has all."""
    sources: tuple[Source, ...]


@dataclass(frozen=True, kw_only=True)
class NetworkReport:
    """Which spot is best for one network, and what explains the differences."""

    network: str
    label: str
    contests: tuple[Contest, ...]
    """Which spot is best, for each technology that was read; most spots first."""
    differences: tuple[Difference, ...]
    notes: tuple[str, ...]
    """Why differences are not explained."""


def spot_dict(report: SpotReport) -> dict[str, Any]:
    """The JSON shape of what was read at a spot."""
    return {
        "spot": report.spot,
        "name": report.name,
        "levels": [_level_dict(x) for x in report.levels],
        "contests": [_contest_dict(x) for x in report.contests],
        "not_read": list(report.not_read),
        "silent": list(report.silent),
        "steps": list(report.steps),
        "notes": list(report.notes),
        "ask": report.ask,
    }


def network_dict(report: NetworkReport) -> dict[str, Any]:
    """The JSON shape of what was read of a network."""
    return {
        "network": report.network,
        "label": report.label,
        "contests": [_contest_dict(x) for x in report.contests],
        "differences": [_difference_dict(x) for x in report.differences],
        "notes": list(report.notes),
    }


def _level_dict(level: LevelRead) -> dict[str, Any]:
    return {
        "network": level.network,
        "technology": str(level.technology),
        "quantity": str(level.quantity),
        "bands": list(level.bands),
        "readings": level.readings,
        "lost": level.lost,
        "independent": level.independent,
        "first_at": level.first_at.isoformat(),
        "last_at": level.last_at.isoformat(),
        "instruments": list(level.instruments),
        "median_dbm": _interval_dict(level.median_dbm),
        "tenth_percentile_dbm": _interval_dict(level.tenth_dbm),
        "required_dbm": level.required_dbm,
        "confirmed": level.confirmed,
        "margin_db": _interval_dict(level.margin_db),
    }


def _contest_dict(contest: Contest) -> dict[str, Any]:
    return {
        "technology": str(contest.technology),
        "quantity": str(contest.quantity),
        "order": list(contest.order),
        "standing": str(contest.standing),
        "best": list(contest.best),
        "runner_up": contest.runner_up,
        "odds": contest.odds_ratio,
        "least_odds": contest.least_odds_ratio,
        "difference_db": _interval_dict(contest.difference_db),
        "spread_db": contest.spread_db,
        "text": contest.text,
        "sources": [_source_dict(x) for x in contest.sources],
    }


def _difference_dict(difference: Difference) -> dict[str, Any]:
    return {
        "technology": str(difference.technology),
        "band": difference.band,
        "frequency_hz": difference.frequency_hz,
        "best": difference.best,
        "worst": difference.worst,
        "difference_db": _interval_dict(difference.difference_db),
        "unusual": difference.unusual,
        "text": difference.text,
        "sources": [_source_dict(x) for x in difference.sources],
    }


def _source_dict(source: Source) -> dict[str, str]:
    return {
        "ref": source.ref,
        "edition": source.edition,
        "clause": source.clause,
        "evidence": str(source.evidence),
    }


def _interval_dict(interval: Interval | None) -> dict[str, float | None] | None:
    if interval is None:
        return None
    ends = {"low": interval.low, "high": interval.high}
    return {name: end if math.isfinite(end) else None for name, end in ends.items()}
