"""The statistics of a watch: whether it proves a network, lacks it, or how long it takes yet."""

import math
from dataclasses import dataclass, replace
from datetime import datetime

from pathproof.assess.context import Context
from pathproof.assess.mobile_expected import Z_NINE_OF_TEN
from pathproof.assess.mobile_levels import NEEDS
from pathproof.assess.mobile_readings import Taken
from pathproof.calc.mobile import Theory, Watch, binned_levels, tenth_percentile, watch
from pathproof.job.record import ReadingEntry
from pathproof.terms import LimitName, Technology, Word

__all__ = ["Session", "WatchMoment", "Watched", "requirement_dbm", "statistics"]

_PACE_S = 10.0
"""Pace of readings at which half an hour mostly does. House value, by simulation. [s]"""
LOST_BELOW_DB = 1.0
"""Where the network was lost, its level was below the need: by a bin at least. House value. [dB]"""


@dataclass(frozen=True, kw_only=True)
class Watched:
    """The watch of one network and technology that decides, or the newest where none does."""

    technology: Technology
    word: Word | None
    """Proven or lacking; none where it shows neither."""
    missing: str
    """What is missing to prove, in words; empty when proven."""
    seen: Watch | None = None
    """Its statistics; none where no reading counts."""
    readings: int = 0
    """Moments in it."""
    tries: int = 1
    """Which try it is at the least."""
    asked_ratio: float = 0.0
    """Certainty asked for, for so many tries. [ratio]"""
    instrument_db: float = 0.0
    """Kept back for the spread of the instrument. [dB]"""
    taken: tuple[Taken, ...] = ()
    """Its readings, those apart in which the network was lost."""
    entries: tuple[str, ...] = ()
    """Entries that it consists of, the earliest first."""
    needed_s: float | None = None
    """How long it takes in all, if it goes on like this; none where no watch would do. [s]"""

    @property
    def band(self) -> str | None:
        """Band of the reading that decides, of those with a level."""
        if not self.taken:
            return None
        return tenth_percentile(sorted(self.taken, key=lambda t: t.level_dbm)).band

    @property
    def lost(self) -> int:
        """Moments in which the network was lost."""
        return self.readings - len(self.taken)

    @property
    def not_there(self) -> bool:
        """Whether the 10th percentile is of the moments in which the network was lost."""
        return self.lost > 0 and -(-self.readings // 10) <= self.lost

    @property
    def minutes(self) -> float:
        """How long it was. [min]"""
        return 0.0 if self.seen is None else self.seen.correlation.watched_s / 60.0

    @property
    def margin_db(self) -> float:
        """10th percentile over need and fade margin, by the lower edges of the bins. [dB]

        By the upper one where the lower is open: it is no more than that. Where it is proven, the
        instrument's share is taken off.
        """
        if self.seen is None:
            return -math.inf
        low, high = self.seen.margin_db.low, self.seen.margin_db.high
        kept_back_db = 0.0 if self.word is Word.PROVEN else self.instrument_db
        return (low if math.isfinite(low) else high) + kept_back_db

    @property
    def open_below(self) -> bool:
        """Whether the 10th percentile is known only from above."""
        return self.seen is not None and math.isinf(self.seen.margin_db.low)


@dataclass(frozen=True, kw_only=True)
class WatchMoment:
    """What was seen at one moment of a watch; no reading where the network was lost."""

    at: datetime
    entry: ReadingEntry
    taken: Taken | None

    @property
    def low_dbm(self) -> float:
        low = None if self.taken is None else self.taken.edges_dbm[0]
        return -math.inf if low is None else low


Session = list[WatchMoment]


def statistics(ctx: Context, technology: Technology, session: Session, tries: int) -> Watched:
    taken = tuple(m.taken for m in session if m.taken is not None)
    certainty = ctx.value(LimitName.MOBILE_CERTAINTY_RATIO)
    asked_ratio = min(1.0 - (1.0 - certainty) / tries, math.nextafter(1.0, 0.0))
    instrument_db = Z_NINE_OF_TEN * max((t.instrument_spread_db for t in taken), default=0.0)
    required_dbm = requirement_dbm(ctx, technology)
    lost_dbm = ctx.value(NEEDS[technology][1]) - LOST_BELOW_DB
    seen = watch(
        binned_levels((None, lost_dbm) if m.taken is None else m.taken.edges_dbm for m in session),
        [(m.at - session[0].at).total_seconds() for m in session],
        required_dbm + instrument_db,
        asked_ratio,
        theory=Theory.ANY,
    )
    found = Watched(
        technology=technology,
        word=None,
        missing="",
        seen=seen,
        readings=len(session),
        tries=tries,
        asked_ratio=asked_ratio,
        instrument_db=instrument_db,
        taken=taken,
        entries=tuple(dict.fromkeys(m.entry.id for m in session)),
    )
    found = replace(found, needed_s=_needed_s(ctx, found, seen))
    long_enough = len(session) >= ctx.value(
        LimitName.MOBILE_READINGS
    ) and found.minutes >= ctx.value(LimitName.MOBILE_MINUTES)
    if long_enough and seen.enough and seen.margin_db.low >= 0.0:
        return replace(found, word=Word.PROVEN)
    if long_enough and seen.margin_db.high + instrument_db < 0.0:
        return replace(found, word=Word.LACKING)
    return replace(found, missing=_missing(ctx, found, seen))


def _needed_s(ctx: Context, found: Watched, seen: Watch) -> float | None:
    """How long a watch takes in all, by certainty, minutes and number of readings. [s]"""
    if seen.needed_s is None:
        return None
    by_count_s = _pace_s(found, seen) * (ctx.value(LimitName.MOBILE_READINGS) - 1)
    return max(seen.needed_s, 60.0 * ctx.value(LimitName.MOBILE_MINUTES), by_count_s)


def _pace_s(found: Watched, seen: Watch) -> float:
    """From one reading to the next, on average. [s]"""
    return seen.correlation.watched_s / max(found.readings - 1, 1)


def _missing(ctx: Context, found: Watched, seen: Watch) -> str:
    """What a watch would have to go on for, or what keeps it from proving."""
    readings, minutes = ctx.value(LimitName.MOBILE_READINGS), ctx.value(LimitName.MOBILE_MINUTES)
    if found.readings == 1:
        return (
            f"read once with everything final; a watch takes {readings:g} readings over "
            f"{minutes:g} minutes, or more"
        )
    so_far = f"watched for {found.minutes:.0f} minutes with {found.readings} readings so far"
    if seen.margin_db.low + found.instrument_db < 0.0 <= seen.margin_db.high + found.instrument_db:
        return (
            f"{so_far}, in steps that leave it open whether nine of ten reach need and fade margin:"
            " read with finer steps or an instrument of its own"
        )
    if seen.margin_db.low + found.instrument_db < 0.0:
        return f"{so_far}, {seen.below} of them below need and fade margin"
    if seen.margin_db.low < 0.0:
        return f"{so_far}; the spread of the instrument leaves it open, so watch it with the module"
    if found.needed_s is None:
        return f"{so_far}; it takes {readings:g} readings over {minutes:g} minutes, or more"
    more_min = max(1, math.ceil((found.needed_s - seen.correlation.watched_s) / 60.0))
    slow = _pace_s(found, seen) > 2 * _PACE_S
    sooner = f", sooner with a reading every {_PACE_S:g} seconds" if slow else ""
    return (
        f"{so_far}; about {more_min} minutes more in the same watch prove it, if the level goes on "
        f"like this{sooner}"
    )


def requirement_dbm(ctx: Context, technology: Technology) -> float:
    return ctx.value(NEEDS[technology][1]) + ctx.value(LimitName.MOBILE_FADE_MARGIN_DB)
