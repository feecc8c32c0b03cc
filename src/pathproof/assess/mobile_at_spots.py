"""Levels of networks to expect at the spots of a site, for whatever would hang there."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

from pathproof.assess.context import Context
from pathproof.assess.mobile_expected import (
    Counted,
    Expected,
    LevelSpread,
    NotThere,
    best,
    expected_levels,
    level_spread,
)
from pathproof.assess.mobile_levels import moments, network_at
from pathproof.assess.mobile_places import Through, network_of, only_technology, read_at
from pathproof.assess.mobile_readings import (
    LevelsRead,
    Moment,
    oldest,
    step_of,
    steps_text,
    told_technology,
    too_old_text,
    untold_text,
)
from pathproof.job import CommunicatorPart, Network
from pathproof.job.record import ReadingEntry
from pathproof.terms import Quantity, Technology

__all__ = ["ExpectedLevels"]

_ALIKE_DB = 1e-6
"""Antennas that add the same; this much is rounding. [dB]"""

GainInBand = Callable[[str | None], float | None]
"""What an antenna and its feeder add in a band; none where it is not made for it. [dB]"""


@dataclass(frozen=True)
class _Silence:
    """That a network was looked for at a spot in vain."""

    technology: Technology | None
    module: str | None
    """Communicator that never heard it with its own antenna; none where it tells of every one."""
    band: str | None
    antenna_db: float

    def counts(self, gain_db: GainInBand) -> bool:
        """Whether it tells of what adds so much in a band."""
        if self.module is None:
            return True
        added_db = gain_db(self.band)
        return added_db is None or added_db - self.antenna_db <= _ALIKE_DB


class ExpectedLevels:
    """Levels to expect at the spots of a site; what was worked out is kept."""

    def __init__(self, ctx: Context) -> None:
        self._ctx = ctx
        self._entries: dict[str, list[tuple[ReadingEntry, Through]]] = defaultdict(list)
        self._too_old: dict[str, list[ReadingEntry]] = defaultdict(list)
        for entry in (e for e in ctx.entries if isinstance(e, ReadingEntry)):
            for spot, through in read_at(ctx, entry):
                if isinstance(through, Through) and entry.at >= oldest(ctx):
                    self._entries[spot].append((entry, through))
                elif isinstance(through, Through):
                    self._too_old[spot].append(entry)
        self._read: dict[tuple[str, str, bool], LevelsRead] = {}
        self._silent: dict[tuple[str, str], frozenset[_Silence]] = {}
        self._bands: dict[tuple[str, str, bool], tuple[str | None, ...]] = {}
        self._spreads: dict[tuple[tuple[int, float], ...], LevelSpread] = {}
        self._found: dict[object, Expected | NotThere | None] = {}

    def at_spot(
        self,
        module: CommunicatorPart,
        network: str,
        spot: str,
        gain_db: GainInBand,
    ) -> Expected | NotThere | None:
        """One network as a module would find it at a spot; none where nothing read tells.

        Parameters
        ----------
        module : CommunicatorPart
            Its technologies and bands decide which readings count.
        network : str
            Country and network code, such as 001-01.
        spot : str
            Id of the spot. What was read there through a communicator's own antenna counts less
            what that antenna and its feeder add.
        gain_db : callable
            What antenna, feeder and allowances add to a reading of that band; None where the
            antenna is not made for it. [dB]
        """
        where = (spot, network, set(module.technologies) == {Technology.GSM})
        read = self._levels(where)
        never = {t: read.never_heard(t) for t in read.lost}
        gains = {band: gain_db(band) for band in self._bands[where]}
        key = (where, tuple(module.technologies), tuple(module.bands), tuple(gains.values()))
        if key not in self._found:

            def gain(moment: Moment) -> float | None:
                added_db = gains[moment.band]
                if added_db is None:
                    return None
                more_db = added_db - moment.antenna_db
                if moment.module in never.get(moment.technology, ()) and more_db > _ALIKE_DB:
                    return None
                return more_db

            found = expected_levels(self._ctx, module, network, read, gain, self._spread)
            self._found[key] = best(found)
        return self._found[key]

    def networks_read(self, spot: str) -> frozenset[str]:
        """The networks of which a level that may count was read at a spot."""
        named = {network_of(self._ctx, e) for e, _ in self._entries.get(spot, ())}
        return frozenset(
            n
            for n in named
            if n is not None and any(self._levels((spot, n, gsm)).taken for gsm in (False, True))
        )

    def uncounted(self, spot: str, network: str, gain_db: GainInBand) -> str:
        """Why what was read of a network at a spot tells no level; empty where nothing was.

        `gain_db` is what antenna, feeder and allowances add, as for `at_spot`.
        """
        here = [e for e, _ in self._entries.get(spot, ())]
        of = [e for e in here if network_of(self._ctx, e) == network]
        steps = [step for e in of if (step := step_of(e)) is not None]
        if steps:
            return steps_text(steps[-1])
        old = [e.at for e in self._too_old.get(spot, ()) if network_of(self._ctx, e) == network]
        if old:
            return f"what was read is {too_old_text(self._ctx, max(old))}"
        either = [untold_text(e, network_at(self._ctx.site, network)) for e in of]
        if any(either):
            return max(either)
        silent = self._silences(spot, network)
        beaten = {s.module for s in silent if s.module and not s.counts(gain_db)}
        if not beaten:
            return ""
        return (
            f"{' and '.join(sorted(beaten))} heard nothing of it with its own antenna; read it "
            "with a survey instrument or the better antenna"
        )

    def in_vain(self, spot: str, network: str, gain_db: GainInBand) -> frozenset[Technology | None]:
        """Technologies that a network was looked for in at a spot, and not there at some moment.

        None stands for an entry that names no technology and holds no level. What a communicator
        never heard with its own antenna counts where `gain_db` of the band adds no more than that.
        """
        silent = self._silences(spot, network)
        return frozenset(s.technology for s in silent if s.counts(gain_db))

    def looked_for_in_vain(self, spot: str, network: str) -> bool:
        """Whether a network was looked for at a spot, and not there at some moment."""
        return bool(self._silences(spot, network))

    def _silences(self, spot: str, network: str) -> frozenset[_Silence]:
        if (spot, network) not in self._silent:
            self._silent[spot, network] = frozenset(self._all_silences(spot, network))
        return self._silent[spot, network]

    def _all_silences(self, spot: str, network: str) -> Iterator[_Silence]:
        read = self._levels((spot, network, False))
        for technology, lost in read.lost.items():
            never = read.never_heard(technology)
            for x in lost:
                module = x.module if x.module in never else None
                yield _Silence(technology, module, x.band, x.antenna_db)
        for entry, through in self._entries.get(spot, ()):
            values = entry.values
            nothing = values.step is None and not any(levels for _, levels in moments(entry))
            if nothing and values.technology is None and values.network == network:
                yield _Silence(None, through.module, values.band, through.antenna_db)

    def _levels(self, where: tuple[str, str, bool]) -> LevelsRead:
        if where not in self._read:
            spot, network, gsm_only = where
            read = LevelsRead()
            for entry, through in self._entries.get(spot, ()):
                if network_of(self._ctx, entry) == network:
                    of = network_at(self._ctx.site, network)
                    tell = partial(self._technology, entry, of, gsm_only=gsm_only)
                    read.add(self._ctx, entry, tell, through.antenna_db, through.module)
            self._read[where] = read
            seen: list[Moment] = [t for of in read.taken.values() for t in of]
            seen += [t for of_lost in read.lost.values() for t in of_lost]
            self._bands[where] = tuple(dict.fromkeys(t.band for t in seen))
        return self._read[where]

    def _technology(
        self, entry: ReadingEntry, network: Network | None, quantity: Quantity, *, gsm_only: bool
    ) -> Technology | None:
        return only_technology(self._ctx, entry, quantity) or told_technology(
            entry, quantity, network, gsm_only=gsm_only
        )

    def _spread(self, counted: Counted) -> LevelSpread:
        # A gain that all have alike changes no spread. What was taken is kept as long as this is,
        # so nothing else gets its identity.
        _, first_db = counted[0]
        key = tuple((id(t), round(gain_db - first_db, 9)) for t, gain_db in counted)
        if key not in self._spreads:
            self._spreads[key] = level_spread(self._ctx, counted)
        return self._spreads[key]
