"""Logs of a watch: readings taken over time, one answer or set of levels a line."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, timezone, tzinfo
from itertools import pairwise
from typing import Final, NamedTuple

from pathproof.instruments._read import read
from pathproof.instruments._reading import Reading
from pathproof.protocol.modem import other_lines, parse_signal_answers, shown
from pathproof.terms import InvalidInputError, PathproofError

MAX_LOG: Final = 1_000_000
"""Longest log; the record keeps it to the letter. [characters]"""
MAX_READINGS: Final = 5001
"""Most readings of one watch: the first, and those that the record holds after it."""


class NoTimeError(InvalidInputError):
    """A line tells no time, and none above it does."""


TimedReading = tuple[datetime, Reading]
"""When something was read, with offset, and what."""
Reader = Callable[[str], Reading]

_STAMP: Final = re.compile(
    r"""
    \s*\[?\s*
    (?:(?P<day>[0-9]{4}-[0-9]{2}-[0-9]{2})(?:T|\ +))?
    (?P<time>[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]{1,9}|,[0-9]{3}(?:[0-9]{3})?(?![0-9]))?)?)
    \ ?(?P<offset>Z|[+-][0-9]{2}:?[0-9]{2})?
    \s*\]?(?:\s*[,;|>]\s*|\s+|$)
    """,
    re.VERBOSE,
)
_HALF_A_DAY: Final = timedelta(hours=12)
_TIMES: Final = "10:15:00 or 2026-10-06T10:15:00+02:00"


@dataclass(frozen=True, kw_only=True)
class Log:
    """What was read over time, and what the log held besides."""

    readings: tuple[TimedReading, ...]
    """Each moment once, the earliest first."""
    passed_over: int
    """Lines that hold no reading: echo, OK, other reports, empty ones."""
    raw: str
    """The log to the letter."""


class _Stamp(NamedTuple):
    """A time as a line tells it."""

    line: int
    day: date | None
    time: time


class _Line(NamedTuple):
    """A line that holds a reading."""

    number: int
    text: str
    stamp: _Stamp | None
    """Its own time, or the last one above it."""
    commands: frozenset[str]
    """Whose answers it holds; none of levels written out."""


_Look = list[_Line]
"""Lines of one moment."""


def read_stamped_log(
    text: str, zone: tzinfo, first_day: Callable[[int], date], reader: Reader = read
) -> Log:
    """A watch from a log in which lines tell their time.

    Parameters
    ----------
    text : str
        Lines such as ``10:15:00 +CESQ: 99,99,255,255,20,40``, with the date or not, with the offset
        or not. A line without a time belongs to the last time above it. At most `MAX_LOG`.
    zone : tzinfo
        Time zone of times without an offset.
    first_day : callable
        Date of the first line where lines tell none, given how many midnights the log passes.
    reader : callable
        Reads the text of one moment.

    Raises
    ------
    NoTimeError
        A line that has no time, by its number.
    InvalidInputError
        A line that is neither a reading nor what commonly stands around one, or whose time is wrong
        or before the one above, by its number; no reading at all, or too many.

    Notes
    -----
    Where lines tell no date, a time that is more than half a day before the one above is that of
    the next day; any other step back is refused. +CSQ and +CESQ of the same time are one reading.
    """
    lines, passed_over = _reading_lines(text)
    looks: list[tuple[_Stamp, _Look]] = []
    for line in lines:
        stamp = _stamp_of(line, reader)
        if looks and stamp[1:] == looks[-1][0][1:] and _joins(looks[-1][1], line):
            looks[-1][1].append(line)
        else:
            looks.append((stamp, [line]))
    readings = [_read_look(look, reader) for _, look in looks]
    moments = _moments([stamp for stamp, _ in looks], zone, first_day)
    for (_, a), (_, b), before, after in zip(looks, looks[1:], moments, moments[1:], strict=False):
        if after == before:
            raise InvalidInputError(
                f"Line {b[0].number} has the same time as line {a[0].number}, "
                f"{after:%H:%M:%S}; one moment has one reading. Write each with its own time."
            )
    return _log(list(zip(moments, readings, strict=True)), passed_over, text)


def read_paced_log(
    text: str, every: timedelta, start: Callable[[timedelta], datetime], reader: Reader = read
) -> Log:
    """A watch from a log without times, of readings at a steady pace.

    Parameters
    ----------
    text : str
        Lines as `read` takes them; at most `MAX_LOG`.
    every : timedelta
        From one reading to the next, above 0.
    start : callable
        Moment of the first reading, given how long it is from there to the last.
    reader : callable
        Reads the text of one moment.

    Raises
    ------
    InvalidInputError
        A line that is neither a reading nor what commonly stands around one, or that tells a time,
        by its number; no reading at all, or too many.

    Notes
    -----
    An answer to another command than those before it belongs to the same reading: a log in which
    +CSQ and +CESQ alternate holds half as many readings as answers.
    """
    lines, passed_over = _reading_lines(text)
    timed = next((line.stamp for line in lines if line.stamp is not None), None)
    if timed is not None:
        raise InvalidInputError(
            f"Line {timed.line} tells its time, {timed.time.isoformat()}, so no pace can be given "
            "for the log. Leave the pace out, or the times."
        )
    looks: list[_Look] = []
    for line in lines:
        if looks and _joins(looks[-1], line):
            looks[-1].append(line)
        else:
            looks.append([line])
    first = _at_its_offset(start(every * (len(looks) - 1)))
    timed_readings = [(first + i * every, _read_look(x, reader)) for i, x in enumerate(looks)]
    return _log(timed_readings, passed_over, text)


def _log(readings: Sequence[TimedReading], passed_over: int, text: str) -> Log:
    if len(readings) > MAX_READINGS:
        raise InvalidInputError(
            f"The log holds {len(readings)} readings; a watch has {MAX_READINGS} at most. Split "
            "it, or read at a slower pace: a reading every ten seconds is as good."
        )
    return Log(readings=tuple(readings), passed_over=passed_over, raw=text)


def _reading_lines(text: str) -> tuple[list[_Line], int]:
    """The lines that hold readings, and how many others there are."""
    if len(text) > MAX_LOG:
        raise InvalidInputError(
            f"The log has {len(text)} characters or more; {MAX_LOG} are read at most. Split it."
        )
    lines, stamp = [], None
    every_line = re.split(r"\r*\n|\r", text.removeprefix("\ufeff").rstrip())
    for number, line in enumerate(every_line, start=1):
        with _named(number):
            own, rest = _cut(number, line)
            stamp = own or stamp
            answers = parse_signal_answers(rest)
            if answers or other_lines(rest):
                commands = frozenset(answer.command for answer in answers)
                lines.append(_Line(number, rest, stamp, commands))
    if not lines:
        raise InvalidInputError(
            f"{shown(text)} holds no reading; write one a line, as "
            "'10:15:00 +CESQ: 99,99,255,255,20,40' or '10:15:00 RSRP -97 dBm'."
        )
    return lines, len(every_line) - len(lines)


def _cut(number: int, line: str) -> tuple[_Stamp | None, str]:
    """The time at the start of a line, and the rest of it."""
    match = _STAMP.match(line)
    if match is None:
        return None, line
    hours, _, rest = match["time"].partition(":")
    try:
        moment = time.fromisoformat(f"{hours:0>2}:{rest}{match['offset'] or ''}")
        day = None if match["day"] is None else date.fromisoformat(match["day"])
    except ValueError as error:
        raise InvalidInputError(
            f"{shown(match[0].strip())} is not a time; write it as {_TIMES}."
        ) from error
    return _Stamp(number, day, moment), line[match.end() :]


@contextmanager
def _named(number: int) -> Iterator[None]:
    try:
        yield
    except PathproofError as error:
        raise InvalidInputError(f"Line {number}: {error}") from error


def _stamp_of(line: _Line, reader: Reader) -> _Stamp:
    if line.stamp is None:
        raise NoTimeError(
            f"Line {line.number} has no time: {shown(line.text)}.{_no_reading(line, reader)} Begin "
            f"it with one, as {_TIMES}, or say how far apart the readings are."
        )
    return line.stamp


def _no_reading(line: _Line, reader: Reader) -> str:
    """That a line is no reading either; empty where it is one."""
    try:
        reader(line.text)
    except PathproofError:
        return " It is no reading either: where it is a heading, take it out."
    return ""


def _moments(
    stamps: Sequence[_Stamp], zone: tzinfo, first_day: Callable[[int], date]
) -> list[datetime]:
    """Moments of times in order, in the zone where they tell no offset."""
    odd = next((s for s in stamps if (s.day is None) != (stamps[0].day is None)), None)
    if odd is not None:
        has, had = ("no date", "has one") if odd.day is None else ("a date", "has none")
        raise InvalidInputError(
            f"Line {odd.line} has {has} and line {stamps[0].line} {had}; write the date in every "
            "line, or in none."
        )
    nights = list(_midnights(stamps))
    first = stamps[0].day or first_day(nights[-1])
    moments = [
        _at_its_offset(
            datetime.combine(s.day or first + timedelta(days=n), s.time, s.time.tzinfo or zone)
        )
        for s, n in zip(stamps, nights, strict=True)
    ]
    for (a, before), (b, after) in pairwise(zip(stamps, moments, strict=True)):
        if after < before:
            raise InvalidInputError(
                f"Line {b.line}: {b.time.isoformat()} is before {a.time.isoformat()} in line "
                f"{a.line}; lines have to stand in the order they were read. If the clock was put "
                "back meanwhile, write times with their offset, as 2026-10-06T10:15:00+02:00."
            )
    return moments


def _at_its_offset(moment: datetime) -> datetime:
    """The moment with the offset it has: within a zone, differences are those of clock faces."""
    return moment.replace(tzinfo=timezone(moment.utcoffset() or timedelta()))


def _midnights(stamps: Sequence[_Stamp]) -> Iterator[int]:
    """How many midnights lie between the first time and each, by times alone."""
    passed = 0
    yield passed
    for before, after in pairwise(stamps):
        back = datetime.combine(date.min, before.time.replace(tzinfo=None)) - datetime.combine(
            date.min, after.time.replace(tzinfo=None)
        )
        passed += back > _HALF_A_DAY
        yield passed


def _joins(look: Iterable[_Line], line: _Line) -> bool:
    """Whether a line answers another command than the lines of a look."""
    return bool(line.commands) and all(x.commands and not x.commands & line.commands for x in look)


def _read_look(look: Sequence[_Line], reader: Reader) -> Reading:
    with _named(look[0].number):
        return reader("\n".join(line.text for line in look))
