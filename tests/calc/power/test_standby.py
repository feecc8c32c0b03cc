"""Standby capacity: allowances that cannot be stacked, sizes, Peukert, what is refused."""

from typing import Any

import pytest

from pathproof.calc.power import (
    STANDARD_SIZES_AH,
    Load,
    SeparateFactors,
    StandbyDemand,
    WholeMargin,
    bs_5839_annex_capacity_ah,
    next_size,
    required_capacity,
    taken_charge_ah,
    total_currents_a,
)
from pathproof.terms import InvalidInputError, OutOfRangeError

DEMAND: dict[str, float] = {"standby_a": 0.1, "standby_h": 12.0, "alarm_a": 1.0, "alarm_h": 0.25}
PLAIN = StandbyDemand(**DEMAND)
NOTHING_ADDED = WholeMargin(ratio=1.0)


# Margins of 1.20 and 1.25 have ageing in them, so beside ageing there is room only for the design
# margin of IEEE 485, 1.10 to 1.15 (from memory).
@pytest.mark.parametrize("ratio", [1.2, 1.25])
def test_a_margin_with_ageing_in_it_does_not_go_beside_ageing(ratio: float) -> None:
    with pytest.raises(InvalidInputError, match=r"beside ageing it must be 1 to 1\.15"):
        SeparateFactors(ageing_ratio=0.8, design_ratio=ratio)
    assert SeparateFactors(design_ratio=1.15).factor == pytest.approx(1.15 * 1.25)


def test_full_precision_and_the_parts_of_the_answer() -> None:
    needed = required_capacity(PLAIN, WholeMargin(ratio=1.25), temperature_degc=10.0)
    assert (needed.demand.standby_ah, needed.demand.alarm_ah) == pytest.approx((1.2, 0.25))
    assert needed.taken_ah == pytest.approx(1.45)
    assert needed.temperature_factor == 1.19
    assert needed.capacity_ah == pytest.approx(1.45 * 1.19 * 1.25)


def test_no_alarm_at_all() -> None:
    quiet = StandbyDemand(**{**DEMAND, "alarm_h": 0.0})
    assert required_capacity(quiet, NOTHING_ADDED).capacity_ah == pytest.approx(1.2)


# By Peukert: the answer takes exactly its own capacity, and the light load counts as it is.
def test_peukert_counts_the_heavy_load_only() -> None:
    heavy = StandbyDemand(standby_a=0.05, standby_h=24.0, alarm_a=5.0, alarm_h=0.5)
    needed = required_capacity(heavy, NOTHING_ADDED, peukert=1.2)
    taken_ah = 0.05 * 24.0 + taken_charge_ah(5.0, 0.5, needed.capacity_ah, 20.0, 1.2)
    assert taken_ah == pytest.approx(needed.capacity_ah)
    assert needed.capacity_ah > heavy.charge_ah
    light = StandbyDemand(standby_a=0.3, standby_h=24.0, alarm_a=0.3, alarm_h=0.5)
    assert required_capacity(light, NOTHING_ADDED, peukert=1.2).capacity_ah == pytest.approx(7.35)


@pytest.mark.parametrize(
    ("capacity_ah", "size_ah", "blocks"),
    [
        (0.001, 1.2, 1),
        (1.2, 1.2, 1),
        (1.2001, 2.1, 1),
        (0.25 * 28 * (1 + 1e-15), 7.0, 1),  # more by rounding alone
        (12.476, 17.0, 1),
        (40.0, 40.0, 1),
        (40.1, 48.0, 2),  # 2 x 24
        (50.0, 80.0, 2),  # 2 x 24 is too little
        (800.0, 800.0, 20),
    ],
)
def test_next_larger_size(capacity_ah: float, size_ah: float, blocks: int) -> None:
    size = next_size(capacity_ah)
    assert size is not None
    assert (size.size_ah, size.blocks) == (size_ah, blocks)
    assert size.block_ah in STANDARD_SIZES_AH


def test_no_usual_size() -> None:
    assert next_size(800.1) is None


@pytest.mark.parametrize("name", DEMAND)
@pytest.mark.parametrize("bad", [-0.1, float("nan"), float("inf"), -float("inf")])
def test_a_demand_that_makes_no_sense(name: str, bad: float) -> None:
    with pytest.raises(InvalidInputError, match=name):
        StandbyDemand(**{**DEMAND, name: bad})


@pytest.mark.parametrize("name", ["standby_a", "standby_h", "alarm_a"])
def test_no_current_and_no_time(name: str) -> None:
    with pytest.raises(InvalidInputError, match=f"{name} was 0; it must be above 0"):
        StandbyDemand(**{**DEMAND, name: 0.0})


@pytest.mark.parametrize(
    ("kind", "given"),
    [
        (WholeMargin, {"ratio": 0.99}),
        (WholeMargin, {"ratio": float("nan")}),
        (SeparateFactors, {"ageing_ratio": 0.0}),
        (SeparateFactors, {"ageing_ratio": 1.25}),
        (SeparateFactors, {"ageing_ratio": float("nan")}),
        (SeparateFactors, {"design_ratio": 0.9}),
        (SeparateFactors, {"design_ratio": float("inf")}),
    ],
)
def test_allowances_that_make_no_sense(kind: Any, given: dict[str, float]) -> None:
    with pytest.raises(InvalidInputError, match=next(iter(given))):
        kind(**given)


def test_what_else_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="temperature_degc"):
        required_capacity(PLAIN, NOTHING_ADDED, temperature_degc=-10.0)
    for exponent in (0.9, float("nan")):
        with pytest.raises(InvalidInputError, match="peukert"):
            required_capacity(PLAIN, NOTHING_ADDED, peukert=exponent)
    with pytest.raises(InvalidInputError, match="hour_rate_h"):
        required_capacity(PLAIN, NOTHING_ADDED, hour_rate_h=0.0)
    with pytest.raises(InvalidInputError, match="half an hour"):
        bs_5839_annex_capacity_ah(PLAIN)
    for capacity_ah in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(InvalidInputError, match="capacity_ah"):
            next_size(capacity_ah)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"count": 0}, "count of Sounder was 0"),
        ({"standby_a": -0.1}, "standby_a"),
        ({"alarm_a": float("nan")}, "alarm_a"),
    ],
)
def test_a_load_that_makes_no_sense(given: dict[str, Any], said: str) -> None:
    load = Load(**{"name": "Sounder", "standby_a": 0.0, "alarm_a": 0.25, **given})
    with pytest.raises(InvalidInputError, match=said):
        total_currents_a([load])


def test_no_loads() -> None:
    assert total_currents_a([]) == (0.0, 0.0)
