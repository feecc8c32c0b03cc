"""The design assessment as data."""

import dataclasses
import re
from collections.abc import Iterator

import pytest

from pathproof.assess.strip import radio_words
from pathproof.assess.types import Assessment
from pathproof.job import Job
from pathproof.papers import DesignAssessment, build
from pathproof.papers.signal_rows import AlikeRows, SignalRow
from pathproof.papers.summary import headline
from pathproof.papers.working import Calculation
from pathproof.terms import Word

from ._jobs import Judge, with_names


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


def test_what_is_not_shown_and_what_to_do_name_every_kind_of_link(
    demo_paper: DesignAssessment, demo: Job, judge: Judge
):
    said = " ".join(demo_paper.summary.not_shown)
    assert "does not reach the panel" in said
    assessment = judge(demo)
    for link, piece in (
        ("supply", "power supply"),
        ("standby", "battery"),
        ("mobile:main", "mobile signal"),
    ):
        assert (piece in said) is (assessment.link(link).word is not Word.PROVEN)
    assert any("repeater" in step for step in demo_paper.summary.next_steps)


def test_signals_come_unproven_first(demo_paper: DesignAssessment):
    assert demo_paper.signals is not None
    words = [g.word for g in demo_paper.signals.groups]
    order = [Word.LACKING, Word.UNDECIDED, Word.PREDICTED, Word.PROVEN]
    assert words == [w for w in order if w in words]
    assert single_rows(demo_paper)[0].name == "Cold store door"


def single_rows(paper: DesignAssessment) -> list[SignalRow]:
    assert paper.signals is not None
    return [r for g in paper.signals.groups for r in g.rows if isinstance(r, SignalRow)]


def test_signals_of_a_device_that_fare_alike_share_a_strip(demo_paper: DesignAssessment):
    shop = [r for r in single_rows(demo_paper) if r.name == "Shop door"]
    assert [r.signals for r in shop] == ["alarm, tamper, supervision and low battery"]


def wrong_at_centre(job: Job, judge: Judge) -> Assessment:
    """The demo with one tamper signal that came wrongly."""
    assessment = judge(job)
    changed = tuple(
        dataclasses.replace(s, word=Word.LACKING, arrival=Word.LACKING, why="came as code 130")
        if s.id == "signal:shop_door:tamper"
        else s
        for s in assessment.signals
    )
    return dataclasses.replace(assessment, signals=changed)


def test_a_signal_that_fares_otherwise_stands_under_its_own_word(demo: Job, judge: Judge):
    paper = build(demo, wrong_at_centre(demo, judge), for_customer=False)
    assert paper.signals is not None
    lacking, undecided = paper.signals.groups
    assert [r.signals for r in lacking.rows if r.name == "Shop door"] == ["tamper"]
    assert [r.signals for r in undecided.rows if r.name == "Shop door"] == [
        "alarm, supervision and low battery"
    ]


def test_headings_count_the_signals_of_their_word(demo: Job, judge: Judge):
    paper = build(demo, wrong_at_centre(demo, judge), for_customer=False)
    assert paper.signals is not None
    said = {g.word: g.heading for g in paper.signals.groups}
    first = {c.word: c.count for c in paper.summary.counts if c.count}
    assert first[Word.LACKING] == 5  # four of the cold store door, one at the centre
    assert said == {w: f"{w.capitalize()}: {n} signals" for w, n in first.items()}


@pytest.mark.parametrize("for_customer", [False, True])
def test_faults_at_the_centre_have_a_line_of_their_own(demo: Job, judge: Judge, for_customer: bool):
    paper = build(demo, wrong_at_centre(demo, judge), for_customer=for_customer)
    assert "1 signal reached the centre wrongly or not at all." in paper.summary.not_shown


def test_a_reason_that_most_rows_share_is_said_once(demo_paper: DesignAssessment):
    assert demo_paper.signals is not None
    group = next(g for g in demo_paper.signals.groups if g.word is Word.UNDECIDED)
    assert group.why.startswith("Unless a row gives its own reason: ")
    assert sum(r.why == "" for r in group.rows if isinstance(r, SignalRow)) > len(group.rows) / 2


def test_of_many_rows_those_that_look_alike_share_a_strip(demo: Job, judge: Judge):
    job = with_names(demo, "Door", devices=100)
    paper = build(job, judge(job), for_customer=False)
    assert paper.signals is not None
    assert "shortened" in paper.signals.shortened
    keys = []
    for group in paper.signals.groups:
        for row in group.rows:
            if isinstance(row, AlikeRows):
                keys += [r.key for r in row.rows]
                assert {len(r.figures) for r in row.rows} == {len(row.letters)}
            elif row.key:
                keys.append(row.key)
    assert sorted(keys, key=int) == [str(i) for i in range(1, 101)]


