"""Levels over time: how readings hang together, and how long a watch is long enough.

Readings taken close together tell the same thing several times. What counts is as how many
independent readings they stand, and that grows with the time watched, not with the pace.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from pathproof.calc._arrays import require_finite, require_positive
from pathproof.calc.mobile._checks import require_confidence
from pathproof.calc.mobile.bins import BinnedLevels, Interval
from pathproof.calc.mobile.normal import (
    normal_certainty,
    spread_over_time_db,
    tolerance_factor,
)
from pathproof.calc.mobile.percentiles import (
    certainty_of_tenth_percentile,
    tenth_percentile_bounds,
)
from pathproof.terms import InvalidInputError

__all__ = [
    "LEAST_CORRELATION_TIME_S",
    "LEAST_INDEPENDENT_NORMAL",
    "SerialCorrelation",
    "Theory",
    "Watch",
    "serial_correlation",
    "watch",
]

LEAST_CORRELATION_TIME_S = 30.0
"""House value: a watch never counts as more than about one independent reading a minute. [s]"""
LEAST_INDEPENDENT_NORMAL = 5.0
"""House value: with fewer, a watch saw too little of the spread to reckon with it."""
_MOST_INDEPENDENT = 2000
_LEAST_SPREAD_DB = 1e-6
"""Of readings known exactly that are all the same."""
_Array = NDArray[np.float64]


class Theory(StrEnum):
    """What is assumed of how levels are distributed over time."""

    ANY = "any"
    """Nothing: counts how many readings fell below."""
    NORMAL = "normal"
    """Normal in decibels: uses how far above they lie, so far fewer readings do."""


@dataclass(frozen=True, kw_only=True)
class SerialCorrelation:
    """How readings of a level hang together in time."""

    independent: float
    """As how many independent readings they count, 1 to their number."""
    watched_s: float
    """From the first reading to the last. [s]"""
    time_s: float
    """Likeliest time in which the slow part falls to 1/e. [s]"""
    slow_ratio: float
    """Likeliest share of the variance that is slow; the rest is each reading's own. [ratio]"""
    varied: bool
    """False where all readings fell into one bin: then only the house's least time counts."""

    def autocorrelation(self, lag_s: float) -> float:
        """Correlation of two readings that far apart; 1 at a lag of 0. [ratio]"""
        return 1.0 if lag_s == 0.0 else self.slow_ratio * math.exp(-abs(lag_s) / self.time_s)


@dataclass(frozen=True, kw_only=True)
class Watch:
    """Whether levels were watched long enough to say that nine of ten reach a requirement."""

    enough: bool
    """Whether the certainty is at least what was asked."""
    certainty_ratio: float
    """How sure it is that the 10th percentile is not below the requirement. [ratio]"""
    needed_s: float | None
    """Watch that gives the asked certainty if it goes on like this; none where none would. [s]"""
    margin_db: Interval
    """10th percentile of the readings over the requirement, given the bins. [dB]"""
    below: int
    """Readings that may lie below the requirement."""
    correlation: SerialCorrelation
    """How the readings hang together."""


