"""Texts of modems, phones and panels as the command line takes them, as readings."""

import sys
from collections.abc import Sequence

from pathproof.cli._options import wrong_use
from pathproof.instruments import (
    Level,
    Reading,
    hinting_at_scales,
    read,
    read_many,
    read_scale_step,
    scales_of,
)
from pathproof.job import Library, Scale
from pathproof.job.home import user_library
from pathproof.terms import InvalidInputError, PathproofError, Quantity

FROM_INPUT = "-"


def readings_of(
    texts: Sequence[str], quantity: Quantity | None, scale_of: str | None
) -> list[Reading]:
    """One reading of a text, or those in the lines of standard input where the text is `-`.

    Raises
    ------
    PathproofError
        Not a reading.
    """
    from_input = list(texts) == [FROM_INPUT]
    text = _standard_input() if from_input else "\n".join(texts).replace(":\n", ": ")  # unquoted
    if scale_of is None:
        try:
            if from_input:
                return list(read_many(text, quantity=quantity))
            return [read(text, quantity=quantity)]
        except PathproofError as error:
            shows = text if from_input else " ".join(texts)
            raise _hinting_at_scales(error, shows) from error
    scale = part_scale(user_library(), scale_of)
    steps = text.splitlines() if from_input else [" ".join(texts)]
    found = [read_scale_step(scale, step) for step in steps if step.strip()]
    if not found:
        raise InvalidInputError("Nothing was given; write a step as the panel or phone shows it.")
    return found


def read_levels(text: str, quantity: Quantity | None) -> Reading:
    """One reading of a text that is no step of a scale.

    Raises
    ------
    PathproofError
        Not a reading; where it looks like a step of a scale, with how to read that.
    """
    try:
        return read(text, quantity=quantity)
    except PathproofError as error:
        raise _hinting_at_scales(error, text) from error


def _hinting_at_scales(error: PathproofError, text: str) -> PathproofError:
    return hinting_at_scales(error, text, scales_of(user_library()), "--scale ")


def _standard_input() -> str:
    try:
        return sys.stdin.read()
    except UnicodeDecodeError as error:
        raise InvalidInputError(
            "Standard input is not text in UTF-8; give the module's answers as plain text."
        ) from error


def part_scale(known: Library, part_id: str) -> Scale:
    """The scale by which a part of the catalogue shows levels.

    Raises
    ------
    typer.BadParameter
        There is no such part, or it has no scale.
    """
    scales = scales_of(known)
    if part_id not in scales:
        there = part_id in known.parts
        problem = "has no scale of its own" if there else "is not in the catalogue"
        having = ", ".join(sorted(scales))
        raise wrong_use(f"{part_id!r} {problem}; parts with one: {having or 'none'}.", "--scale")
    return scales[part_id]


def level_of(text: str) -> Level:
    """One received level in dBm, with the bin of its last digit.

    Raises
    ------
    typer.BadParameter
        Not a number, or a level that no receiver shows.
    """
    try:
        float(text)
        return read(f"rssi {text} dBm").levels[0]
    except PathproofError as error:
        raise wrong_use(error, "--level-dbm") from error
    except ValueError as error:
        raise wrong_use(f"{text!r} is not a level; write it as -87.", "--level-dbm") from error
