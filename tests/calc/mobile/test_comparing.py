"""Two sets of readings compared: by simulation, against scipy, and at their limits."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from pathproof.calc.mobile import (
    Better,
    BinnedLevels,
    Comparison,
    Interval,
    Side,
    binned_levels,
    compare_levels,
)
from pathproof.terms import InvalidInputError


def _binned(values: NDArray[np.float64]) -> BinnedLevels:
    low = np.floor(values)
    return binned_levels(zip(low.tolist(), (low + 1.0).tolist(), strict=True))


def _one(low: float | None, high: float | None, instrument_spread_db: float = 0.0) -> Side:
    return Side(levels=binned_levels([(low, high)]), instrument_spread_db=instrument_spread_db)


def _compare(first: Side, second: Side, *, same: bool = True, tie: float = 0.6) -> Comparison:
    return compare_levels(first, second, reading_spread_db=6.0, same_instrument=same, tie_ratio=tie)


class TestOdds:
    def test_single_readings(self) -> None:
        found = _compare(_one(-90.0, -90.0), _one(-100.0, -100.0))
        assert found.spread_db == pytest.approx(math.hypot(6.0, 6.0))
        assert found.odds_ratio == pytest.approx(stats.norm.cdf(10.0 / math.hypot(6.0, 6.0)))
        assert found.better is Better.FIRST

    def test_half_bins_join_the_spread_or_bound_the_odds(self) -> None:
        found = _compare(_one(-92.0, -88.0), _one(-101.0, -99.0))
        assert found.difference_db == Interval(7.0, 13.0)
        assert found.odds_ratio == pytest.approx(
            stats.norm.cdf(10.0 / math.sqrt(36.0 + 36.0 + 4.0 + 1.0))
        )
        sigma = math.hypot(6.0, 6.0)
        assert found.odds_bounds.low == pytest.approx(stats.norm.cdf(7.0 / sigma))
        assert found.odds_bounds.high == pytest.approx(stats.norm.cdf(13.0 / sigma))

    def test_the_offset_of_one_instrument_cancels_that_of_two_joins(self) -> None:
        first, second = _one(-90.0, -90.0, 3.0), _one(-100.0, -100.0, 4.0)
        assert _compare(first, second).spread_db == pytest.approx(math.hypot(6.0, 6.0))
        assert _compare(first, second, same=False).spread_db == pytest.approx(
            math.sqrt(72.0 + 9.0 + 16.0)
        )

    # 4000 pairs of sets: the spread of a median of normal readings is sqrt(pi/2) s / sqrt(n) for
    # many, less for few (so ours is cautious): within 3 % for 51 readings, up to 15 % for 5.
    @pytest.mark.parametrize(("count", "most_cautious"), [(5, 1.15), (51, 1.03)])
    def test_spread_of_the_difference_is_that_of_simulated_medians(
        self, count: int, most_cautious: float
    ) -> None:
        chance = np.random.default_rng(count)
        values = chance.normal(-95.0, 6.0, size=(2, 4000, count))
        medians = np.median(values, axis=2)
        side = Side(
            levels=binned_levels([(-95.0, -95.0)] * count), instrument_spread_db=0.0
        )  # readings all alike: the spread of a single reading counts
        ours = _compare(side, side).spread_db
        simulated = float(np.std(medians[0] - medians[1]))
        assert 0.98 < ours / simulated < most_cautious

    def test_odds_come_true(self) -> None:
        """Of pairs of spots whose medians differ by chance, what is said with odds p is right p of
        the time: for a flat prior that is what the odds mean; three standard deviations."""
        chance = np.random.default_rng(9)
        told, right = [], []
        for _ in range(3000):
            true = chance.uniform(-40.0, 40.0)
            first = Side(levels=_binned(chance.normal(true, 6.0, 1)), instrument_spread_db=0.0)
            second = Side(levels=_binned(chance.normal(0.0, 6.0, 1)), instrument_spread_db=0.0)
            odds = _compare(first, second).odds_ratio
            assert odds is not None
            told.append(max(odds, 1.0 - odds))
            right.append((odds > 0.5) == (true > 0.0) if odds != 0.5 else True)
        between = (np.array(told) > 0.6) & (np.array(told) < 0.95)
        expected, count = float(np.mean(np.array(told)[between])), int(between.sum())
        share = float(np.mean(np.array(right)[between]))
        assert share == pytest.approx(expected, abs=3.0 * math.sqrt(0.25 / count))

    def test_readings_that_spread_more_than_a_single_one_count_with_their_own(self) -> None:
        values = np.random.default_rng(1).normal(-95.0, 20.0, 30)
        side = Side(levels=_binned(values), instrument_spread_db=0.0)
        single = np.std(np.floor(values), ddof=1)
        expected = math.sqrt(math.pi / 2.0 * 2.0 / 30.0) * single
        assert _compare(side, side).spread_db == pytest.approx(expected)

    def test_readings_that_hang_together_count_less(self) -> None:
        levels = binned_levels([(-95.0, -94.0)] * 40)
        few = Side(levels=levels, instrument_spread_db=0.0, independent=10.0)
        many = Side(levels=levels, instrument_spread_db=0.0)
        assert _compare(few, few).spread_db == pytest.approx(2.0 * _compare(many, many).spread_db)


class TestBetter:
    def test_a_tie_is_named(self) -> None:
        found = _compare(_one(-95.0, -94.0), _one(-95.0, -94.0))
        assert (found.better, found.odds_ratio) == (Better.TIE, 0.5)
        assert _compare(_one(-94.0, -93.0), _one(-95.0, -94.0)).better is Better.TIE

    def test_where_the_tie_ends(self) -> None:
        first, second = _one(-94.0, -94.0), _one(-95.0, -95.0)
        odds = _compare(first, second).odds_ratio
        assert odds is not None
        assert _compare(first, second, tie=odds).better is Better.FIRST
        assert _compare(second, first, tie=odds - 1e-9).better is Better.SECOND
        assert _compare(first, second, tie=odds + 1e-9).better is Better.TIE

    def test_an_open_bin_far_below_decides_all_the_same(self) -> None:
        found = _compare(_one(-90.0, -89.0), _one(None, -113.0))
        assert (found.better, found.odds_ratio) == (Better.FIRST, None)
        assert found.odds_bounds.high == 1.0
        assert found.odds_bounds.low > 0.99
        assert _compare(_one(None, -113.0), _one(-90.0, -89.0)).better is Better.SECOND

    def test_an_open_bin_on_the_wrong_side_leaves_it_open(self) -> None:
        found = _compare(_one(None, -113.0), _one(-120.0, -119.0))
        assert (found.better, found.odds_bounds.low) == (Better.OPEN, 0.0)
        assert _compare(_one(None, -113.0), _one(None, -113.0)).better is Better.OPEN


class TestBadInput:
    @pytest.mark.parametrize("bad", [0.5, 1.0, math.nan])
    def test_tie(self, bad: float) -> None:
        with pytest.raises(InvalidInputError, match="tie_ratio was"):
            _compare(_one(-90.0, -89.0), _one(-90.0, -89.0), tie=bad)

    def test_spreads(self) -> None:
        one = _one(-90.0, -89.0)
        with pytest.raises(InvalidInputError, match="instrument_spread_db was"):
            _compare(_one(-90.0, -89.0, -1.0), one)
        with pytest.raises(InvalidInputError, match="reading_spread_db was"):
            compare_levels(one, one, reading_spread_db=0.0, same_instrument=True)

    def test_independent(self) -> None:
        bad = Side(levels=binned_levels([(-90.0, -89.0)]), instrument_spread_db=0, independent=2)
        with pytest.raises(InvalidInputError, match="independent was 2; it must be 1 to 1"):
            _compare(bad, bad)
