"""3GPP TS 38.133: reports of SS-RSRP, SS-RSRQ and SS-SINR."""

import pytest

from pathproof.protocol.modem import LTE_RSRP, NR_SS_RSRP, NR_SS_RSRQ, NR_SS_SINR, CodeTable
from pathproof.terms import Evidence

# TS 38.133, table 10.1.6.1-1: -156 to -31 dBm in steps of 1 dB (ranges restated in public
# documents; code 126 from memory, sources differ on it).
SS_RSRP = [
    (0, None, -156),
    (1, -156, -155),
    (2, -155, -154),
    (75, -82, -81),
    (99, -58, -57),
    (125, -32, -31),
    (126, -31, None),
]
# TS 38.133, table 10.1.11.1-1: -43 to 20 dB in steps of 0.5 dB (range restated in public documents,
# formula in open libraries).
SS_RSRQ = [
    (0, None, -43),
    (1, -43, -42.5),
    (2, -42.5, -42),
    (65, -11, -10.5),
    (99, 6, 6.5),
    (126, 19.5, 20),
    (127, 20, None),
]
# TS 38.133, table 10.1.16.1-1: -23 to 40 dB in steps of 0.5 dB (as above).
SS_SINR = [
    (0, None, -23),
    (1, -23, -22.5),
    (2, -22.5, -22),
    (99, 26, 26.5),
    (126, 39.5, 40),
    (127, 40, None),
]


@pytest.mark.parametrize(
    ("table", "code", "low", "high"),
    [
        *((NR_SS_RSRP, *row) for row in SS_RSRP),
        *((NR_SS_RSRQ, *row) for row in SS_RSRQ),
        *((NR_SS_SINR, *row) for row in SS_SINR),
    ],
    ids=lambda x: getattr(x, "name", None),
)
def test_bin_is_as_printed(
    table: CodeTable, code: int, low: float | None, high: float | None
) -> None:
    assert table.bins[code] == (low, high)


# The same code is 16 dB lower on NR than on LTE (the two tables above and TS 36.133 9.1.4-1).
def test_nr_and_lte_codes_are_16_db_apart() -> None:
    nr, lte = NR_SS_RSRP.bins[60].low, LTE_RSRP.bins[60].low
    assert nr is not None
    assert lte is not None
    assert lte - nr == 16


def test_the_code_that_sources_differ_on_is_from_memory() -> None:
    assert NR_SS_RSRP.evidence(126) is Evidence.MEMORY
    assert NR_SS_RSRP.evidence(125) is Evidence.RESTATED
