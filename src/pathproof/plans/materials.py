"""Material names of plan files, in eight languages, to rows of Rec. ITU-R P.2040.

A person's own map comes first, then the ordered keyword table `material_keywords.csv`: the first
row that matches wins. A name that matches nothing is unknown, never concrete by silence.
"""

import csv
import re
import unicodedata
from collections.abc import Mapping, Set
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from pathproof.job import Construction
from pathproof.terms import Evidence, Material

_OTHER_LETTERS = str.maketrans({"ß": "ss", "ø": "o", "ł": "l", "đ": "d", "æ": "ae", "œ": "oe"})
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})


class Rule(StrEnum):
    """What else a keyword row says beside the material."""

    PLAIN = "plain"
    GUESSED = "guessed"  # the nearest row, not the material itself
    UNKNOWN = "unknown"  # the name says nothing
    STUDS = "studs"  # air with studs, never a sheet
    FOIL = "foil"  # thin metal on a board
    COATED = "coated"  # glass with a metal film
    GLAZING = "glazing"  # glass; a coating is never in the file
    HOLLOW = "hollow"  # full thickness is the upper bound
    FACING = "facing"  # foam that is often faced with foil
    FILM = "film"  # membrane or paint: no loss
    SHEET = "sheet"  # metal; thick and between boards it is framing
    USER = "user"  # by the person's own map


@dataclass(frozen=True, slots=True)
class Mapped:
    """What a material name stands for."""

    material: Material | None
    """Row of P.2040, or none where nobody can tell."""
    rule: Rule
    note: str = ""
    thickness_m: float | None = None
    """Thickness that the person's own map gives, instead of the file's. [m]"""


@dataclass(frozen=True, slots=True)
class MaterialMap:
    """A person's own mapping, tried before the keyword table; names are compared normalised."""

    materials: Mapping[str, Mapped] = field(default_factory=lambda: MappingProxyType({}))
    constructions: Mapping[str, Construction] = field(default_factory=lambda: MappingProxyType({}))
    written: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    """Each name as the person wrote it."""

    def __reduce__(self) -> tuple[type["MaterialMap"], tuple[dict[str, Any], ...]]:
        """How to take it into another process: a mapping proxy cannot go there."""
        return MaterialMap, (dict(self.materials), dict(self.constructions), dict(self.written))

    def material(self, name: str) -> Mapped:
        """What a material name stands for, by this map or by the keyword table."""
        own = self.materials.get(normalised(name))
        return own if own is not None else by_keyword(name)

    def construction(self, *labels: str) -> Construction | None:
        """The person's construction for a wall, floor, door or window by its first known name."""
        found = (self.constructions.get(normalised(label)) for label in labels)
        return next((own for own in found if own is not None), None)

    def matching_nothing(self, layers: Set[str], labels: Set[str]) -> list[str]:
        """Sentences about the names that no layer and no label of a plan has."""
        met = {"materials": layers, "constructions": labels}
        return [
            f"The material map names {self.written.get(name, name)!r} under [{table}], and nothing "
            "in the plan has that name, so it changed nothing. "
            + (
                f"Something else has: write it under [{other}]."
                if name in met[other]
                else "Write names as the report prints them."
            )
            for table, other, names in (
                ("materials", "constructions", self.materials),
                ("constructions", "materials", self.constructions),
            )
            for name in names
            if name not in met[table]
        ]


@dataclass(frozen=True, slots=True)
class Keyword:
    """One row of the keyword table."""

    pattern: re.Pattern[str]
    languages: tuple[str, ...]
    material: Material | None
    rule: Rule
    evidence: Evidence
    note: str


def normalised(name: str) -> str:
    """The name in lower case without accents, umlauts as two letters, single spaces."""
    return _plain(name.lower().translate(_UMLAUTS))


@cache
def by_keyword(name: str) -> Mapped:
    """What the keyword table makes of a name; unknown where no row matches.

    A name is tried with its umlauts as two letters (German) and as one (Swedish, Finnish).
    """
    forms = {normalised(name), _plain(name.lower())}
    for row in keyword_table():
        if any(row.pattern.search(form) for form in forms):
            return Mapped(row.material, row.rule, row.note)
    return Mapped(None, Rule.UNKNOWN, "no row of the keyword table matches")


@cache
def keyword_table() -> tuple[Keyword, ...]:
    """The shipped table in order; the first row that matches a name wins."""
    text = files("pathproof.plans").joinpath("material_keywords.csv").read_text("utf-8")
    return tuple(
        Keyword(
            pattern=re.compile(row["pattern"]),
            languages=tuple(row["languages"].split()),
            material=None if row["material"] == "unknown" else Material(row["material"]),
            rule=Rule(row["rule"]),
            evidence=Evidence(row["evidence"]),
            note=row["note"],
        )
        for row in csv.DictReader(text.splitlines())
    )


def _plain(lowered: str) -> str:
    text = unicodedata.normalize("NFKD", lowered.translate(_OTHER_LETTERS))
    text = "".join(c for c in text if not unicodedata.combining(c))
    return " ".join(text.replace("_", " ").split())
