"""Mismatch: limits, arrays, bad input. Published values are in tests/published."""

import math

import numpy as np
import pytest

from pathproof.calc.radio import (
    mismatch_loss_db,
    reflection_ratio,
    return_loss_db,
    return_loss_seen_db,
    two_mismatches_loss_db,
)
from pathproof.terms import InvalidInputError


def test_a_perfect_match_loses_nothing_and_reflects_nothing() -> None:
    assert reflection_ratio(1.0) == 0.0
    assert mismatch_loss_db(1.0) == 0.0
    assert return_loss_db(1.0) == math.inf
    assert two_mismatches_loss_db(1.0, 1.0).high_db == 0.0


def test_with_one_end_matched_only_the_other_counts() -> None:
    loss = two_mismatches_loss_db(3.0, 1.0)
    assert loss.low_db == loss.high_db == pytest.approx(mismatch_loss_db(3.0))


def test_behind_a_very_lossy_feeder_the_two_just_add_up() -> None:
    loss = two_mismatches_loss_db(3.0, 2.0, 100.0)
    added = float(mismatch_loss_db(3.0)) + float(mismatch_loss_db(2.0))
    assert loss.low_db == pytest.approx(added)
    assert loss.high_db == pytest.approx(added)


def test_arrays_broadcast() -> None:
    loss = two_mismatches_loss_db(np.array([1.5, 2.0]), np.array([[2.0], [3.0], [6.0]]), 1.0)
    assert np.shape(loss.low_db) == np.shape(loss.high_db) == (3, 2)
    assert np.shape(mismatch_loss_db(np.ones(4))) == (4,)
    assert isinstance(mismatch_loss_db(2.0), float)


@pytest.mark.parametrize("bad", [0.99, 0.0, -2.0, math.nan, math.inf])
def test_a_standing_wave_ratio_is_1_or_above(bad: float) -> None:
    for function in (reflection_ratio, return_loss_db, mismatch_loss_db):
        with pytest.raises(InvalidInputError, match=r"^vswr was"):
            function(bad)
    with pytest.raises(InvalidInputError, match=r"^other_vswr was"):
        two_mismatches_loss_db(2.0, bad)


def test_losses_are_not_negative() -> None:
    with pytest.raises(InvalidInputError, match="feeder_loss_db was -1"):
        two_mismatches_loss_db(2.0, 2.0, -1.0)
    with pytest.raises(InvalidInputError, match="feeder_loss_db was -1"):
        return_loss_seen_db(10.0, -1.0)
    with pytest.raises(InvalidInputError, match="return_loss_db was -1"):
        return_loss_seen_db(-1.0, 1.0)
