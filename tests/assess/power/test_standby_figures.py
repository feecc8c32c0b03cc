"""How long a battery lasts against what is asked: what holds for any figures."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.assess.power.standby_asked import Asked
from pathproof.assess.power.standby_figures import StandbyFigures, standby_figures
from pathproof.calc.power import Allowance, SeparateFactors, WholeMargin
from pathproof.job import BatteryPart
from pathproof.job.site import FittedBattery
from pathproof.terms import LimitName

from ._power_jobs import SOURCE

currents_a = st.floats(1e-4, 50.0)
capacities_ah = st.floats(0.1, 1000.0)
exponents = st.none() | st.floats(1.0, 2.0)
temperatures_degc = st.floats(-3.8, 51.0)
allowances = st.one_of(
    st.floats(1.0, 10.0).map(lambda r: WholeMargin(ratio=r)),
    st.builds(
        lambda a, d: SeparateFactors(ageing_ratio=a, design_ratio=d),
        st.floats(0.1, 0.99),
        st.floats(1.0, 1.15),
    ),
)


def _figures(
    *,
    capacity_ah: float = 7.0,
    peukert: float | None = None,
    temperature_degc: float = 25.0,
    allowance: Allowance | None = None,
    standby_h: float = 12.0,
    alarm_h: float = 0.25,
    standby_a: float = 0.1,
    alarm_a: float = 0.4,
    chemistry: str = "lead_acid",
) -> StandbyFigures:
    part = BatteryPart.model_validate(
        {
            "kind": "battery",
            "id": "b",
            "name": "b",
            "source": SOURCE,
            "chemistry": chemistry,
            "nominal_v": 12.0,
            "capacity_ah": capacity_ah,
            "peukert": peukert,
        }
    )
    asked = Asked(
        hours=LimitName.STANDBY_H,
        within=False,
        standby_h=standby_h,
        alarm_h=alarm_h,
        allowance=allowance or WholeMargin(ratio=1.25),
    )
    fitted = FittedBattery(part="b", temperature_degc=temperature_degc)
    return standby_figures(fitted, part, asked, standby_a, alarm_a)


@given(
    currents_a,
    currents_a,
    st.floats(0.1, 800.0),
    st.floats(0.0, 5.0),
    exponents,
    temperatures_degc,
    allowances,
    capacities_ah,
)
def test_it_lacks_hours_just_where_more_capacity_is_asked_for_than_is_fitted(
    standby_a: float,
    alarm_a: float,
    standby_h: float,
    alarm_h: float,
    peukert: float | None,
    temperature_degc: float,
    allowance: Allowance,
    capacity_ah: float,
) -> None:
    found = _figures(
        capacity_ah=capacity_ah,
        peukert=peukert,
        temperature_degc=temperature_degc,
        allowance=allowance,
        standby_h=standby_h,
        alarm_h=alarm_h,
        standby_a=standby_a,
        alarm_a=alarm_a,
    )
    if found.needed.capacity_ah > capacity_ah * (1 + 1e-6):
        assert found.margin_h < 0
    if found.needed.capacity_ah < capacity_ah * (1 - 1e-6):
        assert found.margin_h > 0
    assert found.margin_h <= found.margin_warm_h
    assert found.end_of_life.standby_h <= found.new.standby_h
    assert found.kept.standby_h <= found.new.standby_h


def test_a_battery_of_just_the_capacity_asked_for_holds() -> None:
    # By hand: (0.1 A 12 h + 0.4 A 0.25 h) 1.25 = 1.625 Ah.
    assert _figures(capacity_ah=1.625).margin_h == pytest.approx(0.0, abs=1e-9)
    assert _figures(capacity_ah=1.625).margin_h >= 0.0


def test_an_alarm_that_takes_less_than_idle_counts_as_idle() -> None:
    assert _figures(standby_a=0.3, alarm_a=0.1).demand.alarm_a == 0.3


def test_the_end_of_life_is_what_the_profile_says_else_80_percent() -> None:
    # 80 % of the rating: a sizing worksheet's factor of 1.25.
    assert _figures(allowance=WholeMargin(ratio=1.0)).end_of_life_ratio == 0.8
    separate = SeparateFactors(ageing_ratio=0.7, design_ratio=1.1)
    assert _figures(allowance=separate).end_of_life_ratio == 0.7
    assert _figures(allowance=separate).kept_ratio == pytest.approx(0.7 / 1.1)


def test_a_usual_size_is_named_for_lead_acid_only() -> None:
    size = _figures().next_size
    assert size is not None
    assert size.size_ah == 2.1
    assert _figures(chemistry="nickel_metal_hydride").next_size is None
