"""Levels as a phone, a meter or a person writes them: `RSRP -97 dBm`, `rsrp=-97 rsrq=-11`."""

import re
from typing import Final, NamedTuple

from pathproof.instruments._reading import Reading
from pathproof.protocol.modem import (
    CESQ_ECNO,
    CESQ_RSCP,
    CESQ_RXLEV,
    LTE_RS_SINR,
    LTE_RSRP,
    LTE_RSRQ,
    NR_SS_RSRP,
    NR_SS_RSRQ,
    NR_SS_SINR,
    Level,
    TableSource,
    shown,
)
from pathproof.terms import Evidence, InvalidInputError, OutOfRangeError, Quantity

FORMS: Final = (
    "'+CESQ: 99,99,255,255,20,40', '+CSQ: 16,99', 'RSRP -97 dBm' or 'rsrp=-97 rsrq=-11 sinr=8'"
)
_UNNAMED: Final = (
    "No quantity named: read as RSSI, the total received power. If the instrument shows RSRP, "
    "write 'RSRP' before the number."
)


class Limits(NamedTuple):
    """Levels that an instrument can show, and who says so."""

    low: float
    high: float
    unit: str
    source: TableSource


LIMITS: Final = {
    table.quantity: Limits(table.lowest, table.highest, table.unit, table.source)
    for table in (
        CESQ_RXLEV,
        CESQ_RSCP,
        CESQ_ECNO,
        LTE_RSRP,
        LTE_RSRQ,
        LTE_RS_SINR,
        NR_SS_RSRP,
        NR_SS_RSRQ,
        NR_SS_SINR,
    )
} | {
    # Both ends of the +CSQ table are open. Below: thermal noise in the narrowest channel,
    # 180 kHz, is -121 dBm. Above: receivers are overdriven.
    Quantity.RSSI_DBM: Limits(
        low=-125.0,
        high=-20.0,
        unit="dBm",
        source=TableSource(
            ref="common practice (no source)", clause="", evidence=Evidence.PRACTICE
        ),
    ),
}
"""What a level written out may be. [unit of the quantity]"""

_ALLOWED_NAMES: Final = ", ".join(quantity.value.rsplit("_", 1)[0] for quantity in LIMITS)
# Without blanks, dashes and strokes, with the unit or not.
_NAMES: Final = (
    {quantity.value.replace("_", ""): quantity for quantity in LIMITS}
    | {quantity.value.rsplit("_", 1)[0].replace("_", ""): quantity for quantity in LIMITS}
    | {"ecio": Quantity.ECNO_DB, "rssinr": Quantity.SINR_DB}
)

_ITEM: Final = re.compile(
    r"""
    (?:(?P<name>[a-z][a-z/_\ -]{0,30}?)\ ?[:=]?\ ?)?
    (?P<number>[+-]?[0-9]{1,4}(?:\.[0-9]{1,6}|,[0-9]{1,2}(?![0-9]))?)
    \ ?(?P<unit>dbm|db)?
    (?![a-z0-9.%])[\ ,;|]*
    """,
    re.IGNORECASE | re.VERBOSE,
)
_MINUS: Final = str.maketrans("\u2010\u2011\u2012\u2013\u2212", "-----")


def read_plain(text: str, quantity: Quantity | None = None) -> Reading:
    """Reading of levels written out, each a bin of its own last digit.

    Parameters
    ----------
    text : str
        One or several levels with their names; a comma may be the decimal sign.
    quantity : Quantity, optional
        What a number without a name is.

    Raises
    ------
    InvalidInputError
        Not in one of the forms, no quantity named, or one named twice.
    OutOfRangeError
        A level that no instrument can show.
    """
    line = " ".join(text.translate(_MINUS).split())
    levels: dict[Quantity, Level] = {}
    notes = []
    at = 0
    while at < len(line) or not levels:
        item = _ITEM.match(line, at)
        if item is None:
            raise InvalidInputError(
                f"{shown(line[at:])} cannot be read as a level; write it as {FORMS}."
            )
        named = _quantity(item["name"], item["unit"], quantity)
        if named is None:
            notes.append(_UNNAMED)
        level = _level(named or Quantity.RSSI_DBM, item["number"], item["unit"])
        if level.quantity in levels:
            raise InvalidInputError(
                f"{level.quantity.value} is given twice in {shown(text)}; a reading has one level "
                "of each quantity. Write one reading a line."
            )
        levels[level.quantity] = level
        at = item.end()
    return Reading(
        levels=tuple(levels.values()), notes=tuple(notes), instrument="level written out", raw=text
    )


def _quantity(name: str | None, unit: str | None, default: Quantity | None) -> Quantity | None:
    """Quantity of an item, None for a bare level in dBm."""
    if name is None and default is None:
        if unit is None or unit.lower() != "dbm":
            raise InvalidInputError(
                "A number alone does not say what was measured; allowed are "
                f"{_ALLOWED_NAMES}. Write it as {FORMS}."
            )
        return None
    found = default if name is None else _NAMES.get(re.sub(r"[/_ -]", "", name).lower())
    if found not in LIMITS:
        raise InvalidInputError(
            f"{shown(name or str(found))} is not a quantity that is written out; allowed are "
            f"{_ALLOWED_NAMES}. Write it as {FORMS}."
        )
    return found


def _level(quantity: Quantity, number: str, unit: str | None) -> Level:
    limits = LIMITS[quantity]
    if unit is not None and unit.lower() != limits.unit.lower():
        raise InvalidInputError(
            f"{quantity.value} was given as {shown(f'{number} {unit}')}; its unit is "
            f"{limits.unit}. Check which quantity the instrument shows."
        )
    point = number.replace(",", ".")
    value = float(point)
    if not limits.low <= value <= limits.high:
        raise OutOfRangeError(
            quantity.value, value, limits.low, limits.high, limits.unit, str(limits.source)
        )
    decimals = len(point.partition(".")[2])
    half_step = 0.5 * 10.0**-decimals
    return Level(
        quantity=quantity,
        value=value,
        low=round(value - half_step, decimals + 1),
        high=round(value + half_step, decimals + 1),
    )
