"""Strips in the terminal: every word has its own line, forks join, nothing is too wide."""

import pytest

from pathproof.assess.strip import StripLayout, StripLink, StripNode, StripSegment
from pathproof.cli.strips import ASCII, BOX, Notes, Strokes, draw_strip, legend
from pathproof.terms import LinkKind, Word


def link(
    name: str,
    word: Word,
    caption: str,
    *,
    weakest: bool = False,
    kind: LinkKind = LinkKind.RADIO,
) -> StripLink:
    return StripLink(link=name, kind=kind, word=word, weakest=weakest, caption=caption, why=caption)


def node(column: int, row: int, label: str) -> StripNode:
    return StripNode(column=column, row=row, place=label, label=label)


def segment(
    of: StripLink, start: int, end: int, row: int = 0, *, start_row: int = 0, end_row: int = 0
) -> StripSegment:
    return StripSegment(
        link=of, start_column=start, end_column=end, row=row, start_row=start_row, end_row=end_row
    )


def straight(*links: StripLink, hanging: tuple[StripLink, ...] = ()) -> StripLayout:
    labels = ["device", "panel", "network", "centre"]
    return StripLayout(
        title="Yard door: alarm",
        word=Word.UNDECIDED,
        nodes=tuple(node(i, 0, labels[i]) for i in range(len(links) + 1)),
        segments=tuple(segment(x, i, i + 1) for i, x in enumerate(links)),
        hanging=hanging,
        hang_column=1,
        hang_row=0,
        columns=len(links) + 1,
        rows=1,
    )


ONE_WORD_EACH = straight(
    link("a", Word.PROVEN, "+14 dB"),
    link("b", Word.PREDICTED, "+9 dB", weakest=True),
    link("c", Word.LACKING, "lacks 40 s"),
)

FORK = StripLayout(
    title="Cold store: alarm",
    word=Word.PREDICTED,
    nodes=(node(0, 0, "device"), node(2, 0, "panel"), node(1, 1, "repeater"), node(3, 0, "centre")),
    segments=(
        segment(link("direct", Word.LACKING, "lacks 4 dB"), 0, 2),
        segment(link("to", Word.PROVEN, "+14 dB"), 0, 1, 1, end_row=1),
        segment(link("on", Word.PREDICTED, "+9 dB"), 1, 2, 1, start_row=1),
        segment(link("path", Word.UNDECIDED, "no reading yet"), 2, 3),
    ),
    hanging=(link("standby", Word.PROVEN, "+61 h", kind=LinkKind.STANDBY),),
    hang_column=2,
    hang_row=0,
    columns=4,
    rows=2,
)


def test_the_word_is_the_style_of_the_line() -> None:
    labels, line, captions = draw_strip(ONE_WORD_EACH, Notes(), width=80)
    assert labels.split() == ["device", "panel", "network", "centre"]
    proven, predicted, lacking = line.strip("o").split("o")
    assert set(proven) == {"─"}
    assert set(predicted) == {"╍"}  # dashed, and heavier: the weakest
    assert set(lacking) == {"═"}
    assert captions.split("  ")[-1].strip() == "lacks 40 s"
    assert [labels.index(x) for x in labels.split()] == [i for i, c in enumerate(line) if c == "o"]


@pytest.mark.parametrize("strokes", [BOX, ASCII])
def test_no_two_words_look_alike(strokes: Strokes) -> None:
    for styles in (strokes.across, strokes.across_weakest, strokes.down):
        assert len(set(styles.values())) == len(Word) == len(styles)
    assert all(word in legend(strokes) for word in Word)


@pytest.mark.parametrize("width", [24, 40, 60, 80, 120])
@pytest.mark.parametrize("strokes", [BOX, ASCII])
@pytest.mark.parametrize("layout", [ONE_WORD_EACH, FORK])
def test_nothing_is_wider_than_the_room(layout: StripLayout, strokes: Strokes, width: int) -> None:
    lines = draw_strip(layout, Notes(), width=width, strokes=strokes)
    assert max(len(line) for line in lines) <= width
    text = "\n".join(lines)
    assert text.isascii() == (strokes is ASCII)
    for caption in ("+14 dB", "+9 dB"):
        assert caption in text


def test_a_long_caption_becomes_a_note_and_equal_ones_the_same() -> None:
    long = "no level is on record for the communicator or its spot, so nothing can be said of it"
    notes = Notes()
    layout = straight(link("a", Word.UNDECIDED, long), link("b", Word.UNDECIDED, long))
    drawn = "\n".join(draw_strip(layout, notes, width=80))
    assert drawn.count("note 1") == 2
    assert notes.texts == [long]
    assert long not in drawn
    narrow = " ".join("\n".join(draw_strip(layout, Notes(), width=30)).split())
    assert long in narrow  # there it has a line of its own


def test_supply_and_standby_hang_below_the_panel() -> None:
    hanging = (
        link("supply", Word.LACKING, "lacks 1.2 V", kind=LinkKind.SUPPLY),
        link("standby", Word.PROVEN, "+61 h", kind=LinkKind.STANDBY),
    )
    layout = straight(
        link("a", Word.PROVEN, "+14 dB"), link("b", Word.PROVEN, "+6 dB"), hanging=hanging
    )
    lines = draw_strip(layout, Notes(), width=80)
    panel = lines[0].index("panel")
    assert lines[-2][panel:] == "║ supply: lacks 1.2 V"
    assert lines[-1][panel:] == "│ standby: +61 h"
    without = draw_strip(layout, Notes(), width=80, hanging=False)
    assert "supply" not in "\n".join(without)


def test_fork_in_full() -> None:
    assert draw_strip(FORK, Notes(), width=80) == [
        "device                                  panel               centre",
        "o═══════════════════════════════════════o┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈┈o",
        "│ lacks 4 dB                            │ no reading yet",
        "│                   repeater            │",
        "└───────────────────o╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌┤",
        "  +14 dB              +9 dB             │",
        "                                        │ standby: +61 h",
    ]
