"""The level of a network that is to be expected, from what was read and does not prove."""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

from pathproof.assess.context import Context
from pathproof.assess.mobile_levels import (
    NEEDS,
    half_width_db,
    network_at,
    same_band,
)
from pathproof.assess.mobile_readings import (
    LevelsRead,
    Lost,
    Moment,
    Taken,
    seconds,
)
from pathproof.assess.wording import technology_text
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
from pathproof.job import CommunicatorPart
from pathproof.terms import LimitName, Technology

__all__ = [
    "CARRIED_OVER",
    "Z_NINE_OF_TEN",
    "Counted",
    "Expected",
    "LevelSpread",
    "NotThere",
    "best",
    "expected_levels",
    "has_band",
    "level_spread",
    "limit_in_force",
    "not_there_text",
    "standing",
    "unsaid_technologies",
]

Z_NINE_OF_TEN = NormalDist().inv_cdf(0.9)
"""Standard deviations below its mean that nine of ten values of a normal distribution reach."""
LEAST_SPREAD_DB = 0.5
"""Spread of readings that are all the same; instruments show no finer. House value, no source. [dB]
"""
CARRIED_OVER = (Technology.LTE_M, Technology.NB_IOT)
"""Technologies that a reading of LTE stands in for."""

Gain = Callable[[Moment], float | None]
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
    """How many there are, those at which the network was lost too."""
    lost: int
    """At how many of them it was lost."""
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


@dataclass(frozen=True, kw_only=True)
class NotThere:
    """A network that was lost, or never heard, at more than a tenth of the moments read."""

    network: str
    technology: Technology
    lost: int
    moments: int
    limit: LimitName
    """Need of the technology."""
    usable: bool = True
    """No limit makes up for it."""
    margin_db: float = -math.inf
    """There is no level to have one."""
    carried: None = None

    @property
    def never(self) -> bool:
        """Whether it was not there at any moment."""
        return self.lost == self.moments

    @property
    def said(self) -> str:
        """It in words."""
        return not_there_text(self.technology, self.lost, self.moments)


def not_there_text(technology: Technology, lost: int, moments: int) -> str:
    """That a network was lost at so many moments, or never heard."""
    if lost == moments:
        times = "" if moments == 1 else f" at {moments} moments"
        return f"looked for in {technology_text(technology)}{times} and not heard"
    return f"no network in {lost} of {moments} moments"


def expected_levels(
    ctx: Context,
    module: CommunicatorPart,
    network: str,
    read: LevelsRead,
    gain: Gain,
    spread: Callable[[Counted], LevelSpread] | None = None,
) -> list[Expected | NotThere]:
    """A network as each technology of a module would find it, where something tells of that.

    A reading of a technology itself goes before any that is carried over from LTE. Those count only
    where the site says that the network offers the technology, and nobody looked for it in vain.
    """
    of_spread = spread or (lambda counted: level_spread(ctx, counted))
    found: list[Expected | NotThere] = []
    for technology in module.technologies:
        source, carried = technology, None
        if not read.told(technology) and _carries(ctx, network, technology, read):
            source = Technology.LTE
        counted = [
            (t, gained)
            for t in read.taken.get(source, ())
            if has_band(module, t.band) and (gained := gain(t)) is not None
        ]
        lost = [
            x for x in read.lost.get(source, ()) if has_band(module, x.band) and gain(x) is not None
        ]
        if not counted and not lost:
            continue
        if _tenth(counted, lost) is None:
            if source is technology:
                moments = len(counted) + len(lost)
                found.append(
                    NotThere(
                        network=network,
                        technology=technology,
                        lost=len(lost),
                        moments=moments,
                        limit=NEEDS[technology][1],
                    )
                )
            continue
        if source is not technology:
            known = all(_band_is_known(ctx, module, network, t.band) for t, _ in counted)
            carried = carry_over(source, technology, same_band=known)
        spread_seen = of_spread(counted)
        found.append(_expected(ctx, network, technology, counted, lost, spread_seen, carried))
    return found


def best(found: Iterable[Expected | NotThere]) -> Expected | NotThere | None:
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
    ctx: Context, module: CommunicatorPart, network: str, read: LevelsRead
) -> list[Technology]:
    """Technologies for which an LTE reading would count, did the site say that they are offered."""
    if _offered(ctx, network) or not any(has_band(module, t.band) for t in _lte(read)):
        return []
    return [t for t in module.technologies if t in CARRIED_OVER and not read.told(t)]


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


def _expected(
    ctx: Context,
    network: str,
    technology: Technology,
    counted: Counted,
    lost: Sequence[Lost],
    spread: LevelSpread,
    carried: CarryOver | None,
) -> Expected:
    usable, limit = limit_in_force(ctx, technology)
    need_dbm = ctx.value(NEEDS[technology][1])
    fade_db = ctx.value(LimitName.MOBILE_FADE_MARGIN_DB)
    tenth = _tenth(counted, lost)
    assert tenth is not None
    decides, gain_db = tenth
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
        readings=len(counted) + len(lost),
        lost=len(lost),
        usable=usable,
        limit=limit,
        carried=carried,
        decides=decides,
        gain_db=gain_db,
        spread=spread,
    )


def _tenth(counted: Counted, lost: Sequence[Lost]) -> tuple[Taken, float] | None:
    """The reading that nine of ten reach, with its gain; none where the network was lost there."""
    ordered = sorted(counted, key=lambda c: c[0].level_dbm + c[1])
    return tenth_percentile([*(None for _ in lost), *ordered])


def _carries(ctx: Context, network: str, technology: Technology, read: LevelsRead) -> bool:
    return technology in CARRIED_OVER and technology in _offered(ctx, network) and bool(_lte(read))


def _lte(read: LevelsRead) -> Sequence[Taken]:
    return read.taken.get(Technology.LTE, ())


def _offered(ctx: Context, network: str) -> list[Technology]:
    site_network = network_at(ctx.site, network)
    return [] if site_network is None else site_network.technologies


def _band_is_known(ctx: Context, module: CommunicatorPart, network: str, band: str | None) -> bool:
    """Whether a band that was read is the only one that module and network can share."""
    site_network = network_at(ctx.site, network)
    of_network = [] if site_network is None else site_network.bands
    both = [b for b in of_network or module.bands if has_band(module, b)]
    return band is not None and bool(both) and all(same_band(b, band) for b in both)


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
