"""Walls by their layers: behaviour, limits, bad input. Published values are in tests/published."""

import math

import numpy as np
import pytest

from pathproof.calc.radio import (
    CLUTTER_FLOOR_DB,
    BelowRange,
    Layer,
    link_loss,
    link_loss_table_db,
    stack_loss_db,
    stack_transmission,
)
from pathproof.terms import InvalidInputError, Material, OutOfRangeError

FREQUENCY_HZ = 868.42e6
BRICK = [Layer(Material.BRICK, 0.115)]
CAVITY = [Layer(Material.BRICK, 0.1), Layer(Material.AIR, 0.06), Layer(Material.CONCRETE, 0.14)]
PANE = [Layer(Material.GLASS, 0.004)]


class TestStack:
    def test_shapes_broadcast(self) -> None:
        frequencies, angles = np.array([[345e6], [868e6], [2.4e9]]), np.array([0.0, 45.0])
        through = stack_transmission(CAVITY, frequencies, angles)
        assert np.shape(through.te) == np.shape(through.tm) == (3, 2)
        one = stack_transmission(CAVITY, 868e6, 45.0)
        assert type(one.te) is complex
        assert one == pytest.approx((np.asarray(through.te)[1, 1], np.asarray(through.tm)[1, 1]))

    def test_an_empty_doorway_is_no_wall(self) -> None:
        through = stack_transmission([], np.array([345e6, 868e6]), 30.0)
        assert np.array_equal(through.te, [1.0, 1.0])
        loss = stack_loss_db([], FREQUENCY_HZ, 30.0)
        assert (loss.te_db, loss.tm_db, loss.mean_db, loss.extrapolated) == (0.0, 0.0, 0.0, False)

    def test_air_only_turns_the_phase(self) -> None:
        # 30 cm of air at 60 degrees: k0 d cos(angle)
        turn = 2 * math.pi * FREQUENCY_HZ / 299_792_458 * 0.3 * 0.5
        through = stack_transmission([Layer(Material.AIR, 0.3)], FREQUENCY_HZ, 60.0)
        expected = complex(math.cos(turn), -math.sin(turn))
        assert through == pytest.approx((expected, expected))

    def test_a_layer_in_two_pieces_is_one_layer(self) -> None:
        pieces = [Layer(Material.BRICK, 0.04), Layer(Material.BRICK, 0.075)]
        assert stack_transmission(pieces, FREQUENCY_HZ, 50.0) == pytest.approx(
            stack_transmission(BRICK, FREQUENCY_HZ, 50.0)
        )

    def test_straight_on_there_is_one_polarisation(self) -> None:
        loss = stack_loss_db(CAVITY, FREQUENCY_HZ, 0.0)
        assert loss.te_db == pytest.approx(loss.tm_db)
        assert loss.mean_db == pytest.approx(loss.te_db)

    def test_mean_is_that_of_the_powers(self) -> None:
        loss = stack_loss_db(CAVITY, FREQUENCY_HZ, 60.0)
        power = (10 ** (-loss.te_db / 10) + 10 ** (-loss.tm_db / 10)) / 2
        assert loss.mean_db == pytest.approx(-10 * math.log10(power))

    @pytest.mark.parametrize("thickness_m", [0.0001, 0.002, 0.05, 5.0])
    def test_metal_stays_finite_and_grows_by_the_skin_depth(self, thickness_m: float) -> None:
        # Deep inside metal each skin depth, 1 / sqrt(pi f mu0 sigma), costs 8.686 dB.
        skin_m = 1 / math.sqrt(math.pi * FREQUENCY_HZ * 4e-7 * math.pi * 1e7)
        once = stack_loss_db([Layer(Material.METAL, thickness_m / 2)], FREQUENCY_HZ, 40.0)
        twice = stack_loss_db([Layer(Material.METAL, thickness_m)], FREQUENCY_HZ, 40.0)
        expected = thickness_m / 2 / skin_m * 20 * math.log10(math.e)
        assert twice.te_db - once.te_db == pytest.approx(expected, rel=1e-3)
        assert twice.mean_db - once.mean_db == pytest.approx(expected, rel=1e-3)
        assert math.isfinite(link_loss([Layer(Material.METAL, thickness_m)], 345e6, 85.0).loss_db)

    def test_a_room_of_metal_stays_finite(self) -> None:
        sheet = Layer(Material.METAL, 0.003)
        loss = stack_loss_db([sheet, Layer(Material.AIR, 1.0), sheet], FREQUENCY_HZ, 0.0)
        assert loss.mean_db > 2 * stack_loss_db([sheet], FREQUENCY_HZ, 0.0).mean_db - 200
        assert stack_transmission([sheet] * 3, FREQUENCY_HZ, 0.0).te == 0.0  # too small for a float

    def test_thick_concrete_grows_steadily(self) -> None:
        losses = [
            stack_loss_db([Layer(Material.CONCRETE, d)], FREQUENCY_HZ, 70.0).te_db
            for d in (3, 4, 5)
        ]
        assert losses[2] - losses[1] == pytest.approx(losses[1] - losses[0], rel=1e-3)

    def test_held_conductivity(self) -> None:
        held = stack_transmission(BRICK, 345e6, 0.0, BelowRange.HOLD)
        assert abs(held.te) < abs(stack_transmission(BRICK, 345e6, 0.0).te)

    @pytest.mark.parametrize(
        ("layers", "extrapolated"), [(PANE, False), (BRICK, True), (PANE + BRICK, True)]
    )
    def test_says_when_the_table_was_stretched(
        self, layers: list[Layer], extrapolated: bool
    ) -> None:
        assert stack_loss_db(layers, FREQUENCY_HZ, 0.0).extrapolated is extrapolated


