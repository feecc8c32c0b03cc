"""The customer's strip: plain words in place of figures, and nothing else changed."""

from dataclasses import replace

from pathproof.assess import assess
from pathproof.assess.strip import site_strip_layout
from pathproof.papers.summary import PLAIN_ANSWER, plain_strip_layout
from pathproof.simulate import AS_OF, build_demo
from pathproof.terms import LinkKind, Word

ASSESSMENT = assess(build_demo(), AS_OF)
PLAIN = {"shown by test", "by calculation", "not known yet", "falls short"}


def test_only_the_devices_have_a_count_and_no_link_has_a_figure():
    layout = plain_strip_layout(ASSESSMENT)
    links = [*(s.link for s in layout.segments), *layout.hanging]
    assert {x.caption for x in links if x.kind is not LinkKind.RADIO} <= PLAIN
    (devices,) = [x for x in links if x.kind is LinkKind.RADIO]
    assert devices.caption.endswith(f"of {ASSESSMENT.summary.devices}")


def test_words_and_places_are_those_of_the_site_s_strip():
    full, plain = site_strip_layout(ASSESSMENT), plain_strip_layout(ASSESSMENT)
    assert plain == replace(full, segments=plain.segments, hanging=plain.hanging)
    assert [s.link.word for s in plain.segments] == [s.link.word for s in full.segments]
    assert [x.word for x in plain.hanging] == [x.word for x in full.hanging]


def test_every_word_has_a_plain_answer_and_one_alone_says_that_it_works():
    assert PLAIN_ANSWER.keys() == set(Word)
    assert [w for w, said in PLAIN_ANSWER.items() if said.startswith("It works")] == [Word.PROVEN]
