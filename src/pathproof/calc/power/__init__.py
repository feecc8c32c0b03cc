"""Power: what standby asks of a battery, how long it lasts and how it is charged.

Every current is an average unless its name says peak. Nothing here is a verdict on compliance:
factors from memory are defaults that a person confirms from their own copy.
"""

from pathproof.calc.power.discharge import (
    Battery,
    Endurance,
    discharge_time_h,
    endurance,
    peukert_exponent,
    taken_charge_ah,
)
from pathproof.calc.power.standby import (
    END_OF_LIFE_RATIO,
    MARGINS,
    STANDARD_SIZES_AH,
    Allowance,
    BatterySize,
    Load,
    RequiredCapacity,
    SeparateFactors,
    StandbyDemand,
    WholeMargin,
    bs_5839_annex_capacity_ah,
    next_size,
    required_capacity,
    total_currents_a,
)
from pathproof.calc.power.temperature import temperature_factor

__all__ = [
    "END_OF_LIFE_RATIO",
    "MARGINS",
    "STANDARD_SIZES_AH",
    "Allowance",
    "Battery",
    "BatterySize",
    "Endurance",
    "Load",
    "RequiredCapacity",
    "SeparateFactors",
    "StandbyDemand",
    "WholeMargin",
    "bs_5839_annex_capacity_ah",
    "discharge_time_h",
    "endurance",
    "next_size",
    "peukert_exponent",
    "required_capacity",
    "taken_charge_ah",
    "temperature_factor",
    "total_currents_a",
]
