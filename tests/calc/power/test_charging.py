"""Charging current and time, the supply's rating, float volts."""

import pytest

from pathproof.calc.power import (
    charging_current_a,
    float_voltage,
    recharge_time_h,
    supply_rating,
)
from pathproof.terms import InvalidInputError, OutOfRangeError

BAD = (0.0, -1.0, float("nan"), float("inf"))


# I >= 0.8 C / (0.85..0.9 T) + load, typical, from memory; by hand: 0.8 x 17 / (0.85 x 24) =
# 0.66667 A and 0.8 x 17 / (0.9 x 24) = 0.62963 A beside the load.
def test_current_for_a_recharge_time() -> None:
    assert charging_current_a(17.0, 24.0) == pytest.approx(0.66667, abs=5e-6)
    assert charging_current_a(17.0, 24.0, 0.8, 0.9) == pytest.approx(0.62963, abs=5e-6)


def test_time_and_current_are_two_ways_to_say_the_same() -> None:
    assert recharge_time_h(17.0, charging_current_a(17.0, 24.0)) == pytest.approx(24.0)
    assert recharge_time_h(7.0, 0.35, 1.0, 1.0) == pytest.approx(20.0)


def test_supply_carries_load_charge_and_burst_at_once() -> None:
    rating = supply_rating(0.3, 1.2, 0.7, 1.6)
    assert (rating.average_a, rating.peak_a) == pytest.approx((1.0, 3.5))
    quiet = supply_rating(0.3, 0.1, 0.7)
    assert quiet.peak_a == quiet.average_a == 1.0


# A battery text: 2.30 V a cell at 25 degC, 2.27 V at 35, 2.33 V at 15; 13.5 to 13.8 V a 12 V block.
def test_float_volts() -> None:
    for degc, volts in ((25.0, 2.30), (35.0, 2.27), (15.0, 2.33)):
        assert float_voltage(1, degc).high_v == pytest.approx(volts, abs=5e-3)
    block = float_voltage(6, 25.0)
    assert (block.low_v, block.high_v) == pytest.approx((13.5, 13.8))
    assert block.low_v - float_voltage(6, 26.0).low_v == pytest.approx(0.018)


@pytest.mark.parametrize("bad", BAD)
def test_charging_nonsense_is_refused(bad: float) -> None:
    for function in (charging_current_a, recharge_time_h):
        with pytest.raises(InvalidInputError, match="capacity_ah"):
            function(bad, 1.0)
        with pytest.raises(InvalidInputError, match=r"time_h|charging_a"):
            function(7.0, bad)
    with pytest.raises(InvalidInputError, match="recharge_ratio"):
        charging_current_a(7.0, 24.0, bad)
    with pytest.raises(InvalidInputError, match="efficiency_ratio"):
        recharge_time_h(7.0, 0.35, 0.8, bad)


@pytest.mark.parametrize("place", range(4))
def test_supply_nonsense_is_refused(place: int) -> None:
    for bad in BAD[1:]:
        given = [0.1, 0.1, 0.1, 0.1]
        given[place] = bad
        with pytest.raises(InvalidInputError, match=r"_a was"):
            supply_rating(*given)


def test_float_nonsense_is_refused() -> None:
    for cells in (0, -6, 121):
        with pytest.raises(InvalidInputError, match="cells"):
            float_voltage(cells, 25.0)
    with pytest.raises(InvalidInputError, match="finite"):
        float_voltage(6, float("nan"))
    for degc in (-21.0, 51.0):
        with pytest.raises(OutOfRangeError, match="temperature_degc"):
            float_voltage(6, degc)
