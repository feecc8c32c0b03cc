"""Standby capacity against published worked examples, and the traps that they are known for."""

from dataclasses import replace

import pytest

from pathproof.calc.power import (
    MARGINS,
    Load,
    SeparateFactors,
    StandbyDemand,
    WholeMargin,
    bs_5839_annex_capacity_ah,
    next_size,
    required_capacity,
    total_currents_a,
)

# A trade magazine's quiz on a fire alarm panel, by NFPA 72 with 20 % added: parts with standby and
# alarm current, then 24 h and 15 min. Printed: 0.5264 A, 3.6082 A, 13.54 Ah, 16.24 Ah, fit 17 Ah.
PARTS = [
    Load(name="Module, large", count=3, standby_a=0.100, alarm_a=0.17),
    Load(name="Module, small", count=3, standby_a=0.0261, alarm_a=0.0267),
    Load(name="Board", standby_a=0.137, alarm_a=0.137),
    Load(name="Detector", count=37, standby_a=0.0003, alarm_a=0.0003),
    Load(name="Horn", count=10, standby_a=0.0, alarm_a=0.018),
    Load(name="Strobe, low", count=10, standby_a=0.0, alarm_a=0.040),
    Load(name="Strobe, high", count=2, standby_a=0.0, alarm_a=0.145),
    Load(name="Speaker with strobe", count=10, standby_a=0.0, alarm_a=0.200),
]


def test_a_panel_by_its_parts() -> None:
    standby_a, alarm_a = total_currents_a(PARTS)
    assert standby_a == pytest.approx(0.5264, abs=5e-5)
    assert alarm_a == pytest.approx(3.6082, abs=5e-5)
    demand = StandbyDemand(standby_a=standby_a, standby_h=24.0, alarm_a=alarm_a, alarm_h=15 / 60)
    assert demand.charge_ah == pytest.approx(13.54, abs=5e-3)
    needed = required_capacity(demand, WholeMargin(ratio=1.2))
    assert needed.capacity_ah == pytest.approx(16.24, abs=5e-3)
    size = next_size(needed.capacity_ah)
    assert size is not None
    assert (size.size_ah, size.blocks) == (17.0, 1)


# A public sizing guide: 0.42 A for 24 h, 3.8 A for 5 min, 20 % added. Printed: 10.08 + 0.3167 =
# 10.397 Ah, 12.48 Ah; a pair of 12 Ah is short.
GUIDE = StandbyDemand(standby_a=0.42, standby_h=24.0, alarm_a=3.8, alarm_h=5 / 60)


def test_a_sizing_guide() -> None:
    assert GUIDE.standby_ah == pytest.approx(10.08, abs=5e-3)
    assert GUIDE.alarm_ah == pytest.approx(0.3167, abs=5e-5)
    assert GUIDE.charge_ah == pytest.approx(10.397, abs=5e-4)
    needed = required_capacity(GUIDE, MARGINS["nfpa_72_2010_to_2019"])
    assert needed.capacity_ah == pytest.approx(12.48, abs=5e-3)
    assert needed.capacity_ah > 12.0
    size = next_size(needed.capacity_ah)
    assert size is not None
    assert size.size_ah == 17.0


# An exam study guide: 0.25 A for 24 h, 1.5 A for 5 min: 6.125 Ah before any factor.
def test_a_study_guide() -> None:
    demand = StandbyDemand(standby_a=0.25, standby_h=24.0, alarm_a=1.5, alarm_h=5 / 60)
    assert demand.charge_ah == pytest.approx(6.125, abs=5e-4)


# The margin depends on the edition: NFPA 72 added 20 % from 2010 to 2019 and adds 25 % from 2022.
# EN 54-4 and BS 5839-1: C = 1.25 (t1 I1 + t2 I2). Restated, by trade articles and design guides.
def test_the_margin_is_that_of_the_edition() -> None:
    by_rule = {rule: required_capacity(GUIDE, margin) for rule, margin in MARGINS.items()}
    ratios = {r: n.capacity_ah / GUIDE.charge_ah for r, n in by_rule.items()}
    assert ratios == pytest.approx(
        {"nfpa_72_2010_to_2019": 1.20, "nfpa_72_2022": 1.25, "en_54_4_bs_5839_1": 1.25}
    )
    assert all(margin.source is not None for margin in MARGINS.values())


# Ours, by hand, form of BS 5839-1's annex from memory: 0.10 A for 24 h, 1.0 A for 30 min:
# 1.25 x (2.4 + 1.75 x 1.0 / 2) = 4.09375 Ah.
def test_heavy_alarm_by_the_annex() -> None:
    demand = StandbyDemand(standby_a=0.10, standby_h=24.0, alarm_a=1.0, alarm_h=0.5)
    assert bs_5839_annex_capacity_ah(demand) == pytest.approx(4.09375)
    # At or below a twentieth of the capacity D is 1: 1.25 x (2.4 + 0.15 / 2) = 3.09375 Ah, and
    # 0.15 A is below 3.09375 / 20 = 0.1547 A.
    light = replace(demand, alarm_a=0.15)
    assert bs_5839_annex_capacity_ah(light) == pytest.approx(3.09375)
    # 0.16 A: with D = 1 it is 3.1 Ah, a twentieth is 0.155 A, so D = 1.75: 1.25 x 2.54 = 3.175 Ah.
    between = replace(demand, alarm_a=0.16)
    assert bs_5839_annex_capacity_ah(between) == pytest.approx(3.175)


# Ours, by hand: 7 Ah taken, ageing 1.25 (replaced at 80 %), 10 degC 1.19: 7 x 1.25 x 1.19 =
# 10.4125 Ah.
def test_ageing_and_cold() -> None:
    demand = StandbyDemand(standby_a=0.25, standby_h=24.0, alarm_a=12.0, alarm_h=5 / 60)
    assert demand.charge_ah == pytest.approx(7.0)
    needed = required_capacity(demand, SeparateFactors(ageing_ratio=0.8), temperature_degc=10.0)
    assert needed.capacity_ah == pytest.approx(10.4125)


# Alarm minutes in full precision: 5 min of 100 A are 8.3333 Ah, not the 8.3 or 8.4 of 0.083 or
# 0.084 h.
def test_minutes_are_not_rounded() -> None:
    demand = StandbyDemand(standby_a=1e-9, standby_h=1.0, alarm_a=100.0, alarm_h=5 / 60)
    assert demand.alarm_ah == pytest.approx(8.33333, abs=5e-6)
