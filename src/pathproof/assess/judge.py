"""Words of trees: series take the worst, alternatives the best; the weakest link decides."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pathproof.assess.types import Alternatives, Leaf, Link, Path, Series
from pathproof.terms import Reason, Word

WORST_FIRST = (Word.LACKING, Word.UNDECIDED, Word.PREDICTED, Word.PROVEN)
_MOST_URGENT_FIRST = (Reason.INPUT, Reason.LIMIT, Reason.CALCULATION)


@dataclass(frozen=True, kw_only=True)
class Judgement:
    """Word of a tree, the link that decides it, and the odds of its links together.

    Proven links count as working.
    """

    word: Word
    weakest: str
    rank: tuple[int, int, float]
    odds: float | None


def worst(words: list[Word]) -> Word:
    """The worst of some words; undecided where there is none."""
    return min(words, key=WORST_FIRST.index, default=Word.UNDECIDED)


def judge(path: Path, links: Mapping[str, Link]) -> Judgement:
    """The judgement of a tree.

    Within a word the weakest link is the one with the least margin over its own scale; among the
    undecided a missing input comes before an unconfirmed limit.
    """
    if isinstance(path, Leaf):
        link = links[path.link]
        odds = 1.0 if link.word is Word.PROVEN else link.probability
        return Judgement(word=link.word, weakest=link.id, rank=rank(link), odds=odds)
    parts = [judge(p, links) for p in path.parts]
    choose_best = isinstance(path, Alternatives) and not path.all_needed
    decisive = max(parts, key=lambda j: j.rank) if choose_best else min(parts, key=lambda j: j.rank)
    return Judgement(
        word=decisive.word,
        weakest=decisive.weakest,
        rank=decisive.rank,
        odds=decisive.odds if choose_best else _product([j.odds for j in parts]),
    )


def in_use(path: Path, links: Mapping[str, Link]) -> list[str]:
    """Links of a tree in order, of alternatives only those of one way.

    That is the first of those with the best word, so the direct one where it is as good; where all
    are lacking, the one that lacks least.
    """
    if isinstance(path, Leaf):
        return [path.link]
    parts = path.parts
    if isinstance(path, Alternatives) and not path.all_needed:
        ranks = [judge(p, links).rank for p in parts]
        best = max(ranks)
        lacking = best[0] == WORST_FIRST.index(Word.LACKING)
        good = [r == best if lacking else r[0] == best[0] for r in ranks]
        parts = (parts[good.index(True)],)
    return [i for part in parts for i in in_use(part, links)]


def rank(link: Link) -> tuple[int, int, float]:
    """Sort key of a link, weakest first."""
    urgency = 0 if link.reason is None else _MOST_URGENT_FIRST.index(link.reason)
    relative = -math.inf if link.margin is None else link.margin.value / (link.scale or 1.0)
    return WORST_FIRST.index(link.word), urgency, relative


def series(*parts: Path) -> Path:
    """Parts one after the other, without needless nesting."""
    flat: list[Path] = []
    for part in parts:
        flat.extend(part.parts if isinstance(part, Series) else (part,))
    return flat[0] if len(flat) == 1 else Series(parts=tuple(flat))


def alternatives(parts: list[Path], *, all_needed: bool) -> Path:
    """Ways of which one is enough, or all are needed."""
    if len(parts) == 1:
        return parts[0]
    return Alternatives(parts=tuple(parts), all_needed=all_needed)


def leaf(link: Link) -> Leaf:
    """A link in a tree."""
    return Leaf(link=link.id)


def _product(odds: list[float | None]) -> float | None:
    known = [x for x in odds if x is not None]
    return math.prod(known) if len(known) == len(odds) and known else None
