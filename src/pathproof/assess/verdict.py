"""What evidence says of a link, before the calculation is asked."""

from dataclasses import dataclass

from pathproof.terms import Word


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """Proven or lacking by evidence, with the margin over what was asked; none if unknown."""

    word: Word
    why: str
    margin_db: float | None
    entry: str
