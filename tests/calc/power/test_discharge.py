"""How long a battery lasts: new and aged, with an alarm at the end, and what is refused."""

from typing import Any

import pytest

from pathproof.calc.power import (
    END_OF_LIFE_RATIO,
    Battery,
    discharge_time_h,
    endurance,
    peukert_exponent,
    taken_charge_ah,
)
from pathproof.terms import InvalidInputError

TWELVE = Battery(capacity_ah=12.0)
NAN = float("nan")


# By hand, linear: (12 Ah - 3.8 A x 5/60 h) / 0.42 A = 27.817 h; at 80 % (9.6 - 0.31667) / 0.42.
def test_standby_before_an_alarm() -> None:
    new = endurance(TWELVE, 0.42, 3.8, 5 / 60)
    assert new.standby_h == pytest.approx(27.817, abs=5e-4)
    old = endurance(TWELVE, 0.42, 3.8, 5 / 60, END_OF_LIFE_RATIO)
    assert old.standby_h == pytest.approx(22.103, abs=5e-4)
    assert new.alarm_held
    assert old.alarm_held


# By hand: the alarm of 10 A, 20 times the rated 0.5 A of a 10 Ah block, empties it in
# 20 h / 20^1.2 = 0.54928 h; 0.25 h of it leave 1 - 0.45514 for the 0.1 A of 100 h: 54.486 h.
def test_standby_before_a_heavy_alarm() -> None:
    block = Battery(capacity_ah=10.0, peukert=1.2)
    assert endurance(block, 0.1, 10.0, 0.25).standby_h == pytest.approx(54.486, abs=5e-3)


def test_an_alarm_that_is_too_much() -> None:
    found = endurance(TWELVE, 0.42, 60.0, 0.5)
    assert (found.standby_h, found.alarm_held) == (0.0, False)
    assert endurance(TWELVE, 0.42, 60.0, 0.0).standby_h == pytest.approx(12.0 / 0.42)


def test_both_ways_to_count_agree() -> None:
    block = Battery(capacity_ah=7.0, peukert=1.15)
    time_h = discharge_time_h(block, 3.0)
    assert taken_charge_ah(3.0, time_h, 7.0, 20.0, 1.15) == pytest.approx(7.0)
    assert taken_charge_ah(0.0, 5.0, 7.0, 20.0, 1.15) == 0.0


@pytest.mark.parametrize(
    ("name", "bad"),
    [
        ("capacity_ah", 0.0),
        ("capacity_ah", NAN),
        ("hour_rate_h", -20.0),
        ("peukert", 0.99),
        ("peukert", 2.01),
        ("peukert", NAN),
    ],
)
def test_a_battery_without_a_rating(name: str, bad: float) -> None:
    with pytest.raises(InvalidInputError, match=name):
        Battery(**{"capacity_ah": 7.0, name: bad})


@pytest.mark.parametrize("bad", [0.0, -1.0, NAN, float("inf")])
def test_no_current(bad: float) -> None:
    with pytest.raises(InvalidInputError, match="current_a"):
        discharge_time_h(TWELVE, bad)


@pytest.mark.parametrize("bad", [0.0, 1.1, NAN])
def test_a_share_that_is_none(bad: float) -> None:
    with pytest.raises(InvalidInputError, match="available_ratio"):
        endurance(TWELVE, 0.1, 1.0, 0.1, bad)


@pytest.mark.parametrize(
    "ratings",
    [
        (0.35, 20.0, 4.2, 2.0),  # more charge at the larger current
        (0.35, 20.0, 4.2, 20.0),
        (0.35, 20.0, 0.35, 1.0),  # no second current
    ],
)
def test_two_ratings_of_no_battery(ratings: Any) -> None:
    with pytest.raises(InvalidInputError, match="no two ratings"):
        peukert_exponent(*ratings)


@pytest.mark.parametrize("place", range(4))
def test_ratings_that_make_no_sense(place: int) -> None:
    for bad in (0.0, -1.0, NAN):
        ratings = [0.35, 20.0, 4.2, 1.0]
        ratings[place] = bad
        with pytest.raises(InvalidInputError, match=r"above 0|finite"):
            peukert_exponent(*ratings)
