"""Power of a site: what takes current, how long the battery carries it, what supply and cables do.

Hours and volts of the links `standby` and `supply`, each figure with its working.
"""

from pathproof.assess.power.battery_life import BatteryLife, battery_life
from pathproof.assess.power.changes import power_changes
from pathproof.assess.power.loads import (
    Draws,
    LoadSchedule,
    draws_of,
    load_schedule,
    write_averages,
    write_loads,
)
from pathproof.assess.power.replacements import first_visit, replacements
from pathproof.assess.power.standby import standby_link
from pathproof.assess.power.supply import supply_link

__all__ = [
    "BatteryLife",
    "Draws",
    "LoadSchedule",
    "battery_life",
    "draws_of",
    "first_visit",
    "load_schedule",
    "power_changes",
    "replacements",
    "standby_link",
    "supply_link",
    "write_averages",
    "write_loads",
]
