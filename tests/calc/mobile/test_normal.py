"""The 10th percentile of a normal distribution: against scipy, and by simulation."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from pathproof.calc.mobile import (
    BinnedLevels,
    binned_levels,
    normal_bound_of_tenth_percentile,
    normal_certainty,
    spread_over_time_db,
    tolerance_factor,
)
from pathproof.terms import InvalidInputError

Array = NDArray[np.float64]


def _exact(values: Array) -> BinnedLevels:
    return binned_levels([(v, v) for v in values])


def _binned(values: Array, width_db: float = 1.0) -> BinnedLevels:
    low = np.floor(values / width_db) * width_db
    return binned_levels(zip(low.tolist(), (low + width_db).tolist(), strict=True))


class TestNormal:
    @pytest.mark.parametrize("count", [2, 2.5, 3, 5, 10, 22, 60, 137.3, 1000])
    @pytest.mark.parametrize("confidence", [0.5, 0.8, 0.9, 0.95, 0.99])
    def test_factor_is_that_of_the_noncentral_t(self, count: float, confidence: float) -> None:
        z = stats.norm.ppf(0.9)
        expected = stats.nct.ppf(confidence, count - 1, z * math.sqrt(count)) / math.sqrt(count)
        assert tolerance_factor(count, confidence) == pytest.approx(expected, rel=1e-6)
        assert normal_certainty(expected, count) == pytest.approx(confidence, abs=1e-6)

    # 500 trials, three standard deviations of the binomial: 20. Without bins the bound is exact.
    @pytest.mark.parametrize("count", [5, 12, 40])
    def test_the_stated_confidence_is_kept(self, count: int) -> None:
        values = np.random.default_rng(count).normal(-95.0, 3.0, size=(500, count))
        tenth = stats.norm.ppf(0.1, -95.0, 3.0)
        held = sum(normal_bound_of_tenth_percentile(_exact(v), 0.9).value <= tenth for v in values)
        assert held == pytest.approx(450, abs=20)

    @pytest.mark.parametrize("width_db", [1.0, 2.0, 6.0])
    def test_bins_only_add_caution(self, width_db: float) -> None:
        values = np.random.default_rng(4).normal(-95.3, 1.5, size=(500, 12))
        tenth = stats.norm.ppf(0.1, -95.3, 1.5)
        held = sum(
            normal_bound_of_tenth_percentile(_binned(v, width_db), 0.9).value <= tenth
            for v in values
        )
        assert held >= 450 - 20

    def test_spread_of_readings_that_hang_together(self) -> None:
        values = np.random.default_rng(5).normal(size=50)
        assert spread_over_time_db(_exact(values)) == pytest.approx(np.std(values, ddof=1))
        # Mean of squares about the sample's mean is sigma^2 (1 - 1/m), whatever hangs together.
        assert spread_over_time_db(_exact(values), 4.0) == pytest.approx(
            np.std(values) / math.sqrt(0.75)
        )

    def test_readings_in_one_bin_keep_half_of_it(self) -> None:
        levels = binned_levels([(-96.0, -95.0)] * 10)
        assert spread_over_time_db(levels) == 0.5
        bound = normal_bound_of_tenth_percentile(levels, 0.95)
        assert bound.value == pytest.approx(-96.0 - 0.5 * 2.355, abs=1e-3)  # CMH-17-1G, n = 10

    def test_open_edges_are_refused(self) -> None:
        with pytest.raises(InvalidInputError, match="open at one edge"):
            normal_bound_of_tenth_percentile(binned_levels([(-44.0, None)] * 5), 0.9)

    def test_bad_numbers(self) -> None:
        with pytest.raises(InvalidInputError, match="independent was 1;"):
            tolerance_factor(1, 0.9)
        with pytest.raises(InvalidInputError, match=r"0\.5 or above"):
            tolerance_factor(10, 0.4)
        with pytest.raises(InvalidInputError, match="independent was"):
            normal_bound_of_tenth_percentile(_exact(np.zeros(1)), 0.9)
