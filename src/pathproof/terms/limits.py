"""Names of the limits and house figures that a profile gives."""

from enum import StrEnum


class LimitName(StrEnum):
    """A figure that a profile sets; the unit is the suffix of the name."""

    # radio, device to panel
    RADIO_ODDS_RATIO = "radio_odds_ratio"
    RADIO_SPREAD_NO_PLAN_DB = "radio_spread_no_plan_db"
    RADIO_SPREAD_PLAN_DB = "radio_spread_plan_db"
    RADIO_SPREAD_MEASURED_DB = "radio_spread_measured_db"
    NOISE_NEAR_ELECTRONICS_DB = "noise_near_electronics_db"
    MOUNTED_ON_METAL_DB = "mounted_on_metal_db"
    CARRIED_ON_BODY_DB = "carried_on_body_db"
    WALK_IN_HAND_DB = "walk_in_hand_db"
    WALK_MESSAGES = "walk_messages"
    LEVEL_READINGS = "level_readings"
    LEVEL_IN_HAND_DB = "level_in_hand_db"
    # mobile
    MOBILE_FADE_MARGIN_DB = "mobile_fade_margin_db"
    MOBILE_SPREAD_SINGLE_READING_DB = "mobile_spread_single_reading_db"
    MOBILE_READINGS = "mobile_readings"
    MOBILE_MINUTES = "mobile_minutes"
    MOBILE_MAX_AGE_DAYS = "mobile_max_age_days"
    MOBILE_CERTAINTY_RATIO = "mobile_certainty_ratio"
    MOBILE_SETTLED_MIN = "mobile_settled_min"
    MOBILE_PATHS = "mobile_paths"
    ANTENNA_CROSSED_DB = "antenna_crossed_db"
    ANTENNA_NEAR_METAL_DB = "antenna_near_metal_db"
    MOBILE_NETWORKS_ROAMING = "mobile_networks_roaming"
    GSM_NEED_RSSI_DBM = "gsm_need_rssi_dbm"
    UMTS_NEED_RSCP_DBM = "umts_need_rscp_dbm"
    LTE_NEED_RSRP_DBM = "lte_need_rsrp_dbm"
    LTE_M_NEED_RSRP_DBM = "lte_m_need_rsrp_dbm"
    NB_IOT_NEED_RSRP_DBM = "nb_iot_need_rsrp_dbm"
    NR_NEED_SS_RSRP_DBM = "nr_need_ss_rsrp_dbm"
    LTE_WARN_RSRQ_DB = "lte_warn_rsrq_db"
    # reporting and supervision
    SUPERVISION_INTERVAL_S = "supervision_interval_s"
    SUPERVISION_BLOCKS_SETTING_S = "supervision_blocks_setting_s"
    EVENT_AT_CENTRE_S = "event_at_centre_s"
    PATH_LOSS_NOTICED_S = "path_loss_noticed_s"
    # power
    STANDBY_H = "standby_h"
    ALARM_MIN = "alarm_min"
    STANDBY_MARGIN_RATIO = "standby_margin_ratio"
    AGEING_RATIO = "ageing_ratio"
    RECHARGE_H = "recharge_h"
    SUPPLY_MIN_V = "supply_min_v"
