"""Where the nodes and lines of a signal strip stand, and what stands under them."""

from datetime import UTC, datetime

import pytest

from pathproof.assess.strip import (
    StripLayout,
    caption,
    devices_sentence,
    margin_text,
    site_strip_layout,
    strip_layout,
)
from pathproof.assess.types import (
    Alternatives,
    Assessment,
    Leaf,
    Link,
    Margin,
    Path,
    Series,
    Signal,
    Summary,
)
from pathproof.terms import LinkKind, SignalKind, Word

LINKS = {
    "radio:d1>panel": ("d1", "panel", Word.LACKING, Margin(value=-3.2, unit="dB")),
    "radio:d1>r1": ("d1", "r1", Word.PREDICTED, Margin(value=14.2, unit="dB")),
    "radio:r1>panel": ("r1", "panel", Word.PROVEN, Margin(value=9.0, unit="dB")),
    "mobile:c1": ("c1", "network", Word.PREDICTED, Margin(value=6.1, unit="dB")),
    "reporting:c1": ("network", "centre", Word.UNDECIDED, None),
    "mobile:c2": ("c2", "network", Word.PREDICTED, Margin(value=2.0, unit="dB")),
    "reporting:c2": ("network", "centre", Word.UNDECIDED, None),
    "supply": ("supply", "panel", Word.UNDECIDED, None),
    "standby": ("battery", "panel", Word.PROVEN, Margin(value=49.0, unit="h")),
}


def link(link_id: str) -> Link:
    start, end, word, margin = LINKS[link_id]
    return Link(
        id=link_id,
        kind=LinkKind(link_id.partition(":")[0]),
        start=start,
        end=end,
        word=word,
        why="no interval given",
        margin=margin,
        scale=8.0,
    )


def series(*parts: str | Path) -> Series:
    return Series(parts=tuple(Leaf(link=p) if isinstance(p, str) else p for p in parts))


def either(*parts: str | Path) -> Alternatives:
    return Alternatives(parts=series(*parts).parts)


TAIL = ("mobile:c1", "reporting:c1", "supply", "standby")
REPEATED = series(either("radio:d1>panel", series("radio:d1>r1", "radio:r1>panel")), *TAIL)


def signal(path: Path, about: str = "d1", weakest: str | None = "reporting:c1") -> Signal:
    return Signal(
        id=f"signal:{about}:alarm",
        about=about,
        kind=SignalKind.ALARM,
        name="Kiln room door",
        zone=3,
        partition=1,
        word=Word.UNDECIDED,
        why="no interval given",
        weakest=weakest,
        path=path,
    )


def assessment(*signals: Signal, devices: int = 1, heard: int = 1, lacking: int = 0) -> Assessment:
    return Assessment(
        site="Pottery",
        as_of=datetime(2026, 3, 2, tzinfo=UTC),
        revision=3,
        hash="0" * 64,
        profile="house_targets",
        word=Word.UNDECIDED,
        why="",
        links=tuple(link(i) for i in LINKS),
        signals=signals,
        findings=(),
        next=(),
        summary=Summary(
            devices=devices,
            devices_heard=heard,
            devices_lacking=lacking,
            signals=len(signals),
            signals_by_word={},
            odds_all=None,
            odds_target=0.95,
        ),
    )


def layout(path: Path, about: str = "d1") -> StripLayout:
    s = signal(path, about)
    return strip_layout(s, assessment(s))


def spots(strip: StripLayout) -> dict[tuple[int, int], str]:
    return {(n.column, n.row): n.label for n in strip.nodes}


def test_a_signal_goes_from_device_to_centre_in_one_row():
    strip = layout(series("radio:d1>panel", *TAIL))
    assert spots(strip) == {(0, 0): "device", (1, 0): "panel", (2, 0): "network", (3, 0): "centre"}
    assert (strip.columns, strip.rows) == (4, 1)
    assert [s.link.link for s in strip.segments] == [
        "radio:d1>panel",
        "mobile:c1",
        "reporting:c1",
    ]


def test_supply_and_standby_hang_below_the_panel():
    strip = layout(series("radio:d1>panel", *TAIL))
    assert [h.link for h in strip.hanging] == ["supply", "standby"]
    assert spots(strip)[strip.hang_column, strip.hang_row] == "panel"


