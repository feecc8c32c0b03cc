"""Walk tests and heard levels: what they prove of a radio link."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from pathproof.assess.context import Context
from pathproof.assess.verdict import Verdict
from pathproof.job import Level, PanelPart, Scale
from pathproof.job.geometry import things
from pathproof.job.record import Entry, LevelEntry, WalkEntry
from pathproof.terms import LimitName, Quantity, Word


@dataclass(frozen=True, kw_only=True)
class Heard:
    """Levels at which a sender was heard at its place."""

    levels: tuple[Level, ...]
    newest: datetime

    @property
    def mean_dbm(self) -> float:
        """Mean of the middles of their bins. [dBm]"""
        return sum(x.value for x in self.levels) / len(self.levels)

    @property
    def half_width_db(self) -> float:
        """Half of the widest bin. [dB]"""
        widths = [x.high - x.low for x in self.levels if x.low is not None and x.high is not None]
        return max(widths, default=0.0) / 2

    @property
    def at_most(self) -> bool:
        """Whether a bin is open below, so that the mean is only an upper bound."""
        return any(x.low is None and x.high is not None for x in self.levels)


_WALK_LIMITS = (LimitName.WALK_IN_HAND_DB, LimitName.WALK_MESSAGES)
_NO_LEVEL_DBM = -200.0
"""Stands for a step that is open on both sides: it says nothing, so no link rests on it. [dBm]"""


def heard_levels(ctx: Context, fitting: list[Entry], receiver_id: str) -> Heard | None:
    """All levels on record for a link that are tied to dBm; none if there are none.

    Those of a trial in another place do not count.
    """
    scale = _scale_of(ctx, receiver_id)
    found = [
        (level, entry.at)
        for entry in fitting
        if isinstance(entry, LevelEntry) and entry.conditions.final_place is not False
        for level in _levels(entry, scale)
    ]
    if not found:
        return None
    return Heard(levels=tuple(x for x, _ in found), newest=max(at for _, at in found))


def radio_verdict(
    ctx: Context, fitting: list[Entry], receiver_id: str, least_dbm: float | None
) -> Verdict | None:
    """The verdict of the newest evidence that is conclusive; none if none is.

    `least_dbm` is the level at the receiver with which messages still get through, noise and the
    way back included; none where heard levels cannot prove. [dBm]
    """
    found: Verdict | None = None
    for entry in fitting:  # oldest first
        if isinstance(entry, WalkEntry):
            found = _walk(ctx, entry) or found
    return _levels_prove(ctx, fitting, receiver_id, least_dbm, found) or found


def walk_missing(ctx: Context, entry: WalkEntry) -> list[str]:
    """What keeps a walk test from proving, in words; empty where it proves."""
    asked_db, due = ctx.limit(LimitName.WALK_IN_HAND_DB), ctx.limit(LimitName.WALK_MESSAGES)
    walk = entry.values
    unconfirmed = [n for n in _WALK_LIMITS if not ctx.limit(n).usable]
    found = [f"the limit {name} is not confirmed" for name in unconfirmed]
    if walk.received < walk.due:
        found.append(f"{walk.due - walk.received} of {walk.due} messages did not come through")
    found += _not_in_place(entry)
    if walk.due < due.value:
        found.append(f"only {walk.due} messages were due, {due.value:g} are asked")
    if walk.in_hand_db < asked_db.value:
        found.append(f"it had {walk.in_hand_db:g} dB in hand, {asked_db.value:g} dB are asked")
    return found


def level_missing(ctx: Context, entry: LevelEntry) -> list[str]:
    """What keeps heard levels from proving, as far as the entry alone tells; in words."""
    in_hand, count = ctx.limit(LimitName.LEVEL_IN_HAND_DB), ctx.limit(LimitName.LEVEL_READINGS)
    found = _not_in_place(entry)
    levels = list(_levels(entry, _scale_of(ctx, entry.values.via)))
    if not levels:
        found.append("what was shown is tied to no level in dBm")
    elif len(levels) < count.value:
        found.append(f"it holds {len(levels)} levels, {count.value:g} together are asked")
    if any(x.low is None for x in levels):
        found.append("a level is open below, so nobody knows how weak it was")
    return found or [f"a level lies less than {in_hand.value:g} dB above what gets through"]


def _not_in_place(entry: WalkEntry | LevelEntry) -> list[str]:
    told = entry.conditions
    lid = [] if told.lid_shut else ["it is not said that the lid was shut"]
    place = [] if told.final_place else ["it is not said that it hung in its final place"]
    return lid + place


def _walk(ctx: Context, entry: WalkEntry) -> Verdict | None:
    asked_db, due = ctx.limit(LimitName.WALK_IN_HAND_DB), ctx.limit(LimitName.WALK_MESSAGES)
    walk = entry.values
    tested = f"{walk.received} of {walk.due} messages with {walk.in_hand_db:g} dB in hand"
    if walk.received < walk.due:
        confirmed = asked_db.usable and due.usable
        on_trial = entry.conditions.final_place is False or entry.conditions.lid_shut is False
        if on_trial or walk.in_hand_db > (asked_db.value if confirmed else 0.0):
            return None  # harder than asked: says nothing of what was asked
        return Verdict(
            word=Word.LACKING,
            why=f"walk test: only {tested}",
            margin_db=None,
            note=f"{walk.received} of {walk.due} received",
            entry=entry,
        )
    if walk_missing(ctx, entry):
        return None
    return Verdict(
        word=Word.PROVEN,
        why=f"walk test: {tested}, {asked_db.value:g} dB asked",
        margin_db=walk.in_hand_db - asked_db.value,
        note=f"{walk.in_hand_db:g} dB in hand",
        entry=entry,
        formula="in hand - asked",
        inputs={"in hand": (walk.in_hand_db, "dB"), "asked": (asked_db.value, "dB")},
    )


def _levels_prove(
    ctx: Context,
    fitting: list[Entry],
    receiver_id: str,
    least_dbm: float | None,
    walked: Verdict | None,
) -> Verdict | None:
    in_hand, count = ctx.limit(LimitName.LEVEL_IN_HAND_DB), ctx.limit(LimitName.LEVEL_READINGS)
    if least_dbm is None or not (in_hand.usable and count.usable):
        return None
    since = None if walked is None else walked.entry.at
    entries = [
        e
        for e in fitting
        if isinstance(e, LevelEntry)
        and e.conditions.lid_shut is True
        and e.conditions.final_place is True
        and (since is None or e.at > since)
    ]
    levels = [x for e in entries for x in _levels(e, _scale_of(ctx, receiver_id))]
    if len(levels) < count.value or any(x.low is None for x in levels):
        return None
    lowest_dbm = min(x.low for x in levels if x.low is not None)
    margin_db = lowest_dbm - least_dbm - in_hand.value
    if margin_db < 0:
        return None  # not proof; the levels still go into the prediction
    return Verdict(
        word=Word.PROVEN,
        why=f"heard {len(levels)} times, never below {lowest_dbm:g} dBm",
        margin_db=margin_db,
        note=f"{margin_db:+.1f} dB as heard",
        entry=entries[-1],
        formula="lowest level - least level - asked in hand",
        inputs={
            "lowest level": (lowest_dbm, "dBm"),
            "least level": (least_dbm, "dBm"),
            "asked in hand": (in_hand.value, "dB"),
        },
    )


def _levels(entry: LevelEntry, scale: Scale | None) -> Iterator[Level]:
    yield from (x for x in entry.values.levels if x.quantity is Quantity.RSSI_DBM)
    if entry.values.levels or scale is None or not scale.tied:
        return
    if scale.quantity is not Quantity.RSSI_DBM:
        return
    steps = {s.name.casefold(): s for s in scale.steps}
    shown = [steps.get(name.casefold()) for name in entry.values.steps]
    if None not in shown:  # one that the scale does not hold leaves the whole entry unclear
        yield from (_step_level(s.low, s.high) for s in shown if s is not None)


def _step_level(low: float | None, high: float | None) -> Level:
    if low is not None and high is not None:
        value = (low + high) / 2
    else:
        value = low if low is not None else high if high is not None else _NO_LEVEL_DBM
    return Level(quantity=Quantity.RSSI_DBM, value=value, low=low, high=high)


def _scale_of(ctx: Context, receiver_id: str) -> Scale | None:
    receiver = things(ctx.site).get(receiver_id)
    part = None if receiver is None else ctx.job.part(receiver.part)
    return part.scale if isinstance(part, PanelPart) else None
