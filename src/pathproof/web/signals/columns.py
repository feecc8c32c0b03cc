"""How the columns of a centre's list are to be read, remembered once a person has said so."""

import hashlib
import json

from pathproof.instruments import Columns, SignalTable
from pathproof.terms import InvalidInputError
from pathproof.web.jobs.models import SignalColumns
from pathproof.web.people.models import Person


def remembered(table: SignalTable) -> Columns | None:
    """The columns of lists of this shape; none where nobody said, or where they no longer fit."""
    kept = SignalColumns.objects.filter(shape=_shape(table)).first()
    if kept is None:
        return None
    try:
        return Columns.from_dict(kept.columns)
    except InvalidInputError:
        return None


def remember(table: SignalTable, columns: Columns, by: Person) -> None:
    """Read lists of this shape so from now on."""
    SignalColumns.objects.update_or_create(
        shape=_shape(table), defaults={"columns": columns.as_dict(), "by": by.name}
    )


def _shape(table: SignalTable) -> str:
    """What lists of one kind have in common: the heading, or without one how many columns."""
    heading = table.heading
    said = [table.width] if heading is None else [c.casefold() for c in heading.cells]
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()
