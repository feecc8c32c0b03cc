"""Communicator, network and antenna on paper, and what a customer reads of them."""

import dataclasses
import re
from collections.abc import Sequence
from datetime import date

import pytest

from pathproof.assess.choice import (
    Antenna,
    Choice,
    Offer,
    Ranked,
    Reason,
    Rule,
    SecondPath,
    SetAside,
)
from pathproof.assess.retirements import NOTHING_KNOWN
from pathproof.assess.types import Action, Assessment
from pathproof.job import Job
from pathproof.papers import DesignAssessment, build, choice_rows, render
from pathproof.papers._text import NO_BREAK
from pathproof.papers.centre_sheet import CentreSheet
from pathproof.papers.choice_rows import NEXT_BEST, ChoiceRows
from pathproof.papers.names import Names
from pathproof.papers.working import WorkRow
from pathproof.terms import SimKind, Technology, Word

from ._jobs import Judge, mobile_job
from .test_render import assert_in_bounds, read

FITTED = Offer(
    part="lte_cat1_module", service="fixed_card", sim_kind=SimKind.FIXED, networks=("001-01",)
)
OTHER = dataclasses.replace(FITTED, part="lte_m_module")
ROAMING = dataclasses.replace(
    FITTED, service="roaming_card", sim_kind=SimKind.ROAMING, networks=("001-01", "001-02")
)
PARTS = {
    "antenna": "whip_antenna",
    "feeder": {"part": "coax_rg58c", "length_m": 5.0, "connectors": 2},
}


def ranked(offer: Offer, *reasons: str, fitted: bool = False, tied: bool = False) -> Ranked:
    return Ranked(
        offer=offer,
        spot="hall",
        antenna=Antenna(),
        margin_db=12.3,
        network=offer.networks[0],
        spread_db=6.0,
        yearly_cost=84.0,
        fitted=fitted,
        tied=tied,
        second=None,
        reasons=reasons,
        open=(),
    )


def aside(offer: Offer, *needs: str) -> SetAside:
    return SetAside(
        offer=offer,
        reasons=tuple(
            Reason(rule=Rule.COUNTRY, text=f"is not allowed {n}", would_need=f"leave {n}")
            for n in needs
        ),
    )


def choice(
    *of: Ranked,
    undecided: Sequence[SetAside] = (),
    rejected: Sequence[SetAside] = (),
    read_first: Sequence[str] = (),
) -> Choice:
    return Choice(
        ranked=of,
        undecided=tuple(undecided),
        rejected=tuple(rejected),
        read_first=tuple(read_first),
    )


def full(job: Job, judge: Judge, found: Choice | None) -> DesignAssessment:
    assessment = dataclasses.replace(judge(job), choice=found)
    return build(job, assessment, for_customer=False)


def centre(job: Job, judge: Judge, found: Choice | None = None) -> CentreSheet:
    sheet = full(job, judge, found).centre
    assert sheet is not None
    return sheet


def told(judge: Judge, found: Choice | None) -> ChoiceRows:
    return centre(mobile_job(), judge, found).choice


def customer(job: Job, judge: Judge) -> str:
    return " ".join(build(job, judge(job), for_customer=True).centre_plain)


# ---- the communicator ---------------------------------------------------------------------


def test_a_communicator_is_told_with_card_antenna_and_spot(judge: Judge):
    (row,) = centre(mobile_job(**PARTS, service="fixed_card"), judge).communicators
    facts = {f.heading: f.text for f in row.facts}
    assert facts["service"].endswith("(fixed_card)")
    assert row.heading == "Main path, communicator main"
    assert facts["part"].endswith("(lte_cat1_module)")
    assert facts["card"] == "fixed, may use 001-01"
    assert re.search(
        r"\(whip_antenna\) on 5 m of .*\(coax_rg58c\), 2 connector pairs$", facts["antenna"]
    )
    assert facts["spot"] == "S1 Hall"


