"""CMH-17-1G (Composite Materials Handbook, volume 1, revision G): bounds of a 10th percentile.

Its B-basis is the level that 90 % exceed, at 95 % confidence. Restated in the tests of an open
library, which checks itself against the handbook.
"""

import pytest

from pathproof.calc.mobile import (
    binned_levels,
    least_readings,
    tolerance_factor,
    tolerance_of_tenth_percentile,
)

# Table 8.5.12: number of observations from which each rank from below is the B-basis value.
RANKS = [29, 46, 61, 76, 89, 103, 116, 129, 142, 154, 167, 179, 191, 203]

# One-sided tolerance factors for the B-basis of a normal distribution, printed to 3 decimals; the
# library that restates them found them up to 0.002 off.
FACTORS = [
    (2, 20.581),
    (3, 6.157),
    (4, 4.163),
    (5, 3.408),
    (7, 2.756),
    (10, 2.355),
    (15, 2.069),
    (22, 1.887),
    (30, 1.778),
    (50, 1.646),
    (95, 1.534),
    (137, 1.488),
]


@pytest.mark.parametrize(("rank", "count"), list(enumerate(RANKS, start=1)))
def test_ranks_begin_at_the_printed_numbers(rank: int, count: int) -> None:
    def rank_of(n: int) -> int | None:
        bound = tolerance_of_tenth_percentile(binned_levels([(i, i) for i in range(n)]), 0.95)
        return None if bound is None else bound.rank

    assert rank_of(count) == rank
    assert rank_of(count - 1) == (rank - 1 or None)


def test_fewest_readings() -> None:
    assert least_readings(0.95) == RANKS[0]


@pytest.mark.parametrize(("count", "factor"), FACTORS)
def test_factors(count: int, factor: float) -> None:
    assert tolerance_factor(count, 0.95) == pytest.approx(factor, abs=0.002)