def test_a_repeater_forks_and_joins():
    strip = layout(REPEATED)
    assert spots(strip) == {
        (0, 0): "device",
        (1, 1): "repeater",
        (2, 0): "panel",
        (3, 0): "network",
        (4, 0): "centre",
    }
    runs = {
        s.link.link: (s.start_column, s.start_row, s.row, s.end_row, s.end_column)
        for s in strip.segments
    }
    assert runs["radio:d1>panel"] == (0, 0, 0, 0, 2)
    assert runs["radio:d1>r1"] == (0, 0, 1, 1, 1)
    assert runs["radio:r1>panel"] == (1, 1, 1, 0, 2)
    assert strip.rows == 2


def test_two_paths_fork_at_the_panel_and_join_at_the_centre():
    second = either(series("mobile:c1", "reporting:c1"), series("mobile:c2", "reporting:c2"))
    strip = layout(series("radio:d1>panel", second, "supply", "standby"))
    assert spots(strip) == {
        (0, 0): "device",
        (1, 0): "panel",
        (2, 0): "network",
        (2, 1): "network",
        (3, 0): "centre",
    }


def test_the_panels_own_signal_starts_at_the_panel():
    strip = layout(series(*TAIL), about="panel")
    assert spots(strip)[0, 0] == "panel"
    assert strip.hang_column == 0


@pytest.mark.parametrize("path", [Series(parts=()), series("supply", "standby")])
def test_a_signal_with_no_way_is_one_ring(path):
    strip = layout(path)
    assert spots(strip) == {(0, 0): "device"}
    assert (strip.columns, strip.rows, strip.segments) == (1, 1, ())


def test_only_the_weakest_link_is_marked():
    strip = layout(REPEATED)
    assert [s.link.link for s in strip.segments if s.link.weakest] == ["reporting:c1"]


def test_captions_are_margin_shortfall_or_what_is_missing():
    assert caption(link("radio:d1>r1")) == "+14 dB"
    assert caption(link("radio:r1>panel")) == "+9.0 dB"
    assert caption(link("radio:d1>panel")) == "lacks 3.2 dB"
    assert caption(link("reporting:c1")) == "no interval given"


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "+0.0 V"), (-0.004, "−0.004 V"), (9.96, "+10 V"), (9.94, "+9.9 V"), (61.0, "+61 V")],
)
def test_a_margin_keeps_its_sign_and_is_never_rounded_to_nothing(value, text):
    assert margin_text(Margin(value=value, unit="V")) == text


@pytest.mark.parametrize(
    ("heard", "lacking", "wired", "word", "text"),
    [
        (20, 0, 0, Word.PREDICTED, "20 predicted of 20"),
        (19, 1, 0, Word.LACKING, "19 predicted of 20"),
        (19, 0, 0, Word.UNDECIDED, "19 predicted of 20"),
        (20, 0, 2, Word.PREDICTED, "18 predicted, 2 wired of 20"),
    ],
)
def test_the_sites_strip_counts_devices(heard, lacking, wired, word, text):
    predicted = [signal(REPEATED, f"d{n}") for n in range(heard - wired)]
    strip = site_strip_layout(assessment(*predicted, devices=20, heard=heard, lacking=lacking))
    assert list(spots(strip).values()) == ["devices", "panel", "network", "centre"]
    radio = strip.segments[0].link
    assert (radio.word, radio.caption) == (word, text)


@pytest.mark.parametrize(
    ("proven", "predicted", "wired", "text"),
    [
        (0, 12, 0, "12 of 12 predicted to reach the panel"),
        (3, 7, 2, "3 of 12 proven to reach the panel, 7 predicted, 2 wired"),
        (12, 0, 0, "12 of 12 proven to reach the panel"),
        (0, 0, 4, "4 of 12 wired to the panel"),
        (0, 0, 0, "0 of 12 reach the panel"),
    ],
)
def test_what_is_only_predicted_is_never_said_to_reach_the_panel(proven, predicted, wired, text):
    ways = ["radio:r1>panel"] * proven + ["radio:d1>r1"] * predicted
    signals = [signal(series(way), f"d{n}") for n, way in enumerate(ways)]
    heard = proven + predicted + wired
    assert devices_sentence(assessment(*signals, devices=12, heard=heard)) == text


def test_a_site_without_devices_is_undecided():
    strip = site_strip_layout(assessment(devices=0, heard=0))
    assert [s.link.word for s in strip.segments] == [Word.UNDECIDED]
    assert strip.segments[0].link.caption == "no devices yet"


def test_only_the_best_ways_are_drawn_when_there_are_many():
    s = signal(REPEATED)
    strip = strip_layout(s, assessment(s), most_ways=1)
    assert [x.link.link for x in strip.segments][:2] == ["radio:d1>r1", "radio:r1>panel"]
    assert (strip.rows, strip.links_left_out) == (1, 1)
