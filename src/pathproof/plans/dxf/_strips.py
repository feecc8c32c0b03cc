"""Strips between two parallel lines: walls, and what only looks like one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from pathproof.plans.report import ReportBuilder
from pathproof.terms import PlanError

THINNEST_M, THICKEST_M = 0.05, 0.5
LONGEST_GAP_M = 2.5
"""Up to this long a hole without lines in it is taken for a door; shorter panes are a window's."""

SLACK_M = 0.002
SAME_M = 0.003
EQUAL_M = 0.01
CHUNK = 2000
"""So many are looked up at once."""
MOST_PAIRS = 1_000_000

_COVERED_RATIO = 0.5
_ALL_ALONG_RATIO = 0.95
_TREADS = 4
_LONG_RATIO = 3.0  # shorter than this times its thickness, and in no line of walls: a post
_PLASTER_M = 0.05


@dataclass(frozen=True, slots=True)
class Pair:
    """A stretch of wall between two faces of one direction."""

    lower: int
    upper: int
    group: int
    low: float
    high: float
    """Ends along the direction. [m]"""
    middle: float
    """Offset of the centre line. [m]"""
    thickness_m: float

    @property
    def length_m(self) -> float:
        """Length. [m]"""
        return self.high - self.low


def check_count(count: int, most: int) -> None:
    """Refuse what no building holds.

    Raises
    ------
    PlanError
        There are more than that.
    """
    if count > most:
        raise PlanError(
            f"The layers taken for walls hold more than {most:,} pairs of lines beside each other, "
            "which no building has. Pick the layers of walls alone with --walls, without hatches."
        )


def drawn_once(found: Sequence[Pair], report: ReportBuilder) -> list[Pair]:
    """The walls without those within another, whose lines are its plaster's inner edges."""
    within: set[int] = set()
    for k, i in _side_by_side(found, _PLASTER_M):
        inner, outer = (k, i) if found[k].thickness_m < found[i].thickness_m else (i, k)
        if _is_within(found[inner], found[outer]):
            within.add(inner)
    report.left_out("two parallel lines", "within another wall, such as its plaster", len(within))
    return [p for k, p in enumerate(found) if k not in within]


def _side_by_side(found: Sequence[Pair], most_m: float) -> Iterator[tuple[int, int]]:
    """Every two walls of one direction whose middles are up to so far from each other."""
    if not found:
        return
    group, middle, low, high = np.array([(p.group, p.middle, p.low, p.high) for p in found]).T
    row = middle + group * (4.0 * np.abs(middle).max() + 4.0)
    lines = shapely.linestrings(np.stack([low, row, high, row], axis=1).reshape(-1, 2, 2))
    tree, total = shapely.STRtree(lines), 0
    for k in range(0, len(found), CHUNK):
        some, others = tree.query(lines[k : k + CHUNK], "dwithin", distance=most_m)
        total += len(some)
        check_count(total, MOST_PAIRS)
        yield from (
            (i + k, j) for i, j in zip(some.tolist(), others.tolist(), strict=True) if i + k < j
        )


def _is_within(inner: Pair, outer: Pair) -> bool:
    spare = (outer.thickness_m - inner.thickness_m) / 2
    off = abs(outer.middle - inner.middle)
    both_sides = spare - off > SAME_M and spare + off <= _PLASTER_M
    return both_sides and _covered(inner, [outer])


def without_strips(
    found: Sequence[Pair], report: ReportBuilder, thickest_m: float
) -> tuple[list[Pair], list[Pair]]:
    """The walls without what only looks like one, and the windows among the latter."""
    above, below = _neighbours(found)
    ends = _ends(found)
    dropped: dict[int, str] = {}
    wider: dict[int, Pair] = {}
    panes: list[Pair] = []
    for chain in _equal_chains(found, above):
        members = [found[k] for k in chain]
        one = _all_of(members)
        if one.length_m <= LONGEST_GAP_M and _in_line(one, ends):
            dropped |= dict.fromkeys(chain, "panes of a window")
            panes.append(one)
        elif len(chain) >= _TREADS and _as_long(members):
            dropped |= dict.fromkeys(chain, "four or more strips of one width, such as stairs")
        elif one.length_m <= min(_LONG_RATIO * one.thickness_m, LONGEST_GAP_M):
            dropped |= dict.fromkeys(chain, "panes of a window, or posts")
        elif len(chain) == 2 and _is_one_wall(members, thickest_m):
            wider[chain[0]] = one
            dropped[chain[1]] = ""
    for k, p in enumerate(found):
        if k in dropped or k in wider:
            continue
        if _is_room([p, *(found[i] for i in above[k])], [p, *(found[i] for i in below[k])]):
            dropped[k] = "a strip of room between two walls, such as a closet"
    for why in dropped.values():
        if why:
            report.left_out("two parallel lines", why)
    return [wider.get(k, p) for k, p in enumerate(found) if k not in dropped], panes


