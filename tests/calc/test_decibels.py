"""Decibels: behaviour and bad input."""

import math

import numpy as np
import pytest

from pathproof.calc.decibels import (
    combined_spread_db,
    db_from_amplitude_ratio,
    db_from_power_ratio,
    power_ratio_from_db,
)
from pathproof.terms import InvalidInputError


def test_by_definition() -> None:
    assert db_from_power_ratio(1000.0) == pytest.approx(30.0)
    assert db_from_amplitude_ratio(1000.0) == pytest.approx(60.0)
    assert power_ratio_from_db(-10.0) == pytest.approx(0.1)


def test_a_number_gives_a_float_and_an_array_an_array() -> None:
    assert type(db_from_power_ratio(2.0)) is float
    levels = db_from_power_ratio(np.array([[1.0, 10.0], [100.0, 0.1]]))
    assert levels == pytest.approx(np.array([[0.0, 10.0], [20.0, -10.0]]))


@pytest.mark.parametrize("ratio", [0.0, -1.0, math.nan, math.inf])
def test_ratios_must_be_above_0(ratio: float) -> None:
    with pytest.raises(InvalidInputError, match="power_ratio was"):
        db_from_power_ratio(ratio)
    with pytest.raises(InvalidInputError, match="amplitude_ratio was"):
        db_from_amplitude_ratio(ratio)


def test_level_must_be_finite() -> None:
    with pytest.raises(InvalidInputError, match="level_db was nan"):
        power_ratio_from_db(math.nan)


def test_spreads_add_as_squares() -> None:
    assert combined_spread_db() == 0.0
    assert combined_spread_db(6.0) == 6.0
    assert combined_spread_db(2.0, 3.0, 6.0) == pytest.approx(7.0)
    with pytest.raises(InvalidInputError, match="spread_db was -1"):
        combined_spread_db(3.0, -1.0)
