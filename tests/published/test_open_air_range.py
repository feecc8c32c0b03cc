"""The house method for an open-air range: common practice, no source; the example is computed."""

import pytest

from pathproof.calc.radio import open_air_budget, two_ray_break_point_m, two_ray_path_loss_db


def test_300_m_at_868_mhz_between_hands() -> None:
    # 868.42 MHz, 300 m, both ends 1.5 m up: break point 26.1 m, free space 80.76 dB, two rays
    # 92.04 dB, middle 86.40 dB, added spread 5.64 dB.
    budget = open_air_budget(868.42e6, 300.0)
    assert budget.break_point_m == pytest.approx(26.1, abs=0.05)
    assert budget.low_db == pytest.approx(80.76, abs=0.005)
    assert budget.high_db == pytest.approx(92.04, abs=0.005)
    assert budget.budget_db == pytest.approx(86.40, abs=0.005)
    assert budget.spread_db == pytest.approx(5.64, abs=0.005)


def test_its_parts() -> None:
    assert two_ray_break_point_m(868.42e6, 1.5, 1.5) == pytest.approx(26.1, abs=0.05)
    assert two_ray_path_loss_db(300.0, 1.5, 1.5) == pytest.approx(92.04, abs=0.005)


def test_short_of_the_break_point() -> None:
    # Free space with 3 dB of added spread: 868.42 MHz at 10 m is 51.222 dB.
    budget = open_air_budget(868.42e6, 10.0)
    assert (budget.budget_db, budget.spread_db) == (pytest.approx(51.222, abs=5e-4), 3.0)
