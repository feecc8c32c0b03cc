"""A map of one storey as data: an array with its axes, unit and requirement."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Self

import numpy as np
from numpy.typing import NDArray

from pathproof.terms import JobError

__all__ = ["AtPlace", "FloorMap", "MapKind", "MapOf"]

NEAR_BEST = {"ratio": 0.01}
"""Cells no farther than this from the best are as good; by unit, 1 for decibels (house choice)."""


class MapKind(StrEnum):
    """What a map shows at each place."""

    WORST = "worst"
    """The panel there: margin of the device that is heard worst."""
    ODDS = "odds"
    """The panel there: odds that all devices are heard."""
    DEVICE = "device"
    """The panel there: margin of one device."""
    COVERAGE = "coverage"
    """A usual device there: its margin to the panel or a repeater, where they are now."""
    NETWORK = "network"
    """Level of one mobile network there, from what was read at spots."""


@dataclass(frozen=True, kw_only=True)
class MapOf:
    """What to map."""

    kind: MapKind
    about: str | None = None
    """Device or network, for the kinds that need one."""

    @classmethod
    def parse(cls, text: str) -> Self:
        """What is meant by `worst`, `odds`, `coverage`, `device:ID` or `network:MCC-MNC`.

        Raises
        ------
        JobError
            None of these.
        """
        name, colon, about = text.partition(":")
        needs = name in (MapKind.DEVICE, MapKind.NETWORK)
        if name not in set(MapKind) or needs != bool(colon) or needs != bool(about):
            raise JobError(
                f"Given {text!r}; allowed: worst, odds, coverage, device:ID (an id of the site's "
                "devices) or network:MCC-MNC (a network of the site, as network:001-01)."
            )
        return cls(kind=MapKind(name), about=about or None)

    def __str__(self) -> str:
        return self.kind.value if self.about is None else f"{self.kind.value}:{self.about}"


@dataclass(frozen=True, kw_only=True)
class AtPlace:
    """What a map shows at a place of the job, worked out at that very place and height."""

    name: str
    """`the panel now`, or `candidate 1` and so on in the order of the job."""
    at_m: tuple[float, float]
    """Where on the plan. [m]"""
    height_m: float
    """Above the storey's floor; the map itself is for the panel's own. [m]"""
    value: float
    """In the map's unit."""
    device: str
    """Id of the device that is heard worst with the panel there."""
    odds_all_ratio: float
    """That all devices are heard with the panel there. [ratio]"""


@dataclass(frozen=True, kw_only=True, eq=False)
class FloorMap:
    """Values of one storey on a grid."""

    what: MapOf
    """What is mapped."""
    floor: str
    """Id of the storey."""
    origin_m: tuple[float, float]
    """Lower left corner of the grid. [m]"""
    cell_m: float
    """Side of a cell. [m]"""
    values: NDArray[np.float64]
    """Rows from the smallest y up, columns from the smallest x; NaN outside the storey, and in the
    cells of it that were left blank. [unit]"""
    unit: str
    """`dB`, `dBm` or `ratio`."""
    required: float | None
    """Value at which the requirement is just met; none where there is none. [unit]"""
    spread_db: NDArray[np.float64] | None = None
    """Of an interpolated level: its standard deviation at each place. [dB]"""
    blank_cells: int = 0
    """How many cells of the storey were left blank: nobody knows what holds there."""
    label: str
    """What is mapped, as a sentence for people."""
    notes: tuple[str, ...] = ()
    """Sentences to read with the map: what it leaves out or rests on."""
    held_down_by: tuple[tuple[str, float], ...] = ()
    """Of a map of the device heard worst: ids of the up to three devices that are it in most cells,
    with their share of the storey's cells, largest first. [ratio]"""
    best_held_down_by: str | None = None
    """Of such a map: id of the device that is heard worst in the best cell."""
    at_places: tuple[AtPlace, ...] = ()
    """Of a map with the panel at each place: where the panel is now, and its candidates, as far as
    they are on this storey."""
    odds_all_range: tuple[float, float] | None = None
    """Of a map of the device heard worst: least and largest odds that all are heard. [ratio]"""

    @property
    def best(self) -> int | None:
        """The best cell, counted row by row; the first among equals, none where all are blank."""
        return None if np.isnan(self.values).all() else int(np.nanargmax(self.values))

    @property
    def near_best(self) -> int:
        """How many cells are within 1 dB, or odds of 0.01, of the best; itself counted."""
        if self.best is None:
            return 0
        least = float(self.values.flat[self.best]) - NEAR_BEST.get(self.unit, 1.0)
        return int(np.count_nonzero(self.values >= least))
