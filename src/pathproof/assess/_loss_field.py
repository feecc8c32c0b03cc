"""Losses from each of many things to every place of a raster, kept up to date piece by piece.

Every figure is a multiple of `STEP_DB`, so that sums in single precision are exact: what was added
can be taken away again, and any order of edits ends at the same figures as doing all anew.
"""

import math
import os
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from pathproof.assess._standing import Constructions, Standing
from pathproof.assess.way import NEAREST_M
from pathproof.calc.radio import cost231_floor_loss_db, free_space_path_loss_db
from pathproof.calc.radio.shadows import STEP_DB, Raster, add_shadows
from pathproof.job import Slab
from pathproof.job.geometry import Position

_UNITS_PER_M = 1024.0
_SPARE = 8
"""Slots for things that come later, beside as many again; unused ones take no memory."""
_BLOCK_BYTES = 64 * 2**20
"""Of things side by side in one array, at most."""
Where = NDArray[np.bool_] | bool
FloatMap = NDArray[np.float32]
Levels = NDArray[np.float32] | NDArray[np.float64]
_T = TypeVar("_T")
_R = TypeVar("_R")


@dataclass(frozen=True, kw_only=True)
class Source:
    """Where something sends from, and on what frequency."""

    at_m: Position
    frequency_hz: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Loss:
    """What the way from one thing loses, to each place of a raster or to one place."""

    loss_db: Levels
    unknown: Where
    """Where something of unknown build-up stands in the way; one value where all agree."""


@dataclass(frozen=True, kw_only=True)
class Surroundings:
    """What the figures of a field rest on, beside the things themselves."""

    origin_m: tuple[float, float]
    cell_m: float
    shape: tuple[int, int]
    z_m: float
    constructions: Constructions
    floors_everywhere: tuple[Slab, ...]
    """Floors without an outline."""

    @cached_property
    def raster(self) -> Raster:
        """The places, as the kernel takes them."""
        return Raster.from_grid(self.origin_m, self.cell_m, self.shape, self.z_m)

    def floors_crossed(self, from_z_m: float) -> Iterator[str]:
        """Constructions of floors without an outline between a height and the places'."""
        low, high = sorted((_snapped(from_z_m), _snapped(self.z_m)))
        for slab in self.floors_everywhere:
            if low < _snapped(slab.elevation_m) <= high:
                yield slab.construction

    def free_space_db(self, source: Source) -> FloatMap:
        """Loss with nothing in the way."""
        x, y, z = source.at_m
        rows, columns = self.shape
        away_x = self.origin_m[0] + (np.arange(columns) + 0.5) * self.cell_m - x
        away_y = self.origin_m[1] + (np.arange(rows) + 0.5) * self.cell_m - y
        squares = away_x[np.newaxis, :] ** 2 + away_y[:, np.newaxis] ** 2 + (self.z_m - z) ** 2
        away_m = np.maximum(np.sqrt(squares), NEAREST_M)
        loss_db = np.asarray(free_space_path_loss_db(source.frequency_hz, away_m))
        return (np.rint(loss_db / STEP_DB) * STEP_DB).astype(np.float32)


