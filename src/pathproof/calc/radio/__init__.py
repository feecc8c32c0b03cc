"""Radio from device to panel: propagation, walls and floors, budgets and odds.

The compiled crossing rule is not re-exported here, so that nobody pays for its compiler who does
not need it: import :mod:`pathproof.calc.radio.crossings` for the plain rule and for what single
rays cross, :mod:`pathproof.calc.radio.shadows` for maps, and :mod:`pathproof.calc.radio.scattered`
for many places that lie on no raster.
"""

from pathproof.calc.radio.budget import (
    OpenAirBudget,
    allowed_loss_db,
    dbuv_per_m_from_uv_per_m,
    eirp_dbm_from_erp_dbm,
    eirp_dbm_from_field_strength,
    joint_odds,
    link_odds,
    margin_for_odds_db,
    open_air_budget,
)
from pathproof.calc.radio.feeder import feeder_loss_db
from pathproof.calc.radio.floors import (
    FLOOR_EXPONENT,
    FLOOR_LOSS_DB,
    HEAVY_WALL_LOSS_DB,
    LIGHT_WALL_LOSS_DB,
    cost231_floor_loss_db,
)
from pathproof.calc.radio.materials import (
    P2040_EDITION,
    P2040_ROWS,
    BelowRange,
    MaterialRow,
    is_extrapolated,
    relative_permittivity,
)
from pathproof.calc.radio.propagation import (
    free_space_path_loss_db,
    two_ray_break_point_m,
    two_ray_path_loss_db,
)
from pathproof.calc.radio.walls import (
    CLUTTER_FLOOR_DB,
    LINK_ANGLE_CAP_DEG,
    Layer,
    LinkLoss,
    StackLoss,
    StackTransmission,
    link_loss,
    link_loss_table_db,
    stack_loss_db,
    stack_transmission,
)

__all__ = [
    "CLUTTER_FLOOR_DB",
    "FLOOR_EXPONENT",
    "FLOOR_LOSS_DB",
    "HEAVY_WALL_LOSS_DB",
    "LIGHT_WALL_LOSS_DB",
    "LINK_ANGLE_CAP_DEG",
    "P2040_EDITION",
    "P2040_ROWS",
    "BelowRange",
    "Layer",
    "LinkLoss",
    "MaterialRow",
    "OpenAirBudget",
    "StackLoss",
    "StackTransmission",
    "allowed_loss_db",
    "cost231_floor_loss_db",
    "dbuv_per_m_from_uv_per_m",
    "eirp_dbm_from_erp_dbm",
    "eirp_dbm_from_field_strength",
    "feeder_loss_db",
    "free_space_path_loss_db",
    "is_extrapolated",
    "joint_odds",
    "link_loss",
    "link_loss_table_db",
    "link_odds",
    "margin_for_odds_db",
    "open_air_budget",
    "relative_permittivity",
    "stack_loss_db",
    "stack_transmission",
    "two_ray_break_point_m",
    "two_ray_path_loss_db",
]
