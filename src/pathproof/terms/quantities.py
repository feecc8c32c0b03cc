"""Names of measured quantities and building materials."""

from enum import StrEnum


class Quantity(StrEnum):
    """A mobile or device radio level; the unit is the suffix of the name."""

    RSSI_DBM = "rssi_dbm"
    RXLEV_DBM = "rxlev_dbm"
    RSCP_DBM = "rscp_dbm"
    ECNO_DB = "ecno_db"
    RSRP_DBM = "rsrp_dbm"
    RSRQ_DB = "rsrq_db"
    SINR_DB = "sinr_db"
    SS_RSRP_DBM = "ss_rsrp_dbm"
    SS_RSRQ_DB = "ss_rsrq_db"
    SS_SINR_DB = "ss_sinr_db"
    BER_PERCENT = "ber_percent"


class Material(StrEnum):
    """Rows of Rec. ITU-R P.2040 table 3 that a building can hold, and air."""

    AIR = "air"
    CONCRETE = "concrete"
    BRICK = "brick"
    PLASTERBOARD = "plasterboard"
    WOOD = "wood"
    GLASS = "glass"
    CEILING_BOARD = "ceiling_board"
    CHIPBOARD = "chipboard"
    PLYWOOD = "plywood"
    MARBLE = "marble"
    FLOORBOARD = "floorboard"
    VINYL_TILE = "vinyl_tile"
    CARPET_TILE = "carpet_tile"
    ASPHALT_CONCRETE = "asphalt_concrete"
    METAL = "metal"
    VERY_DRY_GROUND = "very_dry_ground"
    MEDIUM_DRY_GROUND = "medium_dry_ground"
    WET_GROUND = "wet_ground"
