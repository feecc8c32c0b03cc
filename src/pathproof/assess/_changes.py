"""Which things of a list changed from one version of a job to the next."""

import operator
from collections.abc import Sequence
from itertools import compress
from typing import Protocol, TypeVar


class _Named(Protocol):
    @property
    def id(self) -> str: ...


_T = TypeVar("_T", bound=_Named)


def changes(before: Sequence[_T], after: Sequence[_T]) -> tuple[list[_T], list[_T]]:
    """Things as they were that are so no longer, and things as they are that were not so.

    Things that both lists share cost next to nothing, since models are frozen and a change is a
    copy; only the others are compared by what they say.
    """
    if before is after:
        return [], []
    both = min(len(before), len(after))
    moved = list(map(operator.is_not, before, after))
    before = [*compress(before, moved), *before[both:]]
    after = [*compress(after, moved), *after[both:]]
    shared = set(map(id, before)).intersection(map(id, after))
    gone = {x.id: x for x in before if id(x) not in shared}
    come = {x.id: x for x in after if id(x) not in shared}
    same = {i for i, x in come.items() if gone.get(i) == x}
    return (
        [x for i, x in gone.items() if i not in same],
        [x for i, x in come.items() if i not in same],
    )
