"""American wire gauge: areas, and solid annealed copper at 20 degC.

Ohms per 1000 ft as a public wire table gives the values of NBS Handbook 100, four digits; gauge 10
from memory. Diameters by ASTM B258 as public tables print them, in mm to four decimals.
"""

import math

import pytest

from pathproof.calc.power import (
    AWG_SIZES,
    Stranding,
    awg_area_mm2,
    awg_conductor,
    resistance_ohm_per_m,
)
from pathproof.terms import Evidence, InvalidInputError

FT_M = 0.3048  # exact

# Gauge, diameter [mm], ohms per 1000 ft.
TABLE = [
    (24, 0.5106, 25.67),
    (22, 0.6438, 16.14),
    (20, 0.8118, 10.15),
    (18, 1.0237, 6.385),
    (16, 1.2908, 4.016),
    (14, 1.6277, 2.525),
    (12, 2.0525, 1.588),
    (10, 2.5882, 0.9989),
]

# International annealed copper standard: 17.241 ohm mm2/km at 20 degC, restated.
IACS_OHM_MM2_PER_KM = 17.241


def ohm_per_kft(awg: int, degc: float) -> float:
    return 1000.0 * FT_M * resistance_ohm_per_m(awg_conductor(awg, Stranding.SOLID), degc)


@pytest.mark.parametrize(("awg", "diameter_mm", "ohm"), TABLE)
def test_rows(awg: int, diameter_mm: float, ohm: float) -> None:
    assert 2.0 * math.sqrt(awg_area_mm2(awg) / math.pi) == pytest.approx(diameter_mm, abs=6e-5)
    assert ohm_per_kft(awg, 20.0) == pytest.approx(ohm, rel=1e-12)
    assert awg_conductor(awg).area_mm2 == awg_area_mm2(awg)


# Two sources that know nothing of each other: the area of the gauge and the copper standard give
# the printed resistance, to half of its last digit and 0.02 % for the standard's own rounding.
@pytest.mark.parametrize(("awg", "diameter_mm", "ohm"), TABLE)
def test_resistance_from_area(awg: int, diameter_mm: float, ohm: float) -> None:
    from_area = IACS_OHM_MM2_PER_KM / (math.pi * diameter_mm**2 / 4.0) * FT_M
    half_digit = 0.005 if ohm > 10 else 0.0005
    assert from_area == pytest.approx(ohm, abs=half_digit + 2e-4 * ohm)


# Warmed up by 0.00393 per K, a gauge without a row at 75 degC and one with it agree with that.
@pytest.mark.parametrize(("awg", "diameter_mm", "ohm"), TABLE)
def test_at_75_degc(awg: int, diameter_mm: float, ohm: float) -> None:
    assert ohm_per_kft(awg, 75.0) == pytest.approx(ohm * (1.0 + 0.00393 * 55.0), rel=5e-3)


def test_which_rows_a_gauge_has() -> None:
    assert tuple(awg for awg, _, _ in TABLE) == AWG_SIZES
    temperatures = {a: [r.at_degc for r in awg_conductor(a).rows] for a in (18, 20)}
    assert temperatures == {18: [75.0], 20: [20.0]}
    solid = awg_conductor(10, Stranding.SOLID)
    assert [s.evidence for s in solid.sources] == [Evidence.MEMORY, Evidence.RESTATED]


@pytest.mark.parametrize("awg", [17, 26, 0, -1])
def test_gauges_without_a_row(awg: int) -> None:
    with pytest.raises(InvalidInputError, match="tables have 24, 22, 20, 18, 16, 14, 12, 10"):
        awg_conductor(awg)


@pytest.mark.parametrize("awg", [-1, 41])
def test_areas_of_no_gauge(awg: int) -> None:
    with pytest.raises(InvalidInputError, match="0 to 40"):
        awg_area_mm2(awg)
