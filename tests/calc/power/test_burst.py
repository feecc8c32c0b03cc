"""Bursts: what is left at the module, and the buffer that carries one."""

import pytest

from pathproof.calc.power import buffer_capacitance_f, burst_droop
from pathproof.terms import InvalidInputError


# Ours, with a pencil: 2 A over 0.1 + 0.5 ohm are 1.2 V; 10.5 - 1.2 = 9.3 V; 0.3 V over 9.0 V.
def test_droop_of_a_burst() -> None:
    found = burst_droop(10.5, 2.0, 0.1, 0.5, 9.0)
    assert found.droop_v == pytest.approx(1.2)
    assert found.left_v == pytest.approx(9.3)
    assert found.headroom_v == pytest.approx(0.3)


def test_a_battery_that_cannot_give_the_peak() -> None:
    found = burst_droop(3.0, 2.0, 1.5, 0.5, 2.7)
    assert found.left_v == pytest.approx(-1.0)
    assert found.headroom_v == pytest.approx(-3.7)


# An independent way: the capacitor discharged in small steps, its series resistance in the way.
@pytest.mark.parametrize(
    ("current_a", "burst_s", "allowed_v", "esr_ohm"),
    [
        (2.0, 577e-6, 0.4, 0.1),
        (0.5, 0.020, 0.3, 0.0),
    ],
)
def test_the_buffer_falls_by_just_what_is_allowed(
    current_a: float, burst_s: float, allowed_v: float, esr_ohm: float
) -> None:
    capacitance_f = buffer_capacitance_f(current_a, burst_s, allowed_v, esr_ohm)
    charge_c, steps = capacitance_f * 4.0, 1000  # filled to 4 V
    for _ in range(steps):
        charge_c -= current_a * burst_s / steps
    at_the_module_v = charge_c / capacitance_f - current_a * esr_ohm
    assert 4.0 - at_the_module_v == pytest.approx(allowed_v)


def test_a_series_resistance_that_takes_it_all() -> None:
    with pytest.raises(InvalidInputError, match=r"at 2 A it must be below 0\.2"):
        buffer_capacitance_f(2.0, 577e-6, 0.4, 0.2)


@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf")])
def test_nonsense_is_refused(bad: float) -> None:
    good = (10.5, 2.0, 0.1, 0.5, 9.0)
    for place in range(5):
        with pytest.raises(InvalidInputError):
            burst_droop(*good[:place], bad, *good[place + 1 :])
    good_buffer = (2.0, 577e-6, 0.4, 0.1)
    for place in range(4):
        with pytest.raises(InvalidInputError):
            buffer_capacitance_f(*good_buffer[:place], bad, *good_buffer[place + 1 :])
