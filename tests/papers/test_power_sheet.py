"""Power on paper: loads, standby, supply, what is replaced when; what a customer reads of it."""

import dataclasses
import re
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from pathproof.assess.context import Context
from pathproof.assess.power import load_schedule, write_loads
from pathproof.assess.power.supply import supply_link
from pathproof.assess.sheet import Sheet
from pathproof.assess.types import Action, Assessment, Consumable, Line, Replacement
from pathproof.calc.sources import Source
from pathproof.job import Job
from pathproof.papers import DesignAssessment, build, render
from pathproof.papers.cautions import cautions
from pathproof.papers.load_rows import LoadTable
from pathproof.papers.names import Names
from pathproof.papers.power_sheet import PowerSheet, PowerSum
from pathproof.terms import Evidence, Word

from ..assess.power._power_jobs import b1_job, power_job
from ._jobs import AS_OF, Judge, with_names
from .test_render import assert_in_bounds, read

FORM = Source(ref="Form of the tests", evidence=Evidence.PRACTICE)
MODULE: dict[str, Any] = {
    "kind": "communicator",
    "id": "module",
    "technologies": ["lte"],
    "bands": ["20"],
    "draws": [
        {"technology": "lte", "idle_a": 0.01, "report_a": 0.2, "report_s": 9.0, "peak_a": 0.8}
    ],
}
REPORTING = {"interval_s": 1800.0, "misses": 3, "timeout_s": 20.0, "category": "SP4"}
# Cells of the worked example (1500 mAh, 5 uA, 20 mA for 0.1 s, 1 % lost a year): with 100 messages
# a day by the profile and 100 of supervision, 1350 / (43.8 + 2 * 20.278 + 15) = 13.5876 years,
# then the shelf life of 10 years. Computed in two ways.
CONTACT: dict[str, Any] = {
    "kind": "detector",
    "id": "contact",
    "name": "Contact",
    "what": "contact",
    "radio": {"family": "f868", "frequency_hz": 868.42e6, "eirp_dbm": 0.0},
    "supervision_interval_s": 864.0,
    "cell": {
        "designation": "CR17345",
        "capacity_ah": 1.5,
        "sleep_current_a": 5e-6,
        "message_current_a": 0.020,
        "message_s": 0.1,
    },
}


def module_job(**site: Any) -> Job:
    """A panel with one module that reports every half an hour."""
    here = {"communicators": [{"id": "main", "part": "module"}], "reporting": REPORTING, **site}
    return power_job([MODULE], **here)


def contacts_job(*fitted_on: str | None) -> Job:
    """A contact for each of these dates."""
    devices = [
        {"id": f"c{i}", "name": f"Door {i}", "part": "contact", "cells_fitted_on": on}
        for i, on in enumerate(fitted_on)
    ]
    return power_job([CONTACT], devices=devices)


def full(job: Job, assessment: Assessment) -> DesignAssessment:
    return build(job, assessment, for_customer=False)


def sheet(job: Job, assessment: Assessment) -> PowerSheet:
    found = full(job, assessment).power
    assert found is not None
    return found


def loads(job: Job, judge: Judge) -> LoadTable:
    return sheet(job, judge(job)).loads


def with_link(assessment: Assessment, link_id: str, **changes: Any) -> Assessment:
    """The assessment with one link told otherwise."""
    links = (dataclasses.replace(x, **changes) if x.id == link_id else x for x in assessment.links)
    return dataclasses.replace(assessment, links=tuple(links))


def power_sum(job: Job, assessment: Assessment, starts: str) -> PowerSum:
    return next(s for s in sheet(job, assessment).sums if s.heading.startswith(starts))


# ---- what takes current -------------------------------------------------------------------


def test_the_published_list_of_parts_adds_up_as_printed(judge: Judge):
    # A quiz of a trade magazine on standby batteries: 0.5264 A and 3.6082 A in all, of it 37
    # detectors of 0.3 mA each and 10 speaker-strobes of 0.2 A each in alarm.
    table = loads(b1_job(), judge)
    rows = {r.name: r for r in table.rows}
    assert (table.standby, table.alarm) == ("0.5264", "3.6082")
    assert table.missing == ""
    detectors = rows["detector"]
    assert detectors.count == 37
    assert (detectors.standby_each, detectors.standby) == ("0.0003", "0.0111")
    assert (rows["speaker_strobe"].alarm_each, rows["speaker_strobe"].alarm) == ("0.20", "2.00")
    assert sum(r.count for r in table.rows) == 1 + 3 + 3 + 37 + 10 + 10 + 2 + 10


