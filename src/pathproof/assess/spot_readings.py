"""What the record holds of each spot, moment by moment, as an antenna of 0 dBi has it there."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from pathproof.assess.context import Context
from pathproof.assess.mobile_consistency import impossible
from pathproof.assess.mobile_levels import moments, technology_at
from pathproof.assess.mobile_places import (
    NotCounted,
    Through,
    network_of,
    only_technology,
    read_at,
)
from pathproof.assess.mobile_readings import (
    LevelsRead,
    Lost,
    Taken,
    oldest,
    step_of,
    too_old_text,
    untold_text,
)
from pathproof.job.record import ReadingEntry
from pathproof.terms import Quantity, Technology

__all__ = ["SpotReading", "SpotReadings"]

_NO_NETWORK = "with no network named"
_NOT_GRADING = "with nothing that grades its technology (RSRP grades LTE, RSSI does not)"
_IMPOSSIBLE = "whose levels contradict each other"


@dataclass(frozen=True, kw_only=True)
class SpotReading:
    """One level of one network at one moment at a spot."""

    network: str
    taken: Taken

    @property
    def module(self) -> str | None:
        """Communicator that read it with its own antenna; none for a survey instrument."""
        return self.taken.module

    @property
    def edges_dbm(self) -> tuple[float | None, float | None]:
        """Its bin, less what instrument and antenna add; none where an edge is open. [dBm]"""
        low, high = self.taken.edges_dbm
        antenna_db = self.taken.antenna_db
        return (
            None if low is None else low - antenna_db,
            None if high is None else high - antenna_db,
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
        self._networks = {n.mcc_mnc: n for n in ctx.site.networks}
        self._found: dict[str, list[SpotReading]] = defaultdict(list)
        self._lost: dict[tuple[str, str, Technology], list[Lost]] = defaultdict(list)
        self._silent: dict[str, Counter[str]] = defaultdict(Counter)
        self._looked: dict[str, Counter[str]] = defaultdict(Counter)
        self._steps: dict[str, list[str]] = defaultdict(list)
        self._too_old: dict[str, list[ReadingEntry]] = defaultdict(list)
        self._left_out: dict[str, Counter[str]] = defaultdict(Counter)
        for entry in ctx.entries:
            if isinstance(entry, ReadingEntry):
                for spot, through in read_at(ctx, entry):
                    self._sort_in(entry, spot, through)

    def at(self, spot: str) -> Sequence[SpotReading]:
        """What counts at a spot, oldest first."""
        return sorted(self._found[spot], key=lambda r: r.taken.at)

    def lost(self, spot: str, network: str, technology: Technology) -> Sequence[Lost]:
        """Moments at which a technology of a network was looked for at a spot, and not there."""
        return self._lost.get((spot, network, technology), ())

    def silent(self, spot: str) -> dict[str, tuple[int, int]]:
        """At how many of its moments the instrument showed no level of a network there."""
        return {code: (n, self._looked[spot][code]) for code, n in self._silent[spot].items() if n}

    def steps(self, spot: str) -> list[str]:
        """Steps of scales tied to no levels that were read at a spot, oldest first."""
        return self._steps[spot]

    def left_out(self, spot: str) -> list[str]:
        """Fragments on what was read at a spot and does not count."""
        found = [f"{_counted(n)} {why}" for why, n in sorted(self._left_out[spot].items()) if n]
        if self._too_old[spot]:
            readings = sum(1 + len(e.values.series) for e in self._too_old[spot])
            last = max(e.at for e in self._too_old[spot])
            found.append(f"{_counted(readings)} {too_old_text(self._ctx, last)}")
        return found

    def _sort_in(self, entry: ReadingEntry, spot: str, through: Through | NotCounted) -> None:
        code = network_of(self._ctx, entry)
        if isinstance(through, NotCounted):
            self._leave_out(entry, spot, through)
        elif entry.at < oldest(self._ctx):
            self._too_old[spot].append(entry)
        elif code is None:
            self._leave_out(entry, spot, _NO_NETWORK)
        elif code not in self._networks:
            self._leave_out(entry, spot, f"of {code}, which is not among the site's networks")
        elif (step := step_of(entry)) is not None:
            self._steps[spot].append(f"{step} of {code}")
        else:
            self._add(entry, spot, code, through)

    def _add(self, entry: ReadingEntry, spot: str, code: str, through: Through) -> None:
        read = LevelsRead()
        tell = partial(self._technology, entry, code)
        read.add(self._ctx, entry, tell, through.antenna_db, through.module)
        taken = [t for of in read.taken.values() for t in of]
        self._found[spot] += [SpotReading(network=code, taken=t) for t in taken]
        for technology, lost in read.lost.items():
            self._lost[spot, code, technology] += lost
        moments_read = 1 + len(entry.values.series)
        shown = sum(bool(levels) for _, levels in moments(entry))
        self._looked[spot][code] += moments_read
        self._silent[spot][code] += moments_read - shown
        contradicted = len(impossible(entry))
        self._left_out[spot][_IMPOSSIBLE] += contradicted
        either = untold_text(entry, self._networks[code])
        of_none = shown - contradicted - len({t.at for t in taken})
        self._left_out[spot][f"of which {either}" if either else _NOT_GRADING] += of_none

    def _technology(self, entry: ReadingEntry, code: str, quantity: Quantity) -> Technology | None:
        """The technology of a level: as told, else the only one of its module, else the usual."""
        told = entry.values.technology or only_technology(self._ctx, entry, quantity)
        return told or technology_at(self._networks[code], quantity)

    def _leave_out(self, entry: ReadingEntry, spot: str, why: str) -> None:
        self._left_out[spot][why] += 1 + len(entry.values.series)


def _counted(readings: int) -> str:
    return "1 reading" if readings == 1 else f"{readings} readings"
