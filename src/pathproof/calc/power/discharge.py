"""How long a battery lasts: Peukert above the rated current, linear below. Scalar code."""

import math
from dataclasses import dataclass, replace

from pathproof.calc._arrays import require_not_negative, require_positive
from pathproof.calc.power._checks import require_at_least_one, require_share
from pathproof.terms import InvalidInputError

MOST_PEUKERT = 2.0
"""Public guides go to 1.6, for flooded batteries; more is a slip of the pen. [1]"""


@dataclass(frozen=True, kw_only=True)
class Battery:
    """A battery by its rating."""

    capacity_ah: float
    """Rated capacity, above 0. [Ah]"""
    hour_rate_h: float = 20.0
    """Time in which it gives that, above 0. [h]"""
    peukert: float = 1.0
    """Peukert exponent, 1 to 2; 1 counts charge as it is. [1]"""

    def __post_init__(self) -> None:
        require_positive(self.capacity_ah, "capacity_ah")
        require_positive(self.hour_rate_h, "hour_rate_h")
        if require_at_least_one(self.peukert, "peukert") > MOST_PEUKERT:
            raise InvalidInputError(
                f"peukert was {self.peukert:g}; a battery has 1 to {MOST_PEUKERT:g}."
            )


@dataclass(frozen=True, kw_only=True)
class Endurance:
    """How long a battery carries the standby load and still the alarm after it."""

    standby_h: float
    """0 where it does not carry the alarm alone. [h]"""
    alarm_held: bool
    """Whether it carries the alarm, be it without any standby."""


def taken_charge_ah(
    current_a: float, time_h: float, capacity_ah: float, hour_rate_h: float, peukert: float
) -> float:
    r"""What a load takes of a battery's rated capacity.

    .. math:: Q = I t \, \max(1, I H / C)^{k - 1}

    Parameters
    ----------
    current_a : float
        I, 0 or above. [A]
    time_h : float
        t, 0 or above. [h]
    capacity_ah : float
        C, rated, above 0. [Ah]
    hour_rate_h : float
        H, time in which the battery gives its rated capacity, above 0. [h]
    peukert : float
        k, exponent, 1 to 2. [1]

    Returns
    -------
    charge_ah : float
        The battery is empty when this reaches its capacity. [Ah]

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign, or the exponent is not 1 to 2.

    Notes
    -----
    Below the rated current C / H the charge counts as it is: the formula would have the battery
    give more than its rating.

    Examples
    --------
    >>> f"{taken_charge_ah(10.0, 8.7055, 100.0, 20.0, 1.2):.2f}"
    '100.00'

    References
    ----------
    .. [1] Peukert's law with the hour rate, t = H (C / (I H))^k; battery texts, restated.
    .. [2] Linear below the rated current: practice, and a battery meter's manual.
    """
    battery = Battery(capacity_ah=capacity_ah, hour_rate_h=hour_rate_h, peukert=peukert)
    current = float(require_not_negative(current_a, "current_a"))
    time = float(require_not_negative(time_h, "time_h"))
    above = max(1.0, current * battery.hour_rate_h / battery.capacity_ah)
    return current * time * float(above ** (battery.peukert - 1.0))


def discharge_time_h(battery: Battery, current_a: float) -> float:
    """How long a full battery carries a load.

    Parameters
    ----------
    battery : Battery
        By its rating.
    current_a : float
        Above 0. [A]

    Returns
    -------
    time_h : float
        [h]

    Raises
    ------
    InvalidInputError
        The current is not finite, or not above 0.

    Notes
    -----
    Limits: at 25 degC, to the end-of-discharge volts that the rating is for. The shortcut
    t = C / I^k, which leaves the hour rate out, is wrong: it gives 14.5 h here.

    Examples
    --------
    >>> f"{discharge_time_h(Battery(capacity_ah=100.0, peukert=1.2), 5.0):.1f}"
    '20.0'

    References
    ----------
    .. [1] Peukert's law with the hour rate, t = H (C / (I H))^k; battery texts, restated.
    """
    current = float(require_positive(current_a, "current_a"))
    per_hour_ah = taken_charge_ah(
        current, 1.0, battery.capacity_ah, battery.hour_rate_h, battery.peukert
    )
    return battery.capacity_ah / per_hour_ah


