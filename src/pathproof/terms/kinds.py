"""The kinds of things, signals and happenings a job is made of."""

from enum import StrEnum


class LinkKind(StrEnum):
    """What carries a signal from one place to the next."""

    RADIO = "radio"  # device or repeater to repeater or panel
    MOBILE = "mobile"  # communicator to the mobile network
    REPORTING = "reporting"  # network to monitoring centre: path and time
    SUPPLY = "supply"  # volts at the load while the mains is there
    STANDBY = "standby"  # hours on the battery when it is not


class SignalKind(StrEnum):
    """What a device or the panel has to tell the centre."""

    ALARM = "alarm"
    TAMPER = "tamper"
    SUPERVISION = "supervision"
    LOW_BATTERY = "low_battery"
    MAINS_FAIL = "mains_fail"
    PATH_FAIL = "path_fail"
    SET = "set"
    UNSET = "unset"


PANEL_SIGNALS = (SignalKind.MAINS_FAIL, SignalKind.PATH_FAIL, SignalKind.SET, SignalKind.UNSET)
"""What the panel itself has to tell."""


class DeviceKind(StrEnum):
    """What a device watches or does."""

    CONTACT = "contact"
    MOTION = "motion"
    GLASS_BREAK = "glass_break"
    SHOCK = "shock"
    SMOKE = "smoke"
    HEAT = "heat"
    CARBON_MONOXIDE = "carbon_monoxide"
    FLOOD = "flood"
    HOLD_UP = "hold_up"
    KEYPAD = "keypad"
    REMOTE_CONTROL = "remote_control"
    SOUNDER = "sounder"
    OTHER = "other"


class ZoneKind(StrEnum):
    """How the panel treats a zone."""

    ENTRY_EXIT = "entry_exit"
    IMMEDIATE = "immediate"
    FOLLOWER = "follower"
    ALWAYS = "24h"
    HOLD_UP = "hold_up"
    FIRE = "fire"
    TAMPER = "tamper"
    TECHNICAL = "technical"


class Mounting(StrEnum):
    """What a device hangs on."""

    WOOD = "wood"
    MASONRY = "masonry"
    PLASTERBOARD = "plasterboard"
    GLASS = "glass"
    PLASTIC = "plastic"
    ON_METAL = "on_metal"


class Role(StrEnum):
    """What a communicator is for."""

    MAIN = "main"
    SECOND = "second"


class SimKind(StrEnum):
    """Which networks a SIM may use."""

    FIXED = "fixed"  # one network
    ROAMING = "roaming"  # any of several, the module chooses
    STEERED = "steered"  # several, the SIM's issuer prefers one


class AntennaPlace(StrEnum):
    """What kind of place a mobile antenna hangs in."""

    IN_PANEL = "in_panel"  # in the panel's case, on the module itself
    ON_WALL = "on_wall"
    ABOVE_CEILING = "above_ceiling"
    OUTSIDE = "outside"


class AccountState(StrEnum):
    """How far a communicator's SIM and account have come."""

    ORDERED = "ordered"
    REGISTERED = "registered"
    ACTIVE = "active"
    ON_TEST = "on_test"
    LIVE = "live"
    ENDED = "ended"


class Technology(StrEnum):
    """Mobile radio technologies."""

    GSM = "gsm"
    UMTS = "umts"
    LTE = "lte"
    LTE_M = "lte_m"
    NB_IOT = "nb_iot"
    NR = "nr"


class SupplyKind(StrEnum):
    """Where the panel's power comes from, by the types of EN 50131-6."""

    MAINS_RECHARGED = "mains_recharged"  # type A: mains, battery recharged by the system
    MAINS_NOT_RECHARGED = "mains_not_recharged"  # type B: mains, battery not recharged
    BATTERY_ONLY = "battery_only"  # type C


class RecordKind(StrEnum):
    """What a record entry tells."""

    READING = "reading"
    LEVEL = "level"
    WALK = "walk"
    EVENT = "event"
    SUPPLY_TEST = "supply_test"
    STEP = "step"
    PHOTO = "photo"
    SIGNATURE = "signature"
    CONFIRM = "confirm"
    OVERRIDE = "override"
    NOTE = "note"


class EventMeans(StrEnum):
    """How it is known that an event reached the centre."""

    LIST = "list"  # the centre's list of signals
    READ_BACK = "read_back"  # read back on the phone
    RECEIVER = "receiver"  # our own receiver


class UnderlayKind(StrEnum):
    """What a storey's underlay was made from."""

    PICTURE = "picture"
    PDF_PAGE = "pdf_page"
