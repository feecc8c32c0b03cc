"""What watching a network with everything final has shown of a mobile link."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pathproof.assess.context import Context
from pathproof.assess.mobile_expected import Z_NINE_OF_TEN, ByTechnology, has_band
from pathproof.assess.mobile_levels import NEEDS, grading
from pathproof.assess.mobile_readings import Taken, levels_taken, looked_for_in_vain
from pathproof.calc.mobile import Theory, Watch, binned_levels, tenth_percentile, watch
from pathproof.job import CommunicatorPart
from pathproof.job.record import ReadingEntry
from pathproof.terms import LimitName, Quantity, Technology, Word

__all__ = ["Watched", "watch_alone", "watch_with", "watched"]

_LIMITS = (
    LimitName.MOBILE_READINGS,
    LimitName.MOBILE_MINUTES,
    LimitName.MOBILE_MAX_AGE_DAYS,
    LimitName.MOBILE_CERTAINTY_RATIO,
    LimitName.MOBILE_SETTLED_MIN,
)


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
class _Moment:
    """What was seen at one moment of a watch; no reading where the network was lost."""

    at: datetime
    entry: ReadingEntry
    taken: Taken | None

    @property
    def low_dbm(self) -> float:
        low = None if self.taken is None else self.taken.edges_dbm[0]
        return -math.inf if low is None else low


_Session = list[_Moment]


def watched(
    ctx: Context,
    link_id: str,
    module: CommunicatorPart,
    entries: Sequence[ReadingEntry],
    read: ByTechnology,
) -> dict[Technology, Watched]:
    """What watches of one network show, for each technology that was read with everything final.

    Parameters
    ----------
    ctx : Context
        Limits, and which entries still fit.
    link_id : str
        The mobile link.
    module : CommunicatorPart
        Its technologies and bands decide which readings count.
    entries : sequence of ReadingEntry
        Of this network.
    read : mapping
        What these entries hold that grades a technology.
    """
    seen = _seen(ctx, link_id, module, entries, read)
    why = _waiting(ctx)
    if why:
        return {t: Watched(technology=t, word=None, missing=why) for t, x in seen.items() if x}
    sessions = _proving(ctx, seen)
    return {
        t: _judge(ctx, t, moments_seen, sessions)
        for t, moments_seen in seen.items()
        if moments_seen
    }


def watch_with(
    ctx: Context,
    link_id: str,
    module: CommunicatorPart,
    entries: Sequence[ReadingEntry],
    read: ByTechnology,
    entry: ReadingEntry,
) -> Watched | None:
    """What the newest watch shows that an entry is part of; none where it counts for no proof.

    Parameters
    ----------
    ctx, link_id, module, entries, read
        As of :func:`watched`.
    entry : ReadingEntry
        Part of the watch; what goes on within the minutes asked belongs to the same one.
    """
    if _waiting(ctx):
        return None
    sessions = _proving(ctx, _seen(ctx, link_id, module, entries, read))
    return _newest(ctx, sessions, entry)


def watch_alone(ctx: Context, entry: ReadingEntry, technology: Technology) -> Watched | None:
    """What a watch shows that is about no link, or was not told to be final, by the same rules.

    None where nothing in it grades the technology and no network was lost.

    Parameters
    ----------
    ctx : Context
        Limits, and the record.
    entry : ReadingEntry
        Part of the watch; what was read alike of the same network and place within the minutes
        asked belongs to the same one.
    technology : Technology
        What was read.
    """

    def told(quantity: Quantity) -> Technology | None:
        return technology if quantity in grading(technology) else None

    alike = [e for e in ctx.entries if isinstance(e, ReadingEntry) and _alike(e, entry)]
    taken = [t for e in alike for t in levels_taken(ctx, e, told)]
    moments_seen = _moments(ctx, alike, technology, {technology: taken})
    return _newest(ctx, {technology: _sessions(ctx, moments_seen)}, entry)


def _alike(one: ReadingEntry, other: ReadingEntry) -> bool:
    """Whether two entries are of the same network at the same place, read alike."""

    def key(e: ReadingEntry) -> tuple[object, ...]:
        told = e.conditions
        final = told.final_antenna, told.final_place, told.lid_shut
        return e.values.network, e.values.technology, sorted(e.about), e.fits, *final, e.instrument

    return key(one) == key(other)


def _newest(
    ctx: Context, sessions: Mapping[Technology, Sequence[_Session]], entry: ReadingEntry
) -> Watched | None:
    """The newest watch with readings of an entry, of its own technology where it tells one."""
    told = entry.values.technology
    for technology, of_one in sessions.items():
        if told not in (None, technology):  # there its moments may count as lost ones
            continue
        for session in reversed(of_one):
            if any(m.entry.id == entry.id for m in session):
                return _statistics(ctx, technology, session, _tries(session, sessions))
    return None


def _waiting(ctx: Context) -> str:
    """Why no proof can rest on the profile, in words; empty where it can."""
    waiting = [n for n in _LIMITS if n not in ctx.limits or not ctx.limit(n).usable]
    if not waiting:
        return ""
    return f"no proof can rest on {waiting[0]}: it is not given, or not confirmed"


def _seen(
    ctx: Context,
    link_id: str,
    module: CommunicatorPart,
    entries: Sequence[ReadingEntry],
    read: ByTechnology,
) -> dict[Technology, list[_Moment]]:
    """What was seen with the antenna as it is, of each technology of the module."""
    own = [
        e
        for e in entries
        if e.conditions.final_antenna is not False
        and e.conditions.final_place is not False
        and ctx.fitting([e], link_id)
        and has_band(module, e.values.band)
    ]
    return {t: _moments(ctx, own, t, read) for t in module.technologies}


def _proving(
    ctx: Context, seen: Mapping[Technology, Sequence[_Moment]]
) -> dict[Technology, list[_Session]]:
    """Watches out of the moments that may prove.

    Where the module meanwhile was on another technology, below the requirement of that one, this
    one counts as lost.
    """
    may = {t: [m for m in x if not _why_not(ctx, m)] for t, x in seen.items()}
    weak = {t: [m for m in x if m.low_dbm < _required_dbm(ctx, t)] for t, x in may.items()}
    return {
        technology: [
            _with_lost(session, [m for t, x in weak.items() if t is not technology for m in x])
            for session in _sessions(ctx, moments_seen)
        ]
        for technology, moments_seen in may.items()
    }


def _with_lost(session: _Session, elsewhere: Iterable[_Moment]) -> _Session:
    known, first, last = {m.at for m in session}, session[0].at, session[-1].at
    lost = {m.at: replace(m, taken=None) for m in elsewhere if first < m.at < last}
    added = [m for at, m in lost.items() if at not in known]
    return sorted([*session, *added], key=lambda m: m.at)


def _moments(
    ctx: Context, own: Sequence[ReadingEntry], technology: Technology, read: ByTechnology
) -> list[_Moment]:
    """Of one technology, oldest first, one for each point in time: the weakest seen then."""
    ids = {e.id for e in own}
    taken = read.get(technology, ())
    found = [_Moment(at=t.at, entry=t.entry, taken=t) for t in taken if t.entry.id in ids]
    of_technology = {m.entry.id for m in found}
    of_any = {t.entry.id for levels in read.values() for t in levels}
    for entry in own:
        told = entry.values.technology
        if entry.id in of_technology or told is technology or (not told and entry.id not in of_any):
            found += _lost(ctx, entry, technology)
    weakest: dict[datetime, _Moment] = {}
    for moment in sorted(found, key=lambda m: m.low_dbm, reverse=True):
        weakest[moment.at] = moment
    return [weakest[at] for at in sorted(weakest)]


def _lost(ctx: Context, entry: ReadingEntry, technology: Technology) -> Iterable[_Moment]:
    """Moments at which the instrument knew no level."""
    for lost in looked_for_in_vain(ctx, entry, technology):
        yield _Moment(at=lost.at, entry=entry, taken=None)


def _why_not(ctx: Context, moment: _Moment) -> str:
    """Why a moment proves nothing, in words; empty where it may."""
    conditions = moment.entry.conditions
    if conditions.final_antenna is not True:
        return "it is not said that the antenna was the final one"
    if conditions.lid_shut is not True:
        return "it is not said that the lid was shut"
    registered_min = conditions.minutes_since_registration
    if registered_min is None:
        return "it is not said how long the module had been registered"
    after_min = (moment.at - moment.entry.at).total_seconds() / 60.0
    settled_min = ctx.value(LimitName.MOBILE_SETTLED_MIN)
    if registered_min + after_min < settled_min:
        return f"the module had been registered for less than {settled_min:g} minutes"
    return ""


def _sessions(ctx: Context, ordered: Sequence[_Moment]) -> list[_Session]:
    """Watches, oldest first: one ends where the next reading is later than the minutes asked."""
    gap = timedelta(minutes=ctx.value(LimitName.MOBILE_MINUTES))
    found: list[_Session] = []
    for moment in ordered:
        if not found or moment.at - found[-1][-1].at > gap:
            found.append([])
        found[-1].append(moment)
    return found


def _judge(
    ctx: Context,
    technology: Technology,
    seen: Sequence[_Moment],
    sessions: Mapping[Technology, Sequence[_Session]],
) -> Watched:
    own = sessions[technology]
    if not own:
        why = _why_not(ctx, seen[-1])
        return Watched(
            technology=technology, word=None, missing=f"{why} (entry {seen[-1].entry.id})"
        )
    newest_first = [(x, _statistics(ctx, technology, x, _tries(x, sessions))) for x in own[::-1]]
    for session, one in newest_first:
        if one.word is Word.PROVEN and _contradicted(ctx, technology, session, seen):
            newer = "newer readings lie below need and fade margin; watch it again"
            return replace(one, word=None, missing=newer)
        if one.word is not None:
            return one
    return newest_first[0][1]


def _tries(session: _Session, sessions: Mapping[Technology, Sequence[_Session]]) -> int:
    """Which try it is: by the watches on record up to its end, and by what was told."""
    told = max(m.entry.conditions.attempt or 1 for m in session)
    on_record = sum(
        len(s) > 1 and s[0].at <= session[-1].at for of_one in sessions.values() for s in of_one
    )
    return max(told, on_record, 1)


def _statistics(ctx: Context, technology: Technology, session: _Session, tries: int) -> Watched:
    taken = tuple(m.taken for m in session if m.taken is not None)
    certainty = ctx.value(LimitName.MOBILE_CERTAINTY_RATIO)
    asked_ratio = min(1.0 - (1.0 - certainty) / tries, math.nextafter(1.0, 0.0))
    instrument_db = Z_NINE_OF_TEN * max((t.instrument_spread_db for t in taken), default=0.0)
    required_dbm = _required_dbm(ctx, technology)
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


def _contradicted(
    ctx: Context, technology: Technology, session: _Session, seen: Sequence[_Moment]
) -> bool:
    """Whether what was read after a watch, with the same antenna, no longer reaches it."""
    later = sorted(m.low_dbm for m in seen if m.at > session[-1].at)
    return bool(later) and tenth_percentile(later) < _required_dbm(ctx, technology)


def _required_dbm(ctx: Context, technology: Technology) -> float:
    return ctx.value(NEEDS[technology][1]) + ctx.value(LimitName.MOBILE_FADE_MARGIN_DB)
