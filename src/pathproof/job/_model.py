"""The base of every model in the job file, and the number types they share.

Models are frozen; a change is a copy. Unknown fields, NaN and infinity are refused. The text
under a field is its description in the JSON Schema.
"""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Annotated, Final

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
)

from pathproof.terms import Evidence, Quantity

PANEL_ID = "panel"
"""The id by which links and record entries speak of the panel."""

FIRST_DAY: Final = date(1990, 1, 1)
"""Earliest day that calendars of a job are about."""
AFTER_LAST_DAY: Final = date(2100, 1, 1)
"""The day after the latest one."""
MOMENT_YEARS: Final = range(FIRST_DAY.year, AFTER_LAST_DAY.year)
"""Years of moments. Near the ends of the calendar, no other zone's clock can show one."""

SMALLEST_M = 0.002
"""Anything lower or shorter would vanish in the grid of 1/1024 m that paths are traced in."""


class Model(BaseModel):
    """A frozen part of the job file."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        allow_inf_nan=False,
        use_attribute_docstrings=True,
        validate_default=True,
    )


PATTERN_WORDS: dict[str, str] = {}
"""What each pattern below allows, in words for error messages."""


def like(pattern: str, words: str) -> StringConstraints:
    """A constraint to texts of one pattern, with the words that say what it allows."""
    PATTERN_WORDS[pattern] = words
    return StringConstraints(pattern=pattern)


Id = Annotated[
    str,
    like(
        r"^[A-Za-z0-9][A-Za-z0-9_.\-]{0,63}$",
        "up to 64 letters, digits, dots, dashes and underscores, beginning with a letter or digit",
    ),
]
"""A stable name inside a file."""


def storable(text: str) -> str:
    """The text, unless it holds the zero character, which databases and terminals end text at."""
    if "\0" in text:
        raise ValueError("text without the character of code zero")
    return text


Text = Annotated[str, StringConstraints(max_length=2000), AfterValidator(storable)]
Label = Annotated[str, StringConstraints(min_length=1, max_length=200), AfterValidator(storable)]
Code = Annotated[str, StringConstraints(max_length=12), AfterValidator(storable)]
"""A code as the monitoring centre receives it."""
Country = Annotated[str, like(r"^[A-Z]{2}$", "two capital letters, such as AT")]
"""ISO 3166 code; XA to XZ for an invented country."""
MccMnc = Annotated[
    str, like(r"^[0-9]{3}-[0-9]{2,3}$", "country and network code, such as 001-01 or 999-001")
]
"""Mobile country and network code."""
Band = Annotated[str, like(r"^[Bn]?[0-9]{1,3}$", "a 3GPP band number, such as 20, B20 or n78")]
Sha256 = Annotated[str, like(r"^[0-9a-f]{64}$", "64 digits 0 to 9 and a to f")]


def _of_its_time(moment: datetime) -> datetime:
    """The moment, unless the clock it was read from was wrong by generations."""
    if moment.year not in MOMENT_YEARS:
        raise ValueError(f"a moment of the years {MOMENT_YEARS[0]} to {MOMENT_YEARS[-1]}")
    return moment


Moment = Annotated[AwareDatetime, AfterValidator(_of_its_time)]
"""A moment with its offset."""

Coordinate = Annotated[float, Field(ge=-512.0, le=512.0)]
"""Metres from the site's own origin; within 512 m so that geometry stays exact."""

Point = tuple[Coordinate, Coordinate]
Elevation = Annotated[float, Field(ge=-100.0, le=1000.0)]
Height = Annotated[float, Field(ge=0.0, le=100.0)]
Length = Annotated[float, Field(gt=0.0, le=1000.0)]
Thickness = Annotated[float, Field(gt=0.0, le=5.0)]
Frequency = Annotated[float, Field(ge=1e6, le=100e9)]
Positive = Annotated[float, Field(gt=0.0)]
NotNegative = Annotated[float, Field(ge=0.0)]
LevelDbm = Annotated[float, Field(ge=-200.0, le=60.0)]
Decibels = Annotated[float, Field(ge=-100.0, le=200.0)]


_SHOWN = {"dbm": (-160.0, 20.0), "db": (-50.0, 50.0), "percent": (0.0, 100.0)}
"""What instruments can show, by the suffix of the quantity. Common practice, no source."""


def beyond_instruments(
    quantity: Quantity, levels: Mapping[str, float | None]
) -> list[tuple[str, str]]:
    """Levels that no instrument can show, by their field, each with what is allowed."""
    low, high = _SHOWN[quantity.rpartition("_")[2]]
    return [
        (
            field,
            f"given {level:g}; allowed: {low:g} to {high:g}, what instruments show as {quantity}",
        )
        for field, level in levels.items()
        if level is not None and not low <= level <= high
    ]


class Source(Model):
    """Where a figure comes from and how sure we are of it."""

    ref: Label
    """Document, standard or person; for a figure with no source, say so."""
    edition: Text = ""
    """Edition or year of the document."""
    clause: Text = ""
    """Clause, table or page."""
    evidence: Evidence
    """read, restated, computed, practice or memory."""
