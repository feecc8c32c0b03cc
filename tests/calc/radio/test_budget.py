"""Budgets and odds: behaviour, limits, bad input. Published values are in tests/published."""

import itertools
import math

import numpy as np
import pytest

from pathproof.calc.radio import (
    allowed_loss_db,
    dbuv_per_m_from_uv_per_m,
    eirp_dbm_from_erp_dbm,
    eirp_dbm_from_field_strength,
    free_space_path_loss_db,
    joint_odds,
    link_odds,
    margin_for_odds_db,
    open_air_budget,
    two_ray_path_loss_db,
)
from pathproof.terms import InvalidInputError

FREQUENCY_HZ = 868.42e6


class TestOpenAirBudget:
    def test_near_the_break_point_free_space_counts_with_3_db(self) -> None:
        budget = open_air_budget(FREQUENCY_HZ, 20.0)
        assert budget.break_point_m > 20.0
        free_space = free_space_path_loss_db(FREQUENCY_HZ, 20.0)
        assert (budget.budget_db, budget.low_db, budget.high_db) == (free_space,) * 3
        assert budget.spread_db == 3.0

    def test_far_out_it_is_the_middle_of_free_space_and_two_rays(self) -> None:
        budget = open_air_budget(FREQUENCY_HZ, 500.0, 1.0, 2.0)
        assert budget.low_db == free_space_path_loss_db(FREQUENCY_HZ, 500.0)
        assert budget.high_db == two_ray_path_loss_db(500.0, 1.0, 2.0)
        assert budget.budget_db == (budget.low_db + budget.high_db) / 2
        assert budget.spread_db == (budget.high_db - budget.low_db) / 2

    def test_a_longer_range_never_gives_less_budget_nor_surer_knowledge(self) -> None:
        budgets = [open_air_budget(FREQUENCY_HZ, r) for r in np.geomspace(1.0, 5000.0, 400)]
        assert all(b.budget_db > a.budget_db for a, b in itertools.pairwise(budgets))
        assert all(b.spread_db >= a.spread_db for a, b in itertools.pairwise(budgets))
        assert all(b.low_db <= b.budget_db <= b.high_db for b in budgets)

    @pytest.mark.parametrize("bad", [0.0, -100.0, math.nan])
    def test_bad_input(self, bad: float) -> None:
        with pytest.raises(InvalidInputError, match="frequency_hz was"):
            open_air_budget(bad, 300.0)
        with pytest.raises(InvalidInputError, match="distance_m was"):
            open_air_budget(FREQUENCY_HZ, bad)
        with pytest.raises(InvalidInputError, match="receiver_height_m was"):
            open_air_budget(FREQUENCY_HZ, 300.0, 1.5, bad)


class TestFieldStrength:
    def test_arrays(self) -> None:
        eirp_dbm = eirp_dbm_from_field_strength(np.array([80.0, 90.0]), np.array([[3.0], [30.0]]))
        assert np.diff(eirp_dbm, axis=1) == pytest.approx(np.array([[10.0], [10.0]]))
        assert np.diff(eirp_dbm, axis=0) == pytest.approx(np.array([[20.0, 20.0]]))

    def test_bad_input(self) -> None:
        with pytest.raises(InvalidInputError, match="distance_m was 0"):
            eirp_dbm_from_field_strength(80.0, 0.0)
        with pytest.raises(InvalidInputError, match="field_strength_dbuv_per_m was nan"):
            eirp_dbm_from_field_strength(math.nan, 3.0)
        with pytest.raises(InvalidInputError, match="field_strength_uv_per_m was 0"):
            dbuv_per_m_from_uv_per_m(0.0)
        with pytest.raises(InvalidInputError, match="erp_dbm was inf"):
            eirp_dbm_from_erp_dbm(math.inf)


class TestOdds:
    def test_no_margin_is_even_odds(self) -> None:
        assert link_odds(0.0, 8.0) == 0.5

    def test_no_spread_is_certainty_either_way(self) -> None:
        odds = link_odds(np.array([-0.1, 0.0, 0.1]), 0.0)
        assert np.array_equal(odds, [0.0, 1.0, 1.0])
        assert link_odds(-1.0, 0.0) == 0.0

    def test_broadcasts(self) -> None:
        odds = link_odds(np.array([[-5.0], [5.0]]), np.array([0.0, 4.0, 8.0]))
        assert np.shape(odds) == (2, 3)
        assert np.sum(odds, axis=0) == pytest.approx(np.ones(3))

    def test_far_out_odds_stay_odds(self) -> None:
        assert link_odds(1e6, 1.0) == 1.0
        assert link_odds(-1e6, 1.0) == 0.0

    def test_bad_input(self) -> None:
        with pytest.raises(InvalidInputError, match="spread_db was -1"):
            link_odds(3.0, -1.0)
        with pytest.raises(InvalidInputError, match="margin_db was nan"):
            link_odds(math.nan, 8.0)

    @pytest.mark.parametrize("odds", [0.0, 1.0, 95.0, -0.1, math.nan])
    def test_odds_asked_for_lie_between_0_and_1(self, odds: float) -> None:
        with pytest.raises(InvalidInputError, match="odds_ratio was"):
            margin_for_odds_db(odds, 8.0)

    def test_joint_odds(self) -> None:
        assert joint_odds([0.5, 0.5, 1.0]) == 0.25
        assert joint_odds(iter([0.0, 0.9])) == 0.0

    def test_no_links_prove_nothing(self) -> None:
        with pytest.raises(InvalidInputError, match="odds_ratios was empty"):
            joint_odds([])

    @pytest.mark.parametrize("bad", [1.01, -0.01, math.nan])
    def test_joint_odds_refuse_what_is_no_probability(self, bad: float) -> None:
        with pytest.raises(InvalidInputError, match="odds_ratios"):
            joint_odds([0.5, bad])


def test_what_a_way_may_lose() -> None:
    # 10 mW e.r.p. of the alarm annex of ERC/REC 70-03 is 10 + 2.15 dBm e.i.r.p.; -95 dBm is the
    # least sensitivity of ITU-T G.9959 at rate R1 (from memory)
    assert allowed_loss_db(12.15, 0.0, -95.0) == pytest.approx(107.15)
    assert allowed_loss_db(np.array([0.0, 1.0]), -3.0, -100.0) == pytest.approx([97.0, 98.0])


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_what_a_way_may_lose_refuses_nonsense(bad: float) -> None:
    with pytest.raises(InvalidInputError):
        allowed_loss_db(bad, 0.0, -95.0)
