"""The design assessment as data."""

import dataclasses
from collections.abc import Iterator

import pytest

from pathproof.assess.strip import radio_words
from pathproof.job import Job
from pathproof.papers import DesignAssessment, build
from pathproof.papers.summary import headline
from pathproof.terms import Word

from ._jobs import Judge


def texts(value: object) -> Iterator[str]:
    """Every text in a paper."""
    if isinstance(value, str):
        yield value
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from texts(getattr(value, field.name))
    elif isinstance(value, tuple):
        for item in value:
            yield from texts(item)


def points(value: object) -> Iterator[tuple[float, float]]:
    """Every pair of numbers in a paper."""
    if isinstance(value, tuple) and len(value) == 2 and all(isinstance(x, float) for x in value):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from points(item)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from points(getattr(value, field.name))


def test_the_headline_counts_devices(demo_paper: DesignAssessment, demo: Job, judge: Judge):
    # Counted in the assessment itself: one lacks, one is wired, the rest by their words.
    words = list(radio_words(judge(demo)).values())
    assert words.count(Word.LACKING) == 1
    tested, calculated = words.count(Word.PROVEN), words.count(Word.PREDICTED)
    assert tested + calculated + 1 == len(demo.site.devices) - 1
    assert demo_paper.summary.headline == (
        f"20 of 21 devices reach the panel: {tested} shown by test, {calculated} by calculation "
        "and 1 by wire."
    )


def test_joint_odds_stand_beside_the_target(demo_paper: DesignAssessment):
    assert "odds of at least 95 in 100" in demo_paper.summary.odds
    assert "all 20 of them" in demo_paper.summary.odds


def test_counts_add_up_to_all_signals(demo_paper: DesignAssessment, demo: Job, judge: Judge):
    counts = {c.word: c.count for c in demo_paper.summary.counts}
    assert list(counts) == list(Word)
    assert sum(counts.values()) == len(judge(demo).signals)


def test_what_is_not_shown_and_what_to_do_name_every_kind_of_link(demo_paper: DesignAssessment):
    said = " ".join(demo_paper.summary.not_shown)
    for piece in ("does not reach the panel", "mobile signal", "power supply", "battery"):
        assert piece in said
    assert any("repeater" in step for step in demo_paper.summary.next_steps)


def test_signals_come_unproven_first(demo_paper: DesignAssessment):
    assert demo_paper.signals is not None
    words = [g.word for g in demo_paper.signals.groups]
    order = [Word.LACKING, Word.UNDECIDED, Word.PREDICTED, Word.PROVEN]
    assert words == [w for w in order if w in words]
    assert demo_paper.signals.groups[0].rows[0].name == "Cold store door"


def test_a_device_has_one_strip_and_its_other_signals_in_words(demo_paper: DesignAssessment):
    assert demo_paper.signals is not None
    rows = [r for g in demo_paper.signals.groups for r in g.rows]
    shop = [r for r in rows if r.name == "Shop door"]
    assert [(r.signal, r.others) for r in shop] == [
        ("alarm", ("likewise tamper, supervision and low battery",))
    ]


def test_a_signal_that_fares_otherwise_is_told_apart(demo: Job, judge: Judge):
    assessment = judge(demo)
    changed = tuple(
        dataclasses.replace(s, word=Word.LACKING, why="came as code 130")
        if s.id == "signal:shop_door:tamper"
        else s
        for s in assessment.signals
    )
    paper = build(demo, dataclasses.replace(assessment, signals=changed), for_customer=False)
    assert paper.signals is not None
    row = next(r for r in paper.signals.groups[0].rows if r.name == "Shop door")
    assert row.word is Word.LACKING
    assert "tamper: lacking, came as code 130" in row.others


def test_every_drawn_link_has_its_working(demo_paper: DesignAssessment, demo: Job, judge: Judge):
    sheets = {s.link for s in demo_paper.working}
    worked = {x.id for x in judge(demo).links if x.working}
    assert sheets == worked  # with one repeater every way is drawn
    assert [s.number for s in demo_paper.working] == list(range(1, len(sheets) + 1))


