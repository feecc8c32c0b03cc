"""Which of several is best by what was read: networks at one spot, or spots for one network."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from operator import itemgetter
from statistics import median

from pathproof.assess.mobile_expected import not_there_text
from pathproof.assess.mobile_readings import Lost
from pathproof.assess.spot_readings import SpotReading
from pathproof.assess.spot_report import Contest, Standing
from pathproof.assess.wording import odds_text
from pathproof.calc.mobile import (
    Better,
    BinnedLevels,
    Comparison,
    Interval,
    Side,
    binned_levels,
    compare_levels,
    median_bounds,
    serial_correlation,
)
from pathproof.calc.mobile.sources import COMPARISON
from pathproof.calc.sources import Source
from pathproof.job import Spot
from pathproof.terms import Quantity, Technology

__all__ = [
    "Group",
    "compared",
    "contest",
    "decibels_text",
    "least_odds",
    "middle_db",
    "spot_called",
]


@dataclass(frozen=True, eq=False)
class Group:
    """Readings of one network, technology and quantity at one spot, oldest first."""

    readings: Sequence[SpotReading]
    lost: Sequence[Lost] = ()
    """Moments between them at which the network was not there."""

    @property
    def moments(self) -> int:
        """Readings, and moments at which the network was not there."""
        return len(self.readings) + len(self.lost)

    @property
    def median_lost(self) -> bool:
        """Whether the network was not there at so many moments that the median is one of them."""
        return (self.moments - 1) // 2 < len(self.lost)

    @property
    def tenth_lost(self) -> bool:
        """Whether the 10th percentile is a moment at which the network was not there."""
        return -(-self.moments // 10) <= len(self.lost)

    @property
    def not_there(self) -> str:
        """At how many moments it was not there, in words."""
        technology = self.readings[0].taken.technology
        return not_there_text(technology, len(self.lost), self.moments)

    @cached_property
    def levels(self) -> BinnedLevels:
        """With their bins; not there counts as no more than the lowest level read. [dBm]"""
        return binned_levels(edges for _, edges in self._ordered)

    @cached_property
    def _ordered(self) -> list[tuple[datetime, tuple[float | None, float | None]]]:
        lowest = min(x for r in self.readings for x in r.edges_dbm if x is not None)
        all_ = [(r.taken.at, r.edges_dbm) for r in self.readings]
        all_ += [(x.at, (None, lowest)) for x in self.lost]
        return sorted(all_, key=itemgetter(0))

    @cached_property
    def shown_dbm(self) -> float:
        """Median in the middle of its bins, or at its closed edge, to order by. [dBm]"""
        found = median_bounds(self.levels)
        ends = [x for x in (found.low, found.high) if math.isfinite(x)]
        return sum(ends) / len(ends) if ends else float(median(self.levels.shown))

    @cached_property
    def side(self) -> Side:
        """The readings as one side of a comparison."""
        at_s = [(at - self._ordered[0][0]).total_seconds() for at, _ in self._ordered]
        return Side(
            levels=self.levels,
            instrument_spread_db=max(r.taken.instrument_spread_db for r in self.readings),
            independent=serial_correlation(self.levels, at_s).independent if at_s[1:] else None,
        )

    @property
    def independent(self) -> float:
        """As how many independent readings they count."""
        told = self.side.independent
        return float(self.moments) if told is None else told

    @property
    def read_with(self) -> set[str]:
        """Every instrument or module that read; empty text where nobody said which."""
        return {r.module or r.taken.entry.instrument for r in self.readings}


def compared(first: Group, second: Group, reading_spread_db: float) -> Comparison:
    """Two groups of readings compared; one name of an instrument is taken for one piece."""
    pieces = first.read_with | second.read_with
    return compare_levels(
        first.side,
        second.side,
        reading_spread_db=reading_spread_db,
        same_instrument=len(pieces) == 1 and "" not in pieces,
    )


def least_odds(comparison: Comparison) -> float:
    """Odds that the first is better, the least they can be where a level is open. [ratio]"""
    odds = comparison.odds_ratio
    return comparison.odds_bounds.low if odds is None else odds


def contest(
    technology: Technology,
    quantity: Quantity,
    groups: Mapping[str, Group],
    reading_spread_db: float,
    called: Callable[[str], str],
    sources: tuple[Source, ...],
) -> Contest:
    """Which of some groups is best, the first by its median against every other one.

    `sources` are those of what a reading leaves open. What was not there at the median has no level
    to compare: it stands last and counts as worse. At least one group has to have been there.
    """
    order = sorted(
        groups, key=lambda name: (groups[name].median_lost, -groups[name].shown_dbm, name)
    )
    there = [name for name in order if not groups[name].median_lost]
    gone = order[len(there) :]
    first, others = there[0], there[1:]
    found = {o: compared(groups[first], groups[o], reading_spread_db) for o in others}
    runner_up = min(others, key=lambda o: (least_odds(found[o]), order.index(o)), default=None)
    standing = _standing([*(c.better for c in found.values()), *(Better.FIRST for _ in gone)])
    best = [first, *(o for o in others if found[o].better is not Better.FIRST)]
    against = None if runner_up is None else found[runner_up]
    return Contest(
        technology=technology,
        quantity=quantity,
        order=tuple(order),
        standing=standing,
        best=tuple(best),
        runner_up=runner_up,
        odds_ratio=None if against is None else against.odds_ratio,
        least_odds_ratio=None if against is None else against.odds_bounds.low,
        difference_db=None if against is None else against.difference_db,
        spread_db=None if against is None else against.spread_db,
        text=" ".join(
            [
                _text(
                    standing, [called(b) for b in best], runner_up and called(runner_up), against
                ),
                *(f"({called(name)}: {groups[name].not_there})" for name in gone),
            ]
        ),
        sources=(COMPARISON, *sources),
    )


def spot_called(spots: Mapping[str, Spot], spot_id: str) -> str:
    """Name of a spot; with its id where another one is called the same."""
    name = spots[spot_id].name
    alone = sum(spot.name == name for spot in spots.values()) == 1
    return name if alone else f"{name} ({spot_id})"


def middle_db(difference_db: Interval) -> float:
    """Middle of a difference, or the least that it is where its other end is open. [dB]"""
    if math.isinf(difference_db.high):
        return difference_db.low
    return (difference_db.low + difference_db.high) / 2.0


def decibels_text(difference_db: Interval) -> str:
    """A difference to whole decibels, such as "23 dB" or "23 dB or more"."""
    more = " or more" if math.isinf(difference_db.high) else ""
    return f"{middle_db(difference_db):.0f} dB{more}"


def _standing(outcomes: Sequence[Better]) -> Standing:
    if not outcomes:
        return Standing.ALONE
    if Better.OPEN in outcomes:
        return Standing.OPEN
    return Standing.TIE if Better.TIE in outcomes else Standing.BEST


def _text(
    standing: Standing, best: Sequence[str], runner_up: str | None, against: Comparison | None
) -> str:
    among = " and ".join([", ".join(best[:-1]), best[-1]] if best[1:] else best)
    if runner_up is None or against is None:
        return f"only {among} was {'read' if standing is Standing.ALONE else 'there'}"
    match standing:
        case Standing.OPEN:
            return f"open between {among}: a level is beyond what the instrument shows"
        case Standing.TIE:
            apart = f"{abs(middle_db(against.difference_db)):.0f} dB apart"
            nearest = apart if len(best) == 2 else f"the nearest {apart}"
            return f"tie of {among}: {nearest}, odds {odds_text(least_odds(against))}"
        case _:
            odds = "odds" if against.odds_ratio is not None else "odds at least"
            return (
                f"{among} by {decibels_text(against.difference_db)} over {runner_up}, "
                f"{odds} {odds_text(least_odds(against))}"
            )
