"""3GPP TS 36.133: reports of RSRP, RSRQ and RS-SINR with their extended ranges."""

import pytest

from pathproof.protocol.modem import LTE_RS_SINR, LTE_RSRP, LTE_RSRQ, CodeTable
from pathproof.terms import Evidence

# TS 36.133 v19.6.0, table 9.1.4-1: -156 to -44 dBm in steps of 1 dB. Ranges and codes 0 and 97 are
# restated in public documents, the negative codes from memory.
RSRP = [
    (-17, None, -156),
    (-16, -156, -155),
    (-15, -155, -154),
    (-2, -142, -141),
    (-1, -141, -140),
    (0, None, -140),
    (1, -140, -139),
    (2, -139, -138),
    (50, -91, -90),
    (96, -45, -44),
    (97, -44, None),
]

# TS 36.133, table 9.1.7-1: -34 to 2.5 dB in steps of 0.5 dB. Ranges and codes 0, 34 and 46 are
# restated in public documents, the codes between follow from them.
RSRQ = [
    (-30, None, -34),
    (-29, -34, -33.5),
    (-28, -33.5, -33),
    (-2, -20.5, -20),
    (-1, -20, -19.5),
    (0, None, -19.5),
    (1, -19.5, -19),
    (20, -10, -9.5),
    (33, -3.5, -3),
    (34, -3, None),
    (35, -3, -2.5),
    (36, -2.5, -2),
    (45, 2, 2.5),
    (46, 2.5, None),
]

# TS 36.133, clause 9.1.17: -23 to 40 dB in steps of 0.5 dB (restated in public documents).
RS_SINR = [(0, None, -23), (1, -23, -22.5), (126, 39.5, 40), (127, 40, None)]


@pytest.mark.parametrize(
    ("table", "code", "low", "high"),
    [
        *((LTE_RSRP, *row) for row in RSRP),
        *((LTE_RSRQ, *row) for row in RSRQ),
        *((LTE_RS_SINR, *row) for row in RS_SINR),
    ],
    ids=lambda x: getattr(x, "name", None),
)
def test_bin_is_as_printed(
    table: CodeTable, code: int, low: float | None, high: float | None
) -> None:
    assert table.bins[code] == (low, high)


def test_tables_end_where_the_standard_ends() -> None:
    assert (min(LTE_RSRP.bins), max(LTE_RSRP.bins)) == (-17, 97)
    assert (min(LTE_RSRQ.bins), max(LTE_RSRQ.bins)) == (-30, 46)
    assert (min(LTE_RS_SINR.bins), max(LTE_RS_SINR.bins)) == (0, 127)


# Code 34 is the top of the short range; in the extended one code 35 starts at the same level, so a
# formula that runs on from code 33 would put code 35 at -2.5 dB.
def test_codes_34_and_35_start_at_the_same_level() -> None:
    assert LTE_RSRQ.bins[34].low == LTE_RSRQ.bins[35].low == -3


def test_negative_rsrp_codes_are_from_memory() -> None:
    assert LTE_RSRP.evidence(-1) is Evidence.MEMORY
    assert LTE_RSRP.evidence(0) is Evidence.RESTATED
