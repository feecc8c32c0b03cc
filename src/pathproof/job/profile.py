"""A profile: the limits and house figures that a site is judged by."""

from datetime import date

from pydantic import Field

from pathproof.job._model import Id, Label, Model, Source, Text
from pathproof.terms import Evidence, LimitName


class Confirmation(Model):
    """A person checked a limit in their own copy of the document."""

    by: Label
    """Who."""
    on: date
    """When."""
    document: Label
    """Document."""
    edition: Label
    """Edition of their copy."""


class Limit(Model):
    """One figure with where it comes from."""

    value: float
    """The figure. [unit]"""
    unit: Text
    """Its unit; empty for a ratio or a count."""
    text: Label
    """What it means."""
    source: Source
    """Where it comes from and how sure we are."""
    confirmed: Confirmation | None = None
    """Who checked it, where it is known from memory."""

    @property
    def usable(self) -> bool:
        """Whether a word may rest on it: not from memory, or confirmed by a person."""
        return self.source.evidence is not Evidence.MEMORY or self.confirmed is not None


class Profile(Model):
    """Limits and house figures with their sources."""

    id: Id
    """Stable name of the profile."""
    title: Label
    """What people call it."""
    text: Text
    """What it is for and what it rests on."""
    base: Id | None = None
    """Profile whose limits apply where this one gives none."""
    all_paths: bool = False
    """True when every alternative path must work, not just the best one."""
    limits: dict[LimitName, Limit] = Field(default={})
    """Figures by name."""
