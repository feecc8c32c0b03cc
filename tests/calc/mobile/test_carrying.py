"""What an LTE reading leaves open about LTE-M and NB-IoT. House values: common practice, no source.

The sizes are ours, so they are not checked; what must hold between them is.
"""

import itertools

import pytest

from pathproof.calc.mobile import carry_over
from pathproof.terms import InvalidInputError, Technology


def test_the_technology_itself_leaves_nothing_open() -> None:
    carried = carry_over(Technology.NB_IOT, Technology.NB_IOT, same_band=False)
    assert (carried.doubts, carried.spread_db, carried.worth_ratio(6.0)) == ((), 0.0, 1.0)


@pytest.mark.parametrize("wanted", [Technology.LTE_M, Technology.NB_IOT])
def test_an_unknown_band_leaves_more_open(wanted: Technology) -> None:
    same = carry_over(Technology.LTE, wanted, same_band=True)
    other = carry_over(Technology.LTE, wanted, same_band=False)
    assert 0.0 < same.spread_db < other.spread_db
    assert set(same.doubts) < set(other.doubts)
    assert all(d.why and d.spread_db > 0.0 for d in other.doubts)


def test_nb_iot_leaves_more_open_than_lte_m() -> None:
    lte_m = carry_over(Technology.LTE, Technology.LTE_M, same_band=True)
    nb_iot = carry_over(Technology.LTE, Technology.NB_IOT, same_band=True)
    assert lte_m.spread_db < nb_iot.spread_db


def test_spreads_add_as_squares_and_weigh_as_inverse_squares() -> None:
    carried = carry_over(Technology.LTE, Technology.LTE_M, same_band=False)
    square = sum(d.spread_db**2 for d in carried.doubts)
    assert carried.spread_db**2 == pytest.approx(square)
    assert carried.worth_ratio(6.0) == pytest.approx(36.0 / (36.0 + square))
    assert carried.worth_ratio(6.0) < 0.5  # one reading of its own says more


def test_nothing_else_says_anything() -> None:
    allowed = {(Technology.LTE, Technology.LTE_M), (Technology.LTE, Technology.NB_IOT)}
    for read, wanted in itertools.permutations(Technology, 2):
        if (read, wanted) not in allowed:
            with pytest.raises(InvalidInputError, match="Read the technology itself"):
                carry_over(read, wanted, same_band=True)