def test_printed_rows_add_up_to_the_printed_sums(judge: Judge):
    table = loads(b1_job(), judge)
    assert sum(float(r.standby) for r in table.rows) == pytest.approx(float(table.standby))
    assert sum(float(r.alarm) for r in table.rows) == pytest.approx(float(table.alarm))


def test_of_many_things_of_a_part_the_numbers_stand(judge: Judge):
    rows = {r.name: r for r in loads(b1_job(), judge).rows}
    assert rows["module_large"].things == "1–3"
    assert rows["strobe_large"].things == "64 strobe_large 0, 65 strobe_large 1"
    assert rows["detector"].things == "7–43"


def test_numbers_of_things_of_all_kinds(judge: Judge):
    devices = [{"id": f"d{i}", "name": f"Door {i}", "part": "contact"} for i in range(1, 5)]
    job = power_job([MODULE, CONTACT], devices=devices)
    names = Names(job, judge(job))
    assert names.places(["d1", "d2", "d4", "main"]) == "1, 2, 4, main"


def test_a_module_says_where_its_current_comes_from(judge: Judge):
    # By hand: 10 mA, and 200 mA for 9 s in each half an hour: 0.01 + 0.2 * 9 / 1800 = 0.011 A.
    row = loads(module_job(), judge).rows[-1]
    assert row.things == "Module"
    assert row.standby == "0.011"
    assert row.burst == "0.80"
    assert row.reports == ("idle with reports by LTE: 0.01 A + 0.20 A × min(1, 9.00 s / 1800.00 s)")


def test_a_current_that_nobody_tells_is_marked_and_the_sum_is_at_least(judge: Judge):
    blank = {"kind": "detector", "id": "blank", "what": "other"}
    job = power_job([blank], devices=[{"id": "d1", "name": "Blank", "part": "blank"}])
    table = loads(job, judge)
    assert (table.rows[-1].standby_each, table.rows[-1].alarm) == ("not known", "not known")
    assert (table.standby, table.alarm) == ("at least 0.10", "at least 0.40")
    assert table.missing.startswith("The sums are too low")


def test_a_site_without_a_panel_says_that_it_is_not_in_the_table(judge: Judge):
    table = loads(module_job(panel=None), judge)
    assert table.missing.endswith("Not in the table is what the panel takes, as none is chosen.")


# ---- standby and supply -------------------------------------------------------------------


def worked(job: Job) -> tuple[Line, ...]:
    """A working that starts from the load schedule, as those of both links do."""
    of = Sheet()
    standby, _ = write_loads(of, load_schedule(job))
    of.add(
        "Charge taken (d1, d2)",
        0.264,
        "Ah",
        formula="standby current * time idle",
        inputs={"standby current": (0.011, "A"), "time idle": (24.0, "h")},
        sources=(FORM,),
        needs=(standby,),
    )
    return of.lines


def test_word_and_reason_are_those_of_the_links(judge: Judge):
    job = module_job()
    assessment = judge(job)
    for found, link_id in zip(sheet(job, assessment).sums, ("standby", "supply"), strict=True):
        link = assessment.link(link_id)
        assert (found.word, found.why) == (link.word, link.why)


def test_the_sum_goes_on_from_those_of_the_table(judge: Judge):
    job = module_job()
    assessment = with_link(judge(job), "standby", word=Word.PREDICTED, working=worked(job))
    (row,) = power_sum(job, assessment, "Standby").rows
    assert row.arithmetic == "0.011 A × 24.00 h"
    assert row.result


def test_a_line_that_is_no_sum_of_the_table_stays_as_it_is(judge: Judge):
    job = module_job()
    line = Line(id="1", label="Standby current: what all take while idle", value=0.5, unit="A")
    assessment = with_link(judge(job), "standby", working=(line,))
    (row,) = power_sum(job, assessment, "Standby").rows
    assert (row.arithmetic, row.whole + row.fraction) == ("", "0.50")


