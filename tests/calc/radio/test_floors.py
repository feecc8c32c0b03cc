"""COST 231 floors: behaviour and bad input. Published values are in tests/published."""

import itertools
import math

import pytest

from pathproof.calc.radio import cost231_floor_loss_db
from pathproof.terms import InvalidInputError


def test_no_floor_loses_nothing() -> None:
    assert cost231_floor_loss_db(0) == 0.0


def test_one_floor_loses_the_loss_of_a_floor() -> None:
    assert cost231_floor_loss_db(1, loss_per_floor_db=25.0, b=0.9) == 25.0


def test_each_further_floor_adds_less() -> None:
    losses = [cost231_floor_loss_db(k) for k in range(8)]
    added = [after - before for before, after in itertools.pairwise(losses)]
    assert all(step > 0 for step in added)
    assert added == sorted(added, reverse=True)


@pytest.mark.parametrize("count", [-1, 1.5, math.nan])
def test_the_number_of_floors_is_a_whole_number(count: float) -> None:
    with pytest.raises(InvalidInputError, match="floors_crossed was"):
        cost231_floor_loss_db(count)  # type: ignore[arg-type]


def test_losses_are_not_negative() -> None:
    with pytest.raises(InvalidInputError, match="loss_per_floor_db was -1"):
        cost231_floor_loss_db(1, loss_per_floor_db=-1.0)
    with pytest.raises(InvalidInputError, match="b was nan"):
        cost231_floor_loss_db(1, b=math.nan)
