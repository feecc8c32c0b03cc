"""Levels between readings: against a Gaussian process of another library, and its limits."""

import numpy as np
import pytest
from numpy.typing import NDArray
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Kernel, Matern

from pathproof.calc.radio.interpolation import (
    HOUSE_COVARIANCE,
    InterpolatedLevels,
    LevelCovariance,
    interpolated_levels,
)
from pathproof.terms import InvalidInputError

Array = NDArray[np.float64]
SILL, RANGE_M, NUGGET = 25.0, 8.0, 9.0  # plan fact sheet on kernels, section 3


def _readings(count: int, seed: int = 5) -> tuple[Array, Array, Array]:
    chance = np.random.default_rng(seed)
    at = chance.uniform(0.0, 30.0, (count, 2))
    return at, chance.normal(-90.0, 8.0, count), chance.uniform(0.3, 4.0, count)


def _oracle(at: Array, level: Array, noise: Array, places: Array) -> tuple[Array, Array]:
    """scikit-learn: a Matern kernel of order 1/2 is the exponential one, a constant kernel with a
    large variance an unknown mean, one of tiny range a nugget that readings at a place share."""
    kernel: Kernel = (
        ConstantKernel(1e6)
        + ConstantKernel(SILL) * Matern(RANGE_M, nu=0.5)
        + ConstantKernel(NUGGET) * Matern(1e-5, nu=0.5)
    )
    process = GaussianProcessRegressor(kernel, alpha=noise**2, optimizer=None)
    process.fit(at, level + 90.0)
    mean, deviation = process.predict(places, return_std=True)
    return mean - 90.0, deviation


# The large variance stands for an infinite one: 1e6 against some 10 dB^2 is 1e-5 of the result.
def _agree(found: InterpolatedLevels, expected: tuple[Array, Array]) -> None:
    np.testing.assert_allclose(found.level_dbm, expected[0], atol=2e-3)
    np.testing.assert_allclose(found.spread_db, expected[1], atol=2e-3)


@pytest.mark.parametrize("count", [1, 2, 9, 40])
def test_level_and_spread_are_those_of_another_library(count: int) -> None:
    at, level, noise = _readings(count)
    places = np.random.default_rng(6).uniform(-20.0, 60.0, (200, 2))
    found = interpolated_levels(at, level, places, noise_db=noise)
    _agree(found, _oracle(at, level, noise, places))


def test_several_readings_at_a_place_share_what_the_place_has_for_itself() -> None:
    at, level, noise = _readings(12)
    at[4:9] = at[3]
    places = np.random.default_rng(7).uniform(0.0, 30.0, (50, 2))
    found = interpolated_levels(at, level, places, noise_db=noise)
    _agree(found, _oracle(at, level, noise, places))


def test_a_hundred_readings_at_a_place_tell_no_more_than_one_exact_one() -> None:
    beside = [[0.5, 0.0]]
    one = interpolated_levels([[0.0, 0.0], [9.0, 0.0]], [-80.0, -90.0], beside)
    at = [[0.0, 0.0]] * 100 + [[9.0, 0.0]]
    many = interpolated_levels(at, [-80.0] * 100 + [-90.0], beside)
    assert many.level_dbm == pytest.approx(one.level_dbm, abs=1e-3)
    assert many.spread_db == pytest.approx(one.spread_db, abs=1e-3)


def test_exact_readings_at_one_place_that_differ_count_as_their_mean() -> None:
    at, beside = [[0.0, 0.0], [0.0, 0.0], [5.0, 0.0]], [[1.0, 1.0]]
    both = interpolated_levels(at, [-80.0, -86.0, -95.0], beside)
    mean = interpolated_levels(at[1:], [-83.0, -95.0], beside)
    assert both.level_dbm == pytest.approx(mean.level_dbm, abs=1e-3)


