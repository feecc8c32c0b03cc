"""Which part of those to choose from a word of the list means."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pathproof.job import DetectorPart
from pathproof.plans.listed._words import named, nearest, words
from pathproof.terms import DeviceKind, PlanError

# What people call each kind; common practice, no source.
_CALLED: Final = {
    DeviceKind.CONTACT: ("contact", "reed"),
    DeviceKind.MOTION: ("motion", "movement", "pir"),
    DeviceKind.GLASS_BREAK: ("glass break", "glassbreak"),
    DeviceKind.SHOCK: ("shock", "vibration"),
    DeviceKind.SMOKE: ("smoke",),
    DeviceKind.HEAT: ("heat",),
    DeviceKind.CARBON_MONOXIDE: ("carbon monoxide", "co"),
    DeviceKind.FLOOD: ("flood", "water", "leak"),
    DeviceKind.HOLD_UP: ("hold up", "holdup", "panic"),
    DeviceKind.KEYPAD: ("keypad",),
    DeviceKind.REMOTE_CONTROL: ("remote", "fob"),
    DeviceKind.SOUNDER: ("sounder", "siren", "bell"),
    DeviceKind.OTHER: ("other",),
}


@dataclass(frozen=True, slots=True)
class FoundPart:
    """A part, and why it is a guess."""

    part: DetectorPart
    guess: str
    """Empty where the words name just this one."""


def part_for(what: str, parts: Sequence[DetectorPart]) -> FoundPart:
    """The part that the words name, or the first of the kind of device that they name.

    Raises
    ------
    PlanError
        They name neither.
    """
    exact = named(what, {p.id: p.name for p in parts})
    if exact is not None:
        return FoundPart(next(p for p in parts if p.id == exact), "")
    kind = _kind(what)
    of_kind = [p for p in parts if kind is None or p.what is kind]
    said = [p for p in of_kind if words(what) <= words(p.id, p.name)] if words(what) else []
    if len(said) == 1:
        return FoundPart(said[0], "")
    if said:
        return FoundPart(said[0], f"the first of {len(said)} parts offered that it fits")
    if kind is None:
        raise PlanError(_no_such_part(what, parts))
    if not of_kind:
        raise PlanError(
            f"{what!r}: none of the parts to choose from is of the kind {kind}; they are of: "
            f"{', '.join(dict.fromkeys(p.what for p in parts)) or 'none'}. Choose another part, or "
            "add one to the catalogue"
        )
    return FoundPart(of_kind[0], f"the first part offered of the kind {kind}")


def _kind(what: str) -> DeviceKind | None:
    """The one kind of device that the words name; none where they name several, or none."""
    said = words(what)
    found = [k for k, called in _CALLED.items() if any(words(c) <= said for c in called)]
    return found[0] if len(found) == 1 else None


def _no_such_part(what: str, parts: Sequence[DetectorPart]) -> str:
    near = nearest(what, {p.id: p.name for p in parts})
    return (
        f"{what!r} is no part and no one kind of device; allowed: a part by its id or name{near}, "
        f"or a kind: {', '.join(DeviceKind)}"
    )
