"""How many years the cells of a wireless part last. Scalar code."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from pathproof.calc._arrays import require_not_negative, require_positive
from pathproof.calc.power._checks import require_share
from pathproof.calc.power.sources import CELL_CAPACITIES, CELL_CAPACITY_SEEN
from pathproof.calc.sources import Source
from pathproof.terms import InvalidInputError

USABLE_RATIO = 0.9
"""Share of a cell's capacity that is used before its part reports it low: practice. [ratio]"""
SELF_DISCHARGE_PER_YEAR = 0.01
"""Of a lithium cell, typically: practice. [1/year]"""
SHELF_LIFE_YEARS = 10.0
"""Where a cell's maker states none (sources.SHELF_LIFE). [years]"""

_H_PER_YEAR = 8760.0
_S_PER_DAY = 86400.0
_INTERVAL = "supervision_interval_s"


@dataclass(frozen=True, kw_only=True)
class CellType:
    """A type of cell by its IEC 60086 designation, and what it typically holds."""

    name: str
    """What people call it."""
    nominal_v: float
    """[V]"""
    low_ah: float
    """The least that is typical. [Ah]"""
    high_ah: float
    """The most that is typical. [Ah]"""
    source: Source = CELL_CAPACITIES


CELL_TYPES: Mapping[str, CellType] = MappingProxyType(
    {
        "CR17345": CellType(
            name="CR123A", nominal_v=3.0, low_ah=1.4, high_ah=1.55, source=CELL_CAPACITY_SEEN
        ),
        "CR15H270": CellType(name="CR2", nominal_v=3.0, low_ah=0.8, high_ah=0.85),
        "FR14505": CellType(name="AA lithium-iron", nominal_v=1.5, low_ah=2.9, high_ah=3.1),
        "LR6": CellType(name="AA alkaline", nominal_v=1.5, low_ah=2.0, high_ah=2.8),
        "LR03": CellType(name="AAA alkaline", nominal_v=1.5, low_ah=1.0, high_ah=1.2),
        "ER14505": CellType(
            name="AA lithium thionyl chloride", nominal_v=3.6, low_ah=2.4, high_ah=2.7
        ),
        "CR2032": CellType(name="coin cell", nominal_v=3.0, low_ah=0.22, high_ah=0.235),
        "CR2450": CellType(name="coin cell", nominal_v=3.0, low_ah=0.56, high_ah=0.62),
    }
)
"""Types that wireless parts use. Plan with the low end."""


@dataclass(frozen=True, kw_only=True)
class CellUse:
    """What a wireless part takes from its cells."""

    sleep_current_a: float
    """Between messages, above 0. [A]"""
    message_current_a: float
    """During a message, above 0. [A]"""
    message_s: float
    """Length of a message, above 0. [s]"""
    events_per_day: float
    """Messages a day for what it detects, 0 or above. [1/day]"""
    supervision_interval_s: float | None = None
    """Time between its supervision messages, above 0; none that sends none. [s]"""

    def __post_init__(self) -> None:
        require_positive(self.sleep_current_a, "sleep_current_a")
        require_positive(self.message_current_a, "message_current_a")
        require_positive(self.message_s, "message_s")
        require_not_negative(self.events_per_day, "events_per_day")
        if self.supervision_interval_s is not None:
            interval_s = float(require_positive(self.supervision_interval_s, _INTERVAL))
            if interval_s < self.message_s:
                raise InvalidInputError(
                    f"{_INTERVAL} was {interval_s:g}; it must be longer than a message of "
                    f"{self.message_s:g} s."
                )


@dataclass(frozen=True, kw_only=True)
class CellLife:
    """How long cells last, and what takes their charge in a year."""

    years: float
    """Never more than the shelf life. [years]"""
    by_charge_years: float
    """By the charge alone. [years]"""
    sleep_ah_per_year: float
    """[Ah/year]"""
    events_ah_per_year: float
    """Messages for what it detects. [Ah/year]"""
    supervision_ah_per_year: float
    """Supervision messages. [Ah/year]"""
    self_discharge_ah_per_year: float
    """[Ah/year]"""


def cell_life(
    capacity_ah: float,
    use: CellUse,
    usable_ratio: float = USABLE_RATIO,
    self_discharge_per_year: float = SELF_DISCHARGE_PER_YEAR,
    shelf_life_years: float = SHELF_LIFE_YEARS,
) -> CellLife:
    r"""How many years the cells of a wireless part last.

    .. math:: L = \min\left(L_s, \frac{u C}{8760 I_0 + 365 N I t / 3600 + s C}\right)

    Parameters
    ----------
    capacity_ah : float
        C, of a cell, or of cells in series, above 0. [Ah]
    use : CellUse
        I0, I and t, and how many messages N a day: events and supervision.
    usable_ratio : float
        u, above 0, at most 1. [ratio]
    self_discharge_per_year : float
        s, 0 or above. [1/year]
    shelf_life_years : float
        Ls, above 0. [years]

    Returns
    -------
    life : CellLife
        [years], and the charge that each use takes. [Ah/year]

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign.

    Notes
    -----
    Cells in series add volts, not capacity. Supervision messages are events: halving their interval
    doubles what they take. Limits: at room temperature; cold takes capacity and volts.

    Examples
    --------
    >>> use = CellUse(
    ...     sleep_current_a=5e-6, message_current_a=0.020, message_s=0.1, events_per_day=200.0
    ... )
    >>> life = cell_life(1.5, use)
    >>> f"{life.by_charge_years:.4f}", life.years
    ('13.5876', 10.0)

    References
    ----------
    .. [1] Charge over what is taken in a year, computed in two ways; the cap is practice.
    """
    capacity = float(require_positive(capacity_ah, "capacity_ah"))
    usable_ah = require_share(usable_ratio, "usable_ratio") * capacity
    lost_per_year = float(require_not_negative(self_discharge_per_year, "self_discharge_per_year"))
    shelf_years = float(require_positive(shelf_life_years, "shelf_life_years"))
    message_ah = use.message_current_a * use.message_s / 3600.0
    interval_s = use.supervision_interval_s
    supervisions_per_day = 0.0 if interval_s is None else _S_PER_DAY / interval_s
    sleep_ah = use.sleep_current_a * _H_PER_YEAR
    events_ah = use.events_per_day * 365.0 * message_ah
    supervision_ah = supervisions_per_day * 365.0 * message_ah
    lost_ah = lost_per_year * capacity
    by_charge = usable_ah / (sleep_ah + events_ah + supervision_ah + lost_ah)
    return CellLife(
        years=min(by_charge, shelf_years),
        by_charge_years=by_charge,
        sleep_ah_per_year=sleep_ah,
        events_ah_per_year=events_ah,
        supervision_ah_per_year=supervision_ah,
        self_discharge_ah_per_year=lost_ah,
    )
