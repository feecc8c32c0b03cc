"""Where readings were taken, and through which antenna."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from pathproof.assess.alike import listed
from pathproof.assess.antenna import fitted_run, gain_db
from pathproof.assess.context import Context
from pathproof.assess.mobile_levels import allowed_networks, spoken_in
from pathproof.assess.mobile_readings import network_read, still_fits, unnamed_antenna
from pathproof.job import Communicator, CommunicatorPart, links
from pathproof.job.record import ReadingEntry
from pathproof.terms import Quantity, Severity, Technology

__all__ = ["NotCounted", "Through", "network_of", "only_technology", "read_at", "unnamed_antennas"]


@dataclass(frozen=True, kw_only=True)
class Through:
    """What a reading was taken through."""

    antenna_db: float = 0.0
    """What antenna and feeder added; 0 for a survey instrument. [dB]"""
    module: str | None = None
    """Communicator that read it with its own antenna; none for a survey instrument."""


class NotCounted(StrEnum):
    """Why a reading says nothing of a spot, in words."""

    CHANGED = "from before the spot was moved, or what read it was changed"
    UNKNOWN_ANTENNA = "with an antenna that is not fitted like this, or nobody knows which"
    UNFIT_ANTENNA = "in a band that the antenna is not made for"


def read_at(ctx: Context, entry: ReadingEntry) -> Iterator[tuple[str, Through | NotCounted]]:
    """The spots of the site that a reading is about, each with what it was taken through there."""
    spots = {s.id for s in ctx.site.spots}
    reader = _reader(ctx, entry)
    named = spots & set(entry.about)
    for spot in sorted(named):
        yield spot, _through(ctx, entry, links.spot(spot))
    if reader is not None and reader.spot in spots and reader.spot not in named:
        yield reader.spot, _through(ctx, entry, links.mobile(reader.id))


def unnamed_antennas(ctx: Context) -> Iterator[tuple[Severity, str, str, str]]:
    """A finding on readings with a final antenna that no communicator is named for."""
    unnamed = [
        e
        for e in ctx.entries
        if isinstance(e, ReadingEntry)
        and unnamed_antenna(ctx.site, e.about, e.conditions.final_antenna)
    ]
    if unnamed:
        they = "does" if len(unnamed) == 1 else "do"
        yield (
            Severity.ADVICE,
            ", ".join(dict.fromkeys(x for e in unnamed for x in e.about)),
            f"{listed([e.id for e in unnamed])} {they} not count: read with a final antenna, and "
            "no communicator is named that it belongs to.",
            "Record it again about the communicator too (--about, --replaces).",
        )


def _reader(ctx: Context, entry: ReadingEntry) -> Communicator | None:
    """The communicator that a reading is about."""
    return next((c for c in ctx.site.communicators if c.id in entry.about), None)


def network_of(ctx: Context, entry: ReadingEntry) -> str | None:
    """The network of a reading; where it names none, the only one of the site or of its card."""
    reader = _reader(ctx, entry)
    here = [n.mcc_mnc for n in ctx.site.networks]
    return network_read(entry, here if reader is None else allowed_networks(ctx.site, reader))


def only_technology(ctx: Context, entry: ReadingEntry, quantity: Quantity) -> Technology | None:
    """What a module has read itself where only one technology can be, and its entry names none."""
    reader = _reader(ctx, entry)
    module = None if reader is None else ctx.job.part(reader.part)
    if entry.values.technology is not None or not isinstance(module, CommunicatorPart):
        return None
    return spoken_in(module.technologies, quantity)


def _through(ctx: Context, entry: ReadingEntry, name: str) -> Through | NotCounted:
    if not still_fits(ctx, entry, name):
        return NotCounted.CHANGED
    reader = _reader(ctx, entry)
    told = entry.conditions.final_antenna
    if not (reader is not None if told is None else told):
        return Through()
    if reader is None or not still_fits(ctx, entry, links.mobile(reader.id)):
        return NotCounted.UNKNOWN_ANTENNA
    added_db = gain_db(fitted_run(ctx.job, reader), entry.values.band, ctx)
    if added_db is None:
        return NotCounted.UNFIT_ANTENNA
    return Through(antenna_db=added_db, module=reader.id)