def test_its_strip_and_word_are_those_of_its_links(judge: Judge):
    job = mobile_job(read=[("hall", "001-01", -95.0)])
    (row,) = centre(job, judge).communicators
    link = judge(job).link("mobile:main")
    assert row.word is link.word is Word.PREDICTED
    assert row.why == link.why
    assert row.strip.alt.startswith("main: undecided. mobile predicted, ")
    labels = [s.text for s in row.strip.shapes if hasattr(s, "text")]
    assert {"panel", "network", "centre"} <= set(labels)


def test_what_is_missing_is_said_once(judge: Judge):
    (row,) = centre(mobile_job(), judge).communicators
    assert row.word is Word.UNDECIDED
    assert "mobile undecided, something is missing" in row.strip.alt
    assert row.why not in row.strip.notes


def test_what_proves_it_or_the_next_step_is_told(judge: Judge):
    job = mobile_job(read=[("hall", "001-01", -95.0)])
    assessment = judge(job)
    link = assessment.link("mobile:main")
    proven = dataclasses.replace(link, word=Word.PROVEN, evidence=("r0",))
    step = Action(about="main", signals=(), link=link.id, text="Read at the spot (hall).")
    for changed, said in (
        ({"links": (*(x for x in assessment.links if x is not link), proven)}, "Proven by r0 of"),
        ({"next": (step,)}, "Next: Read at the spot (S1)."),
    ):
        paper = build(job, dataclasses.replace(assessment, **changed), for_customer=False)
        assert paper.centre is not None
        assert paper.centre.communicators[0].shown_by.startswith(said)


def test_a_site_with_nothing_to_choose_by_has_no_such_sheet(empty_job: Job, judge: Judge):
    assert build(empty_job, judge(empty_job), for_customer=False).centre is None


# ---- the choice ---------------------------------------------------------------------------


def test_without_a_choice_the_sheet_says_how_to_keep_one(judge: Judge):
    assert "pathproof choose JOB --take N" in told(judge, None).verdict


def test_the_fitted_offer_comes_first_with_all_its_reasons(judge: Judge):
    found = told(judge, choice(ranked(FITTED, "cheap", "near", fitted=True), ranked(OTHER, "dear")))
    assert found.verdict == "What is fitted is the first of 2 offers that meet every rule."
    fitted, other = found.ranked
    assert fitted.fitted
    assert (fitted.number, fitted.says) == ("1", ("Cheap.", "Near."))
    assert fitted.margin == "+12 dB on 001-01"
    assert fitted.cost == "84.00 EUR"
    assert other.says == ("Dear.",)
    assert other.hung == "Hung the same way"


@pytest.mark.parametrize(
    ("second_cost", "has", "cost"),
    [
        (56.0, True, "84.00 and 56.00, together 140.00 EUR"),
        (None, False, "main path 84.00 EUR a year, second path not known"),
    ],
)
def test_an_offer_with_a_second_path_tells_what_both_cost(
    judge: Judge, second_cost: float | None, has: bool, cost: str
):
    second = SecondPath(offer=OTHER, yearly_cost=second_cost, fitted=has)
    row, *_ = told(judge, choice(dataclasses.replace(ranked(FITTED), second=second))).ranked
    assert row.cost == cost
    (said,) = (x for x in row.says if "econd path beside it" in x)
    assert said.endswith("which the site has.") == has


def test_a_page_has_room_for_every_offer_in_its_order(judge: Judge):
    job = mobile_job()
    offers = [ranked(OTHER, f"place {i}") for i in range(2 * NEXT_BEST)]
    found = choice(*offers, ranked(FITTED, "last", fitted=True))
    rows = choice_rows.choice_rows(job, found, Names(job, judge(job)), every=True)
    assert [row.number for row in rows.ranked] == [str(1 + i) for i in range(2 * NEXT_BEST + 1)]
    assert rows.ranked[-1].fitted
    assert rows.further == ""


def test_what_nothing_is_known_of_is_said_once(judge: Judge):
    # The table of what ends holds what the fitted communicator uses: LTE of 001-01.
    unknown = [f"{name}: {NOTHING_KNOWN}" for name in ("001-01 LTE", "001-02 LTE", "service of x")]
    found = told(judge, choice(ranked(FITTED, "cheap", *unknown, fitted=True)))
    assert found.ranked[0].says == (
        "Cheap.",
        "Nothing is known of the end of 001-02 LTE and service of x.",
    )