def test_the_next_step_of_a_link_stands_with_it(judge: Judge):
    job = module_job()
    step = Action(about="panel", signals=("x",), link="supply", text="Measure it.")
    assessment = dataclasses.replace(judge(job), next=(step,))
    assert power_sum(job, assessment, "Supply").shown_by == "Next: Measure it."


def test_ids_in_a_working_are_put_in_numbers(judge: Judge):
    devices = [{"id": f"d{i}", "name": f"Door {i}", "part": "contact"} for i in (1, 2)]
    job = power_job([CONTACT], devices=devices)
    line = Line(id="1", label="Cable to (d1, d2 and 3 more)", value=0.5, unit="V")
    assessment = with_link(judge(job), "supply", working=(line,))
    assert power_sum(job, assessment, "Supply").rows[0].label == "Cable to (1, 2 and 3 more)"


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("Siren (d2)", "Siren (2)"),
        ("2 x Siren (d1, d2)", "2 x Siren (1, 2)"),
        ("Siren (d2 and 1 more)", "Siren (2 and 1 more)"),
        ("each (12 V, both ways)", "each (12 V, both ways)"),
        ("from (x, d1)", "from (x, 1)"),
    ],
)
def test_ids_in_brackets(typed: str, shown: str, judge: Judge):
    devices = [{"id": f"d{i}", "name": f"Door {i}", "part": "contact"} for i in (1, 2)]
    job = power_job([CONTACT], devices=devices)
    assert Names(job, judge(job)).plain(typed) == shown


def test_ids_in_sentences_are_put_in_names(judge: Judge):
    devices = [
        {"id": i, "name": i.replace("_", " ").capitalize(), "part": "contact"}
        for i in ("back_door", "door", "back")
    ]
    job = power_job([CONTACT], devices=devices)
    line = Line(
        id="1",
        label="Cable to_back_door: volts at back_door, back_door-2 and door",
        formula="l of back_door * 2",
        inputs={"l of back_door": (9.0, "m")},
        value=0.5,
        unit="V",
    )
    (row,) = power_sum(job, with_link(judge(job), "supply", working=(line,)), "Supply").rows
    assert row.label == "Cable to_back_door: volts at 1 Back door, back_door-2 and door"
    assert row.arithmetic == "9.00 m × 2"


def test_what_stands_on_this_sheet_is_not_worked_out_twice(judge: Judge):
    job = module_job()
    assessment = with_link(judge(job), "standby", working=worked(job))
    paper = full(job, assessment)
    assert paper.working is not None
    assert not {"standby", "supply"} & {c.link for c in paper.working.calculations}


def test_a_site_with_nothing_to_feed_has_no_such_sheet(empty_job: Job, judge: Judge):
    assert full(empty_job, judge(empty_job)).power is None


# ---- cables -------------------------------------------------------------------------------

SIREN = {
    "kind": "detector",
    "id": "siren",
    "name": "Siren",
    "what": "sounder",
    "standby_current_a": 0.0,
    "alarm_current_a": 0.3,
    "minimum_v": 9.0,
}
WIRING = [
    SIREN,
    {"kind": "cable", "id": "thin", "area_mm2": 0.22},
    {
        "kind": "supply",
        "id": "adapter",
        "types": ["mains_recharged"],
        "output_v": 13.8,
        "average_a": 3.0,
        "peak_a": 6.0,
        "charge_a": 1.0,
    },
    {
        "kind": "battery",
        "id": "block",
        "chemistry": "lead_acid",
        "nominal_v": 12.0,
        "capacity_ah": 17.0,
        "end_v": 10.5,
    },
]


def wired(job: Job, judge: Judge) -> PowerSum:
    """The sum of the supply as its own link has it."""
    working = supply_link(Context(job, AS_OF, None, leave_out_later=True)).working
    return power_sum(job, with_link(judge(job), "supply", working=working), "Supply")


def siren_job(*cables: dict[str, Any]) -> Job:
    return power_job(
        WIRING,
        devices=[{"id": f"s_{i}", "name": f"Siren {i}", "part": "siren"} for i in (1, 2, 3)],
        supply={"part": "adapter", "kind": "mains_recharged"},
        battery={"part": "block"},
        cables=list(cables),
    )


