"""What the record holds of each spot, moment by moment, as an antenna of 0 dBi has it there."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from pathproof.assess.antenna import fitted_run, gain_db
from pathproof.assess.context import Context
from pathproof.assess.mobile_consistency import impossible
from pathproof.assess.mobile_levels import allowed_networks, grading, moments, technology_at
from pathproof.assess.mobile_readings import (
    Taken,
    levels_taken,
    network_read,
    still_fits,
    young,
)
from pathproof.job import Communicator, CommunicatorPart, links
from pathproof.job.record import ReadingEntry
from pathproof.terms import Quantity, Technology

__all__ = ["SpotReading", "SpotReadings"]

_OUTDATED = "too old, or from before the spot was moved"
_NO_NETWORK = "with no network named"
_UNKNOWN_ANTENNA = "with an antenna that is not fitted like this, or nobody knows which"
_UNFIT_ANTENNA = "in a band that the antenna is not made for"
_NOT_GRADING = "with nothing that grades its technology (RSRP grades LTE, RSSI does not)"
_IMPOSSIBLE = "whose levels contradict each other"


@dataclass(frozen=True, kw_only=True)
class SpotReading:
    """One level of one network at one moment at a spot."""

    network: str
    taken: Taken
    antenna_db: float
    """What antenna and feeder that it was read with added; 0 for a survey instrument. [dB]"""
    module: str | None
    """Communicator that read it with its own antenna; none for a survey instrument."""

    @property
    def edges_dbm(self) -> tuple[float | None, float | None]:
        """Its bin, less what instrument and antenna add; none where an edge is open. [dBm]"""
        low, high = self.taken.edges_dbm
        return (
            None if low is None else low - self.antenna_db,
            None if high is None else high - self.antenna_db,
        )

    @property
    def instrument(self) -> str:
        """What it was read with, as people call it; empty where nobody said."""
        part = self.taken.instrument
        return self.taken.entry.instrument if part is None else part.name


class SpotReadings:
    """The readings that count at each spot of a site, and what does not, with the reason."""

    def __init__(self, ctx: Context) -> None:
        self._ctx = ctx
        self._spots = {s.id for s in ctx.site.spots}
        self._networks = {n.mcc_mnc: n for n in ctx.site.networks}
        self._found: dict[str, list[SpotReading]] = defaultdict(list)
        self._silent: dict[str, Counter[str]] = defaultdict(Counter)
        self._left_out: dict[str, Counter[str]] = defaultdict(Counter)
        entries = [e for e in ctx.entries if isinstance(e, ReadingEntry)]
        places = [(entry, list(self._spots_of(entry))) for entry in entries]
        not_too_old = {e.id for e in young(ctx)} if any(spots for _, spots in places) else set()
        for entry, spots in places:
            for spot, name in spots:
                if entry.id in not_too_old and still_fits(ctx, entry, name):
                    self._take(entry, spot)
                else:
                    self._leave_out(entry, spot, _OUTDATED)

    def at(self, spot: str) -> Sequence[SpotReading]:
        """What counts at a spot, oldest first."""
        return sorted(self._found[spot], key=lambda r: r.taken.at)

    def silent(self, spot: str) -> dict[str, int]:
        """At how many moments the instrument showed no level of a network there."""
        return {code: n for code, n in self._silent[spot].items() if n}

    def left_out(self, spot: str) -> list[str]:
        """Fragments on what was read at a spot and does not count."""
        return [f"{_counted(n)} {why}" for why, n in sorted(self._left_out[spot].items()) if n]

    def _spots_of(self, entry: ReadingEntry) -> Iterator[tuple[str, str]]:
        """Spots that an entry is about, and by which link or spot it speaks for each."""
        own = self._reader(entry)
        named = self._spots & set(entry.about)
        yield from ((spot, links.spot(spot)) for spot in sorted(named))
        if own is not None and own.spot in self._spots and own.spot not in named:
            yield own.spot, links.mobile(own.id)

    def _reader(self, entry: ReadingEntry) -> Communicator | None:
        return next((c for c in self._ctx.site.communicators if c.id in entry.about), None)

    def _take(self, entry: ReadingEntry, spot: str) -> None:
        reader = self._reader(entry)
        possible = (
            list(self._networks) if reader is None else allowed_networks(self._ctx.site, reader)
        )
        code = network_read(entry, possible)
        if code is None:
            self._leave_out(entry, spot, _NO_NETWORK)
        elif code not in self._networks:
            self._leave_out(entry, spot, f"of {code}, which is not among the site's networks")
        elif not self._with_final_antenna(entry):
            self._add(entry, spot, code, 0.0, None)
        else:
            self._take_with_antenna(entry, spot, code)

    def _take_with_antenna(self, entry: ReadingEntry, spot: str, code: str) -> None:
        here = [c for c in self._ctx.site.communicators if c.spot == spot]
        reader = self._reader(entry) or (here[0] if len(here) == 1 else None)
        if reader is None or not still_fits(self._ctx, entry, links.mobile(reader.id)):
            self._leave_out(entry, spot, _UNKNOWN_ANTENNA)
            return
        added_db = gain_db(fitted_run(self._ctx.job, reader), entry.values.band, self._ctx)
        if added_db is None:
            self._leave_out(entry, spot, _UNFIT_ANTENNA)
            return
        self._add(entry, spot, code, added_db, reader.id)

    def _with_final_antenna(self, entry: ReadingEntry) -> bool:
        """Whether it was read with a communicator's antenna; its own readings are unless told."""
        told = entry.conditions.final_antenna
        return self._reader(entry) is not None if told is None else told

    def _add(
        self, entry: ReadingEntry, spot: str, code: str, antenna_db: float, module: str | None
    ) -> None:
        taken = list(levels_taken(self._ctx, entry, partial(self._technology, entry, code)))
        self._found[spot] += [
            SpotReading(network=code, taken=t, antenna_db=antenna_db, module=module) for t in taken
        ]
        shown = sum(bool(levels) for _, levels in moments(entry))
        self._silent[spot][code] += 1 + len(entry.values.series) - shown
        contradicted = len(impossible(entry))
        self._left_out[spot][_IMPOSSIBLE] += contradicted
        self._left_out[spot][_NOT_GRADING] += shown - contradicted - len({t.at for t in taken})

    def _technology(self, entry: ReadingEntry, code: str, quantity: Quantity) -> Technology | None:
        """The technology of a level: as told, else the only one of its module, else the usual."""
        reader = self._reader(entry)
        module = None if reader is None else self._ctx.job.part(reader.part)
        speaks = module.technologies if isinstance(module, CommunicatorPart) else []
        if entry.values.technology is None and len(speaks) == 1 and quantity in grading(speaks[0]):
            return speaks[0]
        return entry.values.technology or technology_at(self._networks[code], quantity)

    def _leave_out(self, entry: ReadingEntry, spot: str, why: str) -> None:
        self._left_out[spot][why] += 1 + len(entry.values.series)


def _counted(readings: int) -> str:
    return "1 reading" if readings == 1 else f"{readings} readings"
