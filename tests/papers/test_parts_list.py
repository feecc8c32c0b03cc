"""The parts list as data, as CSV and as PDF."""

import csv
import io
from typing import Any

import pymupdf
import pytest

from pathproof.job import Job
from pathproof.papers import PartsList, parts_list, render
from pathproof.papers.parts_list import PartKind, PartLine
from pathproof.terms import AccountState

from ._jobs import Judge


@pytest.fixture(scope="module")
def demo_list(demo: Job, judge: Judge) -> PartsList:
    return parts_list(demo, judge(demo), who="R. Aster")


def of(found: PartsList, kind: PartKind) -> dict[str, PartLine]:
    return {x.part: x for x in found.lines if x.kind is kind}


def changed(job: Job, **site: Any) -> Job:
    return job.model_copy(update={"site": job.site.model_copy(update=site)})


def without_prices(job: Job) -> Job:
    parts = {i: p.model_copy(update={"price": None}) for i, p in job.embedded.catalogue.items()}
    return job.model_copy(update={"embedded": job.embedded.model_copy(update={"catalogue": parts})})


def test_every_device_is_counted_once(demo_list: PartsList, demo: Job) -> None:
    counted = {p: line.quantity for p, line in of(demo_list, PartKind.DEVICE).items()}
    parts = [d.part for d in demo.site.devices]
    assert counted == {p: parts.count(p) for p in parts}


def test_everything_else_that_is_to_be_taken_along(demo_list: PartsList) -> None:
    # As the demo's kit says it: one module with card, whip antenna and 11 m of feeder.
    for kind, part, quantity in (
        (PartKind.COMMUNICATOR, "lte_cat1_module", 1),
        (PartKind.SERVICE, "roaming_card", 1),
        (PartKind.ANTENNA, "whip_antenna", 1),
        (PartKind.FEEDER, "coax_rg213", 11.0),
        (PartKind.REPEATER, "lark_repeater", 1),
        (PartKind.BATTERY, "lead_12v_7ah", 1),
        (PartKind.SUPPLY, "supply_12v_3a", 1),
    ):
        assert of(demo_list, kind)[part].quantity == quantity
    assert of(demo_list, PartKind.FEEDER)["coax_rg213"].note == "one run, 2 connector pairs"


def test_lengths_of_one_cable_are_added_up(demo: Job, judge: Judge) -> None:
    run = demo.site.cables[0]
    door = demo.site.devices[0].id
    other = {"id": "more", "to": door, "length_m": 0.1, "on_the_way": []}
    job = changed(demo, cables=[run, run.model_copy(update=other)])
    line = of(parts_list(job, judge(job)), PartKind.CABLE)[run.part]
    assert (line.quantity, line.unit) == (round(run.length_m + 0.1, 3), "m")
    assert line.note == f"runs of {run.length_m:g} m and 0.1 m"


def test_cells_are_those_of_the_calendar(demo_list: PartsList, demo: Job, judge: Judge) -> None:
    # The calendar of replacements names them as "12 x CR17345 (CR123A) for ...".
    total: dict[str, int] = {}
    for item in judge(demo).replacements:
        if item.what == "cells":
            count, name = item.name.split(" for ")[0].split(" x ")
            total[name] = total.get(name, 0) + int(count)
    assert {x.name: x.quantity for x in of(demo_list, PartKind.CELLS).values()} == total


def test_the_sum_is_that_of_the_lines(demo_list: PartsList) -> None:
    rows = list(csv.DictReader(io.StringIO(demo_list.csv(), newline="")))
    cents = sum(round(float(r["price"]) * 100) for r in rows if r["price"])
    assert demo_list.total == f"{cents / 100:,.2f} EUR"
    assert {r["currency"] for r in rows} == {"EUR", ""}


def test_without_prices_there_is_no_sum(demo: Job, judge: Judge) -> None:
    job = without_prices(demo)
    found = parts_list(job, judge(job))
    assert (found.total, found.currency) == ("", "")
    assert "Together" not in text_of(render(found))
    assert not any("price" in remark for remark in found.remarks)


def test_a_communicator_that_ended_is_not_ordered_again(demo: Job, judge: Judge) -> None:
    ended = demo.site.communicators[0].model_copy(update={"state": AccountState.ENDED})
    job = changed(demo, communicators=[ended])
    found = parts_list(job, judge(job))
    assert not of(found, PartKind.COMMUNICATOR)
    assert "Not chosen yet: communicator." in found.remarks


def text_of(pdf: bytes) -> str:
    pages = pymupdf.open(stream=pdf, filetype="pdf")
    return " ".join(" ".join(p.get_text() for p in pages).replace("\u200b", "").split())


def test_the_pdf_has_every_part_and_the_sum(demo_list: PartsList) -> None:
    text = text_of(render(demo_list))
    for row in demo_list.rows:
        assert row.name in text
    assert demo_list.total in text
    assert "document Parts list" in text


def test_an_empty_job_says_so(empty_job: Job, judge: Judge) -> None:
    found = parts_list(empty_job, judge(empty_job))
    assert found.remarks == ("Not chosen yet: panel, communicator, supply and battery.",)
    assert "There are no parts in this job yet." in text_of(render(found))
