"""What an importer hands over: parts of a site, and what became of the plan file."""

from collections.abc import Mapping
from dataclasses import dataclass

from pathproof.job import Construction, Floor, Wall
from pathproof.plans.report import Report


@dataclass(frozen=True, slots=True)
class PlanImport:
    """Floors, walls and constructions of a plan file, ready for a site."""

    floors: tuple[Floor, ...]
    """Storeys for people, from the lowest up."""
    walls: tuple[Wall, ...]
    constructions: Mapping[str, Construction]
    """What floors, walls and openings refer to, by id."""
    origin_m: tuple[float, float]
    """The local origin in the plan file's coordinates, whole metres; (0, 0) where not moved. [m]"""
    report: Report

    @property
    def storey_names(self) -> tuple[str, ...]:
        """Names of the storeys, from the lowest up."""
        return tuple(floor.name for floor in self.floors)