SHARED = {
    "id": "run",
    "part": "thin",
    "to": "s_2",
    "length_m": 20.0,
    "on_the_way": [{"to": "s_1", "at_m": 8.0}],
}
ALONE = {"id": "own", "part": "thin", "to": "s_3", "length_m": 10.0}


def test_loads_along_a_cable_stand_in_a_table(judge: Judge):
    # 0.22 mm2: 96 ohm/km (VDE 0295 as reproduced in public). By hand from 10.5 V, out and back:
    # at 8 m 2 * 0.096 * (8 * 0.3 + 8 * 0.3) = 0.9216 V of drop, at 20 m 2 * 0.096 * (8 * 0.3 +
    # 20 * 0.3) = 1.6128 V, both at the end 2 * 0.096 * 20 * 0.6 = 2.304 V; alone at 10 m 0.576 V.
    table = wired(siren_job(SHARED, ALONE), judge).cables
    assert table is not None
    assert [(r.cable, r.feeds, r.length, r.current) for r in table.rows] == [
        ("run", "1 Siren 1", "8.00", "0.30"),
        ("run", "2 Siren 2", "20.00", "0.30"),
        ("own", "3 Siren 3", "10.00", "0.30"),
    ]
    assert [(r.has, r.needs, r.margin, r.lacks) for r in table.rows] == [
        ("9.578", "9.00", "0.578", False),
        ("8.887", "9.00", "−0.113", True),
        ("9.924", "9.00", "0.924", False),
    ]
    assert [r.lumped for r in table.rows] == ["2.304", "2.304", ""]
    assert {r.resistance for r in table.rows} == {"96.00"}
    assert table.rows[0].conductor == "0.22 mm², class 5 at 20 °C"
    for piece in ("start = 10.50 V.", "Resistance of one wire of 0.22 mm²", "(Sources "):
        assert piece in table.formulas


def test_what_the_table_of_cables_has_is_in_no_row_beside_it(judge: Judge):
    found = wired(siren_job(SHARED, ALONE), judge)
    assert not any("able run" in r.label or "able own" in r.label for r in found.rows)
    assert any("panel" in r.label for r in found.rows)


def test_a_supply_without_cables_has_no_table_of_them(judge: Judge):
    assert wired(siren_job(), judge).cables is None


def test_a_line_of_a_cable_that_the_table_cannot_hold_stays(judge: Judge):
    job = siren_job()
    label = "Cable run: volts at s_1 in alarm, as nobody worked out the rest"
    assessment = with_link(judge(job), "supply", working=(Line(id="1", label=label, value=9.0),))
    found = power_sum(job, assessment, "Supply")
    assert found.cables is None
    assert found.rows[0].label == label.replace("s_1", "1 Siren 1")


# ---- what is replaced when ----------------------------------------------------------------


def item(what: Consumable, *things: str, due: date | None, overdue: bool = False) -> Replacement:
    return Replacement(
        id=f"{what}:x",
        what=what,
        name="Lark secret part",
        things=things,
        years=5.0,
        due=due,
        overdue=overdue,
        why="5 years",
    )


def test_the_calendar_is_the_assessments_own(judge: Judge):
    job = contacts_job("2020-05-01", None, "2010-02-28")
    assessment = judge(job)
    rows = sheet(job, assessment).calendar.rows
    assert [r.what for r in rows] == [r.name for r in assessment.replacements]
    assert [(r.by, r.where, r.warn) for r in rows] == [
        ("28 February 2020", "3 Door 2", True),
        ("1 May 2030", "1 Door 0", False),
        ("not known", "2 Door 1", False),
    ]
    assert rows[0].why.startswith("overdue; ")


def test_the_sum_of_cells_is_that_of_the_worked_example(judge: Judge):
    job = contacts_job("2020-05-01", None)
    cells = sheet(job, judge(job)).calendar.cells
    assert cells is not None
    assert cells.figures == ("I0 µA", "I mA", "t s", "N", "T s", "C mAh")
    (row,) = cells.rows  # both dates have the same sum
    assert row.name == "Contact"
    assert row.figures == ("5", "20", "0.1", "100", "864", "1500")
    assert row.terms == ("43.80", "20.28", "20.28", "15.00")
    assert (row.by_charge, row.years) == ("13.59", "10.00")
    for piece in ("asleep = I0 × 8.76;", "by charge = u × C / (asleep", "u = 0.9, s = 0.01."):
        assert piece in cells.formulas


