"""Words for figures; the percentages are by hand."""

import math

import pytest

from pathproof.assess.wording import level_text, odds_text, technology_text
from pathproof.calc.mobile import Interval
from pathproof.terms import Technology


@pytest.mark.parametrize(
    ("ratio", "said"),
    [
        (0.0, "less than 1 in 100"),
        (0.005, "less than 1 in 100"),
        (0.0051, "1 in 100"),
        (0.95, "95 in 100"),
        (0.9949, "99 in 100"),
        (0.995, "more than 99 in 100"),
        (math.nextafter(1.0, 0.0), "more than 99 in 100"),
        (1.0, "more than 99 in 100"),
    ],
)
def test_odds_are_never_rounded_to_certainty_or_to_none(ratio: float, said: str) -> None:
    assert odds_text(ratio) == said


def test_technologies_are_written_as_people_write_them() -> None:
    assert [technology_text(t) for t in Technology] == [
        "GSM", "UMTS", "LTE", "LTE-M", "NB-IoT", "NR"
    ]  # fmt: skip


def test_levels_say_where_their_bin_is_open() -> None:
    assert level_text(Interval(-86.0, -85.0)) == "-85.5 dBm"
    assert level_text(Interval(-86.15, -85.15)) in ("-85.7 dBm", "-85.6 dBm")
    assert level_text(Interval(high=-109.0)) == "-109 dBm or less"
    assert level_text(Interval()) == "beyond what the instrument shows"
    assert level_text(Interval(low=-44.0)) == "-44 dBm or more"
