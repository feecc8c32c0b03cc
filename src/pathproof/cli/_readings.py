"""Texts of modems, phones and panels as readings, and readings as people read them."""

import sys
from collections.abc import Mapping, Sequence
from typing import Any

from pathproof.assess.mobile_levels import grading
from pathproof.cli._jobs import library
from pathproof.cli._options import wrong_use
from pathproof.instruments import Level, Reading, read, read_many, read_scale_step
from pathproof.job import Level as RecordedLevel
from pathproof.job import Library, Scale, Site
from pathproof.terms import InvalidInputError, PathproofError, Quantity, Technology

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
    text = _standard_input() if from_input else "\n".join(texts)
    if scale_of is None:
        if from_input:
            return list(read_many(text, quantity=quantity))
        return [read(text, quantity=quantity)]
    scale = part_scale(library(), scale_of)
    steps = text.splitlines() if from_input else [" ".join(texts)]
    found = [read_scale_step(scale, step) for step in steps if step.strip()]
    if not found:
        raise InvalidInputError("Nothing was given; write a step as the panel or phone shows it.")
    return found


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
    scales = {i: getattr(p, "scale", None) for i, p in known.parts.items()}
    scale = scales.get(part_id)
    if not isinstance(scale, Scale):
        problem = "has no scale of its own" if part_id in scales else "is not in the catalogue"
        having = ", ".join(sorted(i for i, s in scales.items() if s is not None))
        raise wrong_use(f"{part_id!r} {problem}; parts with one: {having or 'none'}.", "--scale")
    return scale


def reading_values(reading: Reading, options: dict[str, Any]) -> dict[str, Any]:
    """The values of a record entry of kind `reading`."""
    technology = {} if reading.technology is None else {"technology": str(reading.technology)}
    return {"levels": [level.as_dict() for level in reading.levels], **technology, **options}


def grades_nothing(values: Mapping[str, Any], site: Site) -> str | None:
    """Why a reading on record will grade nothing; none where it may, or where nobody knows.

    Parameters
    ----------
    values : mapping
        The values of its entry, as `reading_values` gives them.
    site : Site
        The site with its networks.
    """
    network, told = values.get("network"), values.get("technology")
    of_network = [n.technologies for n in site.networks if n.mcc_mnc == network]
    spoken = [Technology(told)] if told else [t for known in of_network for t in known]
    graded_by = list(dict.fromkeys(q for t in spoken for q in grading(t)))
    read = [Quantity(level["quantity"]) for level in values["levels"]]
    if not read or not graded_by or set(read) & set(graded_by):
        return None
    given, wanted = (" or ".join(quantity_words(q)[0] for q in x) for x in (read, graded_by))
    of = f"{network}, which is " if network else ""
    return f"It will grade nothing: {given} does not grade {of}{', '.join(spoken)}; read {wanted}."


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


def level_text(level: Level | RecordedLevel) -> str:
    """A level with its bin, such as "RSRP −120.5 dBm (−121 to −120)"."""
    name, unit = quantity_words(level.quantity)
    edges = _signed(level.low), _signed(level.high)
    match edges:
        case (None, None):
            spread = ""
        case (None, high):
            spread = f" ({high} or less)"
        case (low, None):
            spread = f" ({low} or more)"
        case (low, high):
            spread = f" ({low} to {high})"
    return f"{name} {_signed(level.value)} {unit}{spread}"


def quantity_words(quantity: Quantity) -> tuple[str, str]:
    """Name and unit of a quantity as people write them."""
    name, _, unit = quantity.rpartition("_")
    return name.upper().replace("_", "-"), {"dbm": "dBm", "db": "dB", "percent": "%"}[unit]


def _signed(value: float | None) -> str | None:
    return None if value is None else f"{value:g}".replace("-", "−")