def peukert_exponent(one_a: float, one_h: float, other_a: float, other_h: float) -> float:
    r"""The Peukert exponent from two ratings of a battery.

    .. math:: k = \ln(t_1 / t_2) / \ln(I_2 / I_1)

    Parameters
    ----------
    one_a : float
        Current of one rating, above 0. [A]
    one_h : float
        How long the battery gives it, above 0. [h]
    other_a : float
        Another current. [A]
    other_h : float
        How long the battery gives that: less long where it is larger. [h]

    Returns
    -------
    exponent : float
        1 or above. [1]

    Raises
    ------
    InvalidInputError
        A value is not finite or not above 0, or the two are no ratings of one battery.

    Notes
    -----
    Limits: holds between the two ratings; usual exponents are 1.05 to 1.15 for AGM and 1.1 to 1.25
    for gel.

    Examples
    --------
    >>> f"{peukert_exponent(0.35, 20.0, 4.2, 1.0):.5f}"
    '1.20557'

    References
    ----------
    .. [1] Peukert's law solved for the exponent, restated; exponents by type: a public guide.
    """
    currents = float(require_positive(other_a, "other_a")) / float(require_positive(one_a, "one_a"))
    times = float(require_positive(one_h, "one_h")) / float(require_positive(other_h, "other_h"))
    exponent = 0.0 if currents == 1.0 else math.log(times) / math.log(currents)
    if exponent < 1.0 - 1e-9:
        raise InvalidInputError(
            f"one_a was {one_a:g} for {one_h:g} h, other_a {other_a:g} for {other_h:g} h; these "
            "are no two ratings of one battery: it gives no more charge at the larger current."
        )
    return max(1.0, exponent)


def endurance(
    battery: Battery,
    standby_a: float,
    alarm_a: float,
    alarm_h: float,
    available_ratio: float = 1.0,
) -> Endurance:
    """How long a battery carries the standby load so that it can still carry the alarm after it.

    Parameters
    ----------
    battery : Battery
        By its rating when new.
    standby_a : float
        Above 0. [A]
    alarm_a : float
        Above 0. [A]
    alarm_h : float
        0 or above. [h]
    available_ratio : float
        What is left of the rated capacity: 0.8 at the end of life, less in the cold. [ratio]

    Returns
    -------
    endurance : Endurance
        Standby time [h], and whether the alarm is carried at all.

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign, or the ratio is not above 0 and at most 1.

    Notes
    -----
    Each load takes its share of the capacity that is available, by Peukert where it is above that
    capacity's rated current. Limits: charge only; whether the volts hold under the alarm load, a
    test with the mains off tells.

    Examples
    --------
    >>> held = endurance(Battery(capacity_ah=12.0), 0.42, 3.8, 5 / 60)
    >>> f"{held.standby_h:.2f}", held.alarm_held
    ('27.82', True)

    References
    ----------
    .. [1] Peukert's law with the hour rate, in two steps; battery texts, restated.
    """
    left = require_share(available_ratio, "available_ratio")
    aged = replace(battery, capacity_ah=battery.capacity_ah * left)
    alarm = float(require_positive(alarm_a, "alarm_a"))
    alarm_time_h = float(require_not_negative(alarm_h, "alarm_h"))
    alarm_ah = taken_charge_ah(
        alarm, alarm_time_h, aged.capacity_ah, aged.hour_rate_h, aged.peukert
    )
    alarm_share = alarm_ah / aged.capacity_ah
    standby_alone_h = discharge_time_h(aged, standby_a)
    return Endurance(
        standby_h=max(0.0, 1.0 - alarm_share) * standby_alone_h, alarm_held=alarm_share <= 1.0
    )
