"""What an import mapped, guessed and left out, line by line."""

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from pathproof.terms import Material


@dataclass(frozen=True, slots=True)
class MappedLine:
    """A material name of the plan file and the row of P.2040 it stands for."""

    name: str
    material: Material
    count: int
    """Walls, floor pieces, doors and windows that hold it."""


@dataclass(frozen=True, slots=True)
class GuessedLine:
    """Something the plan file did not say."""

    what: str
    as_: str
    why: str
    count: int


@dataclass(frozen=True, slots=True)
class LeftOutLine:
    """Something in the plan file that is not in the site."""

    what: str
    why: str
    count: int


@dataclass(frozen=True, slots=True)
class Report:
    """What became of a plan file. The most important lines come first."""

    storeys: int
    """Storeys that hold walls."""
    walls: int
    """Wall pieces kept."""
    openings: int
    """Doors, windows and bare voids in walls."""
    slabs: int
    """Pieces of floors and ceilings kept."""
    mapped: tuple[MappedLine, ...]
    guessed: tuple[GuessedLine, ...]
    left_out: tuple[LeftOutLine, ...]
    warnings: tuple[str, ...]
    """Sentences for a person to read before anything else."""

    def as_dict(self) -> dict[str, Any]:
        """The report as the command line prints it with --json."""
        return {
            "storeys": self.storeys,
            "walls": self.walls,
            "openings": self.openings,
            "slabs": self.slabs,
            "mapped": [
                {"name": m.name, "material": m.material.value, "count": m.count}
                for m in self.mapped
            ],
            "guessed": [
                {"what": g.what, "as": g.as_, "why": g.why, "count": g.count} for g in self.guessed
            ],
            "left_out": [{"what": x.what, "why": x.why, "count": x.count} for x in self.left_out],
        }


@dataclass(slots=True)
class ReportBuilder:
    """Collects lines while an import runs; equal lines are counted together."""

    _mapped: Counter[tuple[str, Material]] = field(default_factory=Counter)
    _guessed: Counter[tuple[bool, str, str, str]] = field(default_factory=Counter)
    _left_out: Counter[tuple[str, str]] = field(default_factory=Counter)
    _warnings: list[str] = field(default_factory=list)

    def mapped(self, name: str, material: Material) -> None:
        """One more element that holds this material."""
        self._mapped[name, material] += 1

    def guessed(self, what: str, as_: str, why: str, *, first: bool = False) -> None:
        """One more guess; `first` puts its line on top."""
        self._guessed[not first, what, as_, why] += 1

    def left_out(self, what: str, why: str, count: int = 1) -> None:
        """One more thing left out, or `count` of them."""
        if count:
            self._left_out[what, why] += count

    def warn(self, sentence: str) -> None:
        """A sentence that a person must see."""
        self._warnings.append(sentence)

    def finish(self, *, storeys: int, walls: int, openings: int, slabs: int) -> Report:
        """The report, lines in a fixed order: most frequent first."""
        guessed = sorted(self._guessed.items(), key=lambda kv: (kv[0][0], -kv[1], kv[0]))
        return Report(
            storeys=storeys,
            walls=walls,
            openings=openings,
            slabs=slabs,
            mapped=tuple(
                MappedLine(name, material, n)
                for (name, material), n in sorted(
                    self._mapped.items(), key=lambda kv: (-kv[1], kv[0])
                )
            ),
            guessed=tuple(GuessedLine(what, as_, why, n) for (_, what, as_, why), n in guessed),
            left_out=tuple(
                LeftOutLine(what, why, n)
                for (what, why), n in sorted(self._left_out.items(), key=lambda kv: (-kv[1], kv[0]))
            ),
            warnings=tuple(self._warnings),
        )
