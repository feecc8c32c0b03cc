"""Ids of imported things, from where they are in the drawing."""

import hashlib
from collections import Counter

PREFIX = "dxf"
"""Start of every id of an imported thing."""


class Ids:
    """Ids by what a thing is and where: the same as long as it stays where it is.

    Of things in the same place, as on storeys of one plan, the second ends in .2.
    """

    def __init__(self) -> None:
        self._met: Counter[str] = Counter()

    def of(self, *told: object) -> str:
        """The id of a thing by what identifies it; call in a fixed order."""
        digest = hashlib.sha256(repr(told).encode()).hexdigest()[:12]
        self._met[digest] += 1
        again = self._met[digest]
        return f"{PREFIX}-{digest}" + (f".{again}" if again > 1 else "")
