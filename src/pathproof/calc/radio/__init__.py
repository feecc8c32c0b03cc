"""Radio: propagation, walls and floors, budgets and odds, antennas and their feeders, exposure.

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
from pathproof.calc.radio.entry_loss import (
    P2109_EDITION,
    BuildingType,
    building_entry_loss_db,
)
from pathproof.calc.radio.exposure import (
    EXPOSURE_LIMITS,
    PUBLIC_RULES,
    STATED_DISTANCE_M,
    DistanceRule,
    DistanceToKeep,
    ExposureLimit,
    distance_to_keep,
    exposure_limit_w_per_m2,
    far_field_distance_m,
    near_field_limit_m,
)
from pathproof.calc.radio.feeder import (
    COAX_TYPES,
    CONNECTOR_GOOD_DB,
    CONNECTOR_PLANNING_DB,
    CoaxLoss,
    CoaxType,
    break_even_length_m,
    coax_loss,
    feeder_loss_db,
)
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
from pathproof.calc.radio.mismatch import (
    MismatchLoss,
    mismatch_loss_db,
    reflection_ratio,
    return_loss_db,
    return_loss_seen_db,
    two_mismatches_loss_db,
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
    "COAX_TYPES",
    "CONNECTOR_GOOD_DB",
    "CONNECTOR_PLANNING_DB",
    "EXPOSURE_LIMITS",
    "FLOOR_EXPONENT",
    "FLOOR_LOSS_DB",
    "HEAVY_WALL_LOSS_DB",
    "LIGHT_WALL_LOSS_DB",
    "LINK_ANGLE_CAP_DEG",
    "P2040_EDITION",
    "P2040_ROWS",
    "P2109_EDITION",
    "PUBLIC_RULES",
    "STATED_DISTANCE_M",
    "BelowRange",
    "BuildingType",
    "CoaxLoss",
    "CoaxType",
    "DistanceRule",
    "DistanceToKeep",
    "ExposureLimit",
    "Layer",
    "LinkLoss",
    "MaterialRow",
    "MismatchLoss",
    "OpenAirBudget",
    "StackLoss",
    "StackTransmission",
    "allowed_loss_db",
    "break_even_length_m",
    "building_entry_loss_db",
    "coax_loss",
    "cost231_floor_loss_db",
    "dbuv_per_m_from_uv_per_m",
    "distance_to_keep",
    "eirp_dbm_from_erp_dbm",
    "eirp_dbm_from_field_strength",
    "exposure_limit_w_per_m2",
    "far_field_distance_m",
    "feeder_loss_db",
    "free_space_path_loss_db",
    "is_extrapolated",
    "joint_odds",
    "link_loss",
    "link_loss_table_db",
    "link_odds",
    "margin_for_odds_db",
    "mismatch_loss_db",
    "near_field_limit_m",
    "open_air_budget",
    "reflection_ratio",
    "relative_permittivity",
    "return_loss_db",
    "return_loss_seen_db",
    "stack_loss_db",
    "stack_transmission",
    "two_mismatches_loss_db",
    "two_ray_break_point_m",
    "two_ray_path_loss_db",
]
