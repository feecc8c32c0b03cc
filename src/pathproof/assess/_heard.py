"""How well a device is heard at many places at once, by the same rules as `assess.judge`.

A way's margin is that of its weakest link and a device's that of its best way, or of its worst
where the profile asks for all of them. Links and ways are ranked by their margin over its spread,
and the odds are those of the way that the margin is of; links that are all needed have to work
together.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache, reduce
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from pathproof.assess._budgets import Allowed, PairBudget
from pathproof.assess._loss_field import Levels, Loss
from pathproof.calc.radio import link_odds

_LEAST_SPREAD_DB = 1e-6
_FARTHEST = 8.0
"""Spreads from the middle; beyond, odds are 0 or 1 to the 15th digit."""
_NODES_PER_SPREAD = 256
"""Odds read by linear interpolation are then right to the 6th digit."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Reach:
    """One link at many places, or at one: what its way loses there, and may lose."""

    loss: Loss
    budget: PairBudget

    @cached_property
    def margin_db(self) -> Levels:
        """Over the odds that the profile asks for."""
        return self._either(lambda allowed: allowed.loss_db) - self.loss.loss_db

    @cached_property
    def relative(self) -> Levels:
        """The margin over its spread."""
        spread_db = self._either(lambda allowed: max(allowed.spread_db, _LEAST_SPREAD_DB))
        return self.margin_db / spread_db

    def _either(self, figure: Callable[[Allowed], float]) -> Levels:
        """A figure as build-ups on the way are known or not."""
        known, unknown = (np.float32(figure(x)) for x in (self.budget.known, self.budget.unknown))
        return np.where(self.loss.unknown, unknown, known)


@dataclass(frozen=True, kw_only=True, eq=False)
class Way:
    """Links one after the other."""

    links: Sequence[Reach]

    @cached_property
    def margin_db(self) -> Levels:
        """Of the weakest link."""
        return _decisive(self.links, lambda link: link.margin_db, best=False)

    @cached_property
    def relative(self) -> Levels:
        """Of the weakest link, over its spread."""
        return reduce(np.minimum, [link.relative for link in self.links])

    def odds_ratio(self, kept_back_ratio: float) -> Levels:
        """That all links work."""
        return reduce(np.multiply, [_odds(x.relative + kept_back_ratio) for x in self.links])


_Part = TypeVar("_Part", bound=Reach | Way)


def heard_db(ways: Sequence[Way], *, all_needed: bool) -> Levels:
    """Margin of a device over some ways."""
    return _decisive(ways, lambda way: way.margin_db, best=not all_needed)


def heard_odds(ways: Sequence[Way], kept_back_ratio: float, *, all_needed: bool) -> Levels:
    """Odds that a device is heard over some ways."""
    if all_needed:
        return reduce(np.multiply, [way.odds_ratio(kept_back_ratio) for way in ways])
    return _decisive(ways, lambda way: way.odds_ratio(kept_back_ratio), best=True)


def deciding(ways: Sequence[Way], *, all_needed: bool) -> int:
    """Which way a device's margin is of, for one place; the first among equals."""
    relative = [float(way.relative) for way in ways]
    return relative.index(min(relative) if all_needed else max(relative))


def best_somewhere(ways: Sequence[Way], where: NDArray[np.bool_]) -> list[int]:
    """Which of a device's ways is its best, at one of some places or another."""
    best = np.argmax([way.relative for way in ways], axis=0)
    found: list[int] = np.flatnonzero(np.bincount(best[where])).tolist()
    return found


def _decisive(parts: Sequence[_Part], figure: Callable[[_Part], Levels], *, best: bool) -> Levels:
    """A figure of the best or the worst of some links or ways; of the first among equals."""
    first, *others = parts
    found = figure(first)
    if not others:
        return found
    relative = first.relative
    for part in others:
        taken = part.relative > relative if best else part.relative < relative
        found = np.where(taken, figure(part), found)
        relative = np.where(taken, part.relative, relative)
    return found


def _odds(deviates: Levels) -> Levels:
    """Standard normal distribution."""
    low, slope = _table()
    place = np.clip((deviates + _FARTHEST) * _NODES_PER_SPREAD, 0.0, len(low) - 1.0)
    node = np.minimum(place.astype(np.intp), len(low) - 2)
    odds: Levels = low[node] + (place - node).astype(np.float32) * slope[node]
    return odds


@lru_cache(maxsize=1)
def _table() -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    nodes = np.linspace(-_FARTHEST, _FARTHEST, int(2 * _FARTHEST) * _NODES_PER_SPREAD + 1)
    odds = np.asarray(link_odds(nodes, 1.0))
    return odds.astype(np.float32), np.diff(odds).astype(np.float32)
