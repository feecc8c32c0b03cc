"""How a lead-acid battery gets its charge back, and what a supply has to give. Scalar code."""

from dataclasses import dataclass

from pathproof.calc._arrays import require_finite, require_not_negative, require_positive
from pathproof.calc.power._checks import require_share
from pathproof.terms import InvalidInputError, OutOfRangeError

RECHARGE_RATIO = 0.8
"""Share of the capacity that recharge times are stated for. [ratio]"""
CHARGE_EFFICIENCY_RATIO = 0.85
"""Share of the charging current that is stored, typically; the low end (sources.RECHARGE). [ratio]
"""
CHARGE_LIMIT_PER_H = 0.25
"""Most charging current over capacity, typically; the low end (sources.RECHARGE). [1/h]"""

# Source: sources.FLOAT.
FLOAT_LOW_V = 2.25
FLOAT_HIGH_V = 2.30
"""Float voltage of a cell at 25 degC. [V]"""
FLOAT_V_PER_K = -0.003
FLOAT_REFERENCE_DEGC = 25.0
FLOAT_COLDEST_DEGC = -20.0
FLOAT_WARMEST_DEGC = 50.0
"""Where the compensation is used: house rule, no source. [degC]"""
MOST_CELLS = 120


@dataclass(frozen=True, kw_only=True)
class SupplyRating:
    """What a supply has to give beside the battery."""

    average_a: float
    """All day: idle load and charging. [A]"""
    peak_a: float
    """For a short time: alarm load, charging and the module's burst. [A]"""


@dataclass(frozen=True, kw_only=True)
class FloatVoltage:
    """Between which volts a charger holds a full battery."""

    low_v: float
    """[V]"""
    high_v: float
    """[V]"""


def charging_current_a(
    capacity_ah: float,
    time_h: float,
    recharge_ratio: float = RECHARGE_RATIO,
    efficiency_ratio: float = CHARGE_EFFICIENCY_RATIO,
) -> float:
    r"""Charging current that puts back a share of an empty battery's capacity in a time.

    .. math:: I = 0.8 \, C / (\eta \, T)

    Parameters
    ----------
    capacity_ah : float
        C, rated, above 0. [Ah]
    time_h : float
        T, above 0. [h]
    recharge_ratio : float
        Share to put back. [ratio]
    efficiency_ratio : float
        Share of the current that is stored. [ratio]

    Returns
    -------
    charging_a : float
        Beside the load. Hold it against ``CHARGE_LIMIT_PER_H`` and the battery's papers. [A]

    Raises
    ------
    InvalidInputError
        A value is not finite or not above 0, or a share is above 1.

    Notes
    -----
    Limits: constant current, as up to about that share; the rest takes far longer.

    Examples
    --------
    >>> f"{charging_current_a(7.0, 24.0):.4f}"
    '0.2745'

    References
    ----------
    .. [1] Typical efficiency of sealed lead-acid batteries, from memory.
    """
    time = float(require_positive(time_h, "time_h"))
    return _charge_to_give_ah(capacity_ah, recharge_ratio, efficiency_ratio) / time


def recharge_time_h(
    capacity_ah: float,
    charging_a: float,
    recharge_ratio: float = RECHARGE_RATIO,
    efficiency_ratio: float = CHARGE_EFFICIENCY_RATIO,
) -> float:
    r"""Time in which a charging current puts back a share of an empty battery's capacity.

    .. math:: T = 0.8 \, C / (\eta \, I)

    Parameters
    ----------
    capacity_ah : float
        C, rated, above 0. [Ah]
    charging_a : float
        I, what the charger gives beside the load, above 0. [A]
    recharge_ratio : float
        Share to put back. [ratio]
    efficiency_ratio : float
        Share of the current that is stored. [ratio]

    Returns
    -------
    time_h : float
        [h]

    Raises
    ------
    InvalidInputError
        A value is not finite or not above 0, or a share is above 1.

    Notes
    -----
    Limits: constant current, as up to about that share; the rest takes far longer.

    Examples
    --------
    >>> f"{recharge_time_h(7.0, 0.35):.1f}"
    '18.8'

    References
    ----------
    .. [1] Typical efficiency of sealed lead-acid batteries, from memory.
    """
    current = float(require_positive(charging_a, "charging_a"))
    return _charge_to_give_ah(capacity_ah, recharge_ratio, efficiency_ratio) / current


