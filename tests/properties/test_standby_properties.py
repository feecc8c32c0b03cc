"""What must hold for any demand, allowance, battery, temperature and cell."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.calc.power import (
    Allowance,
    Battery,
    CellUse,
    SeparateFactors,
    StandbyDemand,
    WholeMargin,
    cell_life,
    charging_current_a,
    endurance,
    next_size,
    recharge_time_h,
    required_capacity,
    service_life_years,
    temperature_factor,
)

currents_a = st.floats(1e-3, 20.0)
demands = st.builds(
    StandbyDemand,
    standby_a=currents_a,
    standby_h=st.floats(0.1, 200.0),
    alarm_a=currents_a,
    alarm_h=st.floats(0.0, 5.0),
)
allowances = st.one_of(
    st.builds(WholeMargin, ratio=st.floats(1.0, 3.0)),
    st.builds(SeparateFactors, ageing_ratio=st.floats(0.3, 1.0), design_ratio=st.floats(1.0, 1.15)),
)
temperatures_degc = st.floats(-3.9, 51.7)
exponents = st.floats(1.0, 1.6)
more = st.floats(1.0, 5.0)
WITHIN_ROUNDING = 1.0 + 1e-9


def size_ah(capacity_ah: float) -> float:
    size = next_size(capacity_ah)
    return float("inf") if size is None else size.size_ah


@pytest.mark.parametrize("name", ["standby_a", "standby_h", "alarm_a", "alarm_h"])
@given(demand=demands, allowance=allowances, degc=temperatures_degc, k=exponents, times=more)
def test_more_load_and_more_time_never_need_less(
    name: str,
    demand: StandbyDemand,
    allowance: Allowance,
    degc: float,
    k: float,
    times: float,
) -> None:
    larger = replace(demand, **{name: times * getattr(demand, name)})
    one, other = (required_capacity(x, allowance, degc, k).capacity_ah for x in (demand, larger))
    assert other * WITHIN_ROUNDING >= one
    assert size_ah(other * WITHIN_ROUNDING) >= size_ah(one)


@given(demands, allowances, temperatures_degc, temperatures_degc, exponents)
def test_colder_never_needs_less(
    demand: StandbyDemand, allowance: Allowance, one_degc: float, other_degc: float, k: float
) -> None:
    cold, warm = sorted((one_degc, other_degc))
    at_cold, at_warm = (required_capacity(demand, allowance, t, k) for t in (cold, warm))
    assert at_cold.capacity_ah * WITHIN_ROUNDING >= at_warm.capacity_ah
    assert temperature_factor(cold, count_warmth=True) >= temperature_factor(
        warm, count_warmth=True
    )


@given(demands, allowances, exponents)
def test_peukert_and_allowances_only_add(
    demand: StandbyDemand, allowance: Allowance, k: float
) -> None:
    bare = required_capacity(demand, WholeMargin(ratio=1.0)).capacity_ah
    assert bare == pytest.approx(demand.charge_ah)
    assert required_capacity(demand, allowance, None, k).capacity_ah * WITHIN_ROUNDING >= bare


@given(demands, allowances, temperatures_degc, exponents)
def test_the_battery_asked_for_lasts_as_long_as_asked_at_its_end(
    demand: StandbyDemand, allowance: Allowance, degc: float, k: float
) -> None:
    needed = required_capacity(demand, allowance, degc, k)
    battery = Battery(capacity_ah=needed.capacity_ah, peukert=k)
    left = 1.0 / (needed.temperature_factor * allowance.factor)
    found = endurance(battery, demand.standby_a, demand.alarm_a, demand.alarm_h, left)
    assert found.standby_h == pytest.approx(demand.standby_h, rel=1e-6, abs=1e-6)


@given(demands, exponents, st.floats(0.1, 1.0), st.floats(0.1, 1.0))
def test_an_older_battery_never_lasts_longer(
    demand: StandbyDemand, k: float, one: float, other: float
) -> None:
    battery = Battery(capacity_ah=12.0, peukert=k)
    old, new = (
        endurance(battery, demand.standby_a, demand.alarm_a, demand.alarm_h, ratio).standby_h
        for ratio in sorted((one, other))
    )
    assert old <= new * WITHIN_ROUNDING


cell_uses = st.builds(
    CellUse,
    sleep_current_a=st.floats(1e-7, 1e-3),
    message_current_a=st.floats(1e-3, 0.2),
    message_s=st.floats(1e-3, 1.0),
    events_per_day=st.floats(0.0, 5000.0),
    supervision_interval_s=st.floats(10.0, 1e6),
)


@pytest.mark.parametrize(
    "name", ["sleep_current_a", "message_current_a", "message_s", "events_per_day"]
)
@given(capacity_ah=st.floats(0.1, 20.0), use=cell_uses, times=more)
def test_cells_never_last_longer_for_more_use(
    name: str, capacity_ah: float, use: CellUse, times: float
) -> None:
    life = cell_life(capacity_ah, use)
    busier = cell_life(capacity_ah, replace(use, **{name: times * getattr(use, name)}))
    assert busier.years <= life.years * WITHIN_ROUNDING
    rarer = replace(use, supervision_interval_s=times * 1e6)
    assert cell_life(capacity_ah, rarer).years * WITHIN_ROUNDING >= life.years


@given(st.floats(0.5, 100.0), st.floats(1.0, 100.0), temperatures_degc, temperatures_degc)
def test_faster_recharge_takes_more_and_warmth_costs_life(
    capacity_ah: float, time_h: float, one_degc: float, other_degc: float
) -> None:
    charging_a = charging_current_a(capacity_ah, time_h)
    assert charging_current_a(capacity_ah, time_h / 2.0) > charging_a
    assert recharge_time_h(capacity_ah, charging_a) == pytest.approx(time_h)
    cold, warm = sorted((one_degc, other_degc))
    assert service_life_years(5.0, cold) >= service_life_years(5.0, warm)
