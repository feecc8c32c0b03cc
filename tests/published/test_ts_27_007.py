"""3GPP TS 27.007, clauses 8.5 (+CSQ) and 8.69 (+CESQ): codes of the answers and their levels."""

import pytest

from pathproof.protocol.modem import (
    BER,
    CESQ_ECNO,
    CESQ_FIELDS,
    CESQ_FIELDS_NR,
    CESQ_RSCP,
    CESQ_RSRP,
    CESQ_RSRQ,
    CESQ_RXLEV,
    CESQ_SS_RSRP,
    CESQ_SS_RSRQ,
    CESQ_SS_SINR,
    CSQ_RSSI,
    CodeTable,
    parse_signal_answers,
)
from pathproof.terms import Evidence

# TS 27.007 Rel-18, clause 8.5 (read): 0 is -113 dBm or less, 1 is -111 dBm, 2 to 30 are -109 to
# -53 dBm, 31 is -51 dBm or greater, 99 is not known or not detectable.
CSQ_PRINTED_DBM = {0: -113, 1: -111, 2: -109, 9: -95, 16: -81, 23: -67, 30: -53, 31: -51}


@pytest.mark.parametrize(("code", "printed_dbm"), CSQ_PRINTED_DBM.items())
def test_csq_value_is_the_printed_level(code: int, printed_dbm: float) -> None:
    level = CSQ_RSSI.level(code)
    assert level is not None
    assert level.value == printed_dbm


def test_csq_end_codes_are_open_and_keep_the_printed_edge() -> None:
    assert CSQ_RSSI.bins[0] == (None, -113)
    assert CSQ_RSSI.bins[31] == (-51, None)


# The standard prints points two dB apart; half a step either side is our reading of them.
@pytest.mark.parametrize(("code", "low", "high"), [(1, -112, -110), (16, -82, -80), (30, -54, -52)])
def test_csq_edges_are_half_a_step_either_side(code: int, low: float, high: float) -> None:
    assert CSQ_RSSI.bins[code] == (low, high)


# Common practice, no source: an index of 16 on the 0 to 31 scale is judged enough for an alarm
# module. Only the level is checked here; no judgement hangs on it.
def test_the_index_of_16_that_practice_asks_for_is_minus_81_dbm() -> None:
    (answer,) = parse_signal_answers("+CSQ: 16,99")
    assert [level.value for level in answer.levels] == [-81]


# TS 27.007 Rel-18, clause 8.5 (codes 0 to 7 and 99 read), bands by TS 45.008, clause 8.2.4
# (restated in public documents): below 0.2, then doubling, above 12.8 %.
BER_BANDS_PERCENT = [
    (0, None, 0.2),
    (1, 0.2, 0.4),
    (2, 0.4, 0.8),
    (3, 0.8, 1.6),
    (4, 1.6, 3.2),
    (5, 3.2, 6.4),
    (6, 6.4, 12.8),
    (7, 12.8, None),
]

