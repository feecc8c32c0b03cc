"""What a reading or a whole watch on record says, quantity by quantity."""

from dataclasses import dataclass

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

    @property
    def median(self) -> Interval:
        """What the median lies in. [unit of the quantity]"""
        return median_bounds(self.levels)

    @property
    def tenth_percentile(self) -> Interval:
        """What the level that 9 of 10 readings reach lies in. [unit of the quantity]"""
        return tenth_percentile_bounds(self.levels)


def watched(values: ReadingValues) -> tuple[Watched, ...]:
    """What a reading or a watch on record holds, each quantity in the order of its first level.

    Parameters
    ----------
    values : ReadingValues
        Values of an entry of kind `reading`.
    """
    found: dict[Quantity, list[tuple[float, Level]]] = {}
    moments = [(0.0, values.levels), *((x.after_s, x.levels) for x in values.series)]
    for after_s, levels in moments:
        for level in levels:
            found.setdefault(level.quantity, []).append((after_s, level))
    return tuple(
        Watched(
            quantity=quantity,
            levels=binned_levels(_edges(level) for _, level in read),
            at_s=tuple(after_s for after_s, _ in read),
            shown=tuple(level.value for _, level in read),
        )
        for quantity, read in found.items()
    )


def _edges(level: Level) -> tuple[float | None, float | None]:
    known = level.low is not None or level.high is not None
    return (level.low, level.high) if known else (level.value, level.value)
