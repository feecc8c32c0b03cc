"""NEC chapter 9 table 8: uncoated copper at 75 degC, ohms per 1000 ft.

As two reproductions print it, which do not state its edition. Printed to two decimals; our rows are
copies, so they come out as printed. The published example of a drop is from a public text.
"""

import pytest

from pathproof.calc.power import (
    CableLoad,
    Stranding,
    awg_conductor,
    cable_drop_v,
    loop_resistance_ohm,
    resistance_ohm_per_m,
)

FT_M = 0.3048  # exact

# Gauge, solid, 7 strands.
TABLE_8 = [
    (18, 7.77, 7.95),
    (16, 4.89, 4.99),
    (14, 3.07, 3.14),
    (12, 1.93, 1.98),
    (10, 1.21, 1.24),
]


def ohm_per_kft(awg: int, stranding: Stranding, temperature_degc: float) -> float:
    return 1000.0 * FT_M * resistance_ohm_per_m(awg_conductor(awg, stranding), temperature_degc)


@pytest.mark.parametrize(("awg", "solid", "seven"), TABLE_8)
def test_rows(awg: int, solid: float, seven: float) -> None:
    assert ohm_per_kft(awg, Stranding.SOLID, 75.0) == pytest.approx(solid, rel=1e-12)
    assert ohm_per_kft(awg, Stranding.SEVEN, 75.0) == pytest.approx(seven, rel=1e-12)


# The same rows per km as printed there: three digits, 18 to 12 restated, 10 from memory.
@pytest.mark.parametrize(
    ("awg", "solid", "seven", "half_digit"),
    [
        (18, 25.5, 26.1, 0.05),
        (16, 16.0, 16.4, 0.05),
        (14, 10.1, 10.3, 0.05),
        (12, 6.34, 6.50, 0.01),  # the table rounds 1.93 and 6.34 each by itself
        (10, 3.984, 4.070, 0.015),  # likewise
    ],
)
def test_rows_per_km(awg: int, solid: float, seven: float, half_digit: float) -> None:
    to_km = 1000.0 / (1000.0 * FT_M)
    assert ohm_per_kft(awg, Stranding.SOLID, 75.0) * to_km == pytest.approx(solid, abs=half_digit)
    assert ohm_per_kft(awg, Stranding.SEVEN, 75.0) * to_km == pytest.approx(seven, abs=half_digit)


# Note of the table, from memory: R2 = R1 (1 + 0.00323 (T2 - 75)). The factor has three digits, so
# at 55 K the two differ by up to 55 x 0.000005 = 0.0003 of R1.
@pytest.mark.parametrize(("awg", "solid", "seven"), TABLE_8)
@pytest.mark.parametrize("degc", [0.0, 20.0, 40.0, 60.0, 90.0])
def test_other_temperatures_by_the_note(awg: int, solid: float, seven: float, degc: float) -> None:
    by_note = seven * (1.0 + 0.00323 * (degc - 75.0))
    assert ohm_per_kft(awg, Stranding.SEVEN, degc) == pytest.approx(by_note, abs=4e-4 * seven)
    # Solid goes through the row at 20 degC too, so half a digit of this one, 0.005, comes in again
    # by 20 K / 55 K at 0 degC.
    by_note = solid * (1.0 + 0.00323 * (degc - 75.0))
    slack = 0.005 * (1.0 + 20.0 / 55.0) + 4e-4 * solid
    assert ohm_per_kft(awg, Stranding.SOLID, degc) == pytest.approx(by_note, abs=slack)


# Printed: 2 x 100 ft x 4.99 ohm/kft x 4 A = 3.992 V, shown as 4.0 V.
def test_published_example() -> None:
    wire = awg_conductor(16)
    far_end = CableLoad(distance_m=100.0 * FT_M, current_a=4.0)
    assert cable_drop_v(wire, [far_end], 75.0) == pytest.approx(3.992, abs=5e-4)
    assert loop_resistance_ohm(wire, 100.0 * FT_M, 75.0) == pytest.approx(0.998, abs=5e-4)


# 75 degC values overstate a drop indoors by about 22 %: 7.77 / 6.385.
def test_hot_values_indoors() -> None:
    solid = awg_conductor(18, Stranding.SOLID)
    ratio = resistance_ohm_per_m(solid, 75.0) / resistance_ohm_per_m(solid, 20.0)
    assert ratio == pytest.approx(1.217, abs=5e-4)


# Thinner gauges have no row: 7 strands count as the largest ratio of those that have one.
@pytest.mark.parametrize("awg", [20, 22, 24])
def test_seven_strands_below_the_table(awg: int) -> None:
    most = max(seven / solid for _, solid, seven in TABLE_8)
    ratio = ohm_per_kft(awg, Stranding.SEVEN, 20.0) / ohm_per_kft(awg, Stranding.SOLID, 20.0)
    assert ratio == pytest.approx(most, abs=5e-4)
