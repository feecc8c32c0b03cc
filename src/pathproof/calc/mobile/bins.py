"""Levels as instruments give them: bins with two edges, of which one may be open.

A level lies somewhere in its bin and nobody knows where, so what is worked out from levels is an
interval too: the least and the most that it can be.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pathproof.terms import InvalidInputError

__all__ = ["BinnedLevels", "Interval", "binned_levels"]


@dataclass(frozen=True)
class Interval:
    """What a value lies in; an open end is infinite."""

    low: float = -math.inf
    """The least it can be. [as the value]"""
    high: float = math.inf
    """The most it can be. [as the value]"""

    def __post_init__(self) -> None:
        if not (self.low <= self.high and self.low < math.inf and self.high > -math.inf):
            raise InvalidInputError(
                f"an interval was {self.low:g} to {self.high:g}; its low end must be a number or "
                "open, and not above its high end."
            )

    def overlap(self, other: "Interval") -> "Interval | None":
        """What lies in both; none where nothing does."""
        low, high = max(self.low, other.low), min(self.high, other.high)
        return Interval(low, high) if low <= high else None


@dataclass(frozen=True, eq=False)
class BinnedLevels:
    """Readings of one quantity in the order they were taken; made by :func:`binned_levels`."""

    low: NDArray[np.float64]
    """Lower edges, -inf where open. [dBm or dB]"""
    high: NDArray[np.float64]
    """Upper edges, inf where open. [dBm or dB]"""

    @property
    def count(self) -> int:
        """How many readings there are."""
        return len(self.low)

    @property
    def shown(self) -> NDArray[np.float64]:
        """Middle of each bin, or its closed edge: where an instrument shows it. [dBm or dB]"""
        low = np.where(np.isfinite(self.low), self.low, self.high)
        high = np.where(np.isfinite(self.high), self.high, self.low)
        return (low + high) / 2.0

    @property
    def half_width_db(self) -> float:
        """Root mean square of half a bin; infinite where an edge is open. [dB]"""
        return float(np.sqrt(np.mean(((self.high - self.low) / 2.0) ** 2)))


def binned_levels(edges: Iterable[tuple[float | None, float | None]]) -> BinnedLevels:
    """Readings of one quantity with both edges of their bins.

    Parameters
    ----------
    edges : iterable of (low, high)
        One pair a reading, in the order they were taken; an open edge is None or infinite. A level
        known exactly has the same edge twice. [dBm or dB]

    Returns
    -------
    levels : BinnedLevels
        [dBm or dB]

    Raises
    ------
    InvalidInputError
        There is no reading, an edge is not a number, a low edge is above its high one, or both are
        open: such a reading says nothing.

    Notes
    -----
    Whether an edge belongs to its bin makes no difference to anything worked out from it.

    Examples
    --------
    >>> levels = binned_levels([(-101.0, -100.0), (None, -140.0)])
    >>> levels.shown.tolist()
    [-100.5, -140.0]
    """
    pairs = [
        Interval(-math.inf if low is None else low, math.inf if high is None else high)
        for low, high in edges
    ]
    if not pairs:
        raise InvalidInputError("edges was empty; give at least one reading.")
    if Interval() in pairs:
        raise InvalidInputError(
            f"edges[{pairs.index(Interval())}] had no edge at all; leave out what was not read."
        )
    return BinnedLevels(
        low=np.array([p.low for p in pairs], dtype=np.float64),
        high=np.array([p.high for p in pairs], dtype=np.float64),
    )
