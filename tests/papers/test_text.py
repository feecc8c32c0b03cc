"""Words for paper."""

from datetime import UTC, datetime

import pytest

from pathproof.papers._text import (
    counted,
    day,
    figure,
    listed,
    printable,
    shorten,
    with_dates,
    with_unit,
)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ('#import "x": *', '#import "x": *'),
        ("$a^2$ \\ @ref", "$a^2$ \\ @ref"),
        ("שלום مرحبا", "שלום مرحبا"),
        ("two\nlines\tand tab", "two lines and tab"),
        ("bell\a and null\0", "bell and null"),
        ("gnp.\u202etxt", "gnp.txt"),  # would turn the rest of the line around
        ("\ud800", "\ufffd"),  # half of a pair
        ("\N{FIRE}", "[fire]"),
        ("\N{SNOWMAN}", "\N{SNOWMAN}"),  # the fonts have it
    ],
)
def test_text_is_shown_as_typed_but_for_what_paper_cannot_show(typed: str, shown: str):
    assert printable(typed) == shown


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("ends on 2029-01-01, or in 2030-12;", "ends on 1 January 2029, or in December 2030;"),
        ("between 2029-07-01 and 2030-02-28", "between 1 July 2029 and 28 February 2030"),
        ("card-2029-01-01 and 2029-01-01-b", "card-2029-01-01 and 2029-01-01-b"),
        ("2029-13-01 at 2029-01-01T10:00", "2029-13-01 at 2029-01-01T10:00"),
        ("in 001-01 in 2029-13", "in 001-01 in 2029-13"),
    ],
)
def test_dates_within_a_text(typed: str, shown: str):
    assert with_dates(typed) == shown


def test_a_run_too_long_for_a_column_may_break():
    shown = printable("W" * 200)
    assert max(len(part) for part in shown.split("\N{ZERO WIDTH SPACE}")) <= 8
    assert shown.replace("\N{ZERO WIDTH SPACE}", "") == "W" * 200


def test_shortened_text_says_that_something_is_missing():
    assert shorten("abcdef", 6) == "abcdef"
    assert shorten("abcdefg", 6) == "abcde…"


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (3.0, "", "3"),
        (0.95, "", "0.950"),
        (0.99996, "", "> 0.999"),
        (1.0, "ratio", "1.000"),
        (-30.333, "dB", "−30.33"),
        (-0.0, "dB", "0.00"),
        (868.42, "MHz", "868.42"),
        (0.0004, "V", "0.0004"),
        (0.012, "A", "0.012"),
        (0.0123333333, "A", "0.012333"),
        (3.8, "A", "3.80"),
        (0.0163, "ohm", "0.0163"),
        (-0.25, "V", "−0.25"),
        (10.08333, "Ah", "10.0833"),
        (5 / 60, "h", "0.0833"),
        (11.75, "h", "11.75"),
        (24.0, "h", "24.00"),
        (123456.0, "s", "123\N{NARROW NO-BREAK SPACE}456"),
    ],
)
def test_figures(value: float, unit: str, shown: str):
    assert figure(value, unit) == shown


def test_units_are_never_dropped():
    assert with_unit(12.5, "dB") == "12.50 dB"
    assert with_unit(40.0, "deg") == "40.00°"
    assert with_unit(0.5, "ohm") == "0.50 Ω"
    assert with_unit("walk-01", "") == "walk-01"


def test_the_date_is_the_sites_own():
    late = datetime(2026, 12, 31, 23, 30, tzinfo=UTC)
    assert day(late, "UTC") == "31 December 2026"
    assert day(late, "Europe/Vienna") == "1 January 2027"


def test_counts_and_lists():
    assert counted(1, "device") == "1 device"
    assert counted(0, "device") == "0 devices"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert listed(["a"]) == "a"
    assert listed([]) == ""
