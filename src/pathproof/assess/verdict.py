"""What evidence says of a link, before the calculation is asked."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from pathproof.job import Entry
from pathproof.terms import Word


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """Proven or lacking by evidence, with the margin over what was asked; none if unknown.

    `note` is its caption in a few words; `formula` and `inputs` give the margin.
    """

    word: Word
    why: str
    margin_db: float | None
    note: str
    entry: Entry
    formula: str = ""
    inputs: Mapping[str, tuple[float, str]] = field(default_factory=dict)
