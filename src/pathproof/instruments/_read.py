"""Any text that an instrument or a person gives, read as levels."""

from collections.abc import Sequence
from typing import Final

from pathproof.instruments._plain import FORMS, read_plain
from pathproof.instruments._reading import Reading
from pathproof.protocol.modem import (
    Level,
    SignalAnswer,
    other_lines,
    parse_signal_answers,
    shown,
)
from pathproof.terms import InvalidInputError, PathproofError, Quantity

MAX_TEXT: Final = 2000
"""Longest text of one reading; the record keeps it to the letter."""
MAX_LINES: Final = 5000


def read(text: str, *, quantity: Quantity | None = None) -> Reading:
    """One reading: a pasted module answer or levels written out.

    Parameters
    ----------
    text : str
        A pasted text with a +CSQ or +CESQ answer or one of each, or levels such as
        ``RSRP -97 dBm``; at most `MAX_TEXT` characters.
    quantity : Quantity, optional
        What a number without a name is.

    Raises
    ------
    RemoteProtocolError
        A module answer that does not follow TS 27.007.
    InvalidInputError
        Anything else that is not a reading.
    OutOfRangeError
        A level that no instrument can show.
    """
    if len(text) > MAX_TEXT:
        raise InvalidInputError(
            f"The text has {len(text)} characters; a reading has {MAX_TEXT} at most. "
            "Give one answer, or one reading a line."
        )
    if not text.strip():
        raise InvalidInputError(f"Nothing was given; write a reading as {FORMS}.")
    answers = parse_signal_answers(text)
    return _merged(answers, text) if answers else read_plain(text, quantity)


def read_many(text: str, *, quantity: Quantity | None = None) -> tuple[Reading, ...]:
    """Several readings, one a line; echo, final and unsolicited lines are passed over.

    Parameters
    ----------
    text : str
        Lines as `read` takes them, at most `MAX_LINES`.
    quantity : Quantity, optional
        What a number without a name is.

    Raises
    ------
    InvalidInputError
        A line that is not a reading, by its number, or no reading at all.
    """
    lines = text.splitlines()
    if len(lines) > MAX_LINES:
        raise InvalidInputError(
            f"The text has {len(lines)} lines; {MAX_LINES} are read at once. Split it."
        )
    readings = []
    for number, line in enumerate(lines, start=1):
        try:
            if parse_signal_answers(line) or other_lines(line):
                readings.append(read(line, quantity=quantity))
        except PathproofError as error:
            raise InvalidInputError(f"Line {number}: {error}") from error
    if not readings:
        raise InvalidInputError(f"{shown(text)} holds no reading; write one a line as {FORMS}.")
    return tuple(readings)


def _merged(answers: Sequence[SignalAnswer], text: str) -> Reading:
    """One reading of one look: +CESQ first, as it says more; +CSQ adds what that lacks."""
    answers = sorted(answers, key=lambda answer: answer.command)
    commands = [answer.command for answer in answers]
    if len(set(commands)) < len(commands):
        raise InvalidInputError(
            f"{len(answers)} answers were given ({', '.join(commands)}); a reading holds one of "
            "each command. Give them one at a time, or as several readings."
        )
    levels: dict[Quantity, Level] = {}
    for level in (level for answer in answers for level in answer.levels):
        levels.setdefault(level.quantity, level)
    notes = [note for answer in answers for note in answer.notes]
    others = other_lines(text)
    if others:
        notes.append(f"Not read: {shown(' / '.join(others), 120)}.")
    return Reading(
        levels=tuple(levels.values()),
        notes=tuple(notes),
        instrument=f"module answer {' and '.join(commands)}",
        raw=text,
        technology=next((a.technology for a in answers if a.technology is not None), None),
    )
