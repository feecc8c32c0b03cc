"""Losses from each of many things to one place, kept up to date piece by piece.

As `LossField`, in whole steps, so that any order of edits ends at the same figures.
"""

import math
from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from pathproof.assess._loss_field import Loss, Source, floors_db
from pathproof.assess._standing import Constructions, Standing
from pathproof.assess.way import NEAREST_M
from pathproof.calc.radio import free_space_path_loss_db
from pathproof.calc.radio.crossings import crossings
from pathproof.calc.radio.shadows import STEP_DB
from pathproof.job.geometry import Position

_Counts = NDArray[np.int64]


class PointLosses:
    """Losses from each of many things to one place.

    Parameters
    ----------
    at_m : (float, float, float)
        The place, on the scale of the site. [m]
    constructions : Constructions
        What obstacles are built of.
    site : callable
        Gives all that stands on the site as it is now.
    """

    def __init__(
        self, at_m: Position, constructions: Constructions, site: Callable[[], Standing]
    ) -> None:
        self.at_m = at_m
        self._constructions, self._site = constructions, site
        self._sources: dict[str, Source] = {}
        self._steps: _Counts = np.zeros(0, np.int64)
        self._unknown: _Counts = np.zeros(0, np.int64)
        self._floors: dict[str, _Counts] = {}

    def hold(self, sources: Mapping[str, Source]) -> None:
        """Hold the losses from these things; only what is new or moved is worked out."""
        if sources == self._sources:
            return
        slots = {i: slot for slot, i in enumerate(self._sources)}
        kept = [slots[i] if self._sources.get(i) == s else -1 for i, s in sources.items()]
        new = np.flatnonzero(np.array(kept, dtype=np.intp) < 0)
        self._sources = {}  # nothing is kept of work that breaks off
        self._steps, self._unknown = _taken(self._steps, kept), _taken(self._unknown, kept)
        self._floors = {c: _taken(counts, kept) for c, counts in self._floors.items()}
        every = list(sources.values())
        self._steps[new] = [self._free_space_steps(every[i]) for i in new]
        self._add(self._site(), every, new)
        self._sources = dict(sources)

    def change(self, edit: Standing) -> None:
        """Take down and put up what changed on the site."""
        every = list(self._sources.values())
        self._add(edit, every, np.arange(len(every)))

    def read(self) -> dict[str, Loss]:
        """What the way from each thing loses."""
        loss_db = (self._steps * STEP_DB).astype(np.float32)
        for floor, counts in self._floors.items():
            each_db = self._constructions.each_db(floor)
            loss_db += floors_db(each_db, int(counts.max(initial=0)))[counts]
        unknown = self._unknown > 0
        return {
            thing_id: Loss(loss_db=loss_db[slot], unknown=bool(unknown[slot]))
            for slot, thing_id in enumerate(self._sources)
        }

    def _free_space_steps(self, source: Source) -> int:
        away_m = max(math.dist(source.at_m, self.at_m), NEAREST_M)
        return round(float(free_space_path_loss_db(source.frequency_hz, away_m)) / STEP_DB)

    def _add(self, standing: Standing, every: list[Source], slots: NDArray[np.intp]) -> None:
        """Put up, or take down, what stands between some of the things and the place."""
        places_m = np.array([every[i].at_m for i in slots], dtype=np.float64).reshape(-1, 3)
        ends_m = np.broadcast_to(np.array(self.at_m), places_m.shape)
        found = crossings(standing.obstacles, places_m, ends_m)
        slot, row = slots[found.pair], standing.rows_of(found.kind, found.index)
        sign = np.broadcast_to(standing.signs_of(found.kind, found.index), slot.shape)
        frequencies_hz = np.array([s.frequency_hz for s in every])
        for frequency_hz in set(frequencies_hz[slots].tolist()):
            mine = frequencies_hz[slot] == frequency_hz
            table_db = self._constructions.loss_table_db(standing, frequency_hz)
            loss_db = _read(table_db, row[mine], found.cos_incidence[mine])
            steps = np.rint(loss_db / STEP_DB).astype(np.int64)
            np.add.at(self._steps, slot[mine], sign[mine] * steps)
        np.add.at(self._unknown, slot, sign * self._constructions.unknown_rows(standing)[row])
        for floor, rows in self._constructions.summed_rows(standing).items():
            counts = self._floors.setdefault(floor, np.zeros(len(every), np.int64))
            np.add.at(counts, slot, sign * rows[row])


def _taken(counts: _Counts, kept: list[int]) -> _Counts:
    """Counts in a new order; 0 for what is new."""
    return np.array([counts[k] if k >= 0 else 0 for k in kept], dtype=np.int64)


def _read(
    table_db: NDArray[np.float64], row: NDArray[np.int64], cos: NDArray[np.float64]
) -> NDArray[np.float64]:
    """The table's rows at cosines, by linear interpolation."""
    place = cos * (table_db.shape[1] - 1)
    node = np.minimum(place.astype(np.intp), table_db.shape[1] - 2)
    low = table_db[row, node]
    loss_db: NDArray[np.float64] = low + (place - node) * (table_db[row, node + 1] - low)
    return loss_db
