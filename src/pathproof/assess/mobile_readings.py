"""Mobile levels on record, moment by moment: of which technology, how high, read with what."""

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from pathproof.assess.context import Context
from pathproof.assess.mobile_consistency import impossible
from pathproof.assess.mobile_levels import grading, moments, told_by
from pathproof.job import InstrumentPart, Level
from pathproof.job.record import ReadingEntry
from pathproof.terms import LimitName, Quantity, Technology

__all__ = [
    "Taken",
    "levels_taken",
    "network_read",
    "seconds",
    "still_fits",
    "surveyed",
    "taken_through",
    "told_technology",
    "young",
]


@dataclass(frozen=True, kw_only=True)
class Taken:
    """The level that grades a technology at one moment, the instrument's offset taken off."""

    entry: ReadingEntry
    at: datetime
    technology: Technology
    level: Level
    instrument: InstrumentPart | None

    @property
    def band(self) -> str | None:
        """Band that was read, as the entry writes it; none where it does not say."""
        return self.entry.values.band

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


def young(ctx: Context) -> list[ReadingEntry]:
    """Readings in force that are not too old, oldest first."""
    oldest = ctx.as_of - timedelta(days=ctx.value(LimitName.MOBILE_MAX_AGE_DAYS))
    return [e for e in ctx.entries if isinstance(e, ReadingEntry) and e.at >= oldest]


def still_fits(ctx: Context, entry: ReadingEntry, name: str) -> bool:
    """Whether an entry says nothing of a link or spot, or still fits it."""
    return name not in entry.fits or bool(ctx.fitting([entry], name))


def taken_through(entry: ReadingEntry, communicators: Collection[str]) -> bool:
    """Whether a reading was taken through the antenna of one of these communicators."""
    told = entry.conditions.final_antenna
    return told is not False and any(c in entry.about for c in communicators)


def surveyed(ctx: Context) -> list[ReadingEntry]:
    """Young readings that tell of a spot itself: through no communicator's own antenna."""
    modules = {c.id for c in ctx.site.communicators}
    return [
        e
        for e in young(ctx)
        if e.conditions.final_antenna is not True and not taken_through(e, modules)
    ]


def network_read(entry: ReadingEntry, possible: Sequence[str]) -> str | None:
    """The network of a reading; the only one possible where it names none."""
    if entry.values.network is not None:
        return entry.values.network
    return possible[0] if len(possible) == 1 else None


def told_technology(
    entry: ReadingEntry, quantity: Quantity, *, gsm_only: bool
) -> Technology | None:
    """The technology of a level, by its entry or by what was measured."""
    possible = [Technology.GSM] if gsm_only else []
    return entry.values.technology or told_by(quantity, possible)


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
