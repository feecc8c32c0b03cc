"""The activation sheet as data and as PDF."""

from datetime import UTC, datetime
from typing import Any

import pymupdf
import pytest

from pathproof.job import Communicator, Job
from pathproof.job.accounts import with_account_state
from pathproof.papers import ActivationSheet, activation_sheet, render
from pathproof.papers.activation_sheet import grouped
from pathproof.terms import AccountState

from ._jobs import Judge


def with_main(job: Job, **update: Any) -> Job:
    main: Communicator = job.site.communicators[0].model_copy(update=update)
    site = job.site.model_copy(update={"communicators": [main]})
    return job.model_copy(update={"site": site})


def text_of(sheet: ActivationSheet) -> str:
    pages = pymupdf.open(stream=render(sheet), filetype="pdf")
    return " ".join(" ".join(p.get_text() for p in pages).replace("\u200b", "").split())


@pytest.fixture(scope="module")
def sheet(demo: Job, judge: Judge) -> ActivationSheet:
    job = demo.model_copy(update={"record": []})
    for day, state in ((1, AccountState.REGISTERED), (5, AccountState.ON_TEST)):
        at = datetime(2026, 10, day, 23, tzinfo=UTC)
        job = with_account_state(job, "main", state, at=at, by="R. Aster")
    return activation_sheet(job, judge(job))


def test_numbers_are_grouped_in_fours() -> None:
    assert grouped("001017000042013") == "0010 1700 0042 013"
    assert grouped("2417") == "2417"
    assert grouped("") == ""


def test_states_have_the_day_at_the_site(sheet: ActivationSheet) -> None:
    marks = {m.state: (m.on, m.by, m.current) for m in sheet.communicators[0].states}
    assert marks == {
        "ordered": ("", "", False),
        "registered": ("2 October 2026", "R. Aster", False),  # Vienna is 2 h ahead in October
        "active": ("", "", False),
        "on test": ("6 October 2026", "R. Aster", True),
        "live": ("", "", False),
    }


def test_an_account_set_back_shows_no_day_of_later_states(demo: Job, judge: Judge) -> None:
    at = datetime(2026, 10, 1, tzinfo=UTC)
    job = with_account_state(demo, "main", AccountState.LIVE, at=at, by="R. Aster")
    job = with_main(job, state=AccountState.REGISTERED)
    marks = activation_sheet(job, judge(job)).communicators[0].states
    assert [m.on for m in marks if m.state == "live"] == [""]


def test_no_state_is_claimed_that_is_not_on_record(demo: Job, judge: Judge) -> None:
    job = with_main(demo.model_copy(update={"record": []}), state=AccountState.ORDERED)
    made = activation_sheet(job, judge(job)).communicators[0]
    assert not any(m.current for m in made.states)
    assert {m.note for m in made.states} == {"not yet"}
    assert any("nothing is on record of its card and account" in said for said in made.missing)
    at = datetime(2026, 10, 1, tzinfo=UTC)
    begun = with_account_state(job, "main", AccountState.ORDERED, at=at, by="R. Aster")
    made = activation_sheet(begun, judge(begun)).communicators[0]
    assert [m.state for m in made.states if m.current] == ["ordered"]
    assert not any("nothing is on record of its card" in said for said in made.missing)


def test_what_the_centre_programmes_is_each_code_once(sheet: ActivationSheet, demo: Job) -> None:
    site = demo.site
    events = {str(z.number): z.event for z in site.zones}
    for zone in sheet.zones:
        kinds = [c.signal for c in zone.codes]
        assert len(kinds) == len(set(kinds))
        if zone.number:
            assert ("alarm", events[zone.number]) in [(c.signal, c.code) for c in zone.codes]
    panel = {c.signal: c.code for c in sheet.zones[-1].codes}
    assert sheet.zones[-1].name == "Panel"
    assert panel == {
        k.replace("_", " "): site.signal_codes[k]
        for k in site.signal_codes
        if k in ("mains_fail", "path_fail", "set", "unset")
    }


def test_missing_numbers_are_blank_and_said(demo: Job, judge: Judge) -> None:
    job = with_main(demo, imei=None, account=None, state=AccountState.ORDERED)
    main = activation_sheet(job, judge(job)).communicators[0]
    assert [f.text for f in main.numbers] == ["", "8999 9700 0120 0734 514", ""]
    assert "IMEI, account number" in main.missing[0]
    assert "not registered yet" in main.missing[1]


def test_the_pdf_says_what_the_sheet_says(sheet: ActivationSheet) -> None:
    text = text_of(sheet)
    for said in ("0010 1700 0042 013", "8999 9700 0120 0734 514", "Watch room at Ostrain"):
        assert said in text
    assert "on test (now) 6 October 2026, R. Aster" in text
    assert "a poll every 300 s" in text
    assert "mains fail 301" in text
    assert "document Activation sheet" in text


def test_no_place_is_on_it(sheet: ActivationSheet, demo: Job) -> None:
    text = text_of(sheet)
    assert not any(s.name in text for s in demo.site.spots)


def test_an_empty_job_says_what_would_stand_there(empty_job: Job, judge: Judge) -> None:
    text = text_of(activation_sheet(empty_job, judge(empty_job)))
    assert "There is no communicator in this job yet." in text
    assert "There are no zones and no signals in this job yet." in text
