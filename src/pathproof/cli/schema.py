"""`pathproof schema`: JSON Schema of the job file and of its pieces."""

from enum import StrEnum
from typing import Annotated, Any, Final

import typer
from pydantic import TypeAdapter

from pathproof.cli._options import command_app
from pathproof.cli._screen import print_json
from pathproof.job import Construction, Entry, Job, Part, Profile

app = command_app()


class Piece(StrEnum):
    """What has a schema."""

    JOB = "job"
    PART = "part"
    CONSTRUCTION = "construction"
    PROFILE = "profile"
    ENTRY = "entry"


_TYPES: Final[dict[Piece, Any]] = {
    Piece.JOB: Job,
    Piece.PART: Part,
    Piece.CONSTRUCTION: Construction,
    Piece.PROFILE: Profile,
    Piece.ENTRY: Entry,
}


@app.command()
def schema(
    piece: Annotated[
        Piece, typer.Argument(help="The whole job file, or one entry of catalogue or record.")
    ] = Piece.JOB,
) -> None:
    """Print the JSON Schema of the job file or of a piece of it.

    Every field carries its meaning and its unit.
    """
    adapter: TypeAdapter[Any] = TypeAdapter(_TYPES[piece])
    print_json(
        {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "title": f"Pathproof {piece}",
            **{k: v for k, v in adapter.json_schema().items() if k != "title"},
        }
    )
