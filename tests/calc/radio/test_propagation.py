"""Free space and two rays: shapes, limits, bad input. Published values are in tests/published."""

import math

import numpy as np
import pytest

from pathproof.calc.radio import (
    free_space_path_loss_db,
    two_ray_break_point_m,
    two_ray_path_loss_db,
)
from pathproof.terms import InvalidInputError


def test_broadcasts_and_gives_back_what_it_got() -> None:
    assert type(free_space_path_loss_db(868e6, 10.0)) is float
    frequencies, distances = np.array([[345e6], [868e6]]), np.array([1.0, 10.0, 100.0])
    losses = free_space_path_loss_db(frequencies, distances)
    assert np.shape(losses) == (2, 3)
    assert np.diff(losses) == pytest.approx(np.full((2, 2), 20.0))


def test_two_rays_fall_by_the_fourth_power_and_know_no_frequency() -> None:
    near, far = two_ray_path_loss_db(np.array([100.0, 1000.0]), 1.5, 2.0)
    assert far - near == pytest.approx(40.0)


def test_two_rays_pass_free_space_at_pi_times_the_break_point() -> None:
    # Both forms equal: 40 log d - 20 log h1 h2 = 20 log(4 pi d f / c), so d = 4 pi h1 h2 f / c.
    meet_m = math.pi * float(two_ray_break_point_m(868.42e6, 1.5, 2.5))
    assert two_ray_path_loss_db(meet_m, 1.5, 2.5) == pytest.approx(
        free_space_path_loss_db(868.42e6, meet_m)
    )


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_everything_must_be_finite_and_above_0(bad: float) -> None:
    with pytest.raises(InvalidInputError, match="frequency_hz was"):
        free_space_path_loss_db(bad, 10.0)
    with pytest.raises(InvalidInputError, match="distance_m was"):
        free_space_path_loss_db(868e6, bad)
    with pytest.raises(InvalidInputError, match="distance_m was"):
        two_ray_path_loss_db(bad, 1.5, 1.5)
    with pytest.raises(InvalidInputError, match="transmitter_height_m was"):
        two_ray_path_loss_db(100.0, bad, 1.5)
    with pytest.raises(InvalidInputError, match="receiver_height_m was"):
        two_ray_break_point_m(868e6, 1.5, bad)


def test_the_bad_one_of_many_is_named() -> None:
    with pytest.raises(InvalidInputError, match=r"distance_m\[2\] was -3; it must be above 0"):
        free_space_path_loss_db(868e6, np.array([1.0, 2.0, -3.0]))
