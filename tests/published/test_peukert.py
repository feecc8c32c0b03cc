"""Peukert's law with the hour rate, t = H (C / (I H))^k, as battery texts give it."""

import pytest

from pathproof.calc.power import Battery, discharge_time_h, peukert_exponent

HUNDRED = Battery(capacity_ah=100.0, hour_rate_h=20.0, peukert=1.2)


# 100 Ah at the 20 h rate, k = 1.2, 10 A: 8.7 h in battery texts (from memory); 8.7055 h by hand.
def test_twice_the_rated_current() -> None:
    assert discharge_time_h(HUNDRED, 10.0) == pytest.approx(8.7, abs=0.05)
    assert discharge_time_h(HUNDRED, 10.0) == pytest.approx(8.7055, abs=5e-5)
    assert 10.0 * discharge_time_h(HUNDRED, 10.0) == pytest.approx(87.06, abs=5e-3)


# The same law as texts write it otherwise: t = C (C / R)^(k - 1) / I^k, R the hour rate.
@pytest.mark.parametrize("current_a", [5.0, 7.5, 20.0, 80.0])
def test_the_other_form_agrees(current_a: float) -> None:
    other_h = 100.0 * (100.0 / 20.0) ** 0.2 / current_a**1.2
    assert discharge_time_h(HUNDRED, current_a) == pytest.approx(other_h)


# A known trap: the shortcut t = C / I^k gives 14.5 h at the rated current of 5 A, where the
# battery gives its 20 h by definition.
def test_the_shortcut_is_not_what_we_do() -> None:
    shortcut_h = 100.0 / 5.0**1.2
    assert shortcut_h == pytest.approx(14.5, abs=0.05)
    assert discharge_time_h(HUNDRED, 5.0) == pytest.approx(20.0)


# Below the rated current charge counts as it is (practice; a battery meter's manual): 100 Ah give
# 1 A for 100 h, not the 138 h that the law would promise.
def test_no_gain_below_the_rated_current() -> None:
    uncapped_h = 20.0 * (100.0 / (1.0 * 20.0)) ** 1.2
    assert uncapped_h == pytest.approx(138.0, abs=0.05)
    assert discharge_time_h(HUNDRED, 1.0) == pytest.approx(100.0)


# Two typical ratings of a 12 V 7 Ah block (from memory): 0.35 A for 20 h, 4.2 A for 1 h. Formula
# restated: k = ln(t1/t2)/ln(I2/I1) = ln 20 / ln 12 = 1.20557.
def test_exponent_from_two_ratings() -> None:
    assert peukert_exponent(0.35, 20.0, 4.2, 1.0) == pytest.approx(1.20557, abs=5e-6)
    assert peukert_exponent(4.2, 1.0, 0.35, 20.0) == pytest.approx(1.20557, abs=5e-6)
    block = Battery(capacity_ah=7.0, peukert=peukert_exponent(0.35, 20.0, 4.2, 1.0))
    assert discharge_time_h(block, 4.2) == pytest.approx(1.0)
