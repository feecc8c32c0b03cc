"""What must hold for any cable, its loads, and any burst."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.calc.power import (
    CableLoad,
    Conductor,
    Stranding,
    buffer_capacitance_f,
    burst_droop,
    cable_drop_v,
    conductors,
    loop_resistance_ohm,
    lumped,
    resistance_ohm_per_m,
    smallest_conductor,
)

strandings = st.sampled_from(list(Stranding))
wires = strandings.flatmap(lambda stranding: st.sampled_from(conductors(stranding)))
temperatures_degc = st.floats(-40.0, 105.0)
lengths_m = st.floats(0.1, 2000.0)
currents_a = st.floats(1e-3, 20.0)
some_loads = st.lists(
    st.builds(CableLoad, distance_m=lengths_m, current_a=currents_a), min_size=1, max_size=8
)
WITHIN_ROUNDING = 1.0 + 1e-9


@given(wires, lengths_m, lengths_m, currents_a, temperatures_degc)
def test_a_longer_cable_never_drops_less(
    wire: Conductor, one_m: float, other_m: float, current_a: float, degc: float
) -> None:
    shorter, longer = (
        cable_drop_v(wire, [CableLoad(distance_m=x, current_a=current_a)], degc)
        for x in sorted((one_m, other_m))
    )
    assert longer >= shorter
    assert shorter == pytest.approx(
        current_a * loop_resistance_ohm(wire, min(one_m, other_m), degc)
    )


@given(strandings, temperatures_degc)
def test_thicker_never_has_more_resistance(stranding: Stranding, degc: float) -> None:
    for thin, thick in pairwise(conductors(stranding)):
        assert thick.area_mm2 > thin.area_mm2
        assert resistance_ohm_per_m(thick, degc) < resistance_ohm_per_m(thin, degc)


@given(wires, temperatures_degc, temperatures_degc)
def test_hotter_never_has_less_resistance(wire: Conductor, one: float, other: float) -> None:
    cold, hot = sorted((one, other))
    assert resistance_ohm_per_m(wire, hot) >= resistance_ohm_per_m(wire, cold) > 0.0


@given(temperatures_degc)
def test_strands_never_have_less_than_solid_and_fine_never_less_than_stiff(degc: float) -> None:
    for solid, seven in zip(conductors(Stranding.SOLID), conductors(Stranding.SEVEN), strict=True):
        assert resistance_ohm_per_m(seven, degc) > resistance_ohm_per_m(solid, degc)
    fine = {c.area_mm2: c for c in conductors(Stranding.CLASS_5)}
    for stiff in conductors(Stranding.CLASS_2):
        assert resistance_ohm_per_m(fine[stiff.area_mm2], degc) > resistance_ohm_per_m(stiff, degc)


# The sum stretch by stretch: on each, what all loads from its end on take.
@given(wires, some_loads, temperatures_degc)
def test_loads_along_a_run_by_stretches(
    wire: Conductor, loads: list[CableLoad], degc: float
) -> None:
    ends_m = sorted({0.0, *(load.distance_m for load in loads)})
    by_stretch_v = sum(
        2.0
        * resistance_ohm_per_m(wire, degc)
        * (end_m - start_m)
        * sum(load.current_a for load in loads if load.distance_m >= end_m)
        for start_m, end_m in pairwise(ends_m)
    )
    drop_v = cable_drop_v(wire, loads, degc)
    assert drop_v == pytest.approx(by_stretch_v)
    assert drop_v <= cable_drop_v(wire, [lumped(loads)], degc) * WITHIN_ROUNDING


@given(some_loads, st.builds(CableLoad, distance_m=lengths_m, current_a=currents_a), wires)
def test_one_more_load_never_drops_less(
    loads: list[CableLoad], added: CableLoad, wire: Conductor
) -> None:
    assert cable_drop_v(wire, [*loads, added]) >= cable_drop_v(wire, loads)


@given(strandings, some_loads, st.floats(0.01, 60.0), temperatures_degc)
def test_the_smallest_holds_and_no_thinner_one_does(
    stranding: Stranding, loads: list[CableLoad], allowed_v: float, degc: float
) -> None:
    choice = conductors(stranding)
    found = smallest_conductor(choice, loads, allowed_v, degc)
    holding = [c for c in choice if cable_drop_v(c, loads, degc) <= allowed_v]
    if found is None:
        assert not holding
        return
    assert cable_drop_v(found, loads, degc) <= allowed_v * WITHIN_ROUNDING
    assert all(found.area_mm2 <= c.area_mm2 for c in holding)


@given(wires, lengths_m, temperatures_degc)
def test_copper_clad_aluminium_always_drops_more(
    wire: Conductor, length_m: float, degc: float
) -> None:
    clad = replace(wire, copper_clad=True)
    assert loop_resistance_ohm(clad, length_m, degc) > loop_resistance_ohm(wire, length_m, degc)


@given(currents_a, currents_a, st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_a_larger_burst_never_leaves_more(
    one_a: float, other_a: float, battery_ohm: float, cable_ohm: float
) -> None:
    small, large = (
        burst_droop(12.0, peak_a, battery_ohm, cable_ohm, 9.0)
        for peak_a in sorted((one_a, other_a))
    )
    assert large.left_v <= small.left_v <= 12.0


@given(currents_a, st.floats(1e-5, 1.0), st.floats(1e-5, 1.0), st.floats(0.01, 5.0))
def test_a_longer_burst_never_takes_a_smaller_buffer(
    current_a: float, one_s: float, other_s: float, allowed_v: float
) -> None:
    short, long = (
        buffer_capacitance_f(current_a, burst_s, allowed_v) for burst_s in sorted((one_s, other_s))
    )
    assert long >= short > 0.0
