"""What reading a picture hands over."""

from dataclasses import dataclass

from pathproof.terms import UnderlayKind


@dataclass(frozen=True, slots=True)
class Picture:
    """A plan as pixels, upright, without anything of the file it came from but what it shows."""

    png: bytes
    width_px: int
    height_px: int
    kind: UnderlayKind
    page: int | None
    """Page of the file; none where that had no pages."""
    notes: tuple[str, ...]
    """What was done to it, in sentences."""
