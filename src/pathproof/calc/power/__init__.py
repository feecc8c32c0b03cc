"""Power: what standby asks of a battery, how long it lasts and how it is charged.

Every current is an average unless its name says peak. Nothing here is a verdict on compliance:
factors from memory are defaults that a person confirms from their own copy.
"""

from pathproof.calc.power.cells import CELL_TYPES, CellLife, CellType, CellUse, cell_life
from pathproof.calc.power.charging import (
    CHARGE_LIMIT_PER_H,
    FloatVoltage,
    SupplyRating,
    charging_current_a,
    float_voltage,
    recharge_time_h,
    supply_rating,
)
from pathproof.calc.power.discharge import (
    Battery,
    Endurance,
    discharge_time_h,
    endurance,
    peukert_exponent,
    taken_charge_ah,
)
from pathproof.calc.power.life import (
    REPLACEMENT_RULES,
    ReplacementRule,
    replace_after_years,
    service_life_years,
)
from pathproof.calc.power.limited_sources import (
    VOLTAGE_LIMITS,
    Class2Limits,
    Class2Supply,
    VoltageLimit,
    class_2_limits,
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
    "CELL_TYPES",
    "CHARGE_LIMIT_PER_H",
    "END_OF_LIFE_RATIO",
    "MARGINS",
    "REPLACEMENT_RULES",
    "STANDARD_SIZES_AH",
    "VOLTAGE_LIMITS",
    "Allowance",
    "Battery",
    "BatterySize",
    "CellLife",
    "CellType",
    "CellUse",
    "Class2Limits",
    "Class2Supply",
    "Endurance",
    "FloatVoltage",
    "Load",
    "ReplacementRule",
    "RequiredCapacity",
    "SeparateFactors",
    "StandbyDemand",
    "SupplyRating",
    "VoltageLimit",
    "WholeMargin",
    "bs_5839_annex_capacity_ah",
    "cell_life",
    "charging_current_a",
    "class_2_limits",
    "discharge_time_h",
    "endurance",
    "float_voltage",
    "next_size",
    "peukert_exponent",
    "recharge_time_h",
    "replace_after_years",
    "required_capacity",
    "service_life_years",
    "supply_rating",
    "taken_charge_ah",
    "temperature_factor",
    "total_currents_a",
]
