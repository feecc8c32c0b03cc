"""Ids of imported things, the same when the plan is exported anew."""

import re
from typing import Any

from pathproof.plans.ifc._reader import BROKEN

PREFIX = "ifc"
"""Start of every id of an imported thing."""

_GLOBAL_ID = re.compile(r"[0-9A-Za-z_$]{22}")


class Ids:
    """Ids by the things' numbers in the file, made of their GlobalIds.

    Where a GlobalId is missing or another thing's already, the number stands in for it.
    """

    def __init__(self, file: Any) -> None:
        self._file = file
        self._by_number: dict[int, str] = {}
        self._taken: set[str] = set()

    def of(self, step_id: int) -> str:
        """The id of a thing; number 0 is what no file holds."""
        if step_id not in self._by_number:
            name = f"{PREFIX}-{self._global_id(step_id)}"
            if name == f"{PREFIX}-" or name in self._taken:
                name = f"{PREFIX}{step_id}"
            self._taken.add(name)
            self._by_number[step_id] = name
        return self._by_number[step_id]

    def _global_id(self, step_id: int) -> str:
        try:
            given = str(self._file.by_id(step_id).GlobalId)
        except BROKEN:
            return ""
        return given.replace("$", "-") if _GLOBAL_ID.fullmatch(given) else ""