def test_what_is_open_is_told_once(judge: Judge):
    where = Reason(rule=Rule.COUNTRY, text="nobody says where", would_need="ask where")
    when = Reason(rule=Rule.READINGS, text="nobody read it", would_need="read it")
    first = dataclasses.replace(ranked(FITTED, "cheap", fitted=True), open=(where, when))
    found = told(judge, choice(first, read_first=["Ask where."]))
    assert found.ask_first == ("Ask where.",)
    assert found.ranked[0].says == ("Cheap.", "Not known: nobody read it; read it.")


def test_a_fitted_offer_that_is_not_the_first_is_said_plainly(judge: Judge):
    found = told(judge, choice(ranked(OTHER), ranked(FITTED, "dearer", fitted=True)))
    assert found.verdict.startswith("What is fitted is not the first: it is number 2 of 2 offers")
    assert [r.number for r in found.ranked] == ["2", "1"]


def test_a_tie_is_said_as_a_tie(judge: Judge):
    found = told(judge, choice(ranked(FITTED, fitted=True, tied=True), ranked(OTHER, tied=True)))
    assert "Nobody can tell it from 1 other: a tie." in found.verdict
    assert found.ranked[1].says == ("A tie with the first.",)


@pytest.mark.parametrize(
    ("found", "said", "warn"),
    [
        (
            choice(ranked(OTHER), rejected=[aside(FITTED, "here")]),
            "What is fitted does not fit: is not allowed here (needed: leave here). The first",
            True,
        ),
        (
            choice(rejected=[aside(dataclasses.replace(FITTED, service=None), "here")]),
            "What is fitted does not fit: is not allowed here (needed: leave here). No offer",
            True,
        ),
        (
            choice(ranked(OTHER), undecided=[aside(FITTED, "here")]),
            "What is fitted cannot be told yet: is not allowed here",
            False,
        ),
        (choice(ranked(OTHER)), "What is fitted is not among what was considered. The", False),
        (
            choice(ranked(OTHER), ranked(FITTED)),
            "Part and card that are fitted are number 2 of 2 offers that meet every rule, though",
            False,
        ),
    ],
)
def test_what_is_fitted_is_judged_in_words(judge: Judge, found: Choice, said: str, warn: bool):
    rows = told(judge, found)
    assert rows.verdict.startswith(said)
    assert rows.warn is warn


def test_offers_beyond_the_next_best_are_counted(judge: Judge):
    others = [ranked(dataclasses.replace(OTHER, networks=(f"001-{i:02}",))) for i in range(17)]
    found = told(judge, choice(ranked(FITTED, fitted=True), *others))
    assert len(found.ranked) == 1 + NEXT_BEST
    assert found.further == "And 14 more offers that meet every rule."


def test_set_aside_offers_are_grouped_with_what_each_would_take(judge: Judge):
    on = [dataclasses.replace(OTHER, networks=(code,)) for code in ("001-01", "001-02")]
    found = told(judge, choice(rejected=[aside(o, "here") for o in on]))
    (table,) = found.aside
    assert table.heading == "Rejected: 2 offers"
    (row,) = table.rows
    assert row.parts.endswith("(lte_m_module)")
    (reason,) = row.reasons
    assert reason.on == "fixed_card on 001-01 or 001-02"
    assert (reason.text, reason.would_need) == ("Is not allowed here.", "Leave here.")


