"""Mobile levels on record, moment by moment: of which technology, how high, read with what."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import partial

from pathproof.assess.context import Context
from pathproof.assess.mobile_consistency import impossible
from pathproof.assess.mobile_levels import (
    grading,
    moments,
    offered_in,
    technology_at,
    told_by,
)
from pathproof.assess.wording import technology_text
from pathproof.job import InstrumentPart, Level, Network, Site
from pathproof.job.record import ReadingEntry
from pathproof.terms import LimitName, Quantity, Technology

__all__ = [
    "LevelsRead",
    "Lost",
    "Moment",
    "Taken",
    "levels_taken",
    "looked_for_in_vain",
    "network_read",
    "oldest",
    "seconds",
    "step_of",
    "steps_text",
    "still_fits",
    "taken_through",
    "told_technology",
    "too_old_text",
    "unnamed_antenna",
    "untold_text",
    "young",
]


@dataclass(frozen=True, kw_only=True)
class Moment:
    """One moment of an entry in one technology."""

    entry: ReadingEntry
    at: datetime
    technology: Technology
    antenna_db: float = 0.0
    """What antenna and feeder that it was read with added, where that is to come off. [dB]"""
    module: str | None = None
    """Communicator that read it with its own antenna; none for a survey instrument."""

    @property
    def band(self) -> str | None:
        """Band that was read, as the entry writes it; none where it does not say."""
        return self.entry.values.band


@dataclass(frozen=True, kw_only=True)
class Lost(Moment):
    """A moment at which a network was looked for and not there: its level is below anything."""


@dataclass(frozen=True, kw_only=True)
class Taken(Moment):
    """The level that grades a technology at one moment, the instrument's offset taken off."""

    level: Level
    instrument: InstrumentPart | None

    @property
    def offset_db(self) -> float:
        """What the instrument shows above the true level. [dB]"""
        return 0.0 if self.instrument is None else self.instrument.offset_db

    @property
    def instrument_spread_db(self) -> float:
        """Spread of that offset from piece to piece. [dB]"""
        return 0.0 if self.instrument is None else self.instrument.spread_db

    @property
    def level_dbm(self) -> float:
        """Middle of the bin, or its closed edge. [dBm]"""
        return self.level.value

    @property
    def edges_dbm(self) -> tuple[float | None, float | None]:
        """The bin; a level without any edge is known exactly. [dBm]"""
        level = self.level
        if level.low is None and level.high is None:
            return level.value, level.value
        return level.low, level.high


@dataclass(frozen=True)
class LevelsRead:
    """What was read of one network at one place, by technology."""

    taken: dict[Technology, list[Taken]] = field(default_factory=lambda: defaultdict(list))
    lost: dict[Technology, list[Lost]] = field(default_factory=lambda: defaultdict(list))

    def told(self, technology: Technology) -> bool:
        """Whether a technology was read, or looked for."""
        return bool(self.taken.get(technology) or self.lost.get(technology))

    def add(
        self,
        ctx: Context,
        entry: ReadingEntry,
        technology_of: Callable[[Quantity], Technology | None],
        antenna_db: float = 0.0,
        module: str | None = None,
    ) -> None:
        """Put in what an entry holds, with what it was read with and by which communicator. [dB]"""
        through = partial(replace, antenna_db=antenna_db, module=module)
        found = [through(t) for t in levels_taken(ctx, entry, technology_of)]
        for taken in found:
            self.taken[taken.technology].append(taken)
        told = entry.values.technology
        for technology in {t.technology for t in found} if told is None else (told,):
            lost = looked_for_in_vain(ctx, entry, technology)
            self.lost[technology] += [through(x) for x in lost]

    def never_heard(self, technology: Technology) -> frozenset[str]:
        """Communicators that looked for a technology with their own antenna, all in vain."""
        heard = {t.module for t in self.taken.get(technology, ())}
        lost = {x.module for x in self.lost.get(technology, ()) if x.module is not None}
        return frozenset(lost - heard)


def young(ctx: Context) -> list[ReadingEntry]:
    """Readings in force that are not too old, oldest first."""
    since = oldest(ctx)
    return [e for e in ctx.entries if isinstance(e, ReadingEntry) and e.at >= since]


def oldest(ctx: Context) -> datetime:
    """The moment from which readings are not too old."""
    return ctx.as_of - timedelta(days=ctx.value(LimitName.MOBILE_MAX_AGE_DAYS))


