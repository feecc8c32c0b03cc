"""What one look at an instrument gives."""

from dataclasses import dataclass
from typing import Any

from pathproof.protocol.modem import Level
from pathproof.terms import Technology


@dataclass(frozen=True, kw_only=True)
class Reading:
    """Levels of one reading with their bins, and what they do not say by themselves."""

    levels: tuple[Level, ...]
    """One level a quantity; empty when the instrument knew nothing."""
    notes: tuple[str, ...]
    """Plain sentences."""
    instrument: str
    """What kind of thing spoke."""
    raw: str
    """What it said, to the letter."""
    technology: Technology | None = None
    """Mobile technology, where the reading itself leaves no choice."""
    step: str | None = None
    """The step as the scale names it, where it is tied to no level."""

    def as_dict(self) -> dict[str, Any]:
        """Levels, a step tied to none, and notes as plain JSON values."""
        return {
            "levels": [level.as_dict() for level in self.levels],
            **({} if self.step is None else {"step": self.step}),
            "notes": list(self.notes),
        }