def test_long_names_of_parts_do_not_fill_their_column(
    judge: Judge, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("pathproof.papers.choice_rows.PART_CHARACTERS", 8)
    (table,) = told(judge, choice(rejected=[aside(OTHER, "here")])).aside
    name, _, in_brackets = table.rows[0].parts.rpartition(" ")
    assert in_brackets == "(lte_m_module)"
    assert len(name) <= 8
    assert name.endswith("\N{HORIZONTAL ELLIPSIS}")
    monkeypatch.setattr("pathproof.papers.choice_rows.MOST_PARTS", 1)
    (table,) = told(judge, choice(rejected=[aside(OTHER, "x"), aside(FITTED, "x")])).aside
    assert table.rows[0].parts.endswith(" and 1 more")


def test_where_set_aside_offers_would_stand_is_told_by_card(judge: Judge):
    cheap, dear = ("would come first", "would stand after the first")
    fixed, roaming = aside(OTHER, "here"), aside(dataclasses.replace(ROAMING, part=OTHER.part), "x")
    one = [dataclasses.replace(fixed, then=cheap)]
    two = [*one, dataclasses.replace(roaming, then=dear)]
    for rejected, said in (
        ([fixed], ""),
        (one, f"With all of that: {cheap}."),
        (two, f"With all of that: fixed_card {cheap}; roaming_card {dear}."),
        (
            [*one, dataclasses.replace(one[0], offer=FITTED, then=dear)],
            f"With all of that: lte_m_module with fixed_card {cheap}; lte_cat1_module with "
            f"fixed_card {dear}.",
        ),
    ):
        (table,) = told(judge, choice(rejected=rejected)).aside
        assert [r.then for r in table.rows] == [said]


def test_no_set_aside_offer_is_lost_in_silence(judge: Judge, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(choice_rows, "MOST_BLOCKS", 2)
    parts = ["lte_cat1_module", "lte_m_module", "nb_iot_module"]
    every = [
        aside(dataclasses.replace(OTHER, part=part), *(f"{x}, {number}" for x in "abcdefghi"))
        for number, part in enumerate(parts)
    ]
    (table,) = told(judge, choice(undecided=every)).aside
    assert table.heading == "Cannot be told yet: 3 offers"
    assert [len(r.reasons) for r in table.rows] == [5, 5]
    assert {r.further for r in table.rows} == {"And 4 more reasons."}
    assert table.further == (
        "And 1 more offer; pathproof choose JOB --all shows them. All 3 by the first rule that "
        "each does not meet: country 3."
    )


# ---- networks and spots -------------------------------------------------------------------


def test_a_cell_holds_level_margin_and_number_of_readings(judge: Judge):
    # LTE needs -115 dBm and 10 dB of fade margin (house figures, practice): -95 - (-105) = +10 dB.
    read = [("hall", "001-01", -95.0), ("hall", "001-02", -110.5)]
    found = centre(mobile_job(read=read), judge).networks
    assert found is not None
    (table,) = found.tables
    assert table.networks == (("001-01",), ("001-02",))
    (row,) = table.rows
    assert (row.key, row.name) == ("S1", "Hall")
    cells = tuple(tuple(line.replace(NO_BREAK, " ") for line in cell) for cell in row.cells)
    assert cells == (("LTE −95, +10 dB, n = 1",), ("LTE −110.5, −5.5 dB, n = 1",))
    assert row.winner.startswith("001-01 by 16 dB over 001-02, ")
    assert found.nothing.startswith("Nothing that counts was read at S2 Loft.")
    assert "Nothing that counts was read of 999-70." in found.nothing


def test_a_network_that_was_not_read_at_a_spot_says_so(judge: Judge):
    read = [("hall", "001-01", -95.0), ("loft", "001-02", -90.0)]
    found = centre(mobile_job(read=read), judge).networks
    assert found is not None
    hall, loft = found.tables[0].rows
    assert hall.cells[1] == ("not read",)
    assert loft.cells[1] != ("not read",)


def test_what_explains_a_difference_stands_with_its_sources(judge: Judge):
    read = [("hall", "001-01", -118.0), ("loft", "001-01", -80.0)]
    paper = full(mobile_job(read=read), judge, None)
    assert paper.centre is not None
    assert paper.centre.networks is not None
    (row,) = paper.centre.networks.networks
    assert row.best.startswith("Loft by 38 dB over Hall, ")
    assert "38 dB between Loft and Hall (LTE, band 20): more than 2 places" in row.explained
    numbers = re.findall(r"\d+", row.explained.rpartition("(Sources ")[2])
    listed = {str(n.number): n.text for n in paper.sources}
    assert any("P.2109" in listed[n] for n in numbers)
    assert paper.centre.networks.usual.startswith("80 % of indoor places span 19 dB in ")


def test_what_places_inside_span_is_told_once(judge: Judge):
    codes = ("001-01", "001-02")
    read = [(s, c, v) for c in codes for s, v in (("hall", -118.0), ("loft", -80.0))]
    found = centre(mobile_job(read=read), judge).networks
    assert found is not None
    assert [n.explained.count("more than 2 places") for n in found.networks] == [1, 1]
    assert found.usual.count("P.2109-2") == 1


def test_spots_of_one_name_are_told_apart_by_their_signs(judge: Judge):
    read = [("hall", "001-01", -99.0), ("loft", "001-01", -61.0)]
    job = mobile_job(read=read, name="Same", technologies=["lte"])
    paper = build(job, judge(job), for_customer=False)
    assert paper.centre is not None
    assert paper.centre.networks is not None
    (row,) = paper.centre.networks.networks
    assert row.best.startswith("Same (S2) by 38 dB over Same (S1), ")
    assert "38 dB between Same (S2) and Same (S1) (LTE, band 20)" in row.explained


def test_usual_differences_are_counted(judge: Judge):
    # Indoor places of a traditional building span 19 dB at 806 MHz (P.2109-2): 19 dB is usual.
    read = [("hall", "001-01", -99.0), ("loft", "001-01", -80.0)]
    found = centre(mobile_job(read=read), judge).networks
    assert found is not None
    assert found.usual.startswith("One more difference is not unusual")
    assert "P.2109" not in found.networks[0].explained


def test_more_networks_than_fit_across_stand_in_a_further_table(judge: Judge):
    codes = [f"001-{i:02}" for i in range(1, 9)]
    read = [("hall", code, -95.0) for code in codes]
    found = centre(mobile_job(codes=codes, read=read), judge).networks
    assert found is not None
    assert [len(t.networks) for t in found.tables] == [6, 2]
    assert [bool(t.rows[0].winner) for t in found.tables] == [True, False]


# ---- antenna and distance -----------------------------------------------------------------


def rows_by_label(rows: Sequence[WorkRow]) -> dict[str, str]:
    return {r.label: f"{r.whole}{r.fraction} {r.unit}" for r in rows}


def test_the_sum_of_antenna_and_feeder_can_be_followed(judge: Judge):
    # By hand at 1880 MHz, upper end of band 3's downlink: RG-58C class 1.3195 sqrt(f) + 0.02881 f
    # = 57.21 + 54.16 = 111.4 dB/100 m, so 5.57 dB in 5 m; two pairs of 0.5 dB; VSWR 2 loses
    # -10 log10(1 - 1/9) = 0.51 dB; the whip has 2 dBi. Left: 2 - 5.57 - 1 - 0.51 = -5.08 dB.
    (row,) = centre(mobile_job(**PARTS), judge).antennas.rows
    found = rows_by_label(row.sum)
    assert found["Antenna and feeder at 1880 MHz"] == "−5.08 dB"
    losses = [v for label, v in found.items() if label.startswith("Loss of Coaxial")]
    assert losses == ["5.57 dB"]
    # Break-even by hand: (2 - (-2) - 1 - 0.5115) / 1.1138 dB per metre = 2.23 m.
    assert [v for label, v in found.items() if "stops helping" in label] == ["2.23 m"]
    assert any("in band 20, of use up to" in text for text in row.further)


def test_every_figure_of_the_sum_is_put_in(judge: Judge):
    (row,) = centre(mobile_job(**PARTS), judge).antennas.rows
    said = " ".join(r.arithmetic for r in row.sum)
    assert "2 × 0.50 dB" in said
    assert "max(0, 2.00 dBi − (−2.00 dBi) − 1.51 dB)" in said


def test_a_built_in_antenna_needs_no_words_on_plugs(judge: Judge):
    antennas = centre(mobile_job(), judge).antennas
    assert antennas.care == ""
    (only,) = antennas.rows[0].sum
    assert only.label.startswith("Gain of the own antenna of ")
    assert centre(mobile_job(**PARTS), judge).antennas.care


def test_the_distance_to_people_stands_with_its_rule(judge: Judge):
    (row,) = centre(mobile_job(), judge).antennas.rows
    assert row.distance.startswith("People should keep at least 20 cm from the antenna")
    assert "Far-field distance, ICNIRP 2020, general public, whole body" in rows_by_label(
        row.distance_sum
    )
    assert row.distance_sum[-1].label.startswith("Distance to keep, rounded up")


# ---- what ends ----------------------------------------------------------------------------

ENDS = {
    "network": "001-01",
    "technology": "lte",
    "ends_on": "2029-07-01",
    "source": {"ref": "Letter of the operator", "evidence": "restated"},
}


def test_what_ends_is_dated_with_its_source(judge: Judge):
    (found,) = centre(mobile_job(retirements=[ENDS]), judge).endings
    assert found.warn
    assert found.heading.startswith("What ends when: communicator main, to serve until 25 Nov")
    assert found.why == "Its last network counts as gone from 1 July 2029."
    first = found.rows[0]
    assert (first.on, first.what) == ("1 July 2029", "001-01 LTE")
    assert first.source == "Letter of the operator, restated"
    assert first.left == "nothing"


def test_what_nobody_knows_the_end_of_is_not_said_to_last(judge: Judge):
    (found,) = centre(mobile_job(), judge).endings
    assert not found.warn
    assert found.why == ""
    assert found.unknown.startswith("Nothing is known of the end of 001-01 LTE")


def test_names_of_technologies_do_not_mix(judge: Judge):
    far = {**ENDS, "ends_on": "2050-01-01"}
    rows = [{**far, "technology": technology} for technology in ("lte", "lte_m")]
    job = mobile_job(part="lte_m_module", technologies=["lte", "lte_m"], retirements=rows)
    technologies = [Technology.LTE, Technology.LTE_M]
    part = job.part("lte_m_module").model_copy(
        update={"technologies": technologies, "platform_ends": date(2050, 1, 1)}
    )
    job.embedded.catalogue[part.id] = part
    (found,) = centre(job, judge).endings
    assert "the service life: 001-01 LTE, 001-01 LTE-M, service of" in found.why
    assert [r.what for r in found.rows][:2] == ["001-01 LTE", "001-01 LTE-M"]


# ---- the customer -------------------------------------------------------------------------


def test_the_customer_reads_network_switch_off_and_distance(judge: Judge):
    said = customer(mobile_job(retirements=[ENDS]), judge)
    assert "Your alarm is to travel over the mobile network 001-01." in said
    assert "001-01 LTE is to be switched off from 1 July 2029 on." in said
    assert "nothing would be left from 1 July 2029 on" in said
    assert "nearer than 20 cm to the antenna" in said


def test_only_a_proven_link_is_said_to_carry_the_alarm(judge: Judge):
    job = mobile_job(read=[("hall", "001-01", -95.0)])
    assessment = judge(job)
    link = assessment.link("mobile:main")
    for word, said in ((Word.PROVEN, "travels"), (Word.LACKING, "is to travel")):
        links = [dataclasses.replace(x, word=word) if x is link else x for x in assessment.links]
        changed = dataclasses.replace(assessment, links=tuple(links))
        first = build(job, changed, for_customer=True).centre_plain[0]
        assert first == f"Your alarm {said} over the mobile network 001-01."


def test_the_customer_is_not_alarmed_by_what_is_left(judge: Judge):
    # The fitted module speaks GSM too, and nothing is known of LTE; its service outlasts ten years.
    job = mobile_job(technologies=["lte", "gsm"], retirements=[{**ENDS, "technology": "gsm"}])
    said = customer(job, judge)
    assert "001-01 GSM is to be switched off from 1 July 2029 on." in said
    assert "By what is known the system has other ways left then" in said
    assert "nothing would be left" not in said


def test_a_customer_whose_network_may_be_gone_is_warned(judge: Judge):
    said = customer(mobile_job(retirements=[{**ENDS, "ends_on": "2026-01-01"}]), judge)
    assert "001-01 LTE may be switched off already." in said
    assert "do not rely on the system until we have looked into it" in said


def test_the_customer_reads_of_a_service_that_ends_without_the_parts_id(judge: Judge):
    # The shipped part's platform is promised until the end of 2027.
    said = customer(mobile_job(part="gsm_module"), judge)
    assert "A service behind your system is to be switched off from 31 December 2027 on." in said
    assert "gsm_module" not in said


def test_the_customer_reads_no_place_and_nothing_rejected(judge: Judge):
    job = mobile_job(read=[("hall", "001-01", -95.0)])
    found = choice(rejected=[aside(OTHER, "here")])
    paper = build(job, dataclasses.replace(judge(job), choice=found), for_customer=True)
    assert paper.centre is None
    said = " ".join(paper.centre_plain)
    for hidden in ("Hall", "hall", "lte_m_module", "not allowed"):
        assert hidden not in said


def test_a_customer_whose_card_is_not_chosen_is_told_so(judge: Judge):
    assert "is not chosen yet" in customer(mobile_job(sim=None), judge)


# ---- the pages ----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def crowded(judge: Judge) -> tuple[Job, Assessment]:
    """Ten networks, 20 spots, 60 offers, names of 60 characters."""
    codes = [f"001-{i:02}" for i in range(1, 11)]
    spots = [f"spot_{i}" for i in range(20)]
    read = [(s, c, -80.0 - 2.0 * i) for i, s in enumerate(spots[:19]) for c in codes]
    job = mobile_job(codes=codes, spots=spots, read=read, name="Wiederkehrende " * 4, **PARTS)
    offers = [
        dataclasses.replace(FITTED, part=part, networks=(code,))
        for part in ("lte_cat1_module", "lte_m_module", "nb_iot_module")
        for code in codes
    ]
    found = choice(
        ranked(FITTED, "cheap", fitted=True),
        *(ranked(o, "dearer than the first") for o in offers[1:10]),
        undecided=[aside(o, "x " * 40) for o in offers[10:20]],
        rejected=[aside(o, *(f"reason {i}" for i in range(7))) for o in offers],
    )
    return job, dataclasses.replace(judge(job), choice=found)


def test_crowded_pages_stay_in_bounds_and_few(crowded: tuple[Job, Assessment]):
    pdf = render(build(*crowded, for_customer=False))
    assert_in_bounds(pdf)
    pages = read(pdf)
    first = next(i for i, p in enumerate(pages) if "Communicator, network and antenna" in p)
    last = next(i for i, p in enumerate(pages) if "What ends when" in p)
    assert last - first < 7
    assert "And 6 more offers that meet every rule." in " ".join(pages)


def test_the_same_choice_gives_the_same_bytes(crowded: tuple[Job, Assessment]):
    one, two = (render(build(*crowded, for_customer=False)) for _ in range(2))
    assert one == two


def test_the_sheet_is_on_paper(judge: Judge):
    job = mobile_job(read=[("hall", "001-01", -95.0)], **PARTS)
    found = choice(ranked(FITTED, "cheap", fitted=True), rejected=[aside(OTHER, "here")])
    whole = " ".join(read(render(full(job, judge, found))))
    for piece in (
        "Communicator, network and antenna",
        "What is fitted is the first of 1 offer that meets every rule.",
        "Fitted: ",
        "Rejected: 1 offer",
        "LTE −95",
        "Antenna and feeder at 862 MHz",
        "Band 20 was read of the network that decides.",
        "People should keep at least",
        "What ends when",
    ):
        assert piece in whole


def test_the_customers_sentences_are_on_paper(judge: Judge):
    job = mobile_job()
    pages = read(render(build(job, judge(job), for_customer=True)))
    assert "The way to the monitoring centre" in pages[0]
    assert "Your alarm is to travel over the mobile network 001-01." in pages[0]