class TestLinkRule:
    def test_is_the_larger_of_both_readings_of_the_table(self) -> None:
        loss = link_loss([Layer(Material.CONCRETE, 0.2)], 345e6, 0.0)
        assert loss.held_db > loss.extrapolated_db > loss.floor_db
        assert loss.loss_db == loss.held_db
        assert loss.extrapolated

    def test_averages_power_over_the_band_and_both_polarisations(self) -> None:
        powers = []
        for step in range(21):
            frequency_hz = FREQUENCY_HZ * (0.9 + 0.01 * step)
            through = stack_transmission(CAVITY, frequency_hz, 35.0, BelowRange.HOLD)
            powers += [abs(through.te) ** 2, abs(through.tm) ** 2]
        expected = -10 * math.log10(math.fsum(powers) / 42)
        assert link_loss(CAVITY, FREQUENCY_HZ, 35.0).held_db == pytest.approx(expected, abs=1e-9)

    def test_angle_is_capped_at_70(self) -> None:
        beyond = link_loss(CAVITY, FREQUENCY_HZ, 90.0)
        assert beyond.angle_used_deg == 70.0
        assert beyond == link_loss(CAVITY, FREQUENCY_HZ, 70.0)
        assert link_loss(CAVITY, FREQUENCY_HZ, 69.0).angle_used_deg == 69.0

    def test_a_pane_loses_the_floor(self) -> None:
        loss = link_loss(PANE, FREQUENCY_HZ, 0.0)
        assert loss.extrapolated_db < 0.5
        assert (loss.loss_db, loss.floor_db) == (CLUTTER_FLOOR_DB, CLUTTER_FLOOR_DB)

    def test_an_empty_doorway_has_no_floor_and_a_wall_of_any_layers_has(self) -> None:
        # House rule, common practice, no source: 1 dB for a wall that has layers
        assert link_loss([], FREQUENCY_HZ, 40.0).loss_db == pytest.approx(0.0, abs=1e-12)
        air = link_loss([Layer(Material.AIR, 0.1)], FREQUENCY_HZ, 40.0)
        assert air.loss_db == pytest.approx(1.0)
        assert air.extrapolated_db == pytest.approx(0.0, abs=1e-12)

    def test_says_extrapolated_when_any_frequency_of_the_band_is(self) -> None:
        assert link_loss(BRICK, 1.05e9, 0.0).extrapolated
        assert not stack_loss_db(BRICK, 1.05e9, 0.0).extrapolated
        assert not link_loss(BRICK, 1.2e9, 0.0).extrapolated

    def test_within_the_table_both_readings_agree(self) -> None:
        loss = link_loss(CAVITY, 2.4e9, 20.0)
        assert loss.held_db == loss.extrapolated_db

    @pytest.mark.parametrize("layers", [[], PANE, BRICK, CAVITY])
    def test_table_holds_the_rule_at_its_nodes(self, layers: list[Layer]) -> None:
        table = link_loss_table_db(layers, FREQUENCY_HZ)
        assert table.shape == (65,)
        for node in (0, 10, 22, 40, 64):
            angle_deg = math.degrees(math.acos(node / 64))
            expected = link_loss(layers, FREQUENCY_HZ, angle_deg).loss_db
            assert table[node] == pytest.approx(expected, abs=1e-9)

    def test_table_read_between_nodes_is_near_the_rule(self) -> None:
        angles = np.linspace(0.0, 90.0, 181)
        for layers in (BRICK, CAVITY, [Layer(Material.CONCRETE, 0.3)]):
            table = link_loss_table_db(layers, FREQUENCY_HZ)
            read = np.interp(np.cos(np.radians(angles)), np.linspace(0, 1, 65), table)
            exact = [link_loss(layers, FREQUENCY_HZ, float(angle)).loss_db for angle in angles]
            assert np.max(np.abs(read - exact)) < 0.05

    def test_table_needs_two_nodes(self) -> None:
        assert link_loss_table_db(BRICK, FREQUENCY_HZ, cos_nodes=2).shape == (2,)
        with pytest.raises(InvalidInputError, match="cos_nodes was 1"):
            link_loss_table_db(BRICK, FREQUENCY_HZ, cos_nodes=1)


