"""Code tables: every table tiles its axis, every code gives a bin, docs name every table."""

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.protocol.modem import (
    BER,
    CSQ_RSSI,
    LTE_RSRP,
    LTE_RSRQ,
    TABLES,
    Bin,
    CodeTable,
    Level,
)
from pathproof.terms import InvalidInputError, Quantity, RemoteProtocolError

DOCS = Path(__file__).parents[3] / "docs" / "signal-levels.md"
# The end codes of the short range stay in the extended tables, across bins of their own.
SHORT_RANGE_ENDS = {LTE_RSRP: {0}, LTE_RSRQ: {0, 34}}

every_table = pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)


@st.composite
def tables_and_codes(draw: st.DrawFn) -> tuple[CodeTable, int]:
    table = draw(st.sampled_from(TABLES))
    return table, draw(st.sampled_from(list(table.bins)))


def tiles(table: CodeTable) -> list[Bin]:
    """Bins from the lowest level up, without the ends of a short range inside an extended one."""
    left_out = SHORT_RANGE_ENDS.get(table, set())
    bins = [edges for code, edges in table.bins.items() if code not in left_out]
    return sorted(bins, key=lambda edges: float("-inf") if edges.low is None else edges.low)


@every_table
def test_bins_tile_the_axis_without_gap_or_overlap(table: CodeTable) -> None:
    bins = tiles(table)
    assert bins[0].low is None
    assert bins[-1].high is None
    joints = [(below.high, above.low) for below, above in pairwise(bins)]
    if table is CSQ_RSSI:  # printed as points: only between its two end codes are there bins
        joints = joints[1:-1]
    assert [high for high, _ in joints] == pytest.approx([low for _, low in joints])
    assert [high for high, _ in joints] == sorted(high for high, _ in joints if high is not None)


@every_table
def test_codes_run_without_a_hole(table: CodeTable) -> None:
    codes = list(table.bins)
    assert codes == list(range(codes[0], codes[-1] + 1))


@given(tables_and_codes())
def test_value_lies_inside_its_bin_or_is_the_closed_edge(drawn: tuple[CodeTable, int]) -> None:
    table, code = drawn
    level = table.level(code)
    assert level is not None
    if level.low is None or level.high is None:
        assert level.value in (level.low, level.high)
    else:
        assert level.low < level.value < level.high
        assert level.value - level.low == pytest.approx(level.high - level.value)


@given(st.sampled_from(TABLES), st.integers())
def test_a_code_outside_the_table_is_refused_with_what_is_allowed(
    table: CodeTable, code: int
) -> None:
    if code in table.bins or code == table.unknown:
        assert (table.level(code) is None) == (code == table.unknown)
    else:
        with pytest.raises(RemoteProtocolError, match=f"{code}; .* allows {table.allowed}"):
            table.level(code)


def test_middle_of_a_band_is_free_of_rounding() -> None:
    level = BER.level(2)
    assert level is not None
    assert level.value == 0.6


def test_a_bin_without_edges_is_no_level() -> None:
    with pytest.raises(InvalidInputError, match="at least one"):
        Level.from_edges(Quantity.RSRP_DBM, None, None)


@every_table
def test_docs_give_every_table_with_its_source(table: CodeTable) -> None:
    text = DOCS.read_text(encoding="utf-8")
    assert f"- {table.describe()}" in text.splitlines()
    assert table.remark in " ".join(text.split())
