"""Decibels and ratios, and spreads that are independent of each other. Array code."""

import math

import numpy as np

from pathproof.calc._arrays import (
    FloatArray,
    as_given,
    require_finite,
    require_not_negative,
    require_positive,
)

__all__ = [
    "combined_spread_db",
    "db_from_amplitude_ratio",
    "db_from_power_ratio",
    "power_ratio_from_db",
]


def db_from_power_ratio(power_ratio: FloatArray) -> FloatArray:
    """A ratio of two powers in decibels, 10 log10.

    Parameters
    ----------
    power_ratio : float or ndarray, any shape
        Above 0. [ratio]

    Returns
    -------
    level_db : float or ndarray, the same shape
        [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite, or not above 0.

    Notes
    -----
    For powers only; a ratio of volts or field strengths is :func:`db_from_amplitude_ratio`.

    Examples
    --------
    >>> db_from_power_ratio(100.0)
    20.0
    """
    return as_given(10.0 * np.log10(require_positive(power_ratio, "power_ratio")))


def db_from_amplitude_ratio(amplitude_ratio: FloatArray) -> FloatArray:
    """A ratio of two amplitudes (volts, field strengths) in decibels, 20 log10.

    Parameters
    ----------
    amplitude_ratio : float or ndarray, any shape
        Above 0. [ratio]

    Returns
    -------
    level_db : float or ndarray, the same shape
        [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite, or not above 0.

    Notes
    -----
    Power goes with the square of the amplitude; both must be measured across the same impedance.

    Examples
    --------
    >>> db_from_amplitude_ratio(100.0)
    40.0
    """
    return as_given(20.0 * np.log10(require_positive(amplitude_ratio, "amplitude_ratio")))


def power_ratio_from_db(level_db: FloatArray) -> FloatArray:
    """The ratio of two powers that a level in decibels stands for.

    Parameters
    ----------
    level_db : float or ndarray, any shape
        [dB]

    Returns
    -------
    power_ratio : float or ndarray, the same shape
        [ratio]

    Raises
    ------
    InvalidInputError
        A value is not finite.

    Notes
    -----
    The inverse of :func:`db_from_power_ratio`.

    Examples
    --------
    >>> power_ratio_from_db(-20.0)
    0.01
    """
    return as_given(10.0 ** (require_finite(level_db, "level_db") / 10.0))


def combined_spread_db(*spreads_db: float) -> float:
    """The standard deviation of a sum of independent parts: the root of the sum of squares.

    Parameters
    ----------
    *spreads_db : float
        Standard deviation of each part, 0 or above. [dB]

    Returns
    -------
    spread_db : float
        0 when no part is given. [dB]

    Raises
    ------
    InvalidInputError
        A spread is not finite, or is negative.

    Notes
    -----
    Limits: parts that hang together (two guesses about the same wall) add up to more than this.

    Examples
    --------
    >>> combined_spread_db(6.0, 8.0)
    10.0
    """
    return math.hypot(*(float(require_not_negative(s, "spread_db")) for s in spreads_db))
