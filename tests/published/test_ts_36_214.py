"""3GPP TS 36.214, clause 5.1.3: RSRQ = N x RSRP / RSSI, as restated."""

import math

import pytest

from pathproof.calc.mobile import (
    LTE_RESOURCE_BLOCKS,
    RSRQ_MOST_DB,
    Interval,
    LteReading,
    implied_level,
    sinr_from_rsrq,
)
from pathproof.terms import Quantity

# Blocks by bandwidth, and 10 log 12 N to two decimals: RSSI over RSRP of a cell in full use.
FULL = [
    (1.4e6, 6, 18.57),
    (3e6, 15, 22.55),
    (5e6, 25, 24.77),
    (10e6, 50, 27.78),
    (15e6, 75, 29.54),
    (20e6, 100, 30.79),
]


def test_bandwidths() -> None:
    assert {hz: blocks for hz, blocks, _ in FULL} == LTE_RESOURCE_BLOCKS


# Every element in use, no noise: RSRQ is -10.79 dB, printed to two decimals.
@pytest.mark.parametrize(("blocks", "over_db"), [(n, db) for _, n, db in FULL])
def test_rssi_of_a_cell_in_full_use(blocks: int, over_db: float) -> None:
    reading = LteReading(rsrp_dbm=Interval(-100.0, -100.0), rsrq_db=Interval(-10.79, -10.79))
    rssi = implied_level(reading, Quantity.RSSI_DBM, blocks)
    assert rssi.low == pytest.approx(-100.0 + over_db, abs=0.01)
    assert rssi.high == pytest.approx(-100.0 + over_db, abs=0.01)


# Worked example: RSRP -100 dBm, 50 blocks, fully loaded, RSSI -72.2 dBm.
def test_worked_example_the_other_way_round() -> None:
    reading = LteReading(rsrp_dbm=Interval(-100.0, -100.0), rssi_dbm=Interval(-72.2, -72.2))
    rsrq = implied_level(reading, Quantity.RSRQ_DB, 50)
    assert rsrq.low == pytest.approx(-10.79, abs=0.05)
    reading = LteReading(rsrq_db=rsrq, rssi_dbm=Interval(-72.2, -72.2))
    assert implied_level(reading, Quantity.RSRP_DBM, 50).low == pytest.approx(-100.0)


# Limits of a single cell without noise: one port's reference elements only, 2 of 12: -3.01 dB.
def test_limit_of_an_empty_cell() -> None:
    assert pytest.approx(-3.01, abs=0.005) == RSRQ_MOST_DB


# All 12 of 12: -10.79 dB. Then a full cell has no noise left, so SINR has no upper bound.
def test_limit_of_a_full_cell() -> None:
    assert math.isinf(sinr_from_rsrq(Interval(-10.79, -10.79)).high)
    assert sinr_from_rsrq(Interval(-10.80, -10.80)).high < 40.0
