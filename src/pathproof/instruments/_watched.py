"""What a reading or a whole watch on record says, quantity by quantity."""

from dataclasses import dataclass

import numpy as np

from pathproof.calc.mobile import (
    BinnedLevels,
    Interval,
    binned_levels,
    median_bounds,
    tenth_percentile_bounds,
)
from pathproof.job.record import Level, ReadingValues
from pathproof.terms import Quantity


@dataclass(frozen=True, kw_only=True)
class Watched:
    """One quantity over time."""

    quantity: Quantity
    """What was read."""
    levels: BinnedLevels
    """In the order they were read. [unit of the quantity]"""
    at_s: tuple[float, ...]
    """When each was read, from the entry's own moment. [s]"""
    shown: tuple[float, ...]
    """Each as the record shows it. [unit of the quantity]"""
    lost: int
    """Moments without any level: below all that was read."""

    @property
    def median(self) -> Interval | None:
        """What the median of all moments lies in; none where it is no level. [its unit]"""
        return None if 2 * self.lost >= self._moments else median_bounds(self._levels())

    @property
    def tenth_percentile(self) -> Interval | None:
        """What 9 of 10 moments reach lies in; none where that is no level. [its unit]"""
        if 10 * self.lost >= self._moments:
            return None
        return tenth_percentile_bounds(self._levels())

    @property
    def _moments(self) -> int:
        return self.levels.count + self.lost

    def _levels(self) -> BinnedLevels:
        """The levels, and those that nobody read as far below."""
        return BinnedLevels(
            low=np.append(self.levels.low, np.full(self.lost, -np.inf)),
            high=np.append(self.levels.high, np.full(self.lost, -np.inf)),
        )


def watched(values: ReadingValues) -> tuple[Watched, ...]:
    """What a reading or a watch on record holds, each quantity in the order of its first level.

    Parameters
    ----------
    values : ReadingValues
        Values of an entry of kind `reading`.
    """
    found: dict[Quantity, list[tuple[float, Level]]] = {}
    moments = [(0.0, values.levels), *((x.after_s, x.levels) for x in values.series)]
    lost = sum(not levels for _, levels in moments)
    for after_s, levels in moments:
        for level in levels:
            found.setdefault(level.quantity, []).append((after_s, level))
    return tuple(
        Watched(
            quantity=quantity,
            levels=binned_levels(_edges(level) for _, level in read),
            at_s=tuple(after_s for after_s, _ in read),
            shown=tuple(level.value for _, level in read),
            lost=lost,
        )
        for quantity, read in found.items()
    )


def _edges(level: Level) -> tuple[float | None, float | None]:
    known = level.low is not None or level.high is not None
    return (level.low, level.high) if known else (level.value, level.value)
