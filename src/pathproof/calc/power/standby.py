"""The battery capacity that standby and alarm ask for, and the size to fit. Scalar code."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from pathproof.calc._arrays import require_not_negative, require_positive
from pathproof.calc.power._checks import require_at_least_one, require_share
from pathproof.calc.power.discharge import taken_charge_ah
from pathproof.calc.power.sources import EN_54_4_FORM, NFPA_72_MARGIN_2010, NFPA_72_MARGIN_2022
from pathproof.calc.power.temperature import temperature_factor
from pathproof.calc.sources import Source
from pathproof.terms import InvalidInputError

STANDARD_SIZES_AH = (1.2, 2.1, 4.5, 7.0, 12.0, 17.0, 24.0, 40.0)
"""Usual sizes of a block, smallest first (sources.STANDARD_SIZES). [Ah]"""
MOST_BLOCKS = 20
"""More blocks in parallel than this are no usual standby battery: house rule, no source."""
END_OF_LIFE_RATIO = 0.8
"""Share of its rating at which a battery is replaced (sources.AGEING). [ratio]"""
MOST_DESIGN_RATIO = 1.15
"""Largest margin that goes with an ageing of its own (sources.DESIGN_MARGIN). [ratio]"""

_SAME = 1e-9  # a need that exceeds a size by rounding alone fits it


@dataclass(frozen=True, kw_only=True)
class Load:
    """What parts of one kind take from the supply, each of them."""

    name: str
    standby_a: float
    """Average current while idle. [A]"""
    alarm_a: float
    """Average current in alarm. [A]"""
    count: int = 1


@dataclass(frozen=True, kw_only=True)
class StandbyDemand:
    """How long a battery has to carry what, without mains: idle first, then in alarm."""

    standby_a: float
    """Average current while idle, above 0. [A]"""
    standby_h: float
    """Above 0. [h]"""
    alarm_a: float
    """Average current in alarm, above 0. [A]"""
    alarm_h: float
    """0 or above; 5 min is 5 / 60, not 0.083. [h]"""

    def __post_init__(self) -> None:
        require_positive(self.standby_a, "standby_a")
        require_positive(self.standby_h, "standby_h")
        require_positive(self.alarm_a, "alarm_a")
        require_not_negative(self.alarm_h, "alarm_h")

    @property
    def standby_ah(self) -> float:
        """Charge taken while idle. [Ah]"""
        return self.standby_a * self.standby_h

    @property
    def alarm_ah(self) -> float:
        """Charge taken in alarm. [Ah]"""
        return self.alarm_a * self.alarm_h

    @property
    def charge_ah(self) -> float:
        """Charge taken in all. [Ah]"""
        return self.standby_ah + self.alarm_ah


@dataclass(frozen=True, kw_only=True)
class WholeMargin:
    """One margin that ageing is in; nothing is added for ageing beside it."""

    ratio: float
    """1 or above. [ratio]"""
    source: Source | None = None

    def __post_init__(self) -> None:
        require_at_least_one(self.ratio, "ratio")

    @property
    def factor(self) -> float:
        """New capacity over the charge taken. [ratio]"""
        return self.ratio


@dataclass(frozen=True, kw_only=True)
class SeparateFactors:
    """Ageing by itself, with at most a small design margin that ageing is not in."""

    ageing_ratio: float = END_OF_LIFE_RATIO
    """Capacity at the end of service over new capacity, above 0, at most 1. [ratio]"""
    design_ratio: float = 1.0
    """1 to 1.15. [ratio]"""

    def __post_init__(self) -> None:
        require_share(self.ageing_ratio, "ageing_ratio")
        if require_at_least_one(self.design_ratio, "design_ratio") > MOST_DESIGN_RATIO:
            raise InvalidInputError(
                f"design_ratio was {self.design_ratio:g}; beside ageing it must be 1 to "
                f"{MOST_DESIGN_RATIO:g}: a larger margin has ageing in it, so give it alone."
            )

    @property
    def factor(self) -> float:
        """New capacity over the charge taken. [ratio]"""
        return self.design_ratio / self.ageing_ratio


Allowance = WholeMargin | SeparateFactors
"""What is added to the charge: one or the other, so that ageing never counts twice."""

MARGINS: Mapping[str, WholeMargin] = MappingProxyType(
    {
        "nfpa_72_2010_to_2019": WholeMargin(ratio=1.20, source=NFPA_72_MARGIN_2010),
        "nfpa_72_2022": WholeMargin(ratio=1.25, source=NFPA_72_MARGIN_2022),
        "en_54_4_bs_5839_1": WholeMargin(ratio=1.25, source=EN_54_4_FORM),
    }
)
"""Margins by rule and edition: which of them is adopted, the place decides."""


@dataclass(frozen=True, kw_only=True)
class RequiredCapacity:
    """The new capacity that a demand asks for, and what it is made of."""

    demand: StandbyDemand
    taken_ah: float
    """Charge taken, loads above the rated current counted by Peukert. [Ah]"""
    temperature_factor: float
    """For the cold. [ratio]"""
    allowance: Allowance

    @property
    def capacity_ah(self) -> float:
        """Rated capacity of a new battery. [Ah]"""
        return self.taken_ah * self.temperature_factor * self.allowance.factor


@dataclass(frozen=True, kw_only=True)
class BatterySize:
    """One or several blocks of a usual size, in parallel."""

    block_ah: float
    """[Ah]"""
    blocks: int = 1

    @property
    def size_ah(self) -> float:
        """Of all blocks together. [Ah]"""
        return self.block_ah * self.blocks


def total_currents_a(loads: Iterable[Load]) -> tuple[float, float]:
    """Standby and alarm current of all loads together.

    Parameters
    ----------
    loads : iterable of Load
        What the battery feeds.

    Returns
    -------
    standby_a, alarm_a : float
        [A]

    Raises
    ------
    InvalidInputError
        A current is not finite or below 0, or a count is below 1.

    Examples
    --------
    >>> total_currents_a([Load(name="Sounder", standby_a=0.0, alarm_a=0.25, count=3)])
    (0.0, 0.75)

    References
    ----------
    .. [1] Load schedule of trade and study texts, restated.
    """
    standby, alarm = [], []
    for load in loads:
        if load.count < 1:
            raise InvalidInputError(f"count of {load.name} was {load.count}; it must be 1 or more.")
        standby.append(load.count * float(require_not_negative(load.standby_a, "standby_a")))
        alarm.append(load.count * float(require_not_negative(load.alarm_a, "alarm_a")))
    return math.fsum(standby), math.fsum(alarm)


def required_capacity(
    demand: StandbyDemand,
    allowance: Allowance,
    temperature_degc: float | None = None,
    peukert: float = 1.0,
    hour_rate_h: float = 20.0,
) -> RequiredCapacity:
    r"""The rated capacity of the new battery that carries a demand to the end of its service.

    .. math:: C = (I_s t_s + I_a t_a) \, F_{temperature} \, F_{allowance}

    Parameters
    ----------
    demand : StandbyDemand
        Currents and times.
    allowance : WholeMargin or SeparateFactors
        The margin, or ageing and a design margin.
    temperature_degc : float or None
        Lowest usual temperature of a lead-acid battery, -3.9 to 51.7; None leaves it out. [degC]
    peukert : float
        Peukert exponent, 1 to 2: with it, a load above the rated current counts for more. [1]
    hour_rate_h : float
        Time in which the battery gives its rated capacity. [h]

    Returns
    -------
    required : RequiredCapacity
        The capacity and its parts, in full precision.

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign, or the exponent is not 1 to 2.
    OutOfRangeError
        The temperature is outside the table.

    Notes
    -----
    By Peukert a load counts against what is left of the battery, aged and in the cold, as in
    :func:`~pathproof.calc.power.discharge.endurance`: the charge taken is what such a battery has
    to hold to give it, found by bisection, never less than the linear figure. Limits: currents are
    averages; bursts ask for volts, not for charge.

    Examples
    --------
    >>> demand = StandbyDemand(standby_a=0.42, standby_h=24.0, alarm_a=3.8, alarm_h=5 / 60)
    >>> f"{required_capacity(demand, MARGINS['nfpa_72_2010_to_2019']).capacity_ah:.2f}"
    '12.48'

    References
    ----------
    .. [1] Standby charge and alarm charge times a margin, trade and study texts, restated; EN 54-4
       and BS 5839-1 are the same form with 1.25, as public design guides give it.
    .. [2] IEEE 485, roles of the factors for temperature, ageing and design, restated.
    """
    cold = 1.0 if temperature_degc is None else temperature_factor(temperature_degc)
    phases = ((demand.standby_a, demand.standby_h), (demand.alarm_a, demand.alarm_h))

    def taken_ah(available_ah: float) -> float:
        return math.fsum(
            taken_charge_ah(current_a, time_h, available_ah, hour_rate_h, peukert)
            for current_a, time_h in phases
        )

    low_ah = demand.charge_ah
    high_ah = taken_ah(low_ah)
    while high_ah - low_ah > 1e-12 * high_ah:
        middle_ah = (low_ah + high_ah) / 2.0
        if taken_ah(middle_ah) > middle_ah:
            low_ah = middle_ah
        else:
            high_ah = middle_ah
    return RequiredCapacity(
        demand=demand,
        taken_ah=high_ah,
        temperature_factor=cold,
        allowance=allowance,
    )


def bs_5839_annex_capacity_ah(demand: StandbyDemand) -> float:
    r"""Capacity by the form of BS 5839-1 for half an hour of alarm, which minds heavy alarm loads.

    .. math:: C = 1.25 \, (T_1 I_1 + D I_2 / 2)

    Parameters
    ----------
    demand : StandbyDemand
        Currents and times; the alarm lasts half an hour.

    Returns
    -------
    capacity_ah : float
        Rated capacity of a new battery. [Ah]

    Raises
    ------
    InvalidInputError
        The alarm lasts another time.

    Notes
    -----
    D is 1.75, or 1 where the alarm current is at or below a twentieth of the capacity. Where D = 1
    and D = 1.75 each contradict themselves, 1.75 is taken. The rule is not monotone: standby
    current that makes the battery large enough for D = 1 lowers the result.

    Examples
    --------
    >>> demand = StandbyDemand(standby_a=0.10, standby_h=24.0, alarm_a=1.0, alarm_h=0.5)
    >>> bs_5839_annex_capacity_ah(demand)
    4.09375

    References
    ----------
    .. [1] BS 5839-1, annex on standby batteries; from memory, check your own copy.
    """
    if demand.alarm_h != 0.5:
        raise InvalidInputError(
            f"alarm_h was {demand.alarm_h:g}; this form is for half an hour of alarm, 0.5."
        )
    light_ah = 1.25 * (demand.standby_ah + demand.alarm_a / 2.0)
    if demand.alarm_a <= light_ah / 20.0:
        return light_ah
    return 1.25 * (demand.standby_ah + 1.75 * demand.alarm_a / 2.0)


def next_size(capacity_ah: float) -> BatterySize | None:
    """The smallest usual size that holds a capacity.

    Parameters
    ----------
    capacity_ah : float
        What is asked for, in full precision, above 0. [Ah]

    Returns
    -------
    size : BatterySize or None
        One block, or as few as hold it in parallel; None above 20 of the largest.

    Raises
    ------
    InvalidInputError
        The capacity is not finite, or not above 0.

    Notes
    -----
    Blocks in parallel are of one type and age, and only where the charger's maker allows it.
    Blocks in series add volts, not capacity.

    Examples
    --------
    >>> next_size(12.476).size_ah
    17.0

    References
    ----------
    .. [1] Usual sizes of sealed lead-acid blocks; practice.
    """
    needed_ah = float(require_positive(capacity_ah, "capacity_ah")) * (1.0 - _SAME)
    blocks = math.ceil(needed_ah / STANDARD_SIZES_AH[-1])
    if blocks > MOST_BLOCKS:
        return None
    block_ah = next(size for size in STANDARD_SIZES_AH if size * blocks >= needed_ah)
    return BatterySize(block_ah=block_ah, blocks=blocks)
