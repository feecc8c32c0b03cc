"""Feeders: ranges, break-even length, bad input. Published values are in tests/published."""

import math

import pytest

from pathproof.calc.radio import (
    COAX_TYPES,
    CONNECTOR_GOOD_DB,
    CONNECTOR_PLANNING_DB,
    break_even_length_m,
    coax_loss,
    feeder_loss_db,
)
from pathproof.job import FeederPart, shipped
from pathproof.terms import Evidence, InvalidInputError, OutOfRangeError

RG58 = COAX_TYPES["rg58"]


def test_classes_say_how_sure_they_are() -> None:
    assert {c.source.evidence for c in COAX_TYPES.values()} == {Evidence.MEMORY}
    assert all(c.tolerance_ratio >= 0.15 for c in COAX_TYPES.values())


def test_shipped_feeders_are_of_these_classes() -> None:
    feeders = [p for p in shipped().parts.values() if isinstance(p, FeederPart)]
    factors = {(p.k1_db_per_100m, p.k2_db_per_100m) for p in feeders}
    assert factors == {(c.k1_db_per_100m, c.k2_db_per_100m) for c in COAX_TYPES.values()}
    assert {p.connector_loss_db for p in feeders} == {CONNECTOR_PLANNING_DB}


def test_range_lies_round_the_nominal_loss() -> None:
    loss = coax_loss(RG58, 900e6, 20.0)
    assert loss.low_db == pytest.approx(0.85 * loss.loss_db)
    assert loss.high_db == pytest.approx(1.15 * loss.loss_db)


@pytest.mark.parametrize(
    ("frequency_hz", "extrapolated"),
    [(99e6, True), (100e6, False), (1000e6, False), (1000.1e6, True)],
)
def test_extrapolated_outside_what_it_was_fitted_to(
    frequency_hz: float, extrapolated: bool
) -> None:
    assert coax_loss(RG58, frequency_hz, 1.0).extrapolated is extrapolated


@pytest.mark.parametrize("frequency_hz", [868.0, 9.9e6, 6.1e9])
def test_no_cable_is_stretched_without_end(frequency_hz: float) -> None:
    with pytest.raises(OutOfRangeError, match="covers 1e\\+07 to 6e\\+09 Hz"):
        coax_loss(RG58, frequency_hz, 1.0)
    with pytest.raises(OutOfRangeError):
        feeder_loss_db(1.0, 0.01, frequency_hz, 1.0)


def test_a_good_connector_loses_less_than_a_planned_one() -> None:
    assert 0.0 < CONNECTOR_GOOD_DB < CONNECTOR_PLANNING_DB


class TestBreakEvenLength:
    # What stands on both sides of the balance is added up by hand: gain = feeder + others.
    @pytest.mark.parametrize("gain_db", [1.5, 3.0, 8.0])
    @pytest.mark.parametrize("frequency_hz", [700e6, 2600e6])
    def test_gain_is_spent_exactly_there(self, gain_db: float, frequency_hz: float) -> None:
        per_100m_db = coax_loss(RG58, frequency_hz, 100.0).loss_db
        length_m = break_even_length_m(gain_db, 1.25, per_100m_db)
        assert coax_loss(RG58, frequency_hz, length_m).loss_db + 1.25 == pytest.approx(gain_db)

    def test_no_length_where_the_rest_spends_the_gain_already(self) -> None:
        assert break_even_length_m(1.0, 1.0, 50.0) == 0.0
        assert break_even_length_m(1.0, 1.5, 50.0) == 0.0
        assert break_even_length_m(-2.0, 0.0, 50.0) == 0.0

    @pytest.mark.parametrize(
        ("args", "name"),
        [
            ((math.nan, 1.0, 50.0), "gain_db"),
            ((3.0, -1.0, 50.0), "other_loss_db"),
            ((3.0, 1.0, 0.0), "loss_db_per_100m"),
            ((3.0, 1.0, math.inf), "loss_db_per_100m"),
        ],
    )
    def test_bad_input(self, args: tuple[float, float, float], name: str) -> None:
        with pytest.raises(InvalidInputError, match=f"^{name} was"):
            break_even_length_m(*args)
