"""What record entries of kind `event` say of a signal: did the right thing reach the centre?"""

from dataclasses import dataclass

from pathproof.assess.context import Context
from pathproof.job import PANEL_ID
from pathproof.job import links as names
from pathproof.job.due import Due, due_at_centre, wrong_at_centre
from pathproof.job.record import EventEntry, EventValues
from pathproof.terms import LimitName, SignalKind, Word


@dataclass(frozen=True, kw_only=True)
class Arrival:
    """The verdict of the newest conclusive entry; no word if there is none."""

    word: Word | None
    why: str
    entries: tuple[str, ...]


def arrival(ctx: Context, about: str, kind: SignalKind) -> Arrival:
    """What the record says of the signal's arrival."""
    name = names.signal(about, kind)
    due = due_at_centre(ctx.site, about, kind)
    entries = [
        e
        for e in ctx.fitting(ctx.entries, name)
        if isinstance(e, EventEntry) and about in e.about and e.values.signal is kind
    ]
    found = Arrival(word=None, why="not yet seen at the centre", entries=())
    for entry in entries:  # oldest first
        word, why = _judge(ctx, entry.values, due, about)
        if word is not None or found.word is None:
            found = Arrival(word=word, why=why, entries=())
    return Arrival(word=found.word, why=found.why, entries=tuple(e.id for e in entries))


def event_says(ctx: Context, entry: EventEntry) -> tuple[Word | None, str]:
    """What one entry says of its signal's arrival: a word where it is conclusive, and why."""
    about, values = entry.about[0], entry.values
    return _judge(ctx, values, due_at_centre(ctx.site, about, values.signal), about)


def _judge(ctx: Context, seen: EventValues, due: Due, about: str) -> tuple[Word | None, str]:
    if not seen.arrived:
        return Word.LACKING, "sent, and the centre has nothing"
    wrong = wrong_at_centre(seen, due)
    if wrong:
        return Word.LACKING, f"the centre received {', '.join(wrong)}"
    limit = ctx.limit(LimitName.EVENT_AT_CENTRE_S)
    if seen.delay_s is not None and limit.usable and seen.delay_s > limit.value:
        return Word.LACKING, f"took {seen.delay_s:g} s to the centre, {limit.value:g} s allowed"
    missing = _missing(seen, due, about)
    if seen.delay_s is None:
        missing.append("the time it took")
    if missing:
        return None, f"seen at the centre, but the record lacks {' and '.join(missing)}"
    if not limit.usable:
        return None, f"the limit {LimitName.EVENT_AT_CENTRE_S} is from memory and not confirmed"
    return Word.PROVEN, f"at the centre after {seen.delay_s:g} s with the right code and zone"


def _missing(seen: EventValues, due: Due, about: str) -> list[str]:
    missing = []
    if due.code is None:
        missing.append("the code due (zone schedule or signal codes of the site)")
    if due.zone is None and about != PANEL_ID:
        missing.append("the zone due")
    if seen.code is None:
        missing.append("the code received")
    if due.zone is not None and seen.zone is None:
        missing.append("the zone received")
    if due.partition is not None and seen.partition is None:
        missing.append("the partition received")
    return missing
