"""LTE levels against each other: cells built up element by element, and what cannot be."""

import math

import numpy as np
import pytest

from pathproof.calc.mobile import (
    Interval,
    LteReading,
    Rule,
    contradictions,
    implied_level,
    sinr_from_rsrq,
)
from pathproof.terms import InvalidInputError, Quantity


def _db(ratio: float) -> float:
    return 10.0 * math.log10(ratio)


def _cell(
    rsrp_dbm: float, blocks: int, load: float, sinr_db: float, half_bin_db: float = 0.5
) -> LteReading:
    """A cell summed up element by element: two reference elements in twelve, others by load."""
    element = 10.0 ** (rsrp_dbm / 10.0)
    others = element / 10.0 ** (sinr_db / 10.0)
    block = [element] * 2 + [element * load] * 10
    rssi = blocks * sum(e + others for e in block)

    def bin_of(level: float) -> Interval:
        return Interval(level - half_bin_db, level + half_bin_db)

    return LteReading(
        rsrp_dbm=bin_of(rsrp_dbm),
        rsrq_db=bin_of(_db(blocks * element / rssi)),
        rssi_dbm=bin_of(_db(rssi)),
        sinr_db=bin_of(sinr_db),
    )


CELLS = [
    (rsrp, blocks, load, sinr)
    for rsrp in (-70.0, -100.0, -115.0)
    for blocks in (6, 50, 100)
    for load in (0.0, 0.4, 1.0)
    for sinr in (-6.0, 3.0, 15.0)
]


class TestCells:
    @pytest.mark.parametrize(("rsrp", "blocks", "load", "sinr"), CELLS)
    def test_a_cell_that_can_be_contradicts_nothing(
        self, rsrp: float, blocks: int, load: float, sinr: float
    ) -> None:
        for half_bin_db in (0.5, 1e-9):
            assert contradictions(_cell(rsrp, blocks, load, sinr, half_bin_db), blocks) == ()

    @pytest.mark.parametrize(("rsrp", "blocks", "load", "sinr"), CELLS)
    @pytest.mark.parametrize(
        ("what", "field"),
        [
            (Quantity.RSRP_DBM, "rsrp_dbm"),
            (Quantity.RSRQ_DB, "rsrq_db"),
            (Quantity.RSSI_DBM, "rssi_dbm"),
        ],
    )
    def test_the_third_lies_in_what_two_imply(
        self, rsrp: float, blocks: int, load: float, sinr: float, what: Quantity, field: str
    ) -> None:
        reading = _cell(rsrp, blocks, load, sinr)
        implied = implied_level(reading, what, blocks)
        true: Interval = getattr(_cell(rsrp, blocks, load, sinr, 0.0), field)
        assert implied.low - 1e-9 <= true.low <= implied.high + 1e-9
        assert implied.high - implied.low <= 2.0 + 1e-9  # two bins of 1 dB

    @pytest.mark.parametrize(("rsrp", "blocks", "load", "sinr"), CELLS)
    def test_sinr_lies_between_an_empty_and_a_full_cell(
        self, rsrp: float, blocks: int, load: float, sinr: float
    ) -> None:
        bounds = sinr_from_rsrq(_cell(rsrp, blocks, load, sinr, 0.0).rsrq_db)
        assert bounds.low - 1e-9 <= sinr <= bounds.high + 1e-9
        if load == 0.0:
            assert bounds.low == pytest.approx(sinr)
        if load == 1.0:
            assert bounds.high == pytest.approx(sinr)


class TestOpenEnds:
    def test_rsrp_alone_bounds_rssi_from_below(self) -> None:
        reading = LteReading(rsrp_dbm=Interval(-100.0, -99.0))
        rssi = implied_level(reading, Quantity.RSSI_DBM, 50)
        assert rssi.low == pytest.approx(-80.0)  # 2 N = 100 elements as strong
        assert rssi.high == math.inf

    def test_rssi_alone_bounds_rsrp_from_above(self) -> None:
        rsrp = implied_level(LteReading(rssi_dbm=Interval(-81.0, -80.0)), Quantity.RSRP_DBM, 50)
        assert (rsrp.low, rsrp.high) == (-math.inf, pytest.approx(-100.0))

    def test_nothing_read_leaves_rsrq_below_its_limit(self) -> None:
        rsrq = implied_level(LteReading(), Quantity.RSRQ_DB, 50)
        assert (rsrq.low, rsrq.high) == (-math.inf, pytest.approx(-3.0103, abs=1e-4))

    def test_an_rsrq_bin_over_the_limit_counts_up_to_it(self) -> None:
        reading = LteReading(rsrp_dbm=Interval(-100.0, -100.0), rsrq_db=Interval(-3.5, 0.0))
        rssi = implied_level(reading, Quantity.RSSI_DBM, 50)
        assert rssi.low == pytest.approx(-80.0)

    def test_an_open_rsrq_opens_sinr(self) -> None:
        assert sinr_from_rsrq(Interval(high=-19.5)).low == -math.inf
        assert sinr_from_rsrq(Interval(-4.0, 2.5)).high == math.inf

    def test_nothing_read_contradicts_nothing(self) -> None:
        assert contradictions(LteReading(), 50) == ()


