"""Logs of a watch as the command line takes them: a file or standard input, times or a pace."""

import re
import sys
from datetime import UTC, date, timedelta
from pathlib import Path
from typing import Annotated, Final
from zoneinfo import ZoneInfo

import typer

from pathproof.cli._jobs import as_day, as_of_moment
from pathproof.cli._options import wrong_use
from pathproof.cli._readings import FROM_INPUT
from pathproof.cli._record import when
from pathproof.instruments import (
    MAX_LOG,
    Log,
    NoTimeError,
    Reader,
    read_paced_log,
    read_stamped_log,
)
from pathproof.job import Site
from pathproof.terms import InvalidInputError, JobError

_PACE: Final = re.compile(r"([0-9]{1,5}(?:\.[0-9]{1,3})?) ?(s|min)?", re.ASCII)
_MOST_BYTES: Final = 4 * MAX_LOG  # of as many characters in UTF-8
_LONGEST_PACE: Final = timedelta(hours=1)


def as_pace(text: str) -> timedelta:
    """The time from one reading to the next that an option was given.

    Raises
    ------
    typer.BadParameter
        Not a time, none at all, or more than an hour.
    """
    match = _PACE.fullmatch(text.strip())
    pace = timedelta() if match is None else timedelta(seconds=float(match[1]))
    if match is not None and match[2] == "min":
        pace *= 60
    if not timedelta() < pace <= _LONGEST_PACE:
        raise typer.BadParameter(
            f"given {text!r}; allowed: the time from one reading to the next, up to an hour, such "
            "as 10s or 1min."
        )
    return pace


WatchLog = Annotated[
    str | None,
    typer.Option(
        "--watch",
        metavar="LOG",
        help="In place of TEXT: a file with readings over time, one a line with its time in front "
        "(10:15:00, of the day of --at, or 2026-10-06T10:15:00+02:00); - reads standard input.",
    ),
]
Every = Annotated[
    timedelta | None,
    typer.Option(
        parser=as_pace,
        metavar="TIME",
        help="From one reading to the next, such as 10s, where the log tells no times.",
    ),
]


def read_log(
    source: str, every: timedelta | None, at: str | None, site: Site, reader: Reader
) -> Log:
    """The watch in a file, or in standard input where its name is `-`.

    Raises
    ------
    JobError
        The file cannot be read, or is no text.
    PathproofError
        A line that is no reading, or a time that is none, by its line.
    typer.BadParameter
        The lines tell their dates and --at does too.
    """
    text = _text_of(source)
    zone = ZoneInfo(site.time_zone)
    present = as_of_moment(None, site)
    told = None if at is None or as_day(at) == present.date() else when(at, site).astimezone(zone)
    days_asked: list[int] = []

    def first_day(nights: int) -> date:
        days_asked.append(nights)
        return present.date() - timedelta(days=nights) if told is None else told.date()

    if every is not None:
        # within a zone it would be clock faces that are subtracted
        ends = present.astimezone(UTC)
        log = read_paced_log(
            text, every, lambda lasts: told or (ends - lasts).astimezone(zone), reader
        )
    else:
        try:
            log = read_stamped_log(text, zone, first_day, reader)
        except NoTimeError as error:
            raise NoTimeError(f"{error} The option for that is --every, as --every 10s.") from error
        if told is not None and not days_asked:
            raise wrong_use("the lines tell their dates; leave it out", "--at")
    return log


def refuse_what_is_to_come(log: Log, site: Site) -> None:
    """The record holds what happened.

    Raises
    ------
    typer.BadParameter
        The last reading is still to come.
    """
    last = log.readings[-1][0]
    if last > as_of_moment(None, site):
        raise wrong_use(
            f"the last reading would be of {last.isoformat(timespec='seconds')}, which is still "
            "to come. Give the day of the first one, or its moment where the log tells no times.",
            "--at",
        )


def _text_of(source: str) -> str:
    """The text to the letter, line ends too; no more of it than shows that it is too long."""
    try:
        if source == FROM_INPUT:
            data = sys.stdin.buffer.read(_MOST_BYTES + 1)
        else:
            with Path(source).open("rb") as file:
                data = file.read(_MOST_BYTES + 1)
        return data.decode("utf-8", "strict" if len(data) <= _MOST_BYTES else "replace")
    except UnicodeDecodeError as error:
        what = "Standard input" if source == FROM_INPUT else f"'{source}'"
        raise InvalidInputError(
            f"{what} is not text in UTF-8; save the log as plain text in UTF-8."
        ) from error
    except OSError as error:
        raise JobError(
            f"'{source}' cannot be read: {error.strerror}. Give the file that holds the log, or - "
            "for standard input."
        ) from error
