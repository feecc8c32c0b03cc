"""Two spots or two networks compared: the odds that the level at one is better."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from pathproof.calc._arrays import require_finite, require_not_negative, require_positive
from pathproof.calc.decibels import combined_spread_db
from pathproof.calc.mobile._checks import require_independent
from pathproof.calc.mobile.bins import BinnedLevels, Interval
from pathproof.calc.mobile.percentiles import median_bounds
from pathproof.calc.radio.budget import link_odds
from pathproof.terms import InvalidInputError

__all__ = ["TIE_ODDS_RATIO", "Better", "Comparison", "Side", "compare_levels"]

TIE_ODDS_RATIO = 0.6
"""House value: with odds nearer to one half than this neither counts as better. [ratio]"""
_MEDIAN_OVER_MEAN = math.sqrt(math.pi / 2.0)


class Better(StrEnum):
    """Which of two is better."""

    FIRST = "first"
    SECOND = "second"
    TIE = "tie"
    """The odds are near one half."""
    OPEN = "open"
    """A reading beyond what its instrument shows leaves it open."""


@dataclass(frozen=True, kw_only=True)
class Side:
    """Readings at one spot or of one network, and what they were read with."""

    levels: BinnedLevels
    """Of the same quantity as those of the other. [dBm or dB]"""
    instrument_spread_db: float
    """Spread of the instrument's offset from piece to piece, 0 or above. [dB]"""
    independent: float | None = None
    """As how many independent readings they count; all of them unless given."""


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """What two sets of readings say about which is better."""

    better: Better
    odds_ratio: float | None
    """Odds that the first is better; none where a bin that decides is open. [ratio]"""
    odds_bounds: Interval
    """The least and the most they can be, given the bins. [ratio]"""
    difference_db: Interval
    """Median of the first less median of the second, given the bins. [dB]"""
    spread_db: float
    """Standard deviation of that difference, half bins not in it. [dB]"""


def compare_levels(
    first: Side,
    second: Side,
    *,
    reading_spread_db: float,
    same_instrument: bool,
    tie_ratio: float = TIE_ODDS_RATIO,
) -> Comparison:
    r"""The odds that the level at one spot, or of one network, is better than at another.

    .. math::
       p = \Phi(d / \sigma), \quad
       \sigma^2 = \frac{\pi}{2} \left(\frac{s_1^2}{n_1} + \frac{s_2^2}{n_2}\right) + o_1^2 + o_2^2

    Parameters
    ----------
    first, second : Side
        Readings [dBm or dB] with the spread of their instruments [dB].
    reading_spread_db : float
        What a single reading leaves open about the level over time, above 0; readings that spread
        more count with their own spread. [dB]
    same_instrument : bool
        Whether one and the same piece read both: its offset then cancels.
    tie_ratio : float
        Odds from which one counts as better, above 0.5 and below 1. [ratio]

    Returns
    -------
    comparison : Comparison
        Which is better, the odds [ratio] and the difference [dB], each with its bounds.

    Raises
    ------
    InvalidInputError
        A spread is negative or not finite, or a number is out of range.

    Notes
    -----
    d is the difference of the medians, in the middle of their bins; n counts independent readings.
    The factor for a median over a mean is dropped for one or two readings, where they are the same.
    Half a bin of each joins the spread for the odds; the bounds of the odds take the bins at their
    worst instead. A median that is open says only on which side of its edge it lies: then the
    bounds decide, or leave it open.

    Limits: normally distributed levels; better in the middle, not in the fades. An instrument's
    offset cancels only while it is the same at both levels.

    References
    ----------
    .. [1] Variance of a median of a normal sample, pi / 2 times that of the mean; computed, by
       simulation. The odds that count as a tie: practice.
    """
    spread_db = combined_spread_db(
        _spread_of_median_db(first, reading_spread_db),
        _spread_of_median_db(second, reading_spread_db),
        *([] if same_instrument else [first.instrument_spread_db, second.instrument_spread_db]),
    )
    a, b = median_bounds(first.levels), median_bounds(second.levels)
    difference = Interval(a.low - b.high, a.high - b.low)
    bounds = Interval(_odds(difference.low, spread_db), _odds(difference.high, spread_db))
    odds = None
    if math.isfinite(difference.low) and math.isfinite(difference.high):
        half_bins_db = combined_spread_db((a.high - a.low) / 2.0, (b.high - b.low) / 2.0)
        middle_db = (difference.low + difference.high) / 2.0
        odds = _odds(middle_db, math.hypot(spread_db, half_bins_db))
    return Comparison(
        better=_better(bounds if odds is None else Interval(odds, odds), _require_tie(tie_ratio)),
        odds_ratio=odds,
        odds_bounds=bounds,
        difference_db=difference,
        spread_db=spread_db,
    )


def _spread_of_median_db(side: Side, reading_spread_db: float) -> float:
    count = side.levels.count
    spread_db = float(require_positive(reading_spread_db, "reading_spread_db"))
    require_not_negative(side.instrument_spread_db, "instrument_spread_db")
    n = require_independent(side.independent, count, 1.0)
    if count > 1:
        spread_db = max(spread_db, float(np.std(side.levels.shown, ddof=1)))
    return spread_db / math.sqrt(n) * (_MEDIAN_OVER_MEAN if count > 2 else 1.0)


def _odds(difference_db: float, spread_db: float) -> float:
    if math.isinf(difference_db):
        return 1.0 if difference_db > 0.0 else 0.0
    return float(link_odds(difference_db, spread_db))


def _better(odds: Interval, tie_ratio: float) -> Better:
    if odds.low >= tie_ratio:
        return Better.FIRST
    if odds.high <= 1.0 - tie_ratio:
        return Better.SECOND
    return Better.TIE if 1.0 - tie_ratio < odds.low and odds.high < tie_ratio else Better.OPEN


def _require_tie(tie_ratio: float) -> float:
    value = float(require_finite(tie_ratio, "tie_ratio"))
    if not 0.5 < value < 1.0:
        raise InvalidInputError(f"tie_ratio was {value:g}; it must be above 0.5 and below 1.")
    return value