# TS 27.007, clause 8.69, with the tables of TS 45.008 clause 8.1.4 (rxlev), TS 25.133 clause
# 9.1.1.3 (rscp), TS 36.133 clauses 9.1.7 (rsrq) and 9.1.4 (rsrp): restated in module manuals.
# First two and last two bins, one in between, and the open ends.
ROWS = [
    *((BER, *row) for row in BER_BANDS_PERCENT),
    (CESQ_RXLEV, 0, None, -110),
    (CESQ_RXLEV, 1, -110, -109),
    (CESQ_RXLEV, 2, -109, -108),
    (CESQ_RXLEV, 30, -81, -80),
    (CESQ_RXLEV, 61, -50, -49),
    (CESQ_RXLEV, 62, -49, -48),
    (CESQ_RXLEV, 63, -48, None),
    (CESQ_RSCP, 0, None, -120),
    (CESQ_RSCP, 1, -120, -119),
    (CESQ_RSCP, 2, -119, -118),
    (CESQ_RSCP, 40, -81, -80),
    (CESQ_RSCP, 94, -27, -26),
    (CESQ_RSCP, 95, -26, -25),
    (CESQ_RSCP, 96, -25, None),
    (CESQ_ECNO, 0, None, -24),
    (CESQ_ECNO, 1, -24, -23.5),
    (CESQ_ECNO, 2, -23.5, -23),
    (CESQ_ECNO, 24, -12.5, -12),
    (CESQ_ECNO, 47, -1, -0.5),
    (CESQ_ECNO, 48, -0.5, 0),
    (CESQ_ECNO, 49, 0, None),
    (CESQ_RSRQ, 0, None, -19.5),
    (CESQ_RSRQ, 1, -19.5, -19),
    (CESQ_RSRQ, 2, -19, -18.5),
    (CESQ_RSRQ, 20, -10, -9.5),
    (CESQ_RSRQ, 32, -4, -3.5),
    (CESQ_RSRQ, 33, -3.5, -3),
    (CESQ_RSRQ, 34, -3, None),
    (CESQ_RSRP, 0, None, -140),
    (CESQ_RSRP, 1, -140, -139),
    (CESQ_RSRP, 2, -139, -138),
    (CESQ_RSRP, 40, -101, -100),
    (CESQ_RSRP, 95, -46, -45),
    (CESQ_RSRP, 96, -45, -44),
    (CESQ_RSRP, 97, -44, None),
    # The fields of 5G: order of the fields and top codes from memory.
    (CESQ_SS_RSRP, 0, None, -156),
    (CESQ_SS_RSRP, 1, -156, -155),
    (CESQ_SS_RSRP, 125, -32, -31),
    (CESQ_SS_RSRP, 126, -31, None),
    (CESQ_SS_RSRQ, 0, None, -43),
    (CESQ_SS_RSRQ, 1, -43, -42.5),
    (CESQ_SS_RSRQ, 125, 19, 19.5),
    (CESQ_SS_SINR, 0, None, -23),
    (CESQ_SS_SINR, 1, -23, -22.5),
    (CESQ_SS_SINR, 126, 39.5, 40),
    (CESQ_SS_SINR, 127, 40, None),
]


@pytest.mark.parametrize(
    ("table", "code", "low", "high"), ROWS, ids=lambda x: getattr(x, "name", None)
)
def test_bin_is_as_printed(
    table: CodeTable, code: int, low: float | None, high: float | None
) -> None:
    assert table.bins[code] == (low, high)


# Clause 8.69 writes the top of ss_rsrq as 126, TS 38.133 as 127 with 126 for 19.5 to 20 dB (both
# readings from memory or restatement): the bin is open and takes in both.
def test_top_code_of_ss_rsrq_holds_in_both_readings() -> None:
    assert CESQ_SS_RSRQ.bins[126] == (19.5, None)


@pytest.mark.parametrize(
    ("table", "unknown"),
    [
        (CSQ_RSSI, 99),
        (BER, 99),
        (CESQ_RXLEV, 99),
        (CESQ_RSCP, 255),
        (CESQ_ECNO, 255),
        (CESQ_RSRQ, 255),
        (CESQ_RSRP, 255),
        (CESQ_SS_RSRQ, 255),
        (CESQ_SS_RSRP, 255),
        (CESQ_SS_SINR, 255),
    ],
    ids=lambda x: getattr(x, "name", None),
)
def test_not_known_is_99_or_255(table: CodeTable, unknown: int) -> None:
    assert table.level(unknown) is None


# Clause 8.69: order of the six fields (restated); of the three after them (from memory).
def test_order_of_fields() -> None:
    names = [table.name.split()[-1] for table in CESQ_FIELDS_NR]
    assert names[:6] == ["rxlev", "ber", "rscp", "ecno", "rsrq", "rsrp"]
    assert names[6:] == ["ss_rsrq", "ss_rsrp", "ss_sinr"]
    assert CESQ_FIELDS_NR[:6] == CESQ_FIELDS


def test_evidence_is_told_apart() -> None:
    assert CSQ_RSSI.evidence(16) is Evidence.READ
    assert CESQ_RSRP.evidence(40) is Evidence.RESTATED
    assert CESQ_SS_RSRP.evidence(75) is Evidence.MEMORY
