"""What must hold for any wall, distance, spread and level."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.calc.decibels import (
    combined_spread_db,
    db_from_amplitude_ratio,
    db_from_power_ratio,
    power_ratio_from_db,
)
from pathproof.calc.radio import (
    CLUTTER_FLOOR_DB,
    Layer,
    free_space_path_loss_db,
    joint_odds,
    link_loss,
    link_loss_table_db,
    link_odds,
    margin_for_odds_db,
    stack_loss_db,
    stack_transmission,
)
from pathproof.terms import Material

frequencies_hz = st.floats(100e6, 6e9)
angles_deg = st.floats(0.0, 85.0)
layers = st.builds(Layer, st.sampled_from(Material), st.floats(0.0005, 0.4))
stacks = st.lists(layers, min_size=1, max_size=6)
spreads_db = st.floats(0.1, 20.0)
margins_db = st.floats(-60.0, 60.0)


@given(stacks, frequencies_hz, angles_deg)
def test_a_wall_loses_the_same_from_both_sides(
    stack: list[Layer], frequency_hz: float, angle_deg: float
) -> None:
    there, back = (stack_loss_db(s, frequency_hz, angle_deg) for s in (stack, stack[::-1]))
    assert back.te_db == pytest.approx(there.te_db, rel=1e-9, abs=1e-9)
    assert back.tm_db == pytest.approx(there.tm_db, rel=1e-9, abs=1e-9)
    rule = [link_loss(s, frequency_hz, angle_deg).loss_db for s in (stack, stack[::-1])]
    assert rule[0] == pytest.approx(rule[1], rel=1e-9, abs=1e-9)


@given(stacks, frequencies_hz, angles_deg)
def test_no_wall_gives_power_out_of_nothing(
    stack: list[Layer], frequency_hz: float, angle_deg: float
) -> None:
    loss = stack_loss_db(stack, frequency_hz, angle_deg)
    assert min(loss.te_db, loss.tm_db) >= -1e-9
    assert min(loss.te_db, loss.tm_db) - 1e-9 <= loss.mean_db <= max(loss.te_db, loss.tm_db) + 1e-9


@given(stacks, frequencies_hz, angles_deg, st.integers(0, 5), st.floats(0.05, 0.95))
def test_a_layer_drawn_in_two_pieces_is_the_same_wall(
    stack: list[Layer], frequency_hz: float, angle_deg: float, which: int, share: float
) -> None:
    which %= len(stack)
    whole = stack[which]
    first = Layer(whole.material, whole.thickness_m * share)
    second = Layer(whole.material, whole.thickness_m - first.thickness_m)
    pieces = [*stack[:which], first, second, *stack[which + 1 :]]
    one, other = (stack_loss_db(s, frequency_hz, angle_deg) for s in (stack, pieces))
    assert other.te_db == pytest.approx(one.te_db, rel=1e-8, abs=1e-8)
    assert other.tm_db == pytest.approx(one.tm_db, rel=1e-8, abs=1e-8)


@given(stacks, frequencies_hz, angles_deg)
def test_the_link_rule_is_never_below_its_floor(
    stack: list[Layer], frequency_hz: float, angle_deg: float
) -> None:
    loss = link_loss(stack, frequency_hz, angle_deg)
    assert loss.floor_db == (CLUTTER_FLOOR_DB if stack else 0.0)
    assert loss.loss_db == max(loss.extrapolated_db, loss.held_db, loss.floor_db)
    assert math.isfinite(loss.loss_db)


@given(stacks, frequencies_hz)
def test_the_table_agrees_with_the_rule_straight_on(
    stack: list[Layer], frequency_hz: float
) -> None:
    table = link_loss_table_db(stack, frequency_hz, cos_nodes=3)
    expected = link_loss(stack, frequency_hz, 0.0).loss_db
    assert table[-1] == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(stacks, frequencies_hz, angles_deg)
def test_the_coefficients_and_the_losses_agree(
    stack: list[Layer], frequency_hz: float, angle_deg: float
) -> None:
    loss = stack_loss_db(stack, frequency_hz, angle_deg)
    through = stack_transmission(stack, frequency_hz, angle_deg)
    for loss_db, coefficient in ((loss.te_db, through.te), (loss.tm_db, through.tm)):
        assert abs(coefficient) == pytest.approx(10 ** (-loss_db / 20), rel=1e-9, abs=1e-300)


@given(frequencies_hz, st.floats(0.1, 1e5), st.floats(1.001, 1e3))
def test_free_space_loss_grows_with_distance_and_frequency(
    frequency_hz: float, distance_m: float, factor: float
) -> None:
    loss_db = float(free_space_path_loss_db(frequency_hz, distance_m))
    farther = float(free_space_path_loss_db(frequency_hz, distance_m * factor))
    assert farther > loss_db
    assert farther == pytest.approx(
        float(free_space_path_loss_db(frequency_hz * factor, distance_m))
    )


@given(st.floats(-300.0, 300.0))
def test_decibels_there_and_back(level_db: float) -> None:
    ratio = float(power_ratio_from_db(level_db))
    assert db_from_power_ratio(ratio) == pytest.approx(level_db, abs=1e-9)
    assert db_from_amplitude_ratio(math.sqrt(ratio)) == pytest.approx(level_db, abs=1e-9)


@given(st.lists(spreads_db, min_size=1, max_size=5))
def test_a_combined_spread_is_at_least_the_largest_and_at_most_the_sum(parts: list[float]) -> None:
    combined = combined_spread_db(*parts)
    assert max(parts) * (1 - 1e-12) <= combined <= sum(parts) * (1 + 1e-12)


@given(margins_db, margins_db, spreads_db)
def test_more_margin_never_means_lower_odds(one: float, other: float, spread_db: float) -> None:
    low, high = sorted((one, other))
    assert 0.0 <= float(link_odds(low, spread_db)) <= float(link_odds(high, spread_db)) <= 1.0


@given(st.floats(0.001, 60.0), spreads_db, spreads_db)
def test_more_spread_never_helps_a_link_with_margin(
    margin_db: float, one: float, other: float
) -> None:
    small, large = sorted((one, other))
    assert float(link_odds(margin_db, large)) <= float(link_odds(margin_db, small))


@given(st.floats(0.001, 0.999), spreads_db)
def test_odds_and_margin_there_and_back(odds: float, spread_db: float) -> None:
    assert link_odds(margin_for_odds_db(odds, spread_db), spread_db) == pytest.approx(odds)


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=30))
def test_joint_odds_are_at_most_the_worst(odds: list[float]) -> None:
    assert 0.0 <= joint_odds(odds) <= min(odds)
