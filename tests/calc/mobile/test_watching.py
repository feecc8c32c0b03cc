"""How readings hang together: against dense matrices and scipy, and by simulated watches."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from pathproof.calc.mobile import (
    LEAST_INDEPENDENT_NORMAL,
    BinnedLevels,
    Interval,
    Theory,
    binned_levels,
    least_readings,
    serial_correlation,
    tolerance_of_tenth_percentile,
    watch,
)
from pathproof.calc.mobile.watching import _candidates, _restricted_log_likelihood
from pathproof.terms import InvalidInputError

Array = NDArray[np.float64]
MEDIAN_DBM, SPREAD_DB = -95.0, 4.0
TENTH_DBM = float(stats.norm.ppf(0.1, MEDIAN_DBM, SPREAD_DB))


def _level(
    at_s: Array, time_s: float, slow: float = 1.0, seed: int = 1, spread_db: float = SPREAD_DB
) -> Array:
    """A level with exponential correlation in time, and noise of its own with each reading."""
    chance = np.random.default_rng(seed)
    wander = np.empty(at_s.size)
    wander[0] = chance.normal()
    for i, kept in enumerate(np.exp(-np.diff(at_s) / time_s), start=1):
        wander[i] = kept * wander[i - 1] + math.sqrt(1.0 - kept**2) * chance.normal()
    noise = chance.normal(size=at_s.size)
    mixed: Array = math.sqrt(slow) * wander + math.sqrt(1.0 - slow) * noise
    return MEDIAN_DBM + spread_db * mixed


def _binned(values: Array) -> BinnedLevels:
    low = np.floor(values)
    return binned_levels(zip(low.tolist(), (low + 1.0).tolist(), strict=True))


def _correlations(at_s: Array, slow: float, time_s: float) -> Array:
    lags = np.abs(at_s[:, np.newaxis] - at_s)
    return np.where(lags == 0.0, 1.0, slow * np.exp(-lags / time_s))


class TestLikelihood:
    def test_is_that_of_contrasts_in_another_library(self) -> None:
        """Restricted likelihood: of n - 1 contrasts, in which the unknown mean is not."""
        chance = np.random.default_rng(2)
        at_s = np.sort(chance.uniform(0.0, 600.0, 25))
        level = _level(at_s, 80.0, 0.7)
        slow, times = np.array([0.0, 0.3, 0.7, 0.95]), np.array([5.0, 40.0, 80.0, 600.0])
        contrasts = stats.ortho_group.rvs(25, random_state=3)
        basis = np.linalg.qr(np.column_stack([np.ones(25), contrasts[:, 1:]]))[0][:, 1:]
        seen = basis.T @ level
        expected = []
        for s, t in zip(slow, times, strict=True):
            shape = basis.T @ _correlations(at_s, s, t) @ basis
            variance = seen @ np.linalg.solve(shape, seen) / 24  # the likeliest one
            expected.append(stats.multivariate_normal(cov=variance * shape).logpdf(seen))
        ours = _restricted_log_likelihood(level, at_s, slow, times)
        np.testing.assert_allclose(ours - ours[0], np.array(expected) - expected[0], atol=1e-8)

    def test_number_of_independent_readings_by_dense_matrices(self) -> None:
        at_s = np.cumsum(np.random.default_rng(4).uniform(5.0, 60.0, 30))
        levels = _binned(_level(at_s, 90.0, 0.8))
        slow, times = _candidates(float(at_s[-1] - at_s[0]), 30)
        log_likelihood = _restricted_log_likelihood(levels.shown, at_s, slow, times)
        weight = np.exp(log_likelihood - log_likelihood.max())
        variances = [_correlations(at_s, s, t).mean() for s, t in zip(slow, times, strict=True)]
        expected = 1.0 / np.average(variances, weights=weight)
        found = serial_correlation(levels, at_s.tolist(), least_time_s=1e-3)
        assert found.independent == pytest.approx(expected)
        assert found.watched_s == pytest.approx(at_s[-1] - at_s[0])


class TestSerialCorrelation:
    def test_fitted_autocorrelation_is_the_true_one_in_a_long_watch(self) -> None:
        at_s = np.arange(600.0) * 20.0
        found = serial_correlation(_binned(_level(at_s, 100.0, 0.8)), at_s.tolist(), 1.0)
        for lag_s in (20.0, 60.0, 200.0):  # 60 times the correlation time: good to about 0.12
            true = 0.8 * math.exp(-lag_s / 100.0)
            assert found.autocorrelation(lag_s) == pytest.approx(true, abs=0.15)
        assert found.autocorrelation(0.0) == 1.0

    # True numbers by their definition; a long watch finds them within a third or so.
    @pytest.mark.parametrize(("time_s", "slow"), [(60.0, 1.0), (300.0, 1.0), (120.0, 0.7)])
    def test_number_is_about_the_true_one_in_a_long_watch(self, time_s: float, slow: float) -> None:
        at_s = np.arange(480.0) * 30.0
        true = 1.0 / _correlations(at_s, slow, time_s).mean()
        found = [
            serial_correlation(_binned(_level(at_s, time_s, slow, seed)), at_s.tolist()).independent
            for seed in range(12)
        ]
        assert 0.6 * true < np.median(found) < 1.3 * true

    def test_reading_faster_tells_no_more(self) -> None:
        at_s = np.arange(1200.0) * 3.0
        level = _level(at_s, 120.0)
        true = 1.0 / _correlations(at_s, 1.0, 120.0).mean()
        for every in (1, 5):
            found = serial_correlation(_binned(level[::every]), at_s[::every].tolist())
            assert found.independent < 1.5 * true

    def test_a_drift_counts_as_a_few_readings_however_fast(self) -> None:
        at_s = np.arange(600.0)
        found = serial_correlation(_binned(-90.0 - at_s / 60.0), at_s.tolist(), 1.0)
        assert found.independent < 5.0

    def test_one_bin_shows_nothing_so_the_least_time_counts(self) -> None:
        levels = binned_levels([(-81.0, -80.0)] * 200)
        found = serial_correlation(levels, [9.0 * i for i in range(200)])
        assert not found.varied
        # 1791 s in steps of 9 s at the house's 30 s, by the definition.
        true = 1.0 / _correlations(np.arange(200) * 9.0, 1.0, 30.0).mean()
        assert found.independent == pytest.approx(true)
        assert found.independent == pytest.approx(1791.0 / 60.0, abs=1.0)  # one a minute

    def test_all_at_one_moment_are_one(self) -> None:
        levels = binned_levels([(-81.0, -80.0), (-79.0, -78.0)])
        assert serial_correlation(levels, [5.0, 5.0]).independent == 1.0
        assert serial_correlation(binned_levels([(-81.0, -80.0)]), [0.0]).independent == 1.0

    @pytest.mark.parametrize(
        ("at_s", "says"),
        [
            ([0.0], "1 moments for 2 readings"),
            ([1.0, 0.0], "at_s fell"),
            ([0.0, math.nan], "must be finite"),
        ],
    )
    def test_bad_moments(self, at_s: list[float], says: str) -> None:
        with pytest.raises(InvalidInputError, match=says):
            serial_correlation(binned_levels([(-81.0, -80.0)] * 2), at_s)

    def test_bad_least_time(self) -> None:
        with pytest.raises(InvalidInputError, match="least_time_s was"):
            serial_correlation(binned_levels([(-81.0, -80.0)] * 2), [0.0, 1.0], 0.0)


class TestCoverage:
    """Stated 90 %: of N trials at most 0.1 N go wrong, and three standard deviations more."""

    TRIALS = 80
    MOST_WRONG = 0.1 * TRIALS + 3.0 * math.sqrt(0.09 * TRIALS)

    # The requirement lies just over the true 10th percentile: to call any watch enough is wrong.
    # From independent readings to a level that only drifts while it is watched.
    @pytest.mark.parametrize(
        ("count", "pace_s", "time_s", "slow"),
        [
            (60, 30.0, 1.0, 1.0),
            (120, 30.0, 60.0, 1.0),
            (120, 15.0, 60.0, 0.6),
            (120, 15.0, 600.0, 1.0),
            (120, 5.0, 1e5, 1.0),
        ],
    )
    @pytest.mark.parametrize("theory", Theory)
    def test_a_watch_is_seldom_called_enough_wrongly(
        self, theory: Theory, count: int, pace_s: float, time_s: float, slow: float
    ) -> None:
        at_s = np.arange(count) * pace_s
        # Enough variation to be seen: over 600 s a level of 1e5 s moves a ninth of its spread.
        spread_db = 10 * SPREAD_DB if time_s > 1e4 else SPREAD_DB
        limit = float(stats.norm.ppf(0.1, MEDIAN_DBM, spread_db)) + 1e-6
        wrong = sum(
            watch(
                _binned(_level(at_s, time_s, slow, seed, spread_db)),
                at_s.tolist(),
                limit,
                0.9,
                theory=theory,
            ).enough
            for seed in range(self.TRIALS)
        )
        assert wrong <= self.MOST_WRONG

    def test_counting_holds_even_where_noise_hides_a_drift(self) -> None:
        """Slower than the watch, and half the variance: a normal distribution is misled by it."""
        at_s = np.arange(60) * 30.0
        wrong = sum(
            watch(
                _binned(_level(at_s, 3000.0, 0.5, seed)), at_s.tolist(), TENTH_DBM + 1e-6, 0.9
            ).enough
            for seed in range(self.TRIALS)
        )
        assert wrong <= self.MOST_WRONG

    # Number and bound from the same readings, as a caller would chain them.
    @pytest.mark.parametrize(("pace_s", "time_s", "slow"), [(60.0, 60.0, 1.0), (30.0, 60.0, 0.5)])
    def test_the_bound_is_kept_too(self, pace_s: float, time_s: float, slow: float) -> None:
        at_s = np.arange(200) * pace_s
        wrong = known = 0
        for seed in range(self.TRIALS):
            levels = _binned(_level(at_s, time_s, slow, seed))
            correlation = serial_correlation(levels, at_s.tolist())
            bound = tolerance_of_tenth_percentile(levels, 0.9, correlation.independent)
            known += bound is not None
            wrong += bound is not None and bound.value > TENTH_DBM
        assert known > self.TRIALS / 2
        assert wrong <= self.MOST_WRONG


class TestWatch:
    AT_S = np.arange(240.0) * 15.0

    def test_a_good_level_watched_for_long_is_enough_by_either_theory(self) -> None:
        levels = _binned(_level(self.AT_S, 40.0))
        for theory in Theory:
            found = watch(levels, self.AT_S.tolist(), -115.0, 0.9, theory=theory)
            assert found.enough
            assert found.certainty_ratio >= 0.9
            assert found.needed_s is not None
            assert found.needed_s <= found.correlation.watched_s
            assert (found.below, found.margin_db.low > 10.0) == (0, True)
            assert found.margin_db.high == found.margin_db.low + 1.0

    def test_a_large_margin_needs_less_time_if_normal(self) -> None:
        levels = _binned(_level(self.AT_S, 120.0))
        needed = [
            watch(levels, self.AT_S.tolist(), limit, 0.9, theory=Theory.NORMAL).needed_s
            for limit in (-105.0, -110.0, -120.0)
        ]
        assert None not in needed
        assert needed == sorted(needed, key=lambda s: s or 0.0, reverse=True)
        free = watch(levels, self.AT_S.tolist(), -120.0, 0.9).needed_s
        assert free is not None
        assert needed[-1] is not None
        assert needed[-1] < free

    def test_a_short_watch_is_never_enough_however_fast_it_was_read(self) -> None:
        """Twenty-two independent readings a minute apart take 21 min, five take 4."""
        at_s = [0.5 * i for i in range(400)]  # 200 s
        steady = binned_levels([(-81.0, -80.0)] * 400)
        lively = _binned(_level(np.array(at_s), 0.1, spread_db=2.0))
        for levels in (steady, lively):
            for theory in Theory:
                found = watch(levels, at_s, -120.0, 0.9, theory=theory)
                assert not found.enough
                assert found.needed_s is not None
                assert found.needed_s > 200.0
        needed = watch(steady, at_s, -120.0, 0.9).needed_s
        assert needed == pytest.approx((least_readings(0.9) - 1) * 60.0, rel=0.2)

    def test_time_needed_is_enough_when_it_comes_to_it(self) -> None:
        level = _level(np.arange(4000.0) * 15.0, 60.0, seed=8)
        found = watch(_binned(level[:60]), self.AT_S[:60].tolist(), -110.0, 0.9)
        assert not found.enough
        assert found.needed_s is not None
        count = 2 * math.ceil(found.needed_s / 15.0)  # what one short watch says is a rough guess
        at_s = (np.arange(count) * 15.0).tolist()
        assert watch(_binned(level[:count]), at_s, -110.0, 0.9).enough

    def test_what_lies_below_too_often_never_becomes_enough(self) -> None:
        levels = _binned(_level(self.AT_S, 40.0))
        for theory in Theory:
            found = watch(levels, self.AT_S.tolist(), MEDIAN_DBM, 0.9, theory=theory)
            assert (found.enough, found.needed_s) == (False, None)
            assert found.certainty_ratio < 0.01

    def test_a_bin_that_reaches_below_counts_as_below(self) -> None:
        levels = binned_levels([(-106.0, -105.0), (-105.0, -104.0), (None, -105.0)])
        found = watch(levels, [0.0, 60.0, 120.0], -105.0, 0.9)
        assert found.below == 2
        assert found.margin_db == Interval(-math.inf, 0.0)

    def test_open_upper_edges_are_no_hindrance_but_to_a_normal_distribution(self) -> None:
        levels = binned_levels([(-44.0, None)] * 60)
        at_s = [60.0 * i for i in range(60)]
        assert watch(levels, at_s, -110.0, 0.9).enough
        with pytest.raises(InvalidInputError, match="open at one edge"):
            watch(levels, at_s, -110.0, 0.9, theory=Theory.NORMAL)

    def test_too_few_readings_say_nothing(self) -> None:
        levels = binned_levels([(-81.0, -80.0)] * 4)
        found = watch(levels, [0.0, 600.0, 1200.0, 1800.0], -120.0, 0.9, theory=Theory.NORMAL)
        assert levels.count < LEAST_INDEPENDENT_NORMAL
        assert (found.enough, found.certainty_ratio) == (False, 0.0)
        alone = watch(binned_levels([(-81.0, -80.0)]), [0.0], -120.0, 0.9)
        assert (alone.enough, alone.needed_s) == (False, None)

    def test_exact_readings_without_any_spread(self) -> None:
        levels = binned_levels([(-80.0, -80.0)] * 60)
        at_s = [60.0 * i for i in range(60)]
        assert watch(levels, at_s, -100.0, 0.9, theory=Theory.NORMAL).enough
        assert not watch(levels, at_s, -79.0, 0.9, theory=Theory.NORMAL).enough

    @pytest.mark.parametrize("bad", [0.4, 1.0, math.nan])
    def test_bad_confidence(self, bad: float) -> None:
        with pytest.raises(InvalidInputError, match="confidence_ratio was"):
            watch(binned_levels([(-81.0, -80.0)]), [0.0], -120.0, bad)