def serial_correlation(
    levels: BinnedLevels, at_s: Sequence[float], least_time_s: float = LEAST_CORRELATION_TIME_S
) -> SerialCorrelation:
    r"""How readings hang together in time, and as how many independent ones they count.

    .. math:: \rho(h) = s \, e^{-h/T}, \qquad n_\mathrm{ind} = n^2 / \sum_{ij} \rho(t_i - t_j)

    Parameters
    ----------
    levels : BinnedLevels
        In the order they were taken. [dBm or dB]
    at_s : sequence of float
        When each was taken, from any start, never falling. [s]
    least_time_s : float
        Correlation time that is assumed at the least, above 0. [s]

    Returns
    -------
    correlation : SerialCorrelation
        Number of independent readings, correlation time [s] and slow share [ratio].

    Raises
    ------
    InvalidInputError
        A moment is missing, not finite or before the one before it, or the least time is not above
        0.

    Notes
    -----
    Model: a level that wanders about a mean with an exponential correlation of time T, and a part
    s of the variance; the rest (fast fading, the instrument, the bins) is new with each reading.
    Neither T nor s is taken as known: the variance of the mean is averaged over both with the
    restricted likelihood of the readings as weight, every s from 0 to 1 and every T (on a log
    scale) from a third of the pace to the time watched being as likely beforehand. So a short watch
    in which the level only drifts counts as two or three readings, however fast it was read.

    The time T is never taken to be under ``least_time_s``: readings that all fall into one bin show
    nothing of how they hang together.

    Limits: changes slower than the watch (hours, seasons, a new building) are not in it; the fade
    margin stands for those. A bin that is open at one edge counts with the other.

    References
    ----------
    .. [1] Variance of the mean of a correlated sample; computed. Restricted likelihood by Kalman
       filter; computed, against a multivariate normal density of a second library. The model, its
       weights and the least time: practice.
    """
    moments = _require_moments(at_s, levels.count)
    least = float(require_positive(least_time_s, "least_time_s"))
    shown = levels.shown
    watched = float(moments[-1] - moments[0])
    floor = float(_independent(moments, np.array([1.0]), np.array([least]))[0])
    varied = bool(np.ptp(shown) > 0.0)
    if not varied or watched == 0.0:
        return SerialCorrelation(
            independent=1.0 if watched == 0.0 else floor,
            watched_s=watched,
            time_s=least,
            slow_ratio=1.0,
            varied=varied,
        )
    slow, times = _candidates(watched, levels.count)
    log_likelihood = _restricted_log_likelihood(shown, moments, slow, times)
    weight = np.exp(log_likelihood - np.max(log_likelihood))
    weight /= np.sum(weight)
    variance = float(np.sum(weight / _independent(moments, slow, times)))
    likeliest = int(np.argmax(weight))
    return SerialCorrelation(
        independent=min(1.0 / variance, floor),
        watched_s=watched,
        time_s=float(times[likeliest]),
        slow_ratio=float(slow[likeliest]),
        varied=True,
    )


def watch(
    levels: BinnedLevels,
    at_s: Sequence[float],
    requirement: float,
    confidence_ratio: float,
    *,
    theory: Theory = Theory.ANY,
    least_time_s: float = LEAST_CORRELATION_TIME_S,
) -> Watch:
    """Whether a watch was long enough to be sure that nine of ten levels reach a requirement.

    Parameters
    ----------
    levels : BinnedLevels
        In the order they were taken. [dBm or dB]
    at_s : sequence of float
        When each was taken, never falling. [s]
    requirement : float
        Level that the 10th percentile shall reach. [as the levels]
    confidence_ratio : float
        Certainty asked for, 0.5 or above and below 1. [ratio]
    theory : Theory
        What is assumed of the distribution.
    least_time_s : float
        Correlation time that is assumed at the least, above 0. [s]

    Returns
    -------
    watch : Watch
        Enough or not, the certainty [ratio], the time needed [s] and the margin seen [dB].

    Raises
    ------
    InvalidInputError
        A value is out of range, or the theory is normal and a reading is open at an edge.

    Notes
    -----
    A reading counts as below where its bin reaches below the requirement.

    With any distribution the readings count as m independent ones, whole, and the share that fell
    below as that share of m, rounded up; the certainty is the binomial one. With a normal
    distribution it is that of the margin over the spread seen, both with half a bin of caution; it
    is 0 for fewer than 5 independent readings: by simulation a level that only drifts while it is
    watched counts as 2 to 4, and its spread is not seen.

    The time needed supposes that the level goes on as seen: the same share below, the same spread,
    the same correlation. It is never less than a watch that was not enough.

    Limits: those of :func:`serial_correlation`; it speaks of the hours that were watched. Where
    noise hides a drift slower than the watch, a normal distribution is called enough too often: in
    simulated watches with half the variance in each, 23 % wrong in place of 10 %. Counting kept to
    2 % there, so prove by counting and plan by the normal distribution.

    References
    ----------
    .. [1] :func:`certainty_of_tenth_percentile`, :func:`normal_certainty`; computed, by simulation.
    """
    require_confidence(confidence_ratio, 0.5)
    limit = float(require_finite(requirement, "requirement"))
    correlation = serial_correlation(levels, at_s, least_time_s)
    below = int(np.count_nonzero(levels.low < limit))
    seen = tenth_percentile_bounds(levels)
    if theory is Theory.NORMAL:
        certainty, needed = _by_margin(levels, limit, confidence_ratio, correlation.independent)
    else:
        share = below / levels.count
        certainty, needed = _by_count(share, confidence_ratio, correlation.independent)
    return Watch(
        enough=certainty >= confidence_ratio,
        certainty_ratio=certainty,
        needed_s=_time_for(needed, correlation),
        margin_db=Interval(seen.low - limit, seen.high - limit),
        below=below,
        correlation=correlation,
    )


