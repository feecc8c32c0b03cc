"""Percentiles and their certainty: against scipy, and by simulation with fixed seeds."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from pathproof.calc.mobile import (
    BinnedLevels,
    Interval,
    binned_levels,
    certainty_of_tenth_percentile,
    least_readings,
    median_bounds,
    tenth_percentile,
    tenth_percentile_bounds,
    tolerance_factor,
    tolerance_of_tenth_percentile,
)
from pathproof.terms import InvalidInputError

Array = NDArray[np.float64]


def _exact(values: Array) -> BinnedLevels:
    return binned_levels([(v, v) for v in values])


class TestNearestRank:
    @pytest.mark.parametrize("count", [1, 9, 10, 11, 20, 21, 100, 101, 1000])
    def test_is_the_inverse_of_the_distribution_function(self, count: int) -> None:
        values = np.sort(np.random.default_rng(count).normal(size=count))
        expected = np.quantile(values, 0.1, method="inverted_cdf")
        assert tenth_percentile(values.tolist()) == expected

    def test_takes_whatever_can_be_ordered(self) -> None:
        assert tenth_percentile([(-110.0, "a"), (-104.0, "b")]) == (-110.0, "a")

    def test_nothing_given(self) -> None:
        with pytest.raises(InvalidInputError, match="ordered was empty"):
            tenth_percentile([])


class TestBounds:
    def test_open_ends_bound_nothing(self) -> None:
        levels = binned_levels([(None, -120.0)] * 2 + [(-100.0, -99.0)] * 2)
        assert tenth_percentile_bounds(levels) == Interval(-math.inf, -120.0)
        assert median_bounds(levels) == Interval(-math.inf, (-120.0 - 99.0) / 2)
        levels = binned_levels([(-44.0, None)] * 3)
        assert median_bounds(levels) == Interval(-44.0, math.inf)

    @pytest.mark.parametrize("count", [1, 2, 7, 10, 30])
    def test_exact_levels_have_one_median(self, count: int) -> None:
        values = np.random.default_rng(count).normal(-95.0, 5.0, count)
        bounds = median_bounds(_exact(values))
        assert bounds.low == bounds.high == pytest.approx(np.median(values))


class TestCertainty:
    @pytest.mark.parametrize("count", [1, 5, 22, 60, 400, 5000])
    def test_is_the_binomial_one(self, count: int) -> None:
        for below in sorted({0, 1, count // 20, count // 10, count // 5, count} - {count + 1}):
            if below <= count:
                expected = stats.binom.sf(below, count, 0.1)
                assert certainty_of_tenth_percentile(count, below) == pytest.approx(
                    expected, abs=1e-10
                )

    @pytest.mark.parametrize("confidence", [0.5, 0.8, 0.9, 0.95, 0.99, 0.999])
    def test_fewest_readings(self, confidence: float) -> None:
        least = least_readings(confidence)
        assert stats.binom.sf(0, least, 0.1) >= confidence > stats.binom.sf(0, least - 1, 0.1)
        levels = _exact(np.arange(least, dtype=np.float64))
        assert tolerance_of_tenth_percentile(levels, confidence) is not None
        levels = _exact(np.arange(least - 1, dtype=np.float64))
        assert tolerance_of_tenth_percentile(levels, confidence) is None

    @pytest.mark.parametrize("bad", [(0, 0), (5, 6), (5, -1)])
    def test_bad_input(self, bad: tuple[int, int]) -> None:
        with pytest.raises(InvalidInputError, match="it must be"):
            certainty_of_tenth_percentile(*bad)

    @pytest.mark.parametrize("bad", [0.0, 1.0, 90.0, math.nan])
    def test_bad_confidence(self, bad: float) -> None:
        with pytest.raises(InvalidInputError, match="confidence_ratio was"):
            least_readings(bad)
        with pytest.raises(InvalidInputError, match="confidence_ratio was"):
            tolerance_of_tenth_percentile(_exact(np.zeros(30)), bad)
        with pytest.raises(InvalidInputError, match="confidence_ratio was"):
            tolerance_factor(10, bad)


class TestDistributionFree:
    @pytest.mark.parametrize("count", [22, 40, 60, 200, 1000])
    @pytest.mark.parametrize("confidence", [0.8, 0.9, 0.95])
    def test_is_the_bound_of_another_library(self, count: int, confidence: float) -> None:
        values = np.random.default_rng(count).normal(-95.0, 5.0, count)
        test = stats.quantile_test(values, p=0.1, alternative="greater")
        expected = test.confidence_interval(confidence).low
        bound = tolerance_of_tenth_percentile(_exact(values), confidence)
        if math.isnan(expected):
            assert bound is None
        else:
            assert bound is not None
            assert bound.value == expected
            assert bound.confidence_ratio >= confidence
            assert bound.rank is not None
            assert bound.confidence_ratio == pytest.approx(
                stats.binom.sf(bound.rank - 1, count, 0.1)
            )

    def test_an_open_bin_leaves_no_bound(self) -> None:
        bound = tolerance_of_tenth_percentile(binned_levels([(None, -120.0)] * 22), 0.9)
        assert bound is not None
        assert bound.value == -math.inf

    # 2000 trials: a confidence of 90 % held is 1800 of them, less three standard deviations 40.
    @pytest.mark.parametrize("count", [22, 37, 60])
    @pytest.mark.parametrize("shape", ["normal", "fades", "steps"])
    def test_the_stated_confidence_is_kept(self, count: int, shape: str) -> None:
        chance = np.random.default_rng(count)
        if shape == "normal":
            values, tenth = chance.normal(size=(2000, count)), stats.norm.ppf(0.1)
        elif shape == "fades":  # power of a Rayleigh channel in decibels: a long lower tail
            values = 10.0 * np.log10(chance.exponential(size=(2000, count)))
            tenth = 10.0 * np.log10(stats.expon.ppf(0.1))
        else:
            values, tenth = np.floor(chance.normal(size=(2000, count))), -2.0
        bounds = [tolerance_of_tenth_percentile(_exact(v), 0.9) for v in values]
        held = sum(b is not None and b.value <= tenth for b in bounds)
        assert held >= 1800 - 40
        if shape != "steps":  # and no more than it says
            stated = bounds[0].confidence_ratio if bounds[0] else 0.0
            assert held == pytest.approx(2000 * stated, abs=40)

    def test_fewer_independent_readings_never_raise_it(self) -> None:
        levels = _exact(np.random.default_rng(3).normal(size=300))
        bounds = [tolerance_of_tenth_percentile(levels, 0.9, m) for m in range(22, 301)]
        values = [b.value for b in bounds if b is not None]
        assert len(values) == 279
        assert values[-1] > values[0] == levels.low.min()
        assert tolerance_of_tenth_percentile(levels, 0.9, 21.9) is None

    @pytest.mark.parametrize("bad", [0.5, 31, math.nan])
    def test_bad_number(self, bad: float) -> None:
        with pytest.raises(InvalidInputError, match="independent was"):
            tolerance_of_tenth_percentile(_exact(np.zeros(30)), 0.9, bad)
