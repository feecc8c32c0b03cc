"""Dates and times as lists write them."""

import re
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from enum import StrEnum
from typing import Final

from pathproof.protocol.modem import shown
from pathproof.terms import InvalidInputError

_YEARS: Final = range(2000, 2100)
_DATE: Final = (
    r"(?P<first>[0-9]{4}|[0-9]{1,2})[-./](?P<second>[0-9]{1,2})[-./](?P<third>[0-9]{4}|[0-9]{1,2})"
)
_MOMENT: Final = re.compile(
    rf"""
    (?:{_DATE}(?:T|,?\ ))?
    (?P<hour>[0-9]{{1,2}}):(?P<minute>[0-9]{{2}})(?::(?P<s>[0-9]{{2}})(?:[.,][0-9]{{1,9}})?)?
    (?:\ ?(?P<half>[ap])\.?m\.?)?
    (?:\ ?(?P<offset>Z|[+-][0-9]{{2}}:?[0-9]{{2}}))?
    """,
    re.VERBOSE | re.IGNORECASE,
)
_DATE_ALONE: Final = re.compile(_DATE)
_FORMS: Final = "2026-11-25 10:15:00, 25.11.2026 10:15:00 or 11/25/2026 10:15:00 am"


class DateOrder(StrEnum):
    """In which order a date is written; one that begins with its year is always read so."""

    ISO = "iso"  # year, month, day
    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"


def moment_in(text: str, order: DateOrder, zone: tzinfo, day: date | None) -> tuple[datetime, bool]:
    """When it was, with the offset of the zone, and whether the text says it to the second.

    Parameters
    ----------
    text : str
        Date and time, or a time alone. White space is single.
    order : DateOrder
        How dates are written.
    zone : tzinfo
        Zone of times without an offset, and of what is returned.
    day : date, optional
        Date of a time alone.

    Raises
    ------
    InvalidInputError
        No time, no date, one that does not exist, or one that the clock shows twice.
    """
    match = _MOMENT.fullmatch(text)
    if match is None:
        raise InvalidInputError(f"{shown(text)} is no time; write it as {_FORMS}")
    if match["first"] is not None:
        day = _date(match, order, text)
    if day is None:
        raise InvalidInputError(
            f"{shown(text)} has no date; say which column holds it, or of which day the list is"
        )
    at = datetime.combine(day, _time(match, text))
    if match["offset"] is not None:
        moment = at.replace(tzinfo=_offset(match["offset"], text)).astimezone(zone)
    else:
        moment = _local(at, zone)
    offset = moment.utcoffset() or timedelta()  # within one zone, clock faces would be compared
    return moment.replace(tzinfo=timezone(offset)), match["s"] is not None


def date_parts(text: str) -> tuple[int, int, int] | None:
    """The three numbers of a date at the start of a text, as they stand; none without one."""
    match = _DATE_ALONE.match(text)
    return None if match is None else (int(match[1]), int(match[2]), int(match[3]))


def _date(match: re.Match[str], order: DateOrder, text: str) -> date:
    first, second, third = match["first"], match["second"], match["third"]
    if len(first) == 4:
        year, month, day = first, second, third
    elif order is DateOrder.DAY_FIRST:
        day, month, year = first, second, third
    elif order is DateOrder.MONTH_FIRST:
        month, day, year = first, second, third
    else:
        raise InvalidInputError(
            f"{shown(text)} does not begin with a year; say whether the day or the month is first"
        )
    full_year = int(year) + (0 if len(year) == 4 else _YEARS.start)
    if full_year not in _YEARS:
        raise InvalidInputError(
            f"{shown(text)} is of the year {full_year}; allowed: {_YEARS[0]} to {_YEARS[-1]}"
        )
    try:
        return date(full_year, int(month), int(day))
    except ValueError as error:
        raise InvalidInputError(
            f"{shown(text)} is no date: month {int(month)}, day {int(day)}; dates are read "
            f"{order.replace('_', ' ')}, so is their order right?"
        ) from error


def _time(match: re.Match[str], text: str) -> time:
    hour = int(match["hour"])
    if match["half"] is not None:
        if not 1 <= hour <= 12:
            raise InvalidInputError(f"{shown(text)} is no time: with am or pm, hours are 1 to 12")
        hour = hour % 12 + (12 if match["half"].lower() == "p" else 0)
    try:
        return time(hour, int(match["minute"]), int(match["s"] or 0))
    except ValueError as error:
        raise InvalidInputError(f"{shown(text)} is no time; write it as {_FORMS}") from error


def _offset(given: str, text: str) -> timezone:
    if given in "Zz":
        return UTC
    hours, minutes = int(given[1:3]), int(given[-2:])
    if hours > 14 or minutes > 59:
        raise InvalidInputError(f"{shown(text)} has an offset of {given}; allowed: up to 14:00")
    offset = timedelta(hours=hours, minutes=minutes)
    return timezone(-offset if given[0] == "-" else offset)


def _local(at: datetime, zone: tzinfo) -> datetime:
    moment, again = at.replace(tzinfo=zone), at.replace(tzinfo=zone, fold=1)
    if moment.utcoffset() != again.utcoffset():
        raise InvalidInputError(
            f"{at:%H:%M} on {at:%Y-%m-%d} is in the hour in which clocks change, so it may be "
            "twice or never; write it with its offset, as 10:15:00+02:00"
        )
    return moment