def _by_count(
    share_below: float, confidence: float, independent: float
) -> tuple[float, float | None]:
    """Certainty now, and the independent readings for the asked one, whatever the distribution."""

    def certainty(count: int) -> float:
        return certainty_of_tenth_percentile(count, math.ceil(share_below * count - 1e-9))

    now = certainty(math.floor(independent))
    start = 1 if now >= confidence else math.floor(independent) + 1
    sure = (m for m in range(start, _MOST_INDEPENDENT) if certainty(m) >= confidence)
    return now, next(sure, None)


def _by_margin(
    levels: BinnedLevels, limit: float, confidence: float, independent: float
) -> tuple[float, float | None]:
    """Certainty now, and the independent readings for the asked one, if levels vary normally."""
    least = LEAST_INDEPENDENT_NORMAL
    if levels.count < least:
        return 0.0, None
    m = max(independent, least)
    margin_db = float(np.mean(levels.low)) - limit
    factor = margin_db / max(spread_over_time_db(levels, m), _LEAST_SPREAD_DB)
    now = normal_certainty(factor, m) if independent >= least else 0.0
    if tolerance_factor(_MOST_INDEPENDENT, confidence) > factor:
        return now, None
    low, high = least, float(_MOST_INDEPENDENT)
    while high - low > 0.01:
        middle = (low + high) / 2.0
        sure = normal_certainty(factor, middle) >= confidence
        low, high = (low, middle) if sure else (middle, high)
    return now, high


def _time_for(needed: float | None, correlation: SerialCorrelation) -> float | None:
    """Time that holds so many independent readings: the first is there at once."""
    if needed is None or correlation.independent <= 1.0:
        return None
    return correlation.watched_s * (needed - 1.0) / (correlation.independent - 1.0)


def _candidates(watched_s: float, count: int) -> tuple[_Array, _Array]:
    """Slow shares and correlation times that come into question, each with each."""
    pace_s = watched_s / (count - 1)
    shares, times = np.meshgrid(
        np.linspace(0.0, 0.98, 15), np.geomspace(min(pace_s / 3.0, watched_s / 3.0), watched_s, 24)
    )
    return shares.ravel(), times.ravel()


def _independent(at_s: _Array, slow: _Array, times_s: _Array) -> _Array:
    """n^2 over the sum of all correlations, for each pair of slow share and time."""
    earlier, pairs = np.zeros_like(times_s), np.zeros_like(times_s)
    for gap_s in np.diff(at_s):
        earlier = (earlier + 1.0) * np.exp(-gap_s / times_s)
        pairs += earlier
    n = len(at_s)
    result: _Array = n**2 / (n + 2.0 * slow * pairs)
    return result


def _restricted_log_likelihood(
    level: _Array, at_s: _Array, slow: _Array, times_s: _Array
) -> _Array:
    """Of each pair of slow share and time, with mean and variance unknown; up to a constant.

    A Kalman filter of unit variance runs over the levels and over ones side by side; the sums of
    their innovations give mean, variance and likelihood.
    """
    series = np.stack([np.ones_like(level), level - np.mean(level)])
    state, unsure = np.zeros((2, slow.size)), slow.copy()
    ones, cross, squares, log_unsure = np.zeros((4, slow.size))
    for i, gap_s in enumerate(np.diff(at_s, prepend=at_s[0])):
        kept = np.exp(-gap_s / times_s)
        state *= kept
        unsure = slow - (slow - unsure) * kept**2
        expected = unsure + 1.0 - slow
        one, other = series[:, i, np.newaxis] - state
        ones += one**2 / expected
        cross += one * other / expected
        squares += other**2 / expected
        log_unsure += np.log(expected)
        gain = unsure / expected
        state += gain * np.stack([one, other])
        unsure = unsure * (1.0 - gain)
    free = len(level) - 1
    variance = (squares - cross**2 / ones) / free
    result: _Array = -0.5 * (free * np.log(variance) + log_unsure + np.log(ones))
    return result


def _require_moments(at_s: Sequence[float], count: int) -> _Array:
    moments = require_finite(at_s, "at_s")
    if moments.shape != (count,):
        raise InvalidInputError(
            f"at_s had {moments.size} moments for {count} readings; give one for each."
        )
    if np.any(np.diff(moments) < 0.0):
        raise InvalidInputError("at_s fell; give readings in the order they were taken.")
    return moments
