"""What stands in the way, with what each piece is built of, as tables for the shadow kernel."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Self

import numpy as np
from numpy.typing import NDArray

from pathproof.assess.way import layers_of
from pathproof.calc.radio import link_loss_table_db
from pathproof.job import Construction, Job, Site, Wall
from pathproof.job.geometry import OPENING, SiteGeometry

if TYPE_CHECKING:
    from pathproof.calc.radio.obstacles import Obstacles

_NODES = 65
"""Of a construction's loss over the cosine of the angle; a wall is then right to 0.05 dB or so."""
_MOST_DB = 128.0
"""A wall that takes more, of metal for instance, is taken to take this much: nothing is heard
through it either way, and sums stay exact behind 64 of them. [dB]"""
_Array = NDArray[np.float64]
_Rows = NDArray[np.int64]


@dataclass(frozen=True)
class _Built:
    """How one kind of obstacle is built, and whether it is a floor that covers everything."""

    construction: str | None
    everywhere: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Standing:
    """Obstacles, and how each is built: its row among `kinds`."""

    obstacles: "Obstacles"
    rows: tuple[_Rows, _Rows, _Rows]
    """Of walls, openings and slabs."""
    opening_wall: _Rows
    """The wall that each opening is in."""
    kinds: list[_Built]
    sign: int | _Rows = 1
    """1 for what is put up and -1 for what is taken down; of each wall where both are here."""

    @classmethod
    def of(cls, geometry: SiteGeometry) -> Self:
        """Everything that stands on a site."""
        groups = (
            [_Built(w.construction) for w in geometry.walls],
            [_Built(o.construction) for _, o in geometry.openings],
            [_Built(s.construction, s.outline is None) for s in geometry.slabs],
        )
        row = {k: i for i, k in enumerate(dict.fromkeys(k for g in groups for k in g))}
        first, second, third = (np.array([row[k] for k in g], dtype=np.int64) for g in groups)
        return cls(
            obstacles=geometry.obstacles,
            rows=(first, second, third),
            opening_wall=np.array([i for i, _ in geometry.openings], dtype=np.int64),
            kinds=list(row),
        )

    @classmethod
    def of_edit(cls, site: Site, gone: Sequence[Wall], come: Sequence[Wall]) -> Self:
        """Walls taken down and walls put up, with their openings, and nothing else of a site."""
        geometry = SiteGeometry(site.model_copy(update={"walls": [*gone, *come]}))
        geometry.slabs.clear()
        return replace(cls.of(geometry), sign=np.repeat([-1, 1], [len(gone), len(come)]))

    def signs_of(self, kind: NDArray[np.int64], index: NDArray[np.int64]) -> int | _Rows:
        """The sign of each obstacle, given as the crossing kernel does."""
        if isinstance(self.sign, int):
            return self.sign
        wall = index.copy()
        wall[kind == OPENING] = self.opening_wall[index[kind == OPENING]]
        return self.sign[wall]

    def rows_of(self, kind: NDArray[np.int64], index: NDArray[np.int64]) -> _Rows:
        """The row of each obstacle, given as the crossing kernel does."""
        first = np.cumsum([0, *map(len, self.rows)])
        every: _Rows = np.concatenate(self.rows)
        return every[first[kind] + index]


class Constructions:
    """Constructions of a job as tables for the kernel; each loss is worked out once."""

    def __init__(self, job: Job) -> None:
        self._known: dict[str, Construction] = {}
        self._rows: dict[tuple[str, float], _Array] = {}
        self.learn(job)

    def learn(self, job: Job) -> None:
        """Take in further constructions; what was known before stays known."""
        self._known |= {**job.embedded.constructions, **job.site.constructions}

    def differ_in(self, job: Job) -> bool:
        """Whether the job says otherwise of one of them."""
        own = {**job.embedded.constructions, **job.site.constructions}
        return any(
            c is not (before := self._known.get(i)) and before is not None and _differ(before, c)
            for i, c in own.items()
        )

    def loss_table_db(self, standing: Standing, frequency_hz: float) -> _Array:
        """What each kind takes; nothing for floors that are summed by their number."""
        rows = [self._row_db(k.construction, frequency_hz) for k in standing.kinds]
        return np.array(rows, dtype=np.float64).reshape(-1, _NODES)

    def unknown_rows(self, standing: Standing) -> _Rows:
        """1 for each kind of unknown build-up."""
        return np.array([self._is_unknown(k) for k in standing.kinds], dtype=np.int64)

    def summed_rows(self, standing: Standing) -> dict[str, _Rows]:
        """For each kind of floor that is summed by its number, 1 for that kind."""
        found = {k.construction for k in standing.kinds if self.is_summed(k.construction)}
        return {
            c: np.array([k.construction == c for k in standing.kinds], dtype=np.int64)
            for c in sorted(c for c in found if c is not None)
        }

    def unknown_table(self, standing: Standing) -> _Array | None:
        """A table that counts what is of unknown build-up; none where nothing is.

        Left out are floors that cover everything, since whether a way crosses those is plain from
        its two heights, and floors that are summed by their number, since those are counted anyway.
        """
        summed = [self.is_summed(k.construction) for k in standing.kinds]
        return _counting(standing, self.unknown_rows(standing) * ~np.array(summed, dtype=np.bool_))

    def floor_tables(self, standing: Standing) -> dict[str, _Array]:
        """For each kind of floor that is summed by its number, a table that counts it.

        Without those that cover everything.
        """
        tables = {c: _counting(standing, r) for c, r in self.summed_rows(standing).items()}
        return {c: table for c, table in tables.items() if table is not None}

    def maps_for(self, standing: Standing) -> int:
        """How many maps of each thing it takes: of losses, and of what is counted."""
        return 1 + (self.unknown_table(standing) is not None) + len(self.floor_tables(standing))

    def is_summed(self, construction_id: str | None) -> bool:
        """Whether several of such a floor take less than their sum."""
        if construction_id is None:
            return False
        construction = self._known[construction_id]
        return construction.is_floor and not construction.layers

    def is_known(self, construction_id: str) -> bool:
        """Whether the build-up is known by layers."""
        return self._known[construction_id].known

    def each_db(self, construction_id: str) -> float:
        """Loss of one floor of a kind that is summed."""
        return self._known[construction_id].fixed_loss_db or 0.0

    def _is_unknown(self, kind: _Built) -> bool:
        return kind.construction is not None and not self.is_known(kind.construction)

    def _row_db(self, construction_id: str | None, frequency_hz: float) -> _Array:
        if construction_id is None or self.is_summed(construction_id):
            return np.zeros(_NODES)
        key = (construction_id, frequency_hz)
        if key not in self._rows:
            self._rows[key] = _angles_db(self._known[construction_id], frequency_hz)
        return self._rows[key]


def _differ(one: Construction, other: Construction) -> bool:
    figures = {"layers", "fixed_loss_db", "is_floor", "guessed"}
    return any(getattr(one, name) != getattr(other, name) for name in figures)


def _angles_db(construction: Construction, frequency_hz: float) -> _Array:
    if construction.layers:
        table_db = link_loss_table_db(layers_of(construction), frequency_hz, _NODES)
        return np.minimum(table_db, _MOST_DB)
    return np.full(_NODES, construction.fixed_loss_db)


def _counting(standing: Standing, rows: _Rows) -> _Array | None:
    """A table of 1 for the kinds chosen; none where they are floors that cover everything."""
    here = [r * (not k.everywhere) for r, k in zip(rows.tolist(), standing.kinds, strict=True)]
    return np.column_stack([here, here]).astype(np.float64) if any(here) else None
