"""`pathproof schema`: JSON Schema of the job file and of its pieces."""

from enum import StrEnum
from typing import Annotated

import typer

from pathproof.cli._options import command_app, one_of
from pathproof.cli._screen import print_json
from pathproof.job.schema import SCHEMAS

app = command_app()


class Piece(StrEnum):
    """What has a schema."""

    JOB = "job"
    PART = "part"
    CONSTRUCTION = "construction"
    PROFILE = "profile"
    ENTRY = "entry"
    RETIREMENT = "retirement"


@app.command()
def schema(
    piece: Annotated[
        Piece,
        typer.Argument(
            parser=one_of(Piece), help="The whole job file, or one entry of library or record."
        ),
    ] = Piece.JOB,
) -> None:
    """Print the JSON Schema of the job file or of a piece of it.

    Every field carries its meaning and its unit.
    """
    print_json(SCHEMAS[piece]())
