"""Calculations."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from pathproof.assess.types import Assessment, Leaf, Line, Link, Signal, Summary
from pathproof.calc.sources import Source
from pathproof.papers.working import (
    MOST,
    MOST_FULL,
    SourceBook,
    arithmetic,
    calculation_sheets,
    work_rows,
    working,
)
from pathproof.terms import Evidence, LinkKind, SignalKind, Word

P525 = Source(ref="Rec. ITU-R P.525", edition="P.525-4", evidence=Evidence.COMPUTED)
FROM_MEMORY = Source(ref="EN 50131-1", clause="table", evidence=Evidence.MEMORY)


@pytest.mark.parametrize(
    ("formula", "inputs", "said"),
    [
        ("a - b", {"a": (3.0, "dB"), "b": (-1.5, "dB")}, "3.00 dB − (−1.50 dB)"),
        ("a - b", {"a": (-3.0, "dB"), "b": (1.5, "dB")}, "−3.00 dB − 1.50 dB"),
        (
            "free space + walls and floors",
            {"free space": (71.22, "dB"), "walls and floors": (8.0, "dB")},
            "71.22 dB + 8.00 dB",
        ),
        (
            "20 log10(4 pi d f / c)",
            {"d": (12.3, "m"), "f": (868.42, "MHz")},
            "20 log10(4 π × 12.30 m × 868.42 MHz / c)",
        ),
        ("n x loss", {"n": (2.0, ""), "loss": (4.0, "dB")}, "2 × 4.00 dB"),
        ("n * loss", {"n": (2.0, ""), "loss": (4.0, "dB")}, "2 × 4.00 dB"),
        (
            "100 max(0, a - b) / c",  # commas in a bracket part arguments
            {"a": (3.0, "dB"), "b": (1.0, "dB"), "c": (50.0, "dB")},
            "100 max(0, 3.00 dB − 1.00 dB) / 50.00 dB",
        ),
        ("-10 log10(1 - g^2)", {"g": (0.5, "")}, "−10 log10(1 − 0.500^2)"),
        ("max(a, b)", {"a": (1.0, "dB"), "b": (2.0, "dB")}, "max(1.00 dB, 2.00 dB)"),
        ("fixed loss", {"fixed loss": (30.0, "dB")}, "30.00 dB"),
        (
            "largest of: held, least",  # a rule in words keeps its words
            {"held": (3.0, "dB"), "least": (1.0, "dB")},
            "largest of: held, least (held 3.00 dB, least 1.00 dB)",
        ),
        (
            "a / b, b at most 2",  # a remark keeps its words
            {"a": (3.0, "h"), "b": (2.0, "h"), "c": (1.0, "h")},
            "3.00 h / 2.00 h, b at most 2 (c 1.00 h)",
        ),
        (
            "larger of a and b + c",
            {"a": (3.0, "h"), "b": (2.0, "h"), "c": (1.0, "h")},
            "larger of 3.00 h and 2.00 h + 1.00 h",
        ),
        ("k a + 2 b", {"a": (3.0, "h"), "b": (2.0, "h")}, "k × 3.00 h + 2 × 2.00 h"),
        ("L * 2^(-max(0, T))", {"L": (5.0, "h")}, "5.00 h × 2^(−max(0, T))"),
        ("a x 2", {"a": (1.0, "m"), "angle": (30.0, "deg")}, "1.00 m × 2 (angle 30.00°)"),
        ("", {"entry": ("walk-01", "")}, "entry walk-01"),
        ("", {}, ""),
    ],
)
def test_numbers_are_put_into_the_formula(
    formula: str, inputs: dict[str, tuple[float | str, str]], said: str
):
    line = Line(id="1", label="x", formula=formula, inputs=inputs, value=1.0)
    assert arithmetic(line) == said


def test_a_line_for_information_is_no_result():
    lines = (
        Line(id="1", label="Margin", value=1.0, unit="dB"),
        Line(id="2", label="For information: left of it", value=2.0, unit="dB"),
    )
    rows, _ = work_rows(lines, SourceBook())
    assert [r.result for r in rows] == [True, False]


def link(link_id: str, *lines: Line) -> Link:
    return Link(
        id=link_id,
        kind=LinkKind.RADIO,
        start="d1",
        end="panel",
        word=Word.PREDICTED,
        why="",
        working=lines,
    )


def assessment(*links: Link, signals: tuple[Signal, ...] = ()) -> Assessment:
    return Assessment(
        site="s",
        as_of=datetime(2026, 3, 2, tzinfo=UTC),
        revision=1,
        hash="0" * 64,
        profile="p",
        word=Word.PREDICTED,
        why="",
        links=links,
        signals=signals,
        findings=(),
        next=(),
        summary=Summary(
            devices=1,
            devices_heard=1,
            devices_lacking=0,
            signals=0,
            signals_by_word={},
            odds_all=None,
            odds_target=0.95,
        ),
    )


LINES = (
    Line(id="1", label="Free space", value=71.2, unit="dB", sources=(P525,)),
    Line(id="2", label="Limit", value=-5.0, unit="dB", sources=(FROM_MEMORY, P525)),
    Line(id="3", label="Loss", value=120.25, unit="dB", needs=("1",)),
    Line(id="4", label="Margin", value=10.0, unit="dB", needs=("3", "2")),
    Line(id="5", label="Evidence", value="walk test: 5 of 5"),
)


def test_lines_are_indented_by_how_far_they_are_from_the_result():
    (sheet,) = calculation_sheets(assessment(link("a", *LINES)), ["a"], {}, SourceBook())
    assert [r.indent for r in sheet.rows] == [2, 1, 1, 0, 0]
    assert [r.result for r in sheet.rows] == [False, False, False, True, True]


def test_figures_are_split_at_the_point():
    (sheet,) = calculation_sheets(assessment(link("a", *LINES)), ["a"], {}, SourceBook())
    assert [(r.whole, r.fraction, r.unit) for r in sheet.rows[:3]] == [
        ("71", ".20", "dB"),
        ("−5", ".00", "dB"),
        ("120", ".25", "dB"),
    ]
    assert (sheet.rows[4].whole, sheet.rows[4].words) == ("", "walk test: 5 of 5")


def test_a_source_keeps_its_number_on_every_sheet():
    book = SourceBook()
    two = assessment(link("a", *LINES), link("b", LINES[1]))
    first, second = calculation_sheets(two, ["a", "b"], {}, book)
    assert [r.notes for r in first.rows] == [(1,), (2, 1), (), (), ()]
    assert [r.notes_said for r in first.rows] == ["1", "1, 2", "", "", ""]
    assert [n.number for n in second.notes] == [1, 2]
    assert [n.how_sure for n in book.notes.values()] == [
        "computed",
        "from memory: check your own copy",
    ]


def test_only_wanted_links_with_working_get_a_sheet():
    three = assessment(link("a", *LINES), link("b", *LINES), link("c"))
    sheets = calculation_sheets(three, ["b", "c"], {"d1": "Shop door"}, SourceBook())
    assert [(s.number, s.link, s.title) for s in sheets] == [(1, "b", "Shop door to panel")]


def signal_over(link_id: str) -> Signal:
    return Signal(
        id=f"signal:{link_id}",
        about=link_id,
        kind=SignalKind.ALARM,
        name=link_id,
        zone=None,
        partition=None,
        word=Word.PREDICTED,
        why="",
        weakest=link_id,
        path=Leaf(link=link_id),
    )


def test_of_many_links_those_that_leave_a_signal_open_stand_in_full():
    ids = [f"a{i}" for i in range(MOST + 1)]
    open_ids, proven = ids[-15:-5], ids[-5]
    words = dict.fromkeys(ids, Word.PREDICTED)
    words |= dict.fromkeys(open_ids, Word.LACKING) | {proven: Word.PROVEN}
    free_space = replace(LINES[0], inputs={"d": (12.3, "m")})
    links = [
        replace(link(i, free_space), word=words[i], probability=0.95, evidence=("walk-01",))
        for i in ids
    ]
    unused = open_ids[0]  # lacks, and no signal needs it
    signals = tuple(signal_over(i) for i in ids if i != unused)
    found = working(assessment(*links, signals=signals), ids, {}, SourceBook())
    full = {c.link for c in found.calculations}
    assert len(full) == MOST_FULL
    assert {*open_ids[1:], proven} <= full
    assert unused not in full
    assert len(found.table) == len(ids) - MOST_FULL
    assert "Shortened" in found.shortened
    assert {(r.distance, r.odds, r.evidence) for r in found.table} == {
        ("12.30 m", "0.950", "walk-01")
    }


def test_what_fits_is_not_shortened():
    found = working(assessment(link("a", *LINES)), ["a"], {}, SourceBook())
    assert (found.shortened, found.table) == ("", ())