class TestContradictions:
    def test_identity_with_given_and_allowed(self) -> None:
        reading = LteReading(
            rsrp_dbm=Interval(-100.0, -99.0),
            rsrq_db=Interval(-9.0, -8.5),
            rssi_dbm=Interval(-68.0, -66.0),
        )
        (found,) = contradictions(reading, 50)
        assert (found.what, found.rule, found.firm) == (Quantity.RSRQ_DB, Rule.IDENTITY, True)
        assert found.given == Interval(-9.0, -8.5)
        # 10 log 50 = 16.99: 16.99 - 100 + 66 = -17.01, 16.99 - 99 + 68 = -14.01
        assert found.allowed.low == pytest.approx(-17.01, abs=0.005)
        assert found.allowed.high == pytest.approx(-14.01, abs=0.005)
        assert found.beyond_db == pytest.approx(5.01, abs=0.005)

    def test_the_wrong_bandwidth_shows(self) -> None:
        assert contradictions(_cell(-100.0, 50, 1.0, 10.0), 50) == ()
        (found,) = contradictions(_cell(-100.0, 50, 1.0, 10.0), 15)
        assert found.rule is Rule.IDENTITY
        assert contradictions(_cell(-100.0, 50, 1.0, 10.0)) == ()  # no blocks, no identity

    def test_slack_forgives_what_it_says(self) -> None:
        reading = LteReading(
            rsrp_dbm=Interval(-100.0, -99.0),
            rsrq_db=Interval(-9.0, -8.5),
            rssi_dbm=Interval(-68.0, -66.0),
        )
        assert contradictions(reading, 50, slack_db=5.02) == ()
        assert len(contradictions(reading, 50, slack_db=5.0)) == 1

    def test_rsrq_over_the_limit_is_a_doubt(self) -> None:
        (found,) = contradictions(LteReading(rsrq_db=Interval(-3.0, -2.5)))
        assert (found.rule, found.firm) == (Rule.RSRQ_LIMIT, False)
        assert contradictions(LteReading(rsrq_db=Interval(-3.5, -3.0))) == ()

    def test_rssi_below_its_reference_elements(self) -> None:
        reading = LteReading(rsrp_dbm=Interval(-100.0, -99.0), rssi_dbm=Interval(-85.0, -83.0))
        (found,) = contradictions(reading, 50)
        assert (found.what, found.rule, found.firm) == (Quantity.RSSI_DBM, Rule.RSSI_LEAST, True)
        assert (found.allowed.low, found.allowed.high) == (pytest.approx(-80.0), math.inf)
        with pytest.raises(InvalidInputError, match=r"must be -80\.0 dBm or more for 50 blocks"):
            implied_level(reading, Quantity.RSRQ_DB, 50)

    def test_sinr_over_thermal_noise(self) -> None:
        # -173.98 dBm/Hz at 290 K over 15 kHz: -132.22 dBm an element
        reading = LteReading(rsrp_dbm=Interval(-125.0, -124.0), sinr_db=Interval(10.0, 10.5))
        (found,) = contradictions(reading)
        assert (found.what, found.rule, found.firm) == (Quantity.SINR_DB, Rule.SINR_NOISE, True)
        assert found.allowed.high == pytest.approx(-124.0 + 132.22, abs=0.01)

    @pytest.mark.parametrize("sinr", [Interval(5.0, 6.0), Interval(-12.0, -11.0)])
    def test_sinr_that_no_load_explains_is_a_doubt(self, sinr: Interval) -> None:
        (found,) = contradictions(LteReading(rsrq_db=Interval(-16.0, -15.5), sinr_db=sinr))
        assert (found.what, found.rule, found.firm) == (Quantity.SINR_DB, Rule.SINR_LOAD, False)
        # RSSI holds 12 (x + 1/SINR) elements a block: by hand, x = 1/6 and 1
        assert found.allowed.low == pytest.approx(-_db(10**1.6 / 12 - 1 / 6))
        assert found.allowed.high == pytest.approx(-_db(10**1.55 / 12 - 1))


class TestBadInput:
    def test_blocks(self) -> None:
        for bad in (0, 10, 101):
            with pytest.raises(InvalidInputError, match="6, 15, 25, 50, 75, 100"):
                contradictions(LteReading(), bad)

    def test_slack(self) -> None:
        with pytest.raises(InvalidInputError, match="slack_db was"):
            contradictions(LteReading(), slack_db=-1.0)

    def test_another_quantity(self) -> None:
        with pytest.raises(InvalidInputError, match="what was sinr_db"):
            implied_level(LteReading(), Quantity.SINR_DB, 50)

    def test_rsrq_over_the_limit_implies_nothing(self) -> None:
        reading = LteReading(rsrq_db=Interval(-2.5, -2.0))
        with pytest.raises(InvalidInputError, match="Leave it out"):
            implied_level(reading, Quantity.RSSI_DBM, 50)
        with pytest.raises(InvalidInputError, match=r"below -3\.01 dB"):
            sinr_from_rsrq(reading.rsrq_db)


def test_rsrq_says_most_of_sinr_where_it_is_low() -> None:
    """Within 1.5 dB at -16 dB and below, as the docstring says."""
    for rsrq in np.arange(-34.0, -15.9, 0.5):
        bounds = sinr_from_rsrq(Interval(float(rsrq), float(rsrq)))
        assert bounds.high - bounds.low < 1.5