def _charge_to_give_ah(capacity_ah: float, recharge_ratio: float, efficiency_ratio: float) -> float:
    capacity = float(require_positive(capacity_ah, "capacity_ah"))
    to_store_ah = require_share(recharge_ratio, "recharge_ratio") * capacity
    return to_store_ah / require_share(efficiency_ratio, "efficiency_ratio")


def supply_rating(
    standby_a: float, alarm_a: float, charging_a: float, burst_a: float = 0.0
) -> SupplyRating:
    """What a supply has to give all day, and for a short time.

    Parameters
    ----------
    standby_a : float
        Average current while idle, 0 or above. [A]
    alarm_a : float
        Average current in alarm, 0 or above. [A]
    charging_a : float
        0 or above; 0 where the battery is not charged by it. [A]
    burst_a : float
        What a module takes in a burst beyond its average, 0 or above; 0 where a battery lends it.
        [A]

    Returns
    -------
    rating : SupplyRating
        [A]

    Raises
    ------
    InvalidInputError
        A value is not finite, or is below 0.

    Notes
    -----
    The safe case: the alarm comes while the battery is being charged, and none of its average is
    lent by the battery.

    Examples
    --------
    >>> supply_rating(0.25, 1.0, 0.25, 1.5)
    SupplyRating(average_a=0.5, peak_a=2.75)

    References
    ----------
    .. [1] Load and charging current at once; practice.
    """
    idle = float(require_not_negative(standby_a, "standby_a"))
    charging = float(require_not_negative(charging_a, "charging_a"))
    most = max(idle, float(require_not_negative(alarm_a, "alarm_a")))
    burst = float(require_not_negative(burst_a, "burst_a"))
    return SupplyRating(average_a=idle + charging, peak_a=most + charging + burst)


def float_voltage(cells: int, temperature_degc: float) -> FloatVoltage:
    """Between which volts a charger holds a full lead-acid battery.

    Parameters
    ----------
    cells : int
        2 V cells in series, 1 to 120; 6 in a 12 V block.
    temperature_degc : float
        Of the battery, -20 to 50. [degC]

    Returns
    -------
    volts : FloatVoltage
        Low and high end of what is usual. [V]

    Raises
    ------
    InvalidInputError
        The temperature is not finite, or there are not 1 to 120 cells.
    OutOfRangeError
        The temperature is outside -20 to 50 degC.

    Notes
    -----
    Limits: for a charger that follows the temperature; the battery's papers come first.

    Examples
    --------
    >>> volts = float_voltage(6, 25.0)
    >>> f"{volts.low_v:.2f} to {volts.high_v:.2f}"
    '13.50 to 13.80'

    References
    ----------
    .. [1] 2.25 to 2.30 V a cell at 25 degC, less 3 mV for each K; a battery text, restated.
    """
    if not 1 <= cells <= MOST_CELLS:
        raise InvalidInputError(f"cells was {cells}; it must be 1 to {MOST_CELLS}.")
    given = float(require_finite(temperature_degc, "temperature_degc"))
    if not FLOAT_COLDEST_DEGC <= given <= FLOAT_WARMEST_DEGC:
        raise OutOfRangeError(
            "temperature_degc",
            given,
            FLOAT_COLDEST_DEGC,
            FLOAT_WARMEST_DEGC,
            "degC",
            "the rule for float volts",
        )
    shift_v = FLOAT_V_PER_K * (given - FLOAT_REFERENCE_DEGC)
    return FloatVoltage(
        low_v=cells * (FLOAT_LOW_V + shift_v), high_v=cells * (FLOAT_HIGH_V + shift_v)
    )
