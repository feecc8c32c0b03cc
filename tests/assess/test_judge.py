"""Words of trees and the weakest link, by the rules of the design."""

import pytest

from pathproof.assess.judge import alternatives, in_use, judge, series, worst
from pathproof.assess.types import Leaf, Link, Margin
from pathproof.terms import LinkKind, Reason, Word


def _link(name: str, word: Word, margin: float | None = None, **fields: object) -> Link:
    return Link(
        id=name,
        kind=LinkKind.RADIO,
        start=name,
        end="panel",
        word=word,
        why=name,
        margin=None if margin is None else Margin(value=margin, unit="dB"),
        **fields,  # type: ignore[arg-type]
    )


LINKS = {
    x.id: x
    for x in (
        _link("proven", Word.PROVEN, 3.0, scale=6.0, probability=0.99),
        _link("strong", Word.PREDICTED, 20.0, scale=6.0, probability=0.999),
        _link("thin", Word.PREDICTED, 2.0, scale=6.0, probability=0.96),
        _link("hours", Word.PREDICTED, 6.0, scale=24.0, probability=0.9),
        _link("no_input", Word.UNDECIDED, reason=Reason.INPUT),
        _link("no_limit", Word.UNDECIDED, reason=Reason.LIMIT),
        _link("later", Word.UNDECIDED, reason=Reason.CALCULATION),
        _link("bad", Word.LACKING, -3.0, scale=6.0, probability=0.5),
        _link("worse", Word.LACKING, -9.0, scale=6.0, probability=0.1),
    )
}


def _leaves(*names: str) -> list[Leaf]:
    return [Leaf(link=n) for n in names]


@pytest.mark.parametrize(
    ("parts", "word", "weakest"),
    [
        (("proven", "strong"), Word.PREDICTED, "strong"),
        (("strong", "thin", "proven"), Word.PREDICTED, "thin"),
        # 2 of 6 dB is 0.33 of its own scale, 6 of 24 h only 0.25
        (("thin", "hours"), Word.PREDICTED, "hours"),
        (("thin", "later"), Word.UNDECIDED, "later"),
        (("later", "no_limit", "no_input"), Word.UNDECIDED, "no_input"),
        (("no_input", "bad"), Word.LACKING, "bad"),
        (("bad", "worse"), Word.LACKING, "worse"),
        (("proven", "proven"), Word.PROVEN, "proven"),
    ],
)
def test_series_takes_the_worst_word_and_its_weakest_link(
    parts: tuple[str, ...], word: Word, weakest: str
) -> None:
    for order in (parts, parts[::-1]):
        judgement = judge(series(*_leaves(*order)), LINKS)
        assert (judgement.word, judgement.weakest) == (word, weakest)


@pytest.mark.parametrize(
    ("parts", "all_needed", "word", "weakest"),
    [
        (("bad", "thin"), False, Word.PREDICTED, "thin"),
        (("thin", "strong"), False, Word.PREDICTED, "strong"),
        (("bad", "worse"), False, Word.LACKING, "bad"),
        (("no_input", "bad"), False, Word.UNDECIDED, "no_input"),
        (("bad", "thin"), True, Word.LACKING, "bad"),
    ],
)
def test_alternatives_take_the_best_unless_all_are_needed(
    parts: tuple[str, ...], all_needed: bool, word: Word, weakest: str
) -> None:
    judgement = judge(alternatives(list(_leaves(*parts)), all_needed=all_needed), LINKS)
    assert (judgement.word, judgement.weakest) == (word, weakest)


def test_a_way_over_a_repeater_is_as_good_as_its_worse_half() -> None:
    over_repeater = series(*_leaves("strong", "thin"))
    direct = Leaf(link="bad")
    judgement = judge(alternatives([direct, over_repeater], all_needed=False), LINKS)
    assert (judgement.word, judgement.weakest) == (Word.PREDICTED, "thin")
    assert judgement.odds == pytest.approx(0.999 * 0.96)


def test_nothing_is_undecided_never_proven() -> None:
    assert worst([]) is Word.UNDECIDED


@pytest.mark.parametrize(
    ("ways", "used"),
    [
        (("thin", "strong"), "thin"),  # both predicted: the direct one
        (("bad", "strong"), "strong"),
        (("thin", "proven"), "proven"),
        (("worse", "bad"), "bad"),  # all lacking: what lacks least
    ],
)
def test_effort_goes_to_the_direct_way_where_it_is_as_good(
    ways: tuple[str, ...], used: str
) -> None:
    assert in_use(alternatives(list(_leaves(*ways)), all_needed=False), LINKS) == [used]
    everything = alternatives(list(_leaves(*ways)), all_needed=True)
    assert in_use(everything, LINKS) == list(ways)
