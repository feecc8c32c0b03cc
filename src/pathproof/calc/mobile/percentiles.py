"""Median and 10th percentile of binned readings, and how surely the 10th percentile is known.

The 10th percentile is the level that nine of ten readings reach. One set of readings at a time.
"""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from pathproof.calc.mobile._checks import require_confidence, require_independent
from pathproof.calc.mobile.bins import BinnedLevels, Interval
from pathproof.terms import InvalidInputError

__all__ = [
    "LowerBound",
    "certainty_of_tenth_percentile",
    "least_readings",
    "median_bounds",
    "tenth_percentile",
    "tenth_percentile_bounds",
    "tolerance_of_tenth_percentile",
]

SHARE_BELOW = 0.1
_T = TypeVar("_T")


@dataclass(frozen=True, kw_only=True)
class LowerBound:
    """A level that the 10th percentile is not below, with the certainty of that."""

    value: float
    """-inf where the reading that decides has no lower edge. [dBm or dB]"""
    confidence_ratio: float
    """How sure it is; never less than was asked. [ratio]"""
    independent: float
    """As how many independent readings the readings counted."""
    rank: int | None = None
    """Which of the readings from below it is; none where a distribution was assumed."""


def tenth_percentile(ordered: Sequence[_T]) -> _T:
    """The value that nine of ten reach, by nearest rank; the least of fewer than eleven.

    Parameters
    ----------
    ordered : sequence
        The least first, at least one.

    Returns
    -------
    value : the same kind
        One of those given, never something between two.

    Raises
    ------
    InvalidInputError
        There is none.

    Notes
    -----
    Rank ceil(n / 10) from below: the least value that at least a tenth of all do not exceed.

    Examples
    --------
    >>> tenth_percentile([-110, -104, -103])
    -110
    """
    if not ordered:
        raise InvalidInputError("ordered was empty; give at least one value.")
    return ordered[-(-len(ordered) // 10) - 1]


def tenth_percentile_bounds(levels: BinnedLevels) -> Interval:
    """The least and the most that the 10th percentile of the readings can be, given their bins.

    Parameters
    ----------
    levels : BinnedLevels
        [dBm or dB]

    Returns
    -------
    bounds : Interval
        Both are reached: by levels that all lie at their lower edges, and at their upper ones.
        An end is infinite where the reading that decides is open there. [dBm or dB]

    Notes
    -----
    Limits: of these readings. What other readings would give is
    :func:`tolerance_of_tenth_percentile`.

    References
    ----------
    .. [1] Raising a value never lowers any order statistic. Nearest rank as in
       :func:`tenth_percentile`.
    """
    return Interval(
        float(tenth_percentile(sorted(levels.low))), float(tenth_percentile(sorted(levels.high)))
    )


def median_bounds(levels: BinnedLevels) -> Interval:
    """The least and the most that the median of the readings can be, given their bins.

    Parameters
    ----------
    levels : BinnedLevels
        [dBm or dB]

    Returns
    -------
    bounds : Interval
        An end is infinite where the reading that decides is open there. [dBm or dB]

    Notes
    -----
    Of an even number of readings the mean of the middle two.

    References
    ----------
    .. [1] Raising a value never lowers any order statistic.
    """
    return Interval(float(statistics.median(levels.low)), float(statistics.median(levels.high)))


def certainty_of_tenth_percentile(count: int, below: int) -> float:
    r"""How sure it is that a level is not above the 10th percentile, whatever the distribution.

    .. math:: 1 - \sum_{i=0}^{k} \binom{n}{i} 0.1^i \, 0.9^{n-i}

    Parameters
    ----------
    count : int
        n, independent readings, at least 1.
    below : int
        k, how many of them fell below the level, 0 to n.

    Returns
    -------
    certainty_ratio : float
        The most confidence with which these readings say that nine of ten reach it. [ratio]

    Raises
    ------
    InvalidInputError
        A count is out of range.

    Notes
    -----
    Limits: independent readings of a level that stays as it is. The level must not have been picked
    after looking at the readings, unless as an order statistic.

    Examples
    --------
    >>> f"{certainty_of_tenth_percentile(22, 0):.3f}"
    '0.902'

    References
    ----------
    .. [1] Order statistics and the binomial distribution; computed, against a second library.
    """
    _require_count(count, "count", 1, None)
    _require_count(below, "below", 0, count)
    return float(_certainties(count, below)[below])


def least_readings(confidence_ratio: float) -> int:
    r"""The fewest independent readings that can say anything of the 10th percentile for sure.

    .. math:: n \ge \ln(1 - c) / \ln 0.9

    Parameters
    ----------
    confidence_ratio : float
        c, above 0 and below 1. [ratio]

    Returns
    -------
    count : int
        With fewer, not even their least is below the 10th percentile with this confidence.

    Raises
    ------
    InvalidInputError
        The confidence is not between 0 and 1.

    Notes
    -----
    Limits: with no assumption about the distribution. One that holds can do with fewer.

    Examples
    --------
    >>> least_readings(0.90), least_readings(0.95)
    (22, 29)

    References
    ----------
    .. [1] Order statistics; computed. 29 for 95 % is also the first row of the table of ranks in
       CMH-17-1G, table 8.5.12, as restated in the tests of an open library.
    """
    confidence = require_confidence(confidence_ratio)
    return math.ceil(math.log(1.0 - confidence) / math.log(1.0 - SHARE_BELOW))


def tolerance_of_tenth_percentile(
    levels: BinnedLevels, confidence_ratio: float, independent: float | None = None
) -> LowerBound | None:
    """The highest reading's lower edge that the 10th percentile is surely not below.

    Parameters
    ----------
    levels : BinnedLevels
        [dBm or dB]
    confidence_ratio : float
        Asked for, above 0 and below 1. [ratio]
    independent : float, optional
        As how many independent readings they count, 1 to their number, where they hang together in
        time (:func:`serial_correlation`); all of them unless given.

    Returns
    -------
    bound : LowerBound or None
        None where there are too few readings for any such statement (:func:`least_readings`).

    Raises
    ------
    InvalidInputError
        The confidence or the number is out of range.

    Notes
    -----
    Of n independent readings the one of rank r from below is not above the 10th percentile with
    certainty P(Bin(n, 0.1) >= r); the largest r that is sure enough is taken. Bins only add
    caution: the lower edge is never above the level.

    Readings that hang together count as m, and the share of them that falls below the bound is
    taken as that share of m, rounded up. For those the confidence is not exact; by simulation of
    levels with exponential correlation it is kept.

    Examples
    --------
    >>> from pathproof.calc.mobile import binned_levels
    >>> levels = binned_levels([(-100.0 + i, -99.0 + i) for i in range(22)])
    >>> bound = tolerance_of_tenth_percentile(levels, 0.90)
    >>> bound.value, f"{bound.confidence_ratio:.3f}", bound.rank
    (-100.0, '0.902', 1)

    References
    ----------
    .. [1] Order statistics and the binomial distribution; computed, against a second library and by
       simulation. Ranks as in CMH-17-1G, table 8.5.12, restated in the tests of an open library.
    """
    confidence = require_confidence(confidence_ratio)
    m = require_independent(independent, levels.count, 1.0)
    whole = math.floor(m)
    sure = _certainties(whole, whole)
    ranks = int(np.count_nonzero(sure >= confidence))  # certainty falls with the rank
    if ranks == 0:
        return None
    rank = 1 + (ranks - 1) * levels.count // whole
    return LowerBound(
        value=float(np.sort(levels.low)[rank - 1]),
        confidence_ratio=float(sure[ranks - 1]),
        independent=m,
        rank=rank,
    )


def _certainties(count: int, most: int) -> NDArray[np.float64]:
    """P(Bin(count, 0.1) > k) for k = 0 to most."""
    i = np.arange(1, most + 1)
    steps = np.log((count - i + 1) / i * (SHARE_BELOW / (1.0 - SHARE_BELOW)))
    logs = count * math.log(1.0 - SHARE_BELOW) + np.concatenate([[0.0], np.cumsum(steps)])
    certainties: NDArray[np.float64] = np.clip(1.0 - np.cumsum(np.exp(logs)), 0.0, 1.0)
    return certainties


def _require_count(value: int, name: str, least: int, most: int | None) -> None:
    if value < least or (most is not None and value > most):
        allowed = f"{least} or more" if most is None else f"{least} to {most}"
        raise InvalidInputError(f"{name} was {value}; it must be {allowed}.")
