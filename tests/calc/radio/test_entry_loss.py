"""Building entry loss: behaviour, edges of range, bad input. See tests/published for values."""

import itertools
import math

import pytest

from pathproof.calc.radio import (
    BuildingType,
    building_entry_loss_db,
    share_losing_less_ratio,
)
from pathproof.terms import InvalidInputError, OutOfRangeError

TRADITIONAL = BuildingType.TRADITIONAL


def test_the_median_unless_another_share_is_asked_for() -> None:
    median = building_entry_loss_db(TRADITIONAL, 900e6, 0.5, 0.0)
    assert building_entry_loss_db(TRADITIONAL, 900e6) == median


def test_a_thermally_efficient_building_loses_more() -> None:
    for frequency_hz in (80e6, 800e6, 3.5e9, 100e9):
        losses = [building_entry_loss_db(b, frequency_hz) for b in BuildingType]
        assert losses[1] > losses[0] + 10.0


def test_up_and_down_are_alike_and_steeper_loses_more() -> None:
    angles = (0.0, 5.0, 20.0, 60.0, 90.0)
    losses = [building_entry_loss_db(TRADITIONAL, 1.8e9, 0.5, a) for a in angles]
    assert losses == [building_entry_loss_db(TRADITIONAL, 1.8e9, 0.5, -a) for a in angles]
    assert all(b > a for a, b in itertools.pairwise(losses))


@pytest.mark.parametrize("frequency_hz", [0.079e9, 100.1e9, 800.0])
def test_outside_the_recommendation(frequency_hz: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"P\.2109-2 covers 8e\+07 to 1e\+11 Hz"):
        building_entry_loss_db(TRADITIONAL, frequency_hz)


@pytest.mark.parametrize("share", [0.0, 1.0, 90.0, -0.1, math.nan])
def test_a_share_lies_between_0_and_1(share: float) -> None:
    with pytest.raises(InvalidInputError, match=r"^probability_ratio was"):
        building_entry_loss_db(TRADITIONAL, 900e6, share)


@pytest.mark.parametrize("elevation_deg", [90.5, -91.0, math.inf])
def test_an_elevation_is_at_most_upright(elevation_deg: float) -> None:
    with pytest.raises(InvalidInputError, match=r"^elevation_deg was"):
        building_entry_loss_db(TRADITIONAL, 900e6, 0.5, elevation_deg)


def test_shares_stay_between_none_and_all() -> None:
    assert 0.0 < share_losing_less_ratio(TRADITIONAL, 900e6, -80.0) < 1e-5
    assert 1 - 1e-5 < share_losing_less_ratio(TRADITIONAL, 900e6, 200.0) < 1.0
    shares = [share_losing_less_ratio(TRADITIONAL, 900e6, loss_db) for loss_db in range(0, 60, 3)]
    assert all(b > a for a, b in itertools.pairwise(shares))


def test_a_loss_is_a_number() -> None:
    with pytest.raises(InvalidInputError, match=r"^loss_db was"):
        share_losing_less_ratio(TRADITIONAL, 900e6, math.nan)
