"""A map of one storey as data: an array with its axes, unit and requirement."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Self

import numpy as np
from numpy.typing import NDArray

from pathproof.terms import JobError

__all__ = ["FloorMap", "MapKind", "MapOf"]


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
    """Rows from the smallest y up, columns from the smallest x; NaN outside the storey. [unit]"""
    unit: str
    """`dB`, `dBm` or `ratio`."""
    required: float | None
    """Value at which the requirement is just met; none where there is none. [unit]"""
    spread_db: NDArray[np.float64] | None = None
    """Of an interpolated level: its standard deviation at each place. [dB]"""
    label: str
    """What is mapped, as a sentence for people."""
    notes: tuple[str, ...] = ()
    """Sentences to read with the map: what it leaves out or rests on."""