def step_of(entry: ReadingEntry) -> str | None:
    """The step of a scale tied to no levels, where an entry tells no more than that."""
    return None if entry.values.levels else entry.values.step


def steps_text(step: str) -> str:
    """That all that was read is a step which tells no level."""
    return f"only read as steps of a scale without levels ({step}): read it in dBm"


def too_old_text(ctx: Context, last: datetime) -> str:
    """That readings are too old, with the date of the last and how long one counts."""
    days = ctx.value(LimitName.MOBILE_MAX_AGE_DAYS)
    return f"too old: the last on {last:%Y-%m-%d}, and a reading counts for {days:g} days"


def still_fits(ctx: Context, entry: ReadingEntry, name: str) -> bool:
    """Whether an entry says nothing of a link or spot, or still fits it."""
    return name not in entry.fits or bool(ctx.fitting([entry], name))


def taken_through(entry: ReadingEntry, communicators: Collection[str]) -> bool:
    """Whether a reading was taken through the antenna of one of these communicators."""
    told = entry.conditions.final_antenna
    return told is not False and any(c in entry.about for c in communicators)


def network_read(entry: ReadingEntry, possible: Sequence[str]) -> str | None:
    """The network of a reading; the only one possible where it names none."""
    if entry.values.network is not None:
        return entry.values.network
    return possible[0] if len(possible) == 1 else None


def told_technology(
    entry: ReadingEntry, quantity: Quantity, network: Network | None, *, gsm_only: bool
) -> Technology | None:
    """The technology of a level, by its entry, or by what was measured and the network offers."""
    told = entry.values.technology
    if told is None and network is not None and quantity is not Quantity.RSSI_DBM:
        return technology_at(network, quantity)
    return told or told_by(quantity, [Technology.GSM] if gsm_only else [])


def untold_text(entry: ReadingEntry, network: Network | None) -> str:
    """That levels may be of several technologies, and the entry does not say; else empty."""
    if entry.values.technology is not None or network is None:
        return ""
    for quantity in {x.quantity for _, levels in moments(entry) for x in levels}:
        offered = offered_in(network, quantity)
        if len(offered) > 1 and technology_at(network, quantity) is None:
            either = " or ".join(technology_text(t) for t in offered)
            return f"it is not said whether {either} was read: name its technology"
    return ""


def unnamed_antenna(site: Site, about: Collection[str], final_antenna: bool | None) -> bool:
    """Whether something was read with the final antenna of nobody said whom."""
    return final_antenna is True and not any(c.id in about for c in site.communicators)


def levels_taken(
    ctx: Context, entry: ReadingEntry, technology_of: Callable[[Quantity], Technology | None]
) -> Iterator[Taken]:
    """The levels of an entry that grade a technology, one a moment and technology.

    One moment is one reading, in however many quantities it was shown. Moments at which the levels
    contradict each other for sure count for nothing.
    """
    part = ctx.job.embedded.catalogue.get(entry.instrument)
    instrument = part if isinstance(part, InstrumentPart) else None
    discarded = impossible(entry)
    for after_s, levels in moments(entry):
        at = entry.at + timedelta(seconds=after_s)
        if after_s in discarded or at > ctx.as_of:
            continue
        graded: dict[Technology, Level] = {}
        for level in levels:
            technology = technology_of(level.quantity)
            if technology is not None and level.quantity in grading(technology):
                graded.setdefault(technology, level)
        for technology, level in graded.items():
            yield Taken(
                entry=entry,
                at=at,
                technology=technology,
                level=_without_offset(level, instrument),
                instrument=instrument,
            )


def looked_for_in_vain(ctx: Context, entry: ReadingEntry, technology: Technology) -> Iterator[Lost]:
    """The moments of an entry at which the technology it looked for was not there.

    A step of a scale tied to no levels tells that something was there.
    """
    if entry.values.step is not None:
        return
    for after_s, levels in moments(entry):
        at = entry.at + timedelta(seconds=after_s)
        if not levels and at <= ctx.as_of:
            yield Lost(entry=entry, at=at, technology=technology)


def _without_offset(level: Level, instrument: InstrumentPart | None) -> Level:
    if instrument is None or instrument.offset_db == 0.0:
        return level
    edges = {"value": level.value, "low": level.low, "high": level.high}
    return level.model_copy(
        update={k: None if x is None else x - instrument.offset_db for k, x in edges.items()}
    )


def seconds(taken: Sequence[Taken]) -> list[float]:
    """When each was taken, from the first on. [s]"""
    return [(t.at - taken[0].at).total_seconds() for t in taken]
