"""Cables: loads along a run, the smallest that holds, temperatures, copper-clad wire, bad input."""

from dataclasses import replace

import pytest

from pathproof.calc.power import (
    END_OF_DISCHARGE_V,
    CableLoad,
    Stranding,
    awg_conductor,
    cable_drop_v,
    conductors,
    loop_resistance_ohm,
    lumped,
    mm2_conductor,
    resistance_ohm_per_m,
    smallest_conductor,
)
from pathproof.terms import Evidence, InvalidInputError, OutOfRangeError

ONE = mm2_conductor(1.0, Stranding.CLASS_2)  # 18.1 ohm/km: IEC 60228, restated


# Ours, with a pencil: three sounders at 10, 30 and 60 m take 0.2, 0.3 and 0.1 A. Stretch by stretch
# 2 x 0.0181 ohm/m x (10 m x 0.6 A + 20 m x 0.4 A + 30 m x 0.1 A) = 0.6154 V; lumped at 60 m
# 2 x 0.0181 ohm/m x 60 m x 0.6 A = 1.3032 V.
def test_loads_along_a_run() -> None:
    loads = [
        CableLoad(distance_m=30.0, current_a=0.3),
        CableLoad(distance_m=10.0, current_a=0.2),
        CableLoad(distance_m=60.0, current_a=0.1),
    ]
    assert cable_drop_v(ONE, loads) == pytest.approx(0.6154, rel=1e-12)
    assert cable_drop_v(ONE, [lumped(loads)]) == pytest.approx(1.3032, rel=1e-12)


# 2 x 40 m x 0.0390 ohm/m: IEC 60228 class 5, 0.5 mm2.
def test_resistance_out_and_back() -> None:
    assert loop_resistance_ohm(mm2_conductor(0.5), 40.0) == pytest.approx(3.12, rel=1e-12)


# 40 m and 0.5 A: 2 x 40 x 0.5 = 40 m A; at 0.0390, 0.0260 and 0.0195 ohm/m 1.56, 1.04 and 0.78 V.
def test_smallest_that_holds() -> None:
    loads = [CableLoad(distance_m=40.0, current_a=0.5)]
    fine = conductors(Stranding.CLASS_5)
    for allowed_v, area_mm2 in ((1.56, 0.5), (1.559, 0.75), (1.04, 0.75), (1.0, 1.0)):
        found = smallest_conductor(fine, loads, allowed_v)
        assert found is not None
        assert found.area_mm2 == area_mm2
    assert smallest_conductor(reversed(fine), loads, 1.0) == mm2_conductor(1.0)
    assert smallest_conductor(fine, loads, 0.1) is None


def test_copper_clad_aluminium_takes_1_6_times_as_much() -> None:  # a public note, restated
    clad = replace(ONE, copper_clad=True)
    assert resistance_ohm_per_m(clad, 50.0) == pytest.approx(1.6 * resistance_ohm_per_m(ONE, 50.0))
    assert len(clad.sources) == len(ONE.sources) + 1


def test_sources_say_how_sure_they_are() -> None:
    assert [s.evidence for s in ONE.sources] == [Evidence.RESTATED, Evidence.COMPUTED]
    thin = awg_conductor(22)
    assert [s.evidence for s in thin.sources][-1] is Evidence.PRACTICE  # strands carried over


# 10.5 V of a 12 V block and 20.4 V of 24 V: equipment manuals, restated.
def test_volts_at_the_end_of_discharge() -> None:
    assert dict(END_OF_DISCHARGE_V) == {12.0: 10.5, 24.0: 20.4}


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_nonsense_is_refused(bad: float) -> None:
    with pytest.raises(InvalidInputError, match="distance_m"):
        CableLoad(distance_m=bad, current_a=1.0)
    with pytest.raises(InvalidInputError, match="current_a"):
        CableLoad(distance_m=1.0, current_a=bad)
    with pytest.raises(InvalidInputError, match="length_m"):
        loop_resistance_ohm(ONE, bad)
    with pytest.raises(InvalidInputError, match="allowed_v"):
        smallest_conductor([ONE], [CableLoad(distance_m=1.0, current_a=1.0)], bad)
    with pytest.raises(InvalidInputError, match=r"tables have 0\.14, 0\.22"):
        mm2_conductor(bad)


def test_no_load_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="at least one load"):
        cable_drop_v(ONE, [])
    with pytest.raises(InvalidInputError, match="at least one load"):
        lumped([])


@pytest.mark.parametrize("degc", [-40.1, 105.1, 1000.0])
def test_temperatures_beyond_the_insulation(degc: float) -> None:
    with pytest.raises(OutOfRangeError, match="covers -40 to 105 degC"):
        resistance_ohm_per_m(ONE, degc)


def test_a_temperature_that_is_none() -> None:
    with pytest.raises(InvalidInputError, match="finite"):
        resistance_ohm_per_m(ONE, float("nan"))
