"""Field strength to radiated power in free space, at the limits of 47 CFR 15.231 and 15.249.

The limits themselves are from memory; the arithmetic is computed and agrees with a second,
independent library.
"""

import math

import pytest

from pathproof.calc.radio import (
    dbuv_per_m_from_uv_per_m,
    eirp_dbm_from_erp_dbm,
    eirp_dbm_from_field_strength,
)

# At 3 m: E [uV/m], E [dBuV/m], EIRP [dBm], e.r.p. [dBm]; printed to 2 decimals. 15.231(b) at 315,
# 319.5, 345 and 433.92 MHz.
LIMITS = [
    (6041.7, 75.62, -19.61, -21.76),
    (6229.2, 75.89, -19.34, -21.49),
    (7291.7, 77.26, -17.97, -20.12),
    (10996.7, 80.83, -14.40, -16.55),
]


@pytest.mark.parametrize(("field_uv_per_m", "field_dbuv_per_m", "eirp_dbm", "erp_dbm"), LIMITS)
def test_limits_at_3_m(
    field_uv_per_m: float, field_dbuv_per_m: float, eirp_dbm: float, erp_dbm: float
) -> None:
    level = dbuv_per_m_from_uv_per_m(field_uv_per_m)
    assert level == pytest.approx(field_dbuv_per_m, abs=0.005)
    assert eirp_dbm_from_field_strength(level, 3.0) == pytest.approx(eirp_dbm, abs=0.005)
    # e.r.p. is EIRP - 2.15 dB; both are rounded, so a whole digit
    assert eirp_dbm_from_erp_dbm(erp_dbm) == pytest.approx(eirp_dbm, abs=0.01)


def test_50_mv_per_m_at_3_m() -> None:
    # 47 CFR 15.249 at 902-928 MHz: 50 mV/m = 93.98 dBuV/m = -1.25 dBm EIRP.
    level = dbuv_per_m_from_uv_per_m(50e3)
    assert level == pytest.approx(93.98, abs=0.005)
    assert eirp_dbm_from_field_strength(level, 3.0) == pytest.approx(-1.25, abs=0.005)


def test_offsets() -> None:
    # EIRP = E + 20 log d - 104.771; at 3 m, E - 95.229. Printed to 3 decimals.
    assert eirp_dbm_from_field_strength(0.0, 1.0) == pytest.approx(-104.771, abs=5e-4)
    assert eirp_dbm_from_field_strength(0.0, 3.0) == pytest.approx(-95.229, abs=5e-4)


def test_watts() -> None:
    # EIRP[W] = (E d)^2 / 30, at 3 m 0.3 E^2: 1 V/m (120 dBuV/m) is 0.3 W.
    assert eirp_dbm_from_field_strength(120.0, 3.0) == pytest.approx(10 * math.log10(300.0))
