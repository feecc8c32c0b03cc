"""Where a formula or a constant comes from, and how sure we are of it."""

from dataclasses import dataclass

from pathproof.terms import Evidence


@dataclass(frozen=True, kw_only=True)
class Source:
    """One document, standard or house rule."""

    ref: str
    edition: str = ""
    clause: str = ""
    evidence: Evidence