class TestBadInput:
    @pytest.mark.parametrize("thickness_m", [0.0, -0.1, math.nan, math.inf])
    def test_thickness(self, thickness_m: float) -> None:
        with pytest.raises(InvalidInputError, match="thickness_m was"):
            Layer(Material.BRICK, thickness_m)

    def test_millimetres_are_caught(self) -> None:
        with pytest.raises(InvalidInputError, match="Give it in metres, not millimetres"):
            Layer(Material.BRICK, 115.0)

    def test_unknown_material(self) -> None:
        with pytest.raises(InvalidInputError, match="'straw'; it must be one of air"):
            Layer("straw", 0.1)  # type: ignore[arg-type]

    @pytest.mark.parametrize("angle_deg", [-0.1, 90.0, 91.0, math.nan])
    def test_angle_of_the_exact_stack(self, angle_deg: float) -> None:
        with pytest.raises(InvalidInputError, match="angle_deg was"):
            stack_loss_db(BRICK, FREQUENCY_HZ, angle_deg)
        with pytest.raises(InvalidInputError, match="angle_deg"):
            stack_transmission(BRICK, FREQUENCY_HZ, np.array([0.0, angle_deg]))

    @pytest.mark.parametrize("angle_deg", [-0.1, 90.1, math.nan])
    def test_angle_of_the_link_rule(self, angle_deg: float) -> None:
        with pytest.raises(InvalidInputError, match="angle_deg was"):
            link_loss(BRICK, FREQUENCY_HZ, angle_deg)

    @pytest.mark.parametrize("frequency_hz", [0.0, -1.0, math.nan, math.inf])
    @pytest.mark.parametrize("layers", [[], BRICK])
    def test_frequency(self, layers: list[Layer], frequency_hz: float) -> None:
        with pytest.raises(InvalidInputError, match="frequency_hz was"):
            stack_loss_db(layers, frequency_hz, 0.0)
        with pytest.raises(InvalidInputError, match="frequency_hz was"):
            link_loss(layers, frequency_hz, 0.0)
        with pytest.raises(InvalidInputError, match="frequency_hz was"):
            link_loss_table_db(layers, frequency_hz)

    @pytest.mark.parametrize("frequency_hz", [0.9e6, 460e9])
    def test_frequency_beyond_the_table(self, frequency_hz: float) -> None:
        with pytest.raises(OutOfRangeError, match=r"P\.2040"):
            stack_loss_db(PANE, frequency_hz, 0.0)
        with pytest.raises(OutOfRangeError, match=r"P\.2040"):
            link_loss(PANE, frequency_hz, 0.0)

    def test_above_100_ghz_a_single_row_is_extrapolated_and_says_so(self) -> None:
        assert stack_loss_db(BRICK, 150e9, 0.0).extrapolated
        assert not stack_loss_db(PANE, 250e9, 0.0).extrapolated
