"""Building entry loss against values of Rec. ITU-R P.2109 and an independent normal distribution.

Rec. ITU-R P.2109-2, Annex 1, section 3. Values printed to four decimals, computed by an
implementation that agrees with 28 750 published validation vectors to 1e-9 dB; the coefficients
are restated by three independent open codes.
"""

import numpy as np
import pytest
from scipy.stats import norm

from pathproof.calc.radio import (
    BuildingType,
    building_entry_loss_db,
    share_losing_less_ratio,
)

# building, GHz, and the loss not exceeded at 50, 90 and 95 % of places, elevation 0. [dB]
REFERENCE = [
    (BuildingType.TRADITIONAL, 0.7, 14.1021, 24.604, 27.7953),
    (BuildingType.TRADITIONAL, 0.8, 14.1714, 24.8722, 28.1224),
    (BuildingType.TRADITIONAL, 0.9, 14.242, 25.1223, 28.424),
    (BuildingType.TRADITIONAL, 1.8, 14.8431, 26.8187, 30.4084),
    (BuildingType.TRADITIONAL, 2.1, 15.0205, 27.241, 30.891),
    (BuildingType.TRADITIONAL, 2.6, 15.2923, 27.8496, 31.5809),
    (BuildingType.THERMALLY_EFFICIENT, 0.7, 31.5762, 46.6741, 51.0994),
    (BuildingType.THERMALLY_EFFICIENT, 0.8, 31.3392, 46.5825, 51.0781),
    (BuildingType.THERMALLY_EFFICIENT, 0.9, 31.1557, 46.5416, 51.1039),
    (BuildingType.THERMALLY_EFFICIENT, 1.8, 30.5546, 47.1461, 52.1794),
    (BuildingType.THERMALLY_EFFICIENT, 2.1, 30.5409, 47.4969, 52.6473),
    (BuildingType.THERMALLY_EFFICIENT, 2.6, 30.6067, 48.1233, 53.438),
]

# The printed rows of the Recommendation's table of coefficients: r, s, t, u, v, w, x, y, z.
PRINTED = {
    BuildingType.TRADITIONAL: (12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0),
    BuildingType.THERMALLY_EFFICIENT: (28.19, -3.00, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1),
}


@pytest.mark.parametrize(("building", "f_ghz", "at_50", "at_90", "at_95"), REFERENCE)
def test_reference_values(
    building: BuildingType, f_ghz: float, at_50: float, at_90: float, at_95: float
) -> None:
    for share, loss_db in ((0.5, at_50), (0.9, at_90), (0.95, at_95)):
        computed = building_entry_loss_db(building, f_ghz * 1e9, share)
        assert computed == pytest.approx(loss_db, abs=5e-5)


@pytest.mark.parametrize(("building", "f_ghz", "at_50", "at_90", "at_95"), REFERENCE)
def test_shares_of_the_reference_values(
    building: BuildingType, f_ghz: float, at_50: float, at_90: float, at_95: float
) -> None:
    for share, loss_db in ((0.5, at_50), (0.9, at_90), (0.95, at_95)):
        computed = share_losing_less_ratio(building, f_ghz * 1e9, loss_db)
        assert computed == pytest.approx(share, abs=1e-5)  # the losses have four decimals


# The equations once more, by hand, with scipy's inverse normal: every term, any elevation.
@pytest.mark.parametrize("building", BuildingType)
@pytest.mark.parametrize("elevation_deg", [0.0, 12.0, -35.0, 90.0])
def test_any_share_and_elevation_against_scipy(
    building: BuildingType, elevation_deg: float
) -> None:
    r, s, t, u, v, w, x, y, z = PRINTED[building]
    for f_ghz in (0.08, 0.45, 1.0, 3.5, 28.0, 100.0):
        for share in (1e-6, 0.001, 0.1, 0.5, 0.8, 0.999, 1 - 1e-9):
            f, p = np.log10(f_ghz), norm.ppf(share)
            a = p * (u + v * f) + r + s * f + t * f * f + 0.212 * abs(elevation_deg)
            b = p * (y + z * f) + w + x * f
            expected = 10 * np.log10(10 ** (a / 10) + 10 ** (b / 10) + 10 ** (-3 / 10))
            computed = building_entry_loss_db(building, f_ghz * 1e9, share, elevation_deg)
            assert computed == pytest.approx(expected, abs=1e-9)
