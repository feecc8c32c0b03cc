"""Exposure limits and distances against worked examples.

47 CFR 1.1310 limits are restated by a regulator's page; ICNIRP 2020 local levels by a textbook's
reprint of the table, whole-body levels from memory; the factor 2.56 of OET Bulletin 65 from memory.
"""

import math

import pytest

from pathproof.calc.radio import (
    DistanceRule,
    exposure_limit_w_per_m2,
    far_field_distance_m,
    near_field_limit_m,
)

# 0.2 W into 3 dBi
EIRP_DBM = 10.0 * math.log10(200.0) + 3.0
GENERAL = DistanceRule.CFR_GENERAL


# 47 CFR 1.1310, table 1: general population 0.2, f/1500, 1.0 mW/cm2; occupational f/300, 5.0.
# 1 mW/cm2 is 10 W/m2.
@pytest.mark.parametrize(
    ("rule", "f_mhz", "mw_per_cm2"),
    [
        (GENERAL, 30, 0.2),
        (GENERAL, 300, 0.2),
        (GENERAL, 868.42, 868.42 / 1500),
        (GENERAL, 1500, 1.0),
        (GENERAL, 100e3, 1.0),
        (DistanceRule.CFR_OCCUPATIONAL, 300, 1.0),
        (DistanceRule.CFR_OCCUPATIONAL, 900, 3.0),
        (DistanceRule.CFR_OCCUPATIONAL, 1500, 5.0),
        (DistanceRule.CFR_OCCUPATIONAL, 2600, 5.0),
    ],
)
def test_limits_of_47_cfr_1_1310(rule: DistanceRule, f_mhz: float, mw_per_cm2: float) -> None:
    assert exposure_limit_w_per_m2(rule, f_mhz * 1e6) == pytest.approx(10.0 * mw_per_cm2)


def test_limit_at_824_mhz() -> None:
    # printed to four decimals
    assert exposure_limit_w_per_m2(GENERAL, 824e6) == pytest.approx(5.4933, abs=5e-5)


# ICNIRP 2020, general public. Whole body, 30 min: 2, f/200, 10 W/m2 (memory). Local, 6 min:
# 10, 0.058 f^0.86, 40 W/m2 (restated).
@pytest.mark.parametrize(
    ("f_mhz", "whole_body", "local"),
    [(100, 2.0, 10.0), (400, 2.0, 10.0), (2001, 10.0, 40.0), (6000, 10.0, 40.0)],
)
def test_flat_limits_of_icnirp_2020(f_mhz: float, whole_body: float, local: float) -> None:
    assert exposure_limit_w_per_m2(DistanceRule.ICNIRP_PUBLIC, f_mhz * 1e6) == whole_body
    assert exposure_limit_w_per_m2(DistanceRule.ICNIRP_PUBLIC_LOCAL, f_mhz * 1e6) == local


def test_limits_of_icnirp_2020_at_824_mhz() -> None:
    # printed to two decimals
    whole_body = exposure_limit_w_per_m2(DistanceRule.ICNIRP_PUBLIC, 824e6)
    local = exposure_limit_w_per_m2(DistanceRule.ICNIRP_PUBLIC_LOCAL, 824e6)
    assert whole_body == pytest.approx(4.12, abs=0.005)
    assert local == pytest.approx(18.67, abs=0.005)


# Worked examples: 0.2 W, 3 dBi, plain and with full ground reflection; cm to two decimals.
@pytest.mark.parametrize(
    ("f_mhz", "plain_cm", "reflected_cm"), [(824, 7.60, 12.16), (1850, 5.64, 9.02)]
)
def test_far_field_distances(f_mhz: float, plain_cm: float, reflected_cm: float) -> None:
    plain_m = far_field_distance_m(GENERAL, EIRP_DBM, f_mhz * 1e6)
    assert plain_m * 100 == pytest.approx(plain_cm, abs=0.005)
    reflected_m = far_field_distance_m(GENERAL, EIRP_DBM, f_mhz * 1e6, ground_reflection=True)
    assert reflected_m * 100 == pytest.approx(reflected_cm, abs=0.005)


def test_near_field_limit() -> None:
    # lambda / 2 pi at 824 MHz, printed in cm to one decimal
    assert near_field_limit_m(824e6) * 100 == pytest.approx(5.8, abs=0.05)
