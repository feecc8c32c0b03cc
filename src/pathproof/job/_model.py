"""The base of every model in the job file, and the number types they share.

Models are frozen; a change is a copy. Unknown fields, NaN and infinity are refused. The text
under a field is its description in the JSON Schema.
"""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from pathproof.terms import Evidence


class Model(BaseModel):
    """A frozen part of the job file."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        allow_inf_nan=False,
        use_attribute_docstrings=True,
        validate_default=True,
        ser_json_inf_nan="null",
    )


Id = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.\-]{0,63}$")]
"""A stable name inside a file: letters, digits, dot, dash and underscore, 64 at most."""

Text = Annotated[str, StringConstraints(max_length=2000)]
Label = Annotated[str, StringConstraints(min_length=1, max_length=200)]
MccMnc = Annotated[str, StringConstraints(pattern=r"^\d{3}-\d{2,3}$")]
"""Mobile country and network code, as 001-01."""

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