def test_a_part_without_figures_has_a_row_in_the_calendar_alone(judge: Judge):
    blank = {k: v for k, v in CONTACT.items() if k != "cell"}
    job = power_job([blank], devices=[{"id": "d1", "name": "Door", "part": "contact"}])
    found = sheet(job, judge(job)).calendar
    assert [r.by for r in found.rows] == ["not known"]
    assert found.cells is None


def test_the_standby_battery_has_its_sum(judge: Judge):
    block = {
        "kind": "battery",
        "id": "block",
        "chemistry": "lead_acid",
        "nominal_v": 12.0,
        "capacity_ah": 7.0,
        "life_years": 5.0,
    }
    job = power_job([block], battery={"part": "block", "fitted_on": "2024-02-29"})
    found = sheet(job, judge(job)).calendar
    assert found.rows[0].by == "28 February 2029"
    assert [(r.whole, r.unit) for r in found.battery if r.result] == [("5", "years")]


# ---- the customer -------------------------------------------------------------------------


def customer(job: Job, assessment: Assessment, *items: Replacement) -> tuple[str, ...]:
    changed = dataclasses.replace(assessment, replacements=items)
    paper = build(job, changed, for_customer=True)
    assert paper.power is None
    return paper.replacements_plain


def test_the_customer_reads_what_is_replaced_when(judge: Judge):
    job = contacts_job(None)
    day = date(2031, 10, 5)
    said = customer(
        job,
        judge(job),
        item(Consumable.CELLS, "a", due=date(2025, 1, 2), overdue=True),
        item(Consumable.BATTERY, "panel", due=day),
        item(Consumable.CELLS, "b", "c", due=day),
        item(Consumable.CELLS, "d", due=day),
        item(Consumable.CELLS, "e", due=None),
    )
    assert said[:-1] == (
        "The standby battery: by 5 October 2031.",
        "Batteries of 1 wireless device: overdue since 2 January 2025. Call us.",
        "Batteries of 3 wireless devices: by 5 October 2031.",
        "Batteries of 1 wireless device: the day is not known yet, as a date or figure is not on "
        "record.",
    )
    assert not any("secret" in text for text in said)


def test_a_customer_reads_of_many_days_by_their_years(judge: Judge):
    job = contacts_job(None)
    said = customer(
        job,
        judge(job),
        item(Consumable.BATTERY, "panel", due=date(2020, 3, 1), overdue=True),
        item(Consumable.CELLS, "a", due=date(2021, 3, 1), overdue=True),
        item(Consumable.CELLS, "b", due=date(2022, 3, 1), overdue=True),
        item(Consumable.CELLS, "c", "d", due=date(2031, 5, 19)),
        item(Consumable.CELLS, "e", due=date(2031, 8, 15)),
        item(Consumable.CELLS, "f", due=date(2034, 2, 7)),
    )
    assert said[:-1] == (
        "The standby battery: overdue since 1 March 2020. Call us.",
        "Batteries of 2 wireless devices: overdue, the first since 1 March 2021. Call us.",
        "Batteries of 4 wireless devices, the first by 19 May 2031: 3 in 2031 and 1 in 2034.",
    )


def test_a_customer_with_nothing_to_replace_reads_nothing_of_it(judge: Judge):
    job = contacts_job(None)
    assert customer(job, judge(job)) == ()


def plain_steps(job: Job, assessment: Assessment, *, for_customer: bool) -> str:
    return " ".join(build(job, assessment, for_customer=for_customer).summary.next_steps)


@pytest.mark.parametrize("link_id", ["supply", "standby"])
def test_a_customer_is_told_when_power_falls_short(link_id: str, judge: Judge):
    job = contacts_job(None)
    assessment = with_link(judge(job), link_id, word=Word.LACKING)
    said = plain_steps(job, assessment, for_customer=True)
    assert said.count("Do not count on the system ") == 1
    assert ("when the mains fails" in said) is (link_id == "standby")
    assert "Do not rely on the way from the panel" not in said


