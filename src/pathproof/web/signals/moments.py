"""Moments as forms tell them: in the site's time zone, and never still to come."""

from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from pathproof.job import MOMENT_YEARS
from pathproof.terms import InvalidInputError

_CLOCKS_DIFFER: Final = timedelta(minutes=10)
"""A phone's clock that is this much ahead is taken for right now."""

_OVER_MIDNIGHT: Final = timedelta(hours=6)
"""A time of day that is to come is meant of the day before for so long. House choice."""


def moment_of(text: str, time_zone: str, now: datetime) -> datetime:
    """A moment, that of the site's clocks where it has no offset.

    Raises
    ------
    InvalidInputError
        No moment, or one that is still to come.
    """
    try:
        given = datetime.fromisoformat(text.strip().replace("Z", "+00:00"))
    except ValueError as error:
        raise InvalidInputError(
            f"{text!r} is no moment; give day and time, as 2026-11-25 10:15."
        ) from error
    zone = ZoneInfo(time_zone)
    moment = given.replace(tzinfo=zone) if given.tzinfo is None else given
    if moment > now + _CLOCKS_DIFFER:
        raise InvalidInputError(
            f"{given:%Y-%m-%d %H:%M} is still to come, and the record holds what happened. Give "
            "when it happened, or leave it empty for now."
        )
    if given.year not in MOMENT_YEARS:
        raise InvalidInputError(
            f"{text!r} is of the year {given.year}; allowed: from {MOMENT_YEARS[0]} on."
        )
    return min(moment, now).astimezone(zone)


def typed_moment(text: str, now: datetime) -> datetime | None:
    """The moment that a page kept with what was typed, up to now; none where it makes no sense."""
    try:
        given = datetime.fromisoformat(text.strip().replace("Z", "+00:00"))
    except ValueError:
        return None
    return None if given.tzinfo is None or given.year not in MOMENT_YEARS else min(given, now)


def time_of(text: str, day: datetime) -> datetime:
    """A time of day on the day of a moment, or of the day before where that would be to come.

    Raises
    ------
    InvalidInputError
        No time of day, or one that is to come and was long ago on the day before.
    """
    try:
        given = time.fromisoformat(text.strip())
    except ValueError as error:
        raise InvalidInputError(f"{text!r} is no time; give it as 10:15:00.") from error
    moment = datetime.combine(day.date(), given.replace(tzinfo=None), tzinfo=day.tzinfo)
    if moment <= day + _CLOCKS_DIFFER:
        return moment
    before = moment - timedelta(days=1)
    if day - before > _OVER_MIDNIGHT:
        raise InvalidInputError(
            f"{given:%H:%M:%S} is still to come: it is later than {day:%H:%M}, and the day before "
            "it is too long ago to be meant. Correct it, or give the day and time of the event."
        )
    return before
