"""How much loss a link can bear, and the odds that it holds.

Link budgets are array code; an open-air range and a set of odds are taken one at a time.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from pathproof.calc._arrays import (
    FloatArray,
    as_given,
    require_finite,
    require_not_negative,
    require_positive,
)
from pathproof.calc.radio.propagation import (
    free_space_path_loss_db,
    two_ray_break_point_m,
    two_ray_path_loss_db,
)
from pathproof.terms import InvalidInputError

ERP_TO_EIRP_DB = 2.15  # gain of a half-wave dipole over an isotropic antenna
OPEN_AIR_HEIGHT_M = 1.5  # house value: hand and chest height, as in a maker's field test
OPEN_AIR_LEAST_SPREAD_DB = 3.0  # house value

_complementary_error = np.frompyfunc(math.erfc, 1, 1)


def dbuv_per_m_from_uv_per_m(field_strength_uv_per_m: FloatArray) -> FloatArray:
    """Field strength in decibels over one microvolt per metre.

    Parameters
    ----------
    field_strength_uv_per_m : float or ndarray, any shape
        Above 0. [uV/m]

    Returns
    -------
    field_strength_dbuv_per_m : float or ndarray, the same shape
        [dBuV/m]

    Raises
    ------
    InvalidInputError
        A value is not finite, or not above 0.

    Notes
    -----
    A field strength is an amplitude, so 20 log10.

    Examples
    --------
    >>> f"{dbuv_per_m_from_uv_per_m(200.0):.2f}"
    '46.02'
    """
    field = require_positive(field_strength_uv_per_m, "field_strength_uv_per_m")
    return as_given(20.0 * np.log10(field))


def eirp_dbm_from_field_strength(
    field_strength_dbuv_per_m: FloatArray, distance_m: FloatArray
) -> FloatArray:
    r"""The radiated power that gives a field strength at a distance in free space.

    .. math:: P = (E d)^2 / 30

    Parameters
    ----------
    field_strength_dbuv_per_m : float or ndarray, any shape
        E, for instance the limit of a rule for short-range devices. [dBuV/m]
    distance_m : float or ndarray, broadcasts with the field strength
        d, the distance at which the field strength holds, above 0. [m]

    Returns
    -------
    eirp_dbm : float or ndarray, the broadcast shape
        Equivalent isotropically radiated power. [dBm]

    Raises
    ------
    InvalidInputError
        A value is not finite, or the distance is not above 0.

    Notes
    -----
    Limits: far field, free space. A test site with a conducting ground reads up to 6 dB more than
    free space; rules that set limits allow for that in their own way.

    Examples
    --------
    >>> f"{eirp_dbm_from_field_strength(77.26, 3.0):.2f}"
    '-17.97'

    References
    ----------
    .. [1] E d = sqrt(30 EIRP) in free space; computed in two independent ways.
    """
    field = require_finite(field_strength_dbuv_per_m, "field_strength_dbuv_per_m")
    distance = require_positive(distance_m, "distance_m")
    # uV/m to V/m takes 120 dB off; W to mW puts 30 dB on
    return as_given(field + 20.0 * np.log10(distance) - 90.0 - 10.0 * math.log10(30.0))


def eirp_dbm_from_erp_dbm(erp_dbm: FloatArray) -> FloatArray:
    """Radiated power over an isotropic antenna, from that over a half-wave dipole.

    Parameters
    ----------
    erp_dbm : float or ndarray, any shape
        Effective radiated power, as European short-range rules state it. [dBm]

    Returns
    -------
    eirp_dbm : float or ndarray, the same shape
        Equivalent isotropically radiated power. [dBm]

    Raises
    ------
    InvalidInputError
        A value is not finite.

    Examples
    --------
    >>> f"{eirp_dbm_from_erp_dbm(10.0):.2f}"
    '12.15'

    References
    ----------
    .. [1] Gain of a half-wave dipole over an isotropic antenna, 2.15 dB; computed in two
       independent ways.
    """
    return as_given(require_finite(erp_dbm, "erp_dbm") + ERP_TO_EIRP_DB)


def allowed_loss_db(
    eirp_dbm: FloatArray, antenna_gain_dbi: FloatArray, sensitivity_dbm: FloatArray
) -> FloatArray:
    r"""What the way between two radios may lose before messages are lost.

    .. math:: L = \mathrm{EIRP} + G - S

    Parameters
    ----------
    eirp_dbm : float or ndarray, any shape
        Radiated power of the sender. [dBm]
    antenna_gain_dbi : float or ndarray, broadcasts with ``eirp_dbm``
        Gain of the receiver's antenna. [dBi]
    sensitivity_dbm : float or ndarray, broadcasts with ``eirp_dbm``
        Level at which messages are still received. [dBm]

    Returns
    -------
    loss_db : float or ndarray, the broadcast shape
        [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite.

    Notes
    -----
    Limits: the median level; fading and noise above the receiver's own are not in it.

    Examples
    --------
    >>> allowed_loss_db(12.15, -4.0, -105.0)
    113.15
    """
    eirp = require_finite(eirp_dbm, "eirp_dbm")
    gain = require_finite(antenna_gain_dbi, "antenna_gain_dbi")
    return as_given(eirp + gain - require_finite(sensitivity_dbm, "sensitivity_dbm"))


@dataclass(frozen=True, kw_only=True)
class OpenAirBudget:
    """The loss a link can bear, judged from the range its maker states in the open."""

    budget_db: float
    """Path loss that the link is taken to bear. [dB]"""
    spread_db: float
    """Standard deviation that this way of judging adds. [dB]"""
    low_db: float
    """Free-space loss at the stated range. [dB]"""
    high_db: float
    """Two-ray loss at the stated range, where that is more. [dB]"""
    break_point_m: float
    """Where the two-ray model begins to hold. [m]"""


def open_air_budget(
    frequency_hz: float,
    range_m: float,
    transmitter_height_m: float = OPEN_AIR_HEIGHT_M,
    receiver_height_m: float = OPEN_AIR_HEIGHT_M,
) -> OpenAirBudget:
    """The link budget that an open-air range points to, with its own wide spread.

    Makers seldom publish sensitivity but often an open-air range. The field it was measured in is
    not known: with no ground in play the loss at that range is the free-space loss, over flat
    ground it is the two-ray loss. The budget is the middle of the two, the spread half their
    difference, and at least 3 dB.

    Parameters
    ----------
    frequency_hz : float
        Carrier frequency, above 0. [Hz]
    range_m : float
        Stated range in the open, above 0. [m]
    transmitter_height_m, receiver_height_m : float
        Heights over the ground in that test, above 0. [m]

    Returns
    -------
    budget : OpenAirBudget
        Budget, spread, both bounds [dB] and the break point [m].

    Raises
    ------
    InvalidInputError
        A value is not finite, or not above 0.

    Notes
    -----
    Up to the break point only free space counts. From there to pi times the break point the
    two-ray form still lies below free space and is not used, so a longer range never gives a
    smaller budget.

    Examples
    --------
    >>> budget = open_air_budget(868.42e6, 300.0)
    >>> f"{budget.budget_db:.2f} {budget.spread_db:.2f}"
    '86.40 5.64'

    References
    ----------
    .. [1] House method, common practice, no source; its parts are free space (Rec. ITU-R P.525) and
       the two-ray model.
    """
    free_space = float(free_space_path_loss_db(frequency_hz, range_m))
    two_ray = float(two_ray_path_loss_db(range_m, transmitter_height_m, receiver_height_m))
    high = max(free_space, two_ray)
    return OpenAirBudget(
        budget_db=(free_space + high) / 2.0,
        spread_db=max((high - free_space) / 2.0, OPEN_AIR_LEAST_SPREAD_DB),
        low_db=free_space,
        high_db=high,
        break_point_m=float(
            two_ray_break_point_m(frequency_hz, transmitter_height_m, receiver_height_m)
        ),
    )


def link_odds(margin_db: FloatArray, spread_db: FloatArray) -> FloatArray:
    r"""The odds that a link holds: that a normally distributed margin is above 0.

    .. math:: p = \Phi(m / \sigma)

    Parameters
    ----------
    margin_db : float or ndarray, any shape
        m, the expected margin over the requirement. [dB]
    spread_db : float or ndarray, broadcasts with ``margin_db``
        Its standard deviation, 0 or above; with 0, a margin of 0 or more is sure to hold. [dB]

    Returns
    -------
    odds_ratio : float or ndarray, the broadcast shape
        0 to 1. [ratio]

    Raises
    ------
    InvalidInputError
        A value is not finite, or a spread is negative.

    Examples
    --------
    >>> f"{link_odds(13.16, 8.0):.3f}"
    '0.950'

    References
    ----------
    .. [1] Log-normal fading: the margin in decibels is normally distributed. Computed in two
       independent ways.
    """
    margin = require_finite(margin_db, "margin_db")
    spread = require_not_negative(spread_db, "spread_db")
    with np.errstate(divide="ignore", invalid="ignore"):
        z = np.where(spread > 0.0, margin / spread, np.where(margin >= 0.0, np.inf, -np.inf))
    odds = np.asarray(_complementary_error(-z / math.sqrt(2.0)), dtype=np.float64) / 2.0
    return as_given(odds)


def margin_for_odds_db(odds_ratio: float, spread_db: float) -> float:
    r"""The margin a link needs so that it holds with the given odds.

    .. math:: m = \sigma \Phi^{-1}(p)

    Parameters
    ----------
    odds_ratio : float
        p, above 0 and below 1. [ratio]
    spread_db : float
        Standard deviation of the margin, 0 or above. [dB]

    Returns
    -------
    margin_db : float
        Negative for odds below one half. [dB]

    Raises
    ------
    InvalidInputError
        The odds are not between 0 and 1, or the spread is negative or not finite.

    Examples
    --------
    >>> f"{margin_for_odds_db(0.95, 8.0):.2f}"
    '13.16'

    References
    ----------
    .. [1] Log-normal fading: the margin in decibels is normally distributed. Computed in two
       independent ways.
    """
    odds = float(require_finite(odds_ratio, "odds_ratio"))
    if not 0.0 < odds < 1.0:
        raise InvalidInputError(
            f"odds_ratio was {odds:g}; it must be above 0 and below 1 (95 % is 0.95)."
        )
    return NormalDist().inv_cdf(odds) * float(require_not_negative(spread_db, "spread_db"))


def joint_odds(odds_ratios: Iterable[float]) -> float:
    """The odds that all of several independent links hold: their product.

    Parameters
    ----------
    odds_ratios : iterable of float
        At least one, each 0 to 1. [ratio]

    Returns
    -------
    odds_ratio : float
        0 to 1. [ratio]

    Raises
    ------
    InvalidInputError
        There are none, or one is not between 0 and 1: a site with no links proves nothing.

    Notes
    -----
    Limits: links that share a wall, a panel's noise or a wrong guess are not independent.

    Examples
    --------
    >>> f"{joint_odds([0.95] * 25):.2f}"
    '0.28'
    """
    odds = require_not_negative(list(odds_ratios), "odds_ratios")
    if odds.size == 0:
        raise InvalidInputError("odds_ratios was empty; give the odds of at least one link.")
    if np.any(odds > 1.0):
        raise InvalidInputError(f"odds_ratios held {np.max(odds):g}; each must be 0 to 1.")
    return float(np.prod(odds))
