"""What watching a network with everything final has shown of a mobile link."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from pathproof.assess.context import Context
from pathproof.assess.mobile_expected import ByTechnology, has_band
from pathproof.assess.mobile_levels import grading
from pathproof.assess.mobile_readings import levels_taken, looked_for_in_vain
from pathproof.assess.mobile_watched import (
    Session,
    Watched,
    WatchMoment,
    requirement_dbm,
    statistics,
)
from pathproof.calc.mobile import tenth_percentile
from pathproof.job import CommunicatorPart
from pathproof.job.record import ReadingEntry
from pathproof.terms import LimitName, Quantity, Technology, Word

__all__ = ["watch_alone", "watch_with", "watched", "why_not_proving"]

_LIMITS = (
    LimitName.MOBILE_READINGS,
    LimitName.MOBILE_MINUTES,
    LimitName.MOBILE_MAX_AGE_DAYS,
    LimitName.MOBILE_CERTAINTY_RATIO,
    LimitName.MOBILE_SETTLED_MIN,
)


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
    ctx: Context, sessions: Mapping[Technology, Sequence[Session]], entry: ReadingEntry
) -> Watched | None:
    """The newest watch with readings of an entry, of its own technology where it tells one."""
    told = entry.values.technology
    for technology, of_one in sessions.items():
        if told not in (None, technology):  # there its moments may count as lost ones
            continue
        for session in reversed(of_one):
            if any(m.entry.id == entry.id for m in session):
                return statistics(ctx, technology, session, _tries(session, sessions))
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
) -> dict[Technology, list[WatchMoment]]:
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
    ctx: Context, seen: Mapping[Technology, Sequence[WatchMoment]]
) -> dict[Technology, list[Session]]:
    """Watches out of the moments that may prove.

    Where the module meanwhile was on another technology, below the requirement of that one, this
    one counts as lost.
    """
    may = {t: [m for m in x if not why_not_proving(ctx, m)] for t, x in seen.items()}
    weak = {t: [m for m in x if m.low_dbm < requirement_dbm(ctx, t)] for t, x in may.items()}
    return {
        technology: [
            _with_lost(session, [m for t, x in weak.items() if t is not technology for m in x])
            for session in _sessions(ctx, moments_seen)
        ]
        for technology, moments_seen in may.items()
    }


def _with_lost(session: Session, elsewhere: Iterable[WatchMoment]) -> Session:
    known, first, last = {m.at for m in session}, session[0].at, session[-1].at
    lost = {m.at: replace(m, taken=None) for m in elsewhere if first < m.at < last}
    added = [m for at, m in lost.items() if at not in known]
    return sorted([*session, *added], key=lambda m: m.at)


def _moments(
    ctx: Context, own: Sequence[ReadingEntry], technology: Technology, read: ByTechnology
) -> list[WatchMoment]:
    """Of one technology, oldest first, one for each point in time: the weakest seen then."""
    ids = {e.id for e in own}
    taken = read.get(technology, ())
    found = [WatchMoment(at=t.at, entry=t.entry, taken=t) for t in taken if t.entry.id in ids]
    of_technology = {m.entry.id for m in found}
    of_any = {t.entry.id for levels in read.values() for t in levels}
    for entry in own:
        told = entry.values.technology
        if entry.id in of_technology or told is technology or (not told and entry.id not in of_any):
            found += _lost(ctx, entry, technology)
    weakest: dict[datetime, WatchMoment] = {}
    for moment in sorted(found, key=lambda m: m.low_dbm, reverse=True):
        weakest[moment.at] = moment
    return [weakest[at] for at in sorted(weakest)]


def _lost(ctx: Context, entry: ReadingEntry, technology: Technology) -> Iterable[WatchMoment]:
    """Moments at which the instrument knew no level."""
    for lost in looked_for_in_vain(ctx, entry, technology):
        yield WatchMoment(at=lost.at, entry=entry, taken=None)


def why_not_proving(ctx: Context, moment: WatchMoment) -> str:
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


def _sessions(ctx: Context, ordered: Sequence[WatchMoment]) -> list[Session]:
    """Watches, oldest first: one ends where the next reading is later than the minutes asked."""
    gap = timedelta(minutes=ctx.value(LimitName.MOBILE_MINUTES))
    found: list[Session] = []
    for moment in ordered:
        if not found or moment.at - found[-1][-1].at > gap:
            found.append([])
        found[-1].append(moment)
    return found


def _judge(
    ctx: Context,
    technology: Technology,
    seen: Sequence[WatchMoment],
    sessions: Mapping[Technology, Sequence[Session]],
) -> Watched:
    own = sessions[technology]
    if not own:
        why = why_not_proving(ctx, seen[-1])
        return Watched(
            technology=technology, word=None, missing=f"{why} (entry {seen[-1].entry.id})"
        )
    newest_first = [(x, statistics(ctx, technology, x, _tries(x, sessions))) for x in own[::-1]]
    for session, one in newest_first:
        if one.word is Word.PROVEN and _contradicted(ctx, technology, session, seen):
            newer = "newer readings lie below need and fade margin; watch it again"
            return replace(one, word=None, missing=newer)
        if one.word is not None:
            return one
    return newest_first[0][1]


def _tries(session: Session, sessions: Mapping[Technology, Sequence[Session]]) -> int:
    """Which try it is: by the watches on record up to its end, and by what was told."""
    told = max(m.entry.conditions.attempt or 1 for m in session)
    on_record = sum(
        len(s) > 1 and s[0].at <= session[-1].at for of_one in sessions.values() for s in of_one
    )
    return max(told, on_record, 1)


def _contradicted(
    ctx: Context, technology: Technology, session: Session, seen: Sequence[WatchMoment]
) -> bool:
    """Whether what was read after a watch, with the same antenna, no longer reaches it."""
    later = sorted(m.low_dbm for m in seen if m.at > session[-1].at)
    return bool(later) and tenth_percentile(later) < requirement_dbm(ctx, technology)