def test_a_customer_is_not_alarmed_by_power_that_is_undecided(judge: Judge):
    job = contacts_job(None)
    undecided = with_link(judge(job), "supply", word=Word.UNDECIDED)
    undecided = with_link(undecided, "standby", word=Word.UNDECIDED)
    assert "Do not count on the system" not in plain_steps(job, undecided, for_customer=True)


@pytest.mark.parametrize(
    ("word", "supply", "standby"),
    [
        (Word.LACKING, "Put the power supply or its cables right", "Fit a larger or a new battery"),
        (Word.UNDECIDED, "Find out what is missing about the power supply", "about the battery"),
        (Word.PREDICTED, "Measure the power supply under load", "Measure what the battery has"),
    ],
)
def test_steps_for_power_have_plain_words(word: Word, supply: str, standby: str, judge: Judge):
    job = contacts_job(None)
    signals = tuple(s.id for s in judge(job).signals)
    assessment = judge(job)
    for link_id in ("supply", "standby"):
        assessment = with_link(assessment, link_id, word=word, reason=None)
    steps = tuple(
        Action(about="panel", signals=signals, link=link_id, text=f"Do it ({link_id}).")
        for link_id in ("supply", "standby")
    )
    said = plain_steps(job, dataclasses.replace(assessment, next=steps), for_customer=False)
    assert supply in said
    assert standby in said


# ---- cautions -----------------------------------------------------------------------------


def caution(job: Job) -> str:
    return next(c.text for c in cautions(job) if c.heading == "Power supply")


def supply_job(output_v: float) -> Job:
    part = {
        "kind": "supply",
        "id": "adapter",
        "types": ["mains_recharged"],
        "output_v": output_v,
        "average_a": 1.0,
        "peak_a": 2.0,
    }
    return power_job([part], supply={"part": "adapter", "kind": "mains_recharged"})


def test_limits_of_supplies_are_a_caution_from_memory_and_no_verdict():
    # NEC chapter 9, table 11(B), as remembered: DC up to 20 V, inherently limited: nameplate 5.0 A
    # and 5.0 x V.
    said = caution(supply_job(13.8))
    assert "this paper does not judge it" in said
    assert "From memory, to be checked in your own copy: at 13.8 V DC" in said
    assert "no more than 5 A and 69 VA" in said
    assert "end at 60 V DC" in said


def test_beyond_the_tables_no_limit_is_told():
    assert "From memory" not in caution(supply_job(200.0))
    assert "From memory" not in caution(power_job())


# ---- the pages ----------------------------------------------------------------------------


def power_pages(pdf: bytes) -> Iterator[str]:
    """The pages of the sheet, up to the next one."""
    pages = read(pdf)
    first = next(i for i, p in enumerate(pages) if p.startswith("Power "))
    yield pages[first]
    for page in pages[first + 1 :]:
        if re.match(r"Plan: |Findings and next steps", page):
            return
        yield page


def test_the_demos_sheet_is_on_few_pages(demo_paper: DesignAssessment):
    pages = list(power_pages(render(demo_paper)))
    assert len(pages) <= 3
    for piece in (
        "What takes current from the panel's supply",
        "Standby: how long the battery lasts",
        "Supply: charging, cables and bursts",
        "What is replaced by when",
        "How many years cells are counted on",
    ):
        assert piece in " ".join(pages).replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")


def test_three_hundred_wired_devices_stay_on_few_pages(judge: Judge):
    parts = [
        {
            "kind": "detector",
            "id": f"wired_{i}",
            "name": "Wiederkehrende Bezeichnung " * 3,
            "what": "other",
            "standby_current_a": 0.01 + i * 1e-4,
        }
        for i in range(30)
    ]
    devices = [
        {"id": f"d{i}", "name": "Nebeneingang " * 5, "part": f"wired_{i % 30}"} for i in range(300)
    ]
    job = power_job(parts, devices=devices)
    pdf = render(full(job, judge(job)))
    assert_in_bounds(pdf)
    assert len(list(power_pages(pdf))) <= 8


def test_long_names_stay_in_bounds(demo: Job, judge: Judge):
    job = with_names(demo, "W" * 120)
    assert_in_bounds(render(full(job, judge(job))))


def test_a_customers_sentences_are_on_paper(customer_paper: DesignAssessment):
    whole = " ".join(read(render(customer_paper)))
    assert "What is replaced by when" in whole
    assert "The standby battery: by " in whole