def test_one_reading_is_the_level_everywhere_and_the_spread_grows_with_distance() -> None:
    places = [[0.0, 0.0], [2.0, 0.0], [8.0, 0.0], [500.0, 0.0]]
    found = interpolated_levels([[0.0, 0.0]], [-97.0], places)
    assert found.level_dbm == pytest.approx([-97.0] * 4)
    assert list(found.spread_db) == sorted(found.spread_db)
    # far off, two independent levels of the same unknown mean: twice the variance
    assert found.spread_db[-1] == pytest.approx((2 * (SILL + NUGGET)) ** 0.5, abs=1e-3)
    # at the place itself another level close by: the nugget twice
    assert found.spread_db[0] == pytest.approx((2 * NUGGET) ** 0.5, abs=1e-3)


def test_far_from_all_readings_the_level_is_their_mean() -> None:
    at = [[0.0, 0.0], [400.0, 0.0], [0.0, 400.0]]  # too far apart to tell of each other
    found = interpolated_levels(at, [-70.0, -80.0, -99.0], [[-400.0, -400.0]])
    assert found.level_dbm[0] == pytest.approx(-83.0)


def test_an_upper_bound_pulls_down_and_never_up() -> None:
    at, place = [[0.0, 0.0], [12.0, 0.0], [6.0, 0.0]], [[6.0, 0.0]]
    without = interpolated_levels(at[:2], [-90.0, -92.0], place)
    low = interpolated_levels(at, [-90.0, -92.0, -110.0], place, at_most=[False, False, True])
    exact = interpolated_levels(at, [-90.0, -92.0, -110.0], place)
    assert low.level_dbm == pytest.approx(exact.level_dbm)
    assert low.level_dbm[0] < without.level_dbm[0]
    high = interpolated_levels(at, [-90.0, -92.0, -60.0], place, at_most=[False, False, True])
    assert high.level_dbm == pytest.approx(without.level_dbm)
    assert high.spread_db == pytest.approx(without.spread_db)


@pytest.mark.parametrize("count", [1, 2])
def test_upper_bounds_alone_say_nothing_of_a_level(count: int) -> None:
    at = [[5.0 * i, 0.0] for i in range(count)]
    with pytest.raises(InvalidInputError, match="upper bounds alone"):
        interpolated_levels(at, [-110.0] * count, [[2.0, 0.0]], at_most=True)


def test_many_places_are_worked_on_in_parts_and_stay_the_same() -> None:
    at, level, noise = _readings(300)
    places = np.random.default_rng(8).uniform(0.0, 30.0, (9000, 2))
    whole = interpolated_levels(at, level, places, noise_db=noise)
    last = interpolated_levels(at, level, places[-5:], noise_db=noise)
    assert whole.level_dbm.shape == whole.spread_db.shape == (9000,)
    np.testing.assert_allclose(whole.level_dbm[-5:], last.level_dbm, rtol=1e-12)
    np.testing.assert_allclose(whole.spread_db[-5:], last.spread_db, rtol=1e-12)


def test_no_place_gives_no_level() -> None:
    found = interpolated_levels([[0.0, 0.0]], [-90.0], [])
    assert found.level_dbm.shape == (0,)


def test_house_values_are_those_of_the_facts() -> None:
    assert LevelCovariance() == HOUSE_COVARIANCE
    house = (HOUSE_COVARIANCE.sill_db2, HOUSE_COVARIANCE.range_m, HOUSE_COVARIANCE.nugget_db2)
    assert house == (SILL, RANGE_M, NUGGET)


@pytest.mark.parametrize(
    ("at", "level", "options", "says"),
    [
        ([], [], {}, "one or more"),
        ([[0.0, 0.0]], [-90.0, -91.0], {}, "one level for each place"),
        ([[0.0, 0.0, 0.0]], [-90.0], {}, r"\(N, 2\)"),
        ([[0.0, np.nan]], [-90.0], {}, "finite"),
        ([[0.0, 0.0]], [-90.0], {"noise_db": -1.0}, "0 or above"),
        ([[0.0, 0.0]], [-90.0], {"covariance": LevelCovariance(range_m=0.0)}, "above 0"),
    ],
)
def test_nonsense_is_refused(
    at: list[list[float]], level: list[float], options: dict[str, object], says: str
) -> None:
    with pytest.raises(InvalidInputError, match=says):
        interpolated_levels(at, level, [[0.0, 0.0]], **options)  # type: ignore[arg-type]
