"""The level of a network that is to be expected, from what was read and does not prove."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from statistics import NormalDist

from pathproof.assess.context import Context
from pathproof.assess.mobile_levels import NEEDS, half_width_db, same_band
from pathproof.assess.mobile_readings import (
    Taken,
    levels_taken,
    network_read,
    seconds,
    still_fits,
    surveyed,
    told_technology,
)
from pathproof.calc.decibels import combined_spread_db
from pathproof.calc.mobile import (
    LEAST_INDEPENDENT_NORMAL,
    CarryOver,
    binned_levels,
    carry_over,
    serial_correlation,
    spread_over_time_db,
    tenth_percentile,
)
from pathproof.calc.radio import link_odds
from pathproof.job import CommunicatorPart, Network, links
from pathproof.job.record import ReadingEntry
from pathproof.terms import LimitName, Technology

__all__ = [
    "Z_NINE_OF_TEN",
    "Expected",
    "ExpectedLevels",
    "LevelSpread",
    "best",
    "expected_levels",
    "has_band",
    "level_spread",
    "limit_in_force",
    "standing",
    "unsaid_technologies",
]

Z_NINE_OF_TEN = NormalDist().inv_cdf(0.9)
"""Standard deviations below its mean that nine of ten values of a normal distribution reach."""
LEAST_SPREAD_DB = 0.5
"""Spread of readings that are all the same; instruments show no finer. House value, no source. [dB]
"""
_CARRIED = (Technology.LTE_M, Technology.NB_IOT)

Gain = Callable[[Taken], float | None]
"""What antenna and feeder add to a reading; none where it does not count. [dB]"""
ByTechnology = Mapping[Technology, Sequence[Taken]]
Counted = Sequence[tuple[Taken, float]]
"""Readings that count, each with what antenna and feeder add to it. [dB]"""


@dataclass(frozen=True, kw_only=True)
class LevelSpread:
    """What readings leave open about the level over time. All figures in dB."""

    value_db: float
    level_db: float
    """House figure for a single reading, or standard deviation over time where enough was read."""
    half_bin_db: float
    instrument_db: float
    independent: float | None
    """As how many independent readings they count, where they told the spread themselves."""


@dataclass(frozen=True, kw_only=True)
class Expected:
    """One network as it would be at a spot, by what was read there."""

    network: str
    technology: Technology
    """The one it would be used with."""
    level_dbm: float
    """That nine of ten readings reach; carried over, nine of ten that it may be. [dBm]"""
    margin_db: float
    """Level over need and fade margin. [dB]"""
    spread_db: float
    """Of readings, instrument and what carrying over leaves open. [dB]"""
    odds: float
    """That the level stays above the need."""
    band: str | None
    """Band of the reading that decides, where it was read."""
    readings: int
    """How many there are."""
    usable: bool
    """False where need or fade margin is from memory and nobody confirmed it."""
    limit: LimitName
    """The one of them that is not confirmed, or the need."""
    carried: CarryOver | None
    """What is left open where another technology was read."""
    decides: Taken
    """The reading that decides."""
    gain_db: float
    """What antenna and feeder add to it. [dB]"""
    spread: LevelSpread
    """Its parts, carrying over left aside."""


def expected_levels(
    ctx: Context,
    module: CommunicatorPart,
    network: str,
    read: ByTechnology,
    gain: Gain,
    spread: Callable[[Counted], LevelSpread] | None = None,
) -> list[Expected]:
    """A network as each technology of a module would find it, where something tells of that.

    A reading of a technology itself goes before any that is carried over from LTE. Those count only
    where the site says that the network offers the technology.
    """
    of_spread = spread or (lambda counted: level_spread(ctx, counted))
    found = []
    for technology in module.technologies:
        source, carried = technology, None
        if not read.get(technology) and _carries(ctx, module, network, technology, read):
            source = Technology.LTE
        counted = [
            (t, gained)
            for t in read.get(source, ())
            if has_band(module, t.band) and (gained := gain(t)) is not None
        ]
        if not counted:
            continue
        if source is not technology:
            known = all(_band_is_known(ctx, module, network, t.band) for t, _ in counted)
            carried = carry_over(source, technology, same_band=known)
        found.append(_expected(ctx, network, technology, counted, of_spread(counted), carried))
    return found


def best(found: Iterable[Expected]) -> Expected | None:
    """The technology that a network is used with: the one that comes off best."""
    return max(
        found, key=lambda e: (*standing(e.usable, e.margin_db), e.carried is None), default=None
    )


def standing(usable: bool, margin_db: float, *, proven: bool = False) -> tuple[int, float]:
    """What goes first: proven, predicted, not confirmed, lacking; then by margin."""
    if not usable:
        return 1, margin_db
    return (0 if margin_db < 0 else 3 if proven else 2), margin_db


def limit_in_force(ctx: Context, technology: Technology) -> tuple[bool, LimitName]:
    """Whether need and fade margin may decide, and which of them not, or the need."""
    need, fade = NEEDS[technology][1], LimitName.MOBILE_FADE_MARGIN_DB
    unconfirmed = next((name for name in (need, fade) if not ctx.limit(name).usable), None)
    return unconfirmed is None, unconfirmed or need


def unsaid_technologies(
    ctx: Context, module: CommunicatorPart, network: str, read: ByTechnology
) -> list[Technology]:
    """Technologies for which an LTE reading would count, did the site say that they are offered."""
    if _offered(ctx, network) or not any(has_band(module, t.band) for t in _lte(read)):
        return []
    return [t for t in module.technologies if t in _CARRIED and not read.get(t)]


def has_band(module: CommunicatorPart, band: str | None) -> bool:
    """Whether a module can use the band that was read; true where either is not said."""
    return band is None or not module.bands or any(same_band(band, b) for b in module.bands)


def level_spread(ctx: Context, counted: Counted) -> LevelSpread:
    """What readings of one network and technology leave open about the level over time.

    The house figure for a single reading, until they count as at least five independent ones: then
    their own standard deviation over time.
    """
    half_bin_db = max((half_width_db(t.level) for t, _ in counted), default=0.0)
    instrument_db = max((t.instrument_spread_db for t, _ in counted), default=0.0)
    seen = _seen_over_time(counted)
    if seen is None:
        level_db = ctx.value(LimitName.MOBILE_SPREAD_SINGLE_READING_DB)
        value_db = combined_spread_db(level_db, half_bin_db, instrument_db)
    else:
        level_db = max(seen[0], LEAST_SPREAD_DB)
        value_db = combined_spread_db(level_db, instrument_db)
    return LevelSpread(
        value_db=value_db,
        level_db=level_db,
        half_bin_db=half_bin_db,
        instrument_db=instrument_db,
        independent=None if seen is None else seen[1],
    )


class ExpectedLevels:
    """Levels to expect at the spots of a site; what was worked out is kept."""

    def __init__(self, ctx: Context) -> None:
        self._ctx = ctx
        self._entries: dict[str, list[ReadingEntry]] = defaultdict(list)
        for entry in surveyed(ctx):
            for spot in entry.about:
                if still_fits(ctx, entry, links.spot(spot)):
                    self._entries[spot].append(entry)
        self._read: dict[tuple[str, str, bool], dict[Technology, list[Taken]]] = {}
        self._bands: dict[tuple[str, str, bool], tuple[str | None, ...]] = {}
        self._spreads: dict[tuple[tuple[int, float], ...], LevelSpread] = {}
        self._found: dict[object, Expected | None] = {}

    def at_spot(
        self,
        module: CommunicatorPart,
        network: str,
        spot: str,
        gain_db: Callable[[str | None], float | None],
    ) -> Expected | None:
        """One network as a module would find it at a spot; none where nothing read tells.

        Parameters
        ----------
        module : CommunicatorPart
            Its technologies and bands decide which readings count.
        network : str
            Country and network code, such as 001-01.
        spot : str
            Id of the spot. What was read there through a communicator's own antenna does not count.
        gain_db : callable
            What antenna, feeder and allowances add to a reading of that band; None where the
            antenna is not made for it. [dB]
        """
        where = (spot, network, set(module.technologies) == {Technology.GSM})
        read = self._levels(where)
        gains = {band: gain_db(band) for band in self._bands[where]}
        key = (where, tuple(module.technologies), tuple(module.bands), tuple(gains.values()))
        if key not in self._found:
            found = expected_levels(
                self._ctx, module, network, read, lambda t: gains[t.band], self._spread
            )
            self._found[key] = best(found)
        return self._found[key]

    def networks_read(self, spot: str) -> frozenset[str]:
        """The networks of which a level that may count was read at a spot."""
        named = {self._network(e) for e in self._entries.get(spot, ())}
        return frozenset(
            n
            for n in named
            if n is not None and any(self._levels((spot, n, gsm)) for gsm in (False, True))
        )

    def _network(self, entry: ReadingEntry) -> str | None:
        return network_read(entry, [n.mcc_mnc for n in self._ctx.site.networks])

    def _levels(self, where: tuple[str, str, bool]) -> dict[Technology, list[Taken]]:
        if where not in self._read:
            spot, network, gsm_only = where
            found: dict[Technology, list[Taken]] = defaultdict(list)
            for entry in self._entries.get(spot, ()):
                if self._network(entry) == network:
                    tell = partial(told_technology, entry, gsm_only=gsm_only)
                    for taken in levels_taken(self._ctx, entry, tell):
                        found[taken.technology].append(taken)
            self._read[where] = dict(found)
            self._bands[where] = tuple(
                dict.fromkeys(t.band for taken in found.values() for t in taken)
            )
        return self._read[where]

    def _spread(self, counted: Counted) -> LevelSpread:
        # A gain that all have alike changes no spread. What was taken is kept as long as this is,
        # so nothing else gets its identity.
        _, first_db = counted[0]
        key = tuple((id(t), round(gain_db - first_db, 9)) for t, gain_db in counted)
        if key not in self._spreads:
            self._spreads[key] = level_spread(self._ctx, counted)
        return self._spreads[key]


def _expected(
    ctx: Context,
    network: str,
    technology: Technology,
    counted: Counted,
    spread: LevelSpread,
    carried: CarryOver | None,
) -> Expected:
    usable, limit = limit_in_force(ctx, technology)
    need_dbm = ctx.value(NEEDS[technology][1])
    fade_db = ctx.value(LimitName.MOBILE_FADE_MARGIN_DB)
    decides, gain_db = tenth_percentile(sorted(counted, key=lambda c: c[0].level_dbm + c[1]))
    read_dbm = decides.level_dbm + gain_db
    carried_db = 0.0 if carried is None else carried.spread_db
    spread_db = combined_spread_db(spread.value_db, carried_db)
    level_dbm = read_dbm - Z_NINE_OF_TEN * carried_db
    return Expected(
        network=network,
        technology=technology,
        level_dbm=level_dbm,
        margin_db=level_dbm - need_dbm - fade_db,
        spread_db=spread_db,
        odds=float(link_odds(read_dbm - need_dbm, spread_db)),
        band=decides.band,
        readings=len(counted),
        usable=usable,
        limit=limit,
        carried=carried,
        decides=decides,
        gain_db=gain_db,
        spread=spread,
    )


def _carries(
    ctx: Context,
    module: CommunicatorPart,
    network: str,
    technology: Technology,
    read: ByTechnology,
) -> bool:
    return technology in _CARRIED and technology in _offered(ctx, network) and bool(_lte(read))


def _lte(read: ByTechnology) -> Sequence[Taken]:
    return read.get(Technology.LTE, ())


def _offered(ctx: Context, network: str) -> list[Technology]:
    site_network = _site_network(ctx, network)
    return [] if site_network is None else site_network.technologies


def _band_is_known(ctx: Context, module: CommunicatorPart, network: str, band: str | None) -> bool:
    """Whether a band that was read is the only one that module and network can share."""
    site_network = _site_network(ctx, network)
    of_network = [] if site_network is None else site_network.bands
    both = [b for b in of_network or module.bands if has_band(module, b)]
    return band is not None and bool(both) and all(same_band(b, band) for b in both)


def _site_network(ctx: Context, network: str) -> Network | None:
    return next((n for n in ctx.site.networks if n.mcc_mnc == network), None)


def _seen_over_time(counted: Counted) -> tuple[float, float] | None:
    """Standard deviation over time and independent readings, where these are enough."""
    if len(counted) < LEAST_INDEPENDENT_NORMAL:
        return None
    ordered = sorted(counted, key=lambda c: c[0].at)
    edges = []
    for taken, gain_db in ordered:
        low, high = taken.edges_dbm
        if low is None or high is None:
            return None
        edges.append((low + gain_db, high + gain_db))
    levels = binned_levels(edges)
    independent = serial_correlation(levels, seconds([t for t, _ in ordered])).independent
    if independent < LEAST_INDEPENDENT_NORMAL:
        return None
    return spread_over_time_db(levels, independent), independent