def test_every_note_is_in_the_list_of_sources(demo_paper: DesignAssessment):
    listed = {n.number for n in demo_paper.sources}
    assert listed == set(range(1, len(listed) + 1))
    assert {n.number for s in demo_paper.working for n in s.notes} == listed


def test_findings_name_devices_by_number_and_name(demo_paper: DesignAssessment):
    about = [f.about for f in demo_paper.findings]
    assert "21 Cold store door" in about
    assert not any("cold_store_door" in f.text + f.do for f in demo_paper.findings)


def test_next_steps_of_many_devices_stand_together(
    demo_paper: DesignAssessment, demo: Job, judge: Judge
):
    assert len(demo_paper.steps) < len(judge(demo).next)
    walk = [s for s in demo_paper.steps if s.text.startswith("Walk test it")]
    assert walk
    assert all("signal" in s.about for s in walk)


def test_the_title_block_says_what_a_drawing_says(demo_paper: DesignAssessment, demo: Job):
    block = demo_paper.block
    assert (block.job, block.reference) == (demo.site.name, demo.site.reference)
    assert (block.revision, block.date) == (str(demo.revision), "25 November 2026")
    assert (block.who, block.document) == ("R. Aster", "Design assessment")
    assert demo_paper.hash.startswith(block.hash)


@pytest.mark.parametrize(
    "about",
    ["codes", "rely", "Mains", "Batteries", "Heights", "Drilling", "exposure", "does not show"],
)
def test_cautions_are_on_every_paper(
    demo_paper: DesignAssessment, customer_paper: DesignAssessment, about: str
):
    for paper in (demo_paper, customer_paper):
        assert any(about in c.heading for c in paper.cautions)
        assert any("sees an intruder" in c.text for c in paper.cautions)


def test_the_customers_version_leaves_places_out_and_says_so(customer_paper: DesignAssessment):
    assert customer_paper.signals is None
    for part in ("plans", "findings", "steps", "working", "sources"):
        assert getattr(customer_paper, part) == ()
    assert "left out of this version on purpose" in customer_paper.left_out


def test_the_customers_version_holds_no_name_and_no_place(
    customer_paper: DesignAssessment, demo: Job
):
    said = " ".join(texts(customer_paper))
    site = demo.site
    things = [*site.devices, *site.repeaters, *site.spots, *site.zones, *site.floors]
    for thing in things:
        assert thing.name not in said
        assert thing.id not in said.split()
    places = {d.at for d in site.devices}
    assert not places & set(points(customer_paper))


def test_the_full_version_holds_the_places(demo_paper: DesignAssessment, demo: Job):
    assert {d.at for d in demo.site.devices} <= set(points(demo_paper))


def test_the_customer_gets_plain_words_under_the_strip(customer_paper: DesignAssessment):
    said = " ".join(texts(customer_paper.summary.strip))
    assert "dB" not in said
    assert "by calculation" in said


def test_an_empty_site_is_said_to_be_unknown(empty_job: Job, judge: Judge):
    paper = build(empty_job, judge(empty_job), for_customer=False)
    assert "no devices" in paper.summary.headline
    assert paper.signals is not None
    assert paper.signals.groups == ()
    assert (paper.plans, paper.working) == ((), ())


def test_a_job_without_a_plan_says_so(unplaced_job: Job, judge: Judge):
    paper = build(unplaced_job, judge(unplaced_job), for_customer=False)
    assert paper.plans == ()
    assert "no plan" in paper.no_plan
    assert paper.signals is not None
    assert [g.word for g in paper.signals.groups] == [Word.UNDECIDED]
    assert headline(judge(unplaced_job), {}) == "1 of 21 devices reaches the panel: 1 by wire."


def test_a_wireless_device_without_a_panel_is_not_called_wired(demo: Job, judge: Judge):
    job = demo.model_copy(
        update={"site": demo.site.model_copy(update={"panel": None, "cables": []}), "record": []}
    )
    paper = build(job, judge(job), for_customer=False)
    assert paper.signals is not None
    rows = [r for g in paper.signals.groups for r in g.rows]
    assert [r.name for r in rows if "by wire" in r.zone] == ["Back door"]
    marks = {m.name: m.word for p in paper.plans for m in p.marks if m.what == "device"}
    assert marks["Shop door"] is Word.UNDECIDED
    assert marks["Back door"] is None
