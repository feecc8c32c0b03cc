"""Log-normal margin and odds, against scipy's normal distribution and the usual table."""

import numpy as np
import pytest
from scipy.stats import norm

from pathproof.calc.radio import joint_odds, link_odds, margin_for_odds_db

# margin = z sigma; z = 1.2816, 1.6449, 2.3263. Computed, printed to 2 decimals.
MARGINS = [
    (4.0, 5.13, 6.58, 9.31),
    (6.0, 7.69, 9.87, 13.96),
    (8.0, 10.25, 13.16, 18.61),
    (10.0, 12.82, 16.45, 23.26),
]


@pytest.mark.parametrize(("spread_db", "at_90", "at_95", "at_99"), MARGINS)
def test_margin_table(spread_db: float, at_90: float, at_95: float, at_99: float) -> None:
    for odds, margin_db in ((0.90, at_90), (0.95, at_95), (0.99, at_99)):
        assert margin_for_odds_db(odds, spread_db) == pytest.approx(margin_db, abs=0.005)
        assert link_odds(margin_db, spread_db) == pytest.approx(odds, abs=5e-4)


def test_odds_against_scipy() -> None:
    margins, spreads = np.meshgrid(np.linspace(-60, 60, 241), [0.5, 4.0, 6.0, 8.0, 12.0])
    expected = norm.cdf(margins, scale=spreads)
    assert link_odds(margins, spreads) == pytest.approx(expected, rel=1e-9, abs=1e-300)


def test_margins_against_scipy() -> None:
    for odds in (1e-9, 0.01, 0.28, 0.5, 0.9, 0.95, 0.999, 1 - 1e-9):
        expected = norm.ppf(odds, scale=8.0)
        assert margin_for_odds_db(odds, 8.0) == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_25_devices_at_95_percent() -> None:
    # All of 25 at 95 % each: 0.95^25 = 0.28. Each needs P^(1/n) for all n to hold with P.
    assert joint_odds([0.95] * 25) == pytest.approx(0.28, abs=0.005)
    assert joint_odds([0.95 ** (1 / 25)] * 25) == pytest.approx(0.95)