def _is_room(up: Sequence[Pair], down: Sequence[Pair]) -> bool:
    """Whether a strip, the first of both, is a narrow room between the others, its walls.

    One between walls as long as it, or wider than what stands against it; what is not, is a wall
    with linings, shafts or piers on both sides.
    """
    strip = up[0]
    walls = [*up[1:], *down[1:]]
    wide = all(p.thickness_m < strip.thickness_m for p in walls)
    least = _COVERED_RATIO if wide else _ALL_ALONG_RATIO
    return all(_covered(strip, side[1:], least) for side in (up, down))


def _as_long(members: Sequence[Pair]) -> bool:
    lengths = [p.length_m for p in members]
    return min(lengths) >= _COVERED_RATIO * max(lengths)


def _all_of(members: Sequence[Pair]) -> Pair:
    """One strip from the outer faces of several side by side."""
    ordered = sorted(members, key=lambda p: p.middle)
    first, last = ordered[0], ordered[-1]
    lower, upper = first.middle - first.thickness_m / 2, last.middle + last.thickness_m / 2
    low, high = min(p.low for p in members), max(p.high for p in members)
    return Pair(first.lower, last.upper, first.group, low, high, (lower + upper) / 2, upper - lower)


def _is_one_wall(members: Sequence[Pair], thickest_m: float) -> bool:
    """Whether two strips are as long, with their middle line between them.

    What is shorter is a pier, a shaft or another room against a wall.
    """
    a, b = members
    uneven = max(abs(a.low - b.low), abs(a.high - b.high))
    return uneven <= a.thickness_m + b.thickness_m <= thickest_m + SLACK_M


def _ends(found: Sequence[Pair]) -> dict[tuple[int, int], list[Pair]]:
    """The walls by direction and by the place of their ends along it, in steps of 0.1 m."""
    ends: dict[tuple[int, int], list[Pair]] = {}
    for p in found:
        for place in {round(10 * p.low), round(10 * p.high)}:
            ends.setdefault((p.group, place), []).append(p)
    return ends


def _in_line(strip: Pair, ends: dict[tuple[int, int], list[Pair]]) -> bool:
    """Whether a wall as thick as the strip goes on where that ends."""
    for at in (strip.low, strip.high):
        for place in range(round(10 * at) - 1, round(10 * at) + 2):
            for p in ends.get((strip.group, place), []):
                off = abs(p.middle - strip.middle) + abs(p.thickness_m - strip.thickness_m) / 2
                if off <= EQUAL_M and _overlap(p, strip) <= EQUAL_M:
                    return True
    return False


def _neighbours(found: Sequence[Pair]) -> tuple[list[list[int]], list[list[int]]]:
    """For each wall those that share its upper and its lower face on the other side."""
    of_lower: dict[int, list[int]] = {}
    of_upper: dict[int, list[int]] = {}
    for k, p in enumerate(found):
        of_lower.setdefault(p.lower, []).append(k)
        of_upper.setdefault(p.upper, []).append(k)
    return (
        [[i for i in of_lower.get(p.upper, []) if _overlap(p, found[i]) > 0] for p in found],
        [[i for i in of_upper.get(p.lower, []) if _overlap(p, found[i]) > 0] for p in found],
    )


def say_touching(walls: Sequence[Pair], report: ReportBuilder) -> None:
    above, _ = _neighbours(walls)
    for k, p in enumerate(walls):
        for i in above[k]:
            if _overlap(p, walls[i]) >= _COVERED_RATIO * min(p.length_m, walls[i].length_m):
                why = "perhaps two layers of one wall; [layers] in the notes says what each is"
                report.guessed("two parallel walls that touch", "walls of their own", why)


def _overlap(a: Pair, b: Pair) -> float:
    return min(a.high, b.high) - max(a.low, b.low)


def _covered(p: Pair, others: Sequence[Pair], least: float = _COVERED_RATIO) -> bool:
    return sum(_overlap(p, other) for other in others) >= least * p.length_m


def _equal_chains(found: Sequence[Pair], above: Sequence[Sequence[int]]) -> list[list[int]]:
    """Strips of one width side by side, two or more of them."""
    chain = list(range(len(found)))

    def first(k: int) -> int:
        while chain[k] != k:
            chain[k] = chain[chain[k]]
            k = chain[k]
        return k

    for k, p in enumerate(found):
        for i in above[k]:
            q = found[i]
            if (
                abs(p.thickness_m - q.thickness_m) <= EQUAL_M
                and _covered(p, [q])
                and _covered(q, [p])
            ):
                chain[first(i)] = first(k)
    members: dict[int, list[int]] = {}
    for k in range(len(found)):
        members.setdefault(first(k), []).append(k)
    return [m for m in members.values() if len(m) > 1]
