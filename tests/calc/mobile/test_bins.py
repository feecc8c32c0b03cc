"""Bins: edges, open ends, what is refused."""

import math

import pytest

from pathproof.calc.mobile import Interval, binned_levels
from pathproof.terms import InvalidInputError


def test_edges_open_ends_and_what_is_shown() -> None:
    levels = binned_levels([(-101.0, -100.0), (None, -140.0), (-44.0, None), (-90.0, -90.0)])
    assert levels.low.tolist() == [-101.0, -math.inf, -44.0, -90.0]
    assert levels.high.tolist() == [-100.0, -140.0, math.inf, -90.0]
    assert levels.shown.tolist() == [-100.5, -140.0, -44.0, -90.0]
    assert (levels.count, levels.half_width_db) == (4, math.inf)


def test_half_width_of_closed_bins() -> None:
    assert binned_levels([(-101.0, -100.0), (-99.0, -98.0)]).half_width_db == 0.5


def test_overlap() -> None:
    assert Interval(0.0, 2.0).overlap(Interval(1.0, 3.0)) == Interval(1.0, 2.0)
    assert Interval(0.0, 2.0).overlap(Interval(2.0, 3.0)) == Interval(2.0, 2.0)
    assert Interval(0.0, 2.0).overlap(Interval(2.1, 3.0)) is None
    assert Interval(0.0, 2.0).overlap(Interval()) == Interval(0.0, 2.0)


@pytest.mark.parametrize(
    ("edges", "says"),
    [
        ([], "at least one reading"),
        ([(-90.0, -91.0)], "not above its high end"),
        ([(math.nan, -91.0)], "must be a number"),
        ([(-91.0, math.nan)], "must be a number"),
        ([(math.inf, None)], "must be a number"),
        ([(-90.0, -89.0), (None, None)], r"edges\[1\] had no edge"),
    ],
)
def test_bad_input(edges: list[tuple[float | None, float | None]], says: str) -> None:
    with pytest.raises(InvalidInputError, match=says):
        binned_levels(edges)
