"""Sources as a person reads them."""

from typing import Protocol

from pathproof.terms import Evidence


class Cited(Protocol):
    """What a source has, whether it is one of a formula or of a catalogue entry."""

    @property
    def ref(self) -> str: ...
    @property
    def edition(self) -> str: ...
    @property
    def clause(self) -> str: ...
    @property
    def evidence(self) -> Evidence: ...


def cited(source: Cited) -> str:
    """Document, edition and clause, and how sure we are of it."""
    text = ", ".join(x for x in (source.ref, source.edition, source.clause) if x)
    from_memory = source.evidence is Evidence.MEMORY
    return f"{text} ({'from memory: check your own copy' if from_memory else source.evidence})"