def calculations(paper: DesignAssessment) -> tuple[Calculation, ...]:
    assert paper.working is not None
    return paper.working.calculations


def test_every_drawn_link_has_its_working(demo_paper: DesignAssessment, demo: Job, judge: Judge):
    sheets = {s.link for s in calculations(demo_paper)}
    worked = {x.id for x in judge(demo).links if x.working}
    assert sheets == worked - {"supply", "standby"}  # with one repeater every way is drawn
    assert demo_paper.power is not None
    sums = dict(zip(("standby", "supply"), demo_paper.power.sums, strict=True))
    assert {link for link, s in sums.items() if s.rows} == worked & {"supply", "standby"}
    assert [s.number for s in calculations(demo_paper)] == list(range(1, len(sheets) + 1))


def test_every_note_is_in_the_list_of_sources(demo_paper: DesignAssessment):
    listed = {n.number for n in demo_paper.sources}
    assert listed == set(range(1, len(listed) + 1))
    assert demo_paper.centre is not None
    used = {n.number for s in calculations(demo_paper) for n in s.notes}
    for antenna in demo_paper.centre.antennas.rows:
        used |= {n for row in (*antenna.sum, *antenna.distance_sum) for n in row.notes}
    networks = demo_paper.centre.networks
    assert networks is not None
    for row in networks.networks:
        used |= set(map(int, re.findall(r"\d+", row.explained.rpartition("(Sources ")[2])))
    power = demo_paper.power
    assert power is not None
    used |= {n for rows in (*(s.rows for s in power.sums), power.calendar.battery) for row in rows
             for n in row.notes}  # fmt: skip
    tables = [power.calendar.cells, *(s.cables for s in power.sums)]
    formulas = [table.formulas for table in tables if table is not None]
    for said in (*(r.sources for r in power.loads.rows), *formulas):
        used |= numbers_in(said.rpartition("(Sources ")[2])
    assert used == listed


def numbers_in(said: str) -> set[int]:
    """Numbers of sources as they are printed, such as "3, 5–7"."""
    ends = [(a, b or a) for a, b in re.findall(r"(\d+)(?:–(\d+))?", said)]
    return {n for a, b in ends for n in range(int(a), int(b) + 1)}


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


def test_the_first_sheet_has_the_same_steps_in_the_same_order(demo_paper: DesignAssessment):
    numbers = []
    for said in demo_paper.summary.next_steps:
        numbers += [int(n) for n in re.findall(r"\d+", said.partition("step")[2])]
    assert numbers == list(range(1, len(demo_paper.steps) + 1))
    walk = next(x for x in demo_paper.summary.next_steps if x.startswith("Walk-test"))
    step = next(s for s in demo_paper.steps if s.text.startswith("Walk test it"))
    assert f"({step.devices} devices" in walk


def test_the_customer_reads_what_a_customer_can_do(customer_paper: DesignAssessment):
    said = " ".join(customer_paper.summary.next_steps)
    for words in ("Do not rely on", "our visit", "Call us"):
        assert words in said
    for work in ("repeater", "Walk-test", "antenna", "step"):
        assert work not in said


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
    assert customer_paper.working is None
    for part in ("plans", "findings", "steps", "sources", "record"):
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


def test_the_customer_gets_plain_words_under_the_strip(
    customer_paper: DesignAssessment, demo: Job, judge: Judge
):
    said = " ".join(texts(customer_paper.summary.strip))
    plain = {Word.PROVEN: "shown by test", Word.PREDICTED: "by calculation"}
    assert "dB" not in said
    assert plain[judge(demo).link("mobile:main").word] in said


def test_an_empty_site_is_said_to_be_unknown(empty_job: Job, judge: Judge):
    paper = build(empty_job, judge(empty_job), for_customer=False)
    assert "no devices" in paper.summary.headline
    assert paper.signals is not None
    assert paper.signals.groups == ()
    assert (paper.plans, calculations(paper), paper.record) == ((), (), ())


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
    assert [r.name for r in single_rows(paper) if "by wire" in r.zone] == ["Back door"]
    marks = {m.name: m.word for p in paper.plans for m in p.marks if m.what.startswith("device")}
    assert marks["Shop door"] is Word.UNDECIDED
    assert marks["Back door"] is None
