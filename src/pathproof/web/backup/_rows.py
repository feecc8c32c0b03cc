"""Rows as JSON lines, loyal to the last microsecond, the same from every database."""

import json
from collections.abc import Iterator
from typing import IO, Any, Final

from django.apps.registry import Apps
from django.db import models

OURS: Final = ("people", "jobs")
"""Apps whose rows are kept. Sessions and counts of failed sign-ins are not: people sign in anew."""
_AT_ONCE: Final = 500

Model = type[models.Model]


def kept_models(apps: Apps) -> list[Model]:
    """The models whose rows are kept, in the order they were written down."""
    return [m for label in OURS for m in apps.get_app_config(label).get_models()]


def name_of(model: Model) -> str:
    """The file of a model's rows within a backup."""
    return f"rows/{model._meta.label_lower}.jsonl"


def rows_out(model: Model, using: str) -> Iterator[bytes]:
    """Every row as one line of JSON, by primary key."""
    fields = model._meta.concrete_fields
    rows = model._base_manager.using(using).order_by("pk").iterator(chunk_size=_AT_ONCE)
    for row in rows:
        yield json.dumps({f.attname: _out(f, row) for f in fields}).encode() + b"\n"


def rows_in(model: Model, lines: IO[bytes], using: str) -> int:
    """How many rows were put into the database.

    Raises
    ------
    ValueError, KeyError, ValidationError
        The lines are no rows of that model.
    """
    fields = {f.attname: f for f in model._meta.concrete_fields}
    count, batch = 0, list[models.Model]()
    for line in lines:
        given = json.loads(line)
        values = {n: None if v is None else fields[n].to_python(v) for n, v in given.items()}
        batch.append(model(**values))
        count += 1
        if len(batch) == _AT_ONCE:
            model._base_manager.using(using).bulk_create(batch)
            batch = []
    model._base_manager.using(using).bulk_create(batch)
    return count


def _out(field: Any, row: models.Model) -> Any:
    """A field's value as JSON can hold it and `to_python` reads it."""
    return None if field.value_from_object(row) is None else field.value_to_string(row)