class Block:
    """Things of one frequency side by side, and the losses from each: (things, rows, columns)."""

    def __init__(self, around: Surroundings, frequency_hz: float, room: int) -> None:
        self.ids: list[str] = []
        self.frequency_hz = frequency_hz
        self._around = around
        self._places_m: list[Position] = []
        self._shape = (room, *around.shape)
        self._loss_db = np.zeros(self._shape, np.float32)
        self._unknown: FloatMap | None = None
        self._floors: dict[str, FloatMap] = {}

    @property
    def has_room(self) -> bool:
        """Whether one more thing fits in."""
        return len(self.ids) < self._shape[0]

    @property
    def maps(self) -> int:
        """How many arrays of the places' shape it holds."""
        return len(self.ids) * (1 + len(self._counts()))

    def append(self, thing_id: str, at_m: Position) -> None:
        """One more thing, with nothing in its way."""
        self.ids.append(thing_id)
        self._places_m.append(at_m)
        self.put(len(self.ids) - 1, at_m)

    def put(self, slot: int, at_m: Position) -> None:
        """A thing somewhere else, with nothing in its way."""
        self._places_m[slot] = at_m
        source = Source(at_m=at_m, frequency_hz=self.frequency_hz)
        self._loss_db[slot] = self._around.free_space_db(source)
        for counts in self._counts():
            counts[slot] = 0.0

    def remove(self, slot: int) -> None:
        """One thing less; the last one takes its slot."""
        last = len(self.ids) - 1
        for array in (self._loss_db, *self._counts()):
            array[slot] = array[last]
        self.ids[slot], self._places_m[slot] = self.ids[last], self._places_m[last]
        del self.ids[last], self._places_m[last]

    def add(self, standing: Standing, slots: slice = slice(None)) -> None:
        """Put up, or take down, what stands somewhere."""
        constructions = self._around.constructions
        table_db = constructions.loss_table_db(standing, self.frequency_hz)
        self._shadows(self._loss_db, standing, table_db, slots)
        if (flags := constructions.unknown_table(standing)) is not None:
            if self._unknown is None:
                self._unknown = np.zeros(self._shape, np.float32)
            self._shadows(self._unknown, standing, flags, slots)
        for floor, flags in constructions.floor_tables(standing).items():
            if floor not in self._floors:
                self._floors[floor] = np.zeros(self._shape, np.float32)
            self._shadows(self._floors[floor], standing, flags, slots)

    def read(self, slot: int) -> Loss:
        """What the way from one thing loses."""
        constructions = self._around.constructions
        everywhere = list(self._around.floors_crossed(self._places_m[slot][2]))
        loss_db, unknown = self._loss_db[slot], not all(map(constructions.is_known, everywhere))
        found: Where = unknown
        for floor in {c for c in everywhere if constructions.is_summed(c)}.union(self._floors):
            count = everywhere.count(floor)
            if floor not in self._floors:
                loss_db = loss_db + np.float32(floors_db(constructions.each_db(floor), count)[-1])
                continue
            counts = count + self._floors[floor][slot].astype(np.intp)
            most = int(counts.max())
            loss_db = loss_db + floors_db(constructions.each_db(floor), most)[counts]
            found = found | (counts > 0)
        if self._unknown is not None:
            found = found | (self._unknown[slot] > 0.0)
        return Loss(loss_db=loss_db, unknown=found)

    def _shadows(
        self,
        array: FloatMap,
        standing: Standing,
        table: NDArray[np.float64],
        slots: slice,
    ) -> None:
        into = array[: len(self.ids)][slots]
        places_m = np.array(self._places_m, dtype=np.float64).reshape(-1, 3)[slots]
        rows, raster = standing.rows, self._around.raster
        add_shadows(into, standing.obstacles, *rows, table, places_m, raster, sign=standing.sign)

    def _counts(self) -> list[FloatMap]:
        return [*([] if self._unknown is None else [self._unknown]), *self._floors.values()]


