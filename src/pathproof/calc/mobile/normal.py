"""The 10th percentile of readings that vary normally over time. One set of readings at a time."""

import math
import statistics

import numpy as np

from pathproof.calc._arrays import require_finite
from pathproof.calc.mobile._checks import require_confidence, require_independent
from pathproof.calc.mobile.bins import BinnedLevels
from pathproof.calc.mobile.percentiles import SHARE_BELOW, LowerBound
from pathproof.calc.radio.budget import link_odds
from pathproof.terms import InvalidInputError

__all__ = [
    "normal_bound_of_tenth_percentile",
    "normal_certainty",
    "spread_over_time_db",
    "tolerance_factor",
]

_Z_BELOW = statistics.NormalDist().inv_cdf(1.0 - SHARE_BELOW)
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(200)


def tolerance_factor(independent: float, confidence_ratio: float) -> float:
    r"""The factor k with which mean less k deviations is surely not above the 10th percentile.

    .. math:: P(\bar x - k s \le \mu - z_{0.9} \sigma) = c

    Parameters
    ----------
    independent : float
        n, independent readings, at least 2; need not be whole.
    confidence_ratio : float
        c, 0.5 or above and below 1. [ratio]

    Returns
    -------
    factor : float
        k, to be multiplied by the standard deviation of the readings.

    Raises
    ------
    InvalidInputError
        A value is out of range.

    Notes
    -----
    Limits: readings of a normal distribution. The exact factor, by integration over the standard
    deviation of a sample; agrees with the quantile of the noncentral t distribution to 1e-6.

    Examples
    --------
    >>> f"{tolerance_factor(10, 0.95):.3f}"
    '2.355'

    References
    ----------
    .. [1] CMH-17-1G, one-sided factors for B-basis values (90 % at 95 % confidence), as restated in
       the tests of an open library. Computed, against a second library.
    """
    n = require_independent(independent, math.inf, 2.0)
    confidence = require_confidence(confidence_ratio, 0.5)
    low, high = 0.0, 4.0
    while normal_certainty(high, n) < confidence:
        low, high = high, 2.0 * high
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if normal_certainty(middle, n) < confidence else (low, middle)
    return high


def normal_certainty(factor: float, independent: float) -> float:
    r"""How sure it is that mean less k standard deviations is not above the 10th percentile.

    .. math:: c = \int_0^\infty \Phi\left(\sqrt n (k w - z_{0.9})\right) f_{n-1}(w) \, dw

    Parameters
    ----------
    factor : float
        k, margin over standard deviation, both as read.
    independent : float
        n, independent readings, at least 2; need not be whole.

    Returns
    -------
    certainty_ratio : float
        The inverse of :func:`tolerance_factor`. [ratio]

    Raises
    ------
    InvalidInputError
        A value is not finite, or the number of readings is below 2.

    Notes
    -----
    f is the density of the standard deviation of a sample over that of the distribution, chi with
    n - 1 degrees of freedom over their root. Limits: readings of a normal distribution.

    References
    ----------
    .. [1] Mean and standard deviation of a normal sample are independent. Computed, against the
       noncentral t distribution of a second library.
    """
    k = float(require_finite(factor, "factor"))
    n = require_independent(independent, math.inf, 2.0)
    free = n - 1.0
    reach = 9.0 / math.sqrt(free)
    low, high = max(0.0, 1.0 - reach), 1.0 + reach
    w = low + (high - low) / 2.0 * (_NODES + 1.0)
    log_density = (
        math.log(2.0)
        + free / 2.0 * math.log(free / 2.0)
        - math.lgamma(free / 2.0)
        + (free - 1.0) * np.log(w)
        - free / 2.0 * w**2
    )
    inner = link_odds(math.sqrt(n) * (k * w - _Z_BELOW), 1.0)
    return float(np.sum(_WEIGHTS * np.exp(log_density) * inner) * (high - low) / 2.0)


def spread_over_time_db(levels: BinnedLevels, independent: float | None = None) -> float:
    """Standard deviation of the level over time, from readings that may hang together.

    Parameters
    ----------
    levels : BinnedLevels
        At least two, closed at both edges. [dBm or dB]
    independent : float, optional
        As how many independent readings they count, at least 2; all of them unless given.

    Returns
    -------
    spread_db : float
        Half a bin joins it, so it is never 0 for readings with a bin. [dB]

    Raises
    ------
    InvalidInputError
        An edge is open, or the number is out of range.

    Notes
    -----
    Readings that hang together vary less about their own mean than the level does over time; the
    sum of squares is divided by n (1 - 1/m) in place of n - 1. Half a bin as a standard deviation
    is more than a level anywhere in it has (house method).

    References
    ----------
    .. [1] Variance of a correlated sample about its mean; computed. Half a bin: practice.
    """
    m = require_independent(independent, levels.count, 2.0)
    if not math.isfinite(levels.half_width_db):
        raise InvalidInputError(
            "levels held a reading that is open at one edge; a normal distribution needs both. "
            "Use tolerance_of_tenth_percentile, which needs the lower ones only."
        )
    return math.hypot(
        math.sqrt(float(np.var(levels.shown)) / (1.0 - 1.0 / m)), levels.half_width_db
    )


def normal_bound_of_tenth_percentile(
    levels: BinnedLevels, confidence_ratio: float, independent: float | None = None
) -> LowerBound:
    """The level that the 10th percentile is surely not below if levels vary normally.

    Parameters
    ----------
    levels : BinnedLevels
        At least two, closed at both edges. [dBm or dB]
    confidence_ratio : float
        Asked for, 0.5 or above and below 1. [ratio]
    independent : float, optional
        As how many independent readings they count, at least 2; all of them unless given.

    Returns
    -------
    bound : LowerBound
        Mean of the lower edges, less factor times spread. [dBm or dB]

    Raises
    ------
    InvalidInputError
        An edge is open, or a number is out of range.

    Notes
    -----
    Limits: few readings suffice for it, but only where levels in decibels vary normally. Rare deep
    fades do not; :func:`tolerance_of_tenth_percentile` assumes nothing of the kind.

    References
    ----------
    .. [1] One-sided tolerance limit, :func:`tolerance_factor`; computed, by simulation.
    """
    m = require_independent(independent, levels.count, 2.0)
    spread_db = spread_over_time_db(levels, m)
    return LowerBound(
        value=float(np.mean(levels.low)) - tolerance_factor(m, confidence_ratio) * spread_db,
        confidence_ratio=confidence_ratio,
        independent=m,
    )
