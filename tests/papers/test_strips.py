"""The drawing of a signal strip."""

from dataclasses import replace

import pytest

from pathproof.assess.strip import StripLayout, StripLink, StripNode, StripSegment
from pathproof.papers.drawing import INK, PAPER, WARN, Drawing, Label, Lines, Ring
from pathproof.papers.strips import draw_key, draw_strip
from pathproof.terms import LinkKind, Word


def strip_link(word: Word, caption: str, *, weakest: bool = False) -> StripLink:
    return StripLink(
        link="x", kind=LinkKind.RADIO, word=word, weakest=weakest, caption=caption, why=""
    )


def layout(*links: StripLink, hanging: tuple[StripLink, ...] = ()) -> StripLayout:
    """Links one after the other."""
    return StripLayout(
        title="Door",
        word=Word.PREDICTED,
        nodes=tuple(
            StripNode(column=i, row=0, place=str(i), label=f"n{i}") for i in range(len(links) + 1)
        ),
        segments=tuple(
            StripSegment(link=x, start_column=i, end_column=i + 1, row=0, start_row=0, end_row=0)
            for i, x in enumerate(links)
        ),
        hanging=hanging,
        hang_column=1,
        hang_row=0,
        columns=len(links) + 1,
        rows=1,
    )


def lines(drawing: Drawing) -> list[Lines]:
    return [s for s in drawing.shapes if isinstance(s, Lines)]


def captions(drawing: Drawing) -> list[str]:
    return [s.text for s in drawing.shapes if isinstance(s, Label)]


@pytest.mark.parametrize(
    ("word", "dash"),
    [(Word.PROVEN, "solid"), (Word.PREDICTED, "dashed"), (Word.UNDECIDED, "dotted")],
)
def test_the_style_of_a_line_is_its_word(word: Word, dash: str):
    (line,) = lines(draw_strip(layout(strip_link(word, "+14 dB")), 120.0))
    assert (line.dash, line.ink) == (dash, INK)


def test_lacking_is_a_thin_double_line_with_its_shortfall_below():
    drawing = draw_strip(layout(strip_link(Word.LACKING, "lacks 40 s")), 120.0)
    outer, inner = lines(drawing)
    assert outer.lines == inner.lines
    assert (outer.ink, inner.ink) == (WARN, PAPER)
    assert 0.0 < outer.width_mm - inner.width_mm < 0.5
    assert "lacks 40 s" in captions(drawing)


@pytest.mark.parametrize("word", [Word.PROVEN, Word.PREDICTED, Word.UNDECIDED])
def test_the_weakest_link_is_drawn_heavier(word: Word):
    usual, heavy = lines(
        draw_strip(layout(strip_link(word, "a"), strip_link(word, "b", weakest=True)), 120.0)
    )
    assert heavy.width_mm > 2 * usual.width_mm


def test_rings_stand_at_the_ends_of_the_lines_and_within_the_drawing():
    drawing = draw_strip(layout(*[strip_link(Word.PROVEN, "+1 dB")] * 3), 120.0)
    rings = [s for s in drawing.shapes if isinstance(s, Ring)]
    ends = {p for line in lines(drawing) for p in (line.lines[0][0], line.lines[0][-1])}
    assert {r.at for r in rings} == ends
    assert all(0 < x < 120 and 0 < y < drawing.height_mm for x, y in ends)


def test_alternatives_fork_and_join():
    forked = layout(strip_link(Word.PROVEN, "+1 dB"))
    (straight,) = forked.segments
    other = replace(straight, row=1)
    drawing = draw_strip(replace(forked, segments=(straight, other), rows=2), 120.0)
    first, second = (line.lines[0] for line in lines(drawing))
    assert (first[0], first[-1]) == (second[0], second[-1])
    assert len(second) == 4
    assert second[1][1] == second[2][1] > first[0][1]


def test_supply_and_standby_hang_below_the_panel_or_are_left_out():
    hanging = (strip_link(Word.PREDICTED, "+1.2 V"), strip_link(Word.PROVEN, "+49 h"))
    strip = layout(strip_link(Word.PROVEN, "+1 dB"), hanging=hanging)
    drawing = draw_strip(strip, 120.0)
    _, supply, standby = (line.lines[0] for line in lines(drawing))
    assert supply[0][0] == supply[1][0] == standby[1][0]
    assert supply[0][1] < supply[1][1] < standby[1][1] < drawing.height_mm
    assert len(lines(draw_strip(strip, 120.0, hanging=False))) == 1


def test_a_caption_too_long_for_its_link_stands_below_in_full():
    text = "no level is on record for main or spot cellar_stairs"
    links = [strip_link(Word.UNDECIDED, text)] * 2 + [strip_link(Word.PREDICTED, "+14 dB")] * 3
    drawing = draw_strip(layout(*links), 120.0)
    assert drawing.notes == (text,)
    assert captions(drawing).count("see note 1") == 2
    assert "+14 dB" in captions(drawing)


def test_a_caption_of_two_rows_needs_no_note():
    drawing = draw_strip(layout(*[strip_link(Word.UNDECIDED, "not worked out yet")] * 5), 120.0)
    assert drawing.notes == ()
    assert captions(drawing).count("not worked out yet") == 5


def test_the_strip_is_read_out_in_words():
    drawing = draw_strip(layout(strip_link(Word.PREDICTED, "+14 dB")), 120.0)
    assert drawing.alt == "Door: predicted. radio predicted, +14 dB"


def test_the_key_shows_all_four_words():
    assert captions(draw_key(180.0)) == [str(w) for w in Word]