class LossField:
    """Losses from each of many things to every place of a raster.

    Parameters
    ----------
    around : Surroundings
        What stays the same for the life of the field.
    site : callable
        Gives all that stands on the site as it is now.
    most_bytes : int
        Of memory; a larger field is not kept but worked out block by block each time. [byte]
    """

    def __init__(self, around: Surroundings, site: Callable[[], Standing], most_bytes: int) -> None:
        self._around, self._site, self._most_bytes = around, site, most_bytes
        self._sources: dict[str, Source] = {}
        self._blocks: list[Block] = []
        rows, columns = around.shape
        self._bytes_each = 4 * rows * columns
        self._maps_each = 1

    @property
    def held(self) -> Collection[str]:
        """The things whose losses are held."""
        return self._sources.keys()

    @property
    def kept_bytes(self) -> int:
        """Memory taken. [byte]"""
        return sum(block.maps for block in self._blocks) * self._bytes_each

    def hold(self, sources: Mapping[str, Source]) -> None:
        """Hold the losses from these things; only what is new or moved is worked out."""
        before, self._sources = self._sources, dict(sources)
        blocks, self._blocks = self._blocks, []  # nothing is kept of work that breaks off
        if not blocks:
            before = {}
            self._maps_each = self._around.constructions.maps_for(self._site())
        if len(sources) * self._maps_each * self._bytes_each > self._most_bytes:
            return
        gone = {i for i, s in before.items() if _frequency(sources.get(i)) != s.frequency_hz}
        for block in blocks:
            for thing_id in gone.intersection(block.ids):
                block.remove(block.ids.index(thing_id))
            for slot, thing_id in enumerate(block.ids):
                if (at_m := sources[thing_id].at_m) != before[thing_id].at_m:
                    block.put(slot, at_m)
                    block.add(self._site(), slots=slice(slot, slot + 1))
        held = {i for block in blocks for i in block.ids}
        self._fill({i: s for i, s in sources.items() if i not in held}, blocks)
        self._blocks = blocks

    def change(self, edit: Standing) -> None:
        """Take down and put up what changed on the site."""
        _shared_out(lambda block: block.add(edit), self._blocks)

    def read(self, ids: Iterable[str]) -> dict[str, Loss]:
        """What the ways from some of the things lose."""
        wanted = set(ids)
        blocks = self._blocks
        if not blocks:
            blocks = []
            self._fill({i: s for i, s in self._sources.items() if i in wanted}, blocks)
        return {
            thing_id: block.read(slot)
            for block in blocks
            for slot, thing_id in enumerate(block.ids)
            if thing_id in wanted
        }

    def each_block(self, work: Callable[[Block], _R]) -> list[_R]:
        """The result of some work on each block, shared out to threads."""
        if self._blocks:
            return _shared_out(work, self._blocks)
        site = self._site()

        def made(share: list[tuple[str, Source]]) -> _R:
            """A block of a field that is too large to be kept."""
            block = self._block(share, len(share))
            block.add(site)
            return work(block)

        shares = [
            share
            for things in _by_frequency(self._sources).values()
            for share in self._shares(things)
        ]
        return _shared_out(made, shares)

    def _room(self) -> int:
        return max(1, _BLOCK_BYTES // self._bytes_each)

    def _fill(self, sources: Mapping[str, Source], blocks: list[Block]) -> None:
        """Put things where there is room, in further blocks if need be, and work them out."""
        first = {id(block): len(block.ids) for block in blocks}
        for frequency_hz, things in _by_frequency(sources).items():
            for block in blocks:
                while things and block.frequency_hz == frequency_hz and block.has_room:
                    thing_id, source = things.pop()
                    block.append(thing_id, source.at_m)
            for share in self._shares(things):
                blocks.append(self._block(share, min(self._room(), _SPARE + 2 * len(share))))
        new = [(b, first.get(id(b), 0)) for b in blocks if len(b.ids) > first.get(id(b), 0)]
        if new:
            site = self._site()
            _shared_out(lambda n: n[0].add(site, slots=slice(n[1], None)), new)

    def _block(self, share: list[tuple[str, Source]], room: int) -> Block:
        """Things of one frequency, with nothing in their way."""
        block = Block(self._around, share[0][1].frequency_hz, room)
        for thing_id, source in share:
            block.append(thing_id, source.at_m)
        return block

    def _shares(self, things: list[tuple[str, Source]]) -> Iterator[list[tuple[str, Source]]]:
        """Things by blocks, with something for each processor."""
        count = max(math.ceil(len(things) / self._room()), min(_processors(), len(things)))
        return (things[k::count] for k in range(count))


def _by_frequency(sources: Mapping[str, Source]) -> dict[float, list[tuple[str, Source]]]:
    groups: dict[float, list[tuple[str, Source]]] = {}
    for thing_id, source in sources.items():
        groups.setdefault(source.frequency_hz, []).append((thing_id, source))
    return groups


def _frequency(source: Source | None) -> float | None:
    return None if source is None else source.frequency_hz


def floors_db(each_db: float, most: int) -> FloatMap:
    """Loss of 0, 1, ... floors together."""
    by_count = [cost231_floor_loss_db(k, each_db) for k in range(most + 1)]
    return np.array(by_count, dtype=np.float32)


def _snapped(height_m: float) -> int:
    """As the crossing rule takes heights."""
    return round(height_m * _UNITS_PER_M)


def _processors() -> int:
    return os.cpu_count() or 1


@lru_cache(maxsize=1)
def _pool(process: int) -> ThreadPoolExecutor:
    """Threads of one process: a forked one has none of its parent's."""
    return ThreadPoolExecutor(_processors(), thread_name_prefix="pathproof-maps")


def _shared_out(work: Callable[[_T], _R], items: list[_T]) -> list[_R]:
    """The results of some work on each item, by as many threads as there are processors."""
    if len(items) < 2:
        return [work(item) for item in items]
    return list(_pool(os.getpid()).map(work, items))
