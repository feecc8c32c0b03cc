"""The zone schedule as data, as CSV and as PDF."""

import csv
import io

import pymupdf
import pytest

from pathproof.assess.types import Assessment
from pathproof.job import Job
from pathproof.papers import ZoneSchedule, render, zone_schedule
from pathproof.terms import SignalKind

from ._jobs import Judge, with_names


@pytest.fixture(scope="module")
def answer(demo: Job, judge: Judge) -> Assessment:
    return judge(demo)


@pytest.fixture(scope="module")
def schedule(demo: Job, answer: Assessment) -> ZoneSchedule:
    return zone_schedule(demo, answer, who="R. Aster")


def lines(schedule: ZoneSchedule) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(schedule.csv(), newline="")))


def text_of(pdf: bytes) -> str:
    pages = pymupdf.open(stream=pdf, filetype="pdf")
    return " ".join(" ".join(p.get_text() for p in pages).replace("\u200b", "").split())


def test_every_zone_stands_once_by_its_number(schedule: ZoneSchedule, demo: Job) -> None:
    assert [z.number for z in schedule.zones] == sorted(z.number for z in demo.site.zones)
    in_zones = [d.name for z in schedule.zones for d in z.devices]
    loose = [d.name for d in schedule.without_zone]
    assert sorted(in_zones + loose) == sorted(d.name for d in demo.site.devices)


def test_each_signal_of_the_assessment_has_one_line(
    schedule: ZoneSchedule, answer: Assessment
) -> None:
    told = sorted((x["device name"], x["signal"], x["word"]) for x in lines(schedule))
    due = [(s.name.rsplit(": ", 1), str(s.word)) for s in answer.signals]
    assert told == sorted((name, signal, word) for (name, signal), word in due)


def test_codes_are_those_of_zones_and_of_the_site(schedule: ZoneSchedule, demo: Job) -> None:
    events = {str(z.number): z.event for z in demo.site.zones}
    codes = {k.replace("_", " "): c for k, c in demo.site.signal_codes.items()}
    for line in lines(schedule):
        alarm = line["signal"] == SignalKind.ALARM and line["zone"]
        assert line["code due"] == (events[line["zone"]] if alarm else codes[line["signal"]])


def test_zones_without_device_and_devices_without_zone_are_said(demo: Job, judge: Judge) -> None:
    site = demo.site
    zone = next(z for z in site.zones if z.number == 12)
    moved = [d.model_copy(update={"zone": None}) if d.zone == zone.id else d for d in site.devices]
    job = demo.model_copy(
        update={"site": site.model_copy(update={"devices": moved, "signal_codes": {}})}
    )
    found = zone_schedule(job, judge(job))
    assert found.remarks[0] == "Zone without a device: 12."
    assert "Brine room, floor" in found.remarks[1]
    assert found.remarks[2].startswith("Without a code for the centre: tamper")
    empty = [x for x in lines(found) if x["zone"] == "12"]
    assert [(x["device"], x["signal"]) for x in empty] == [("", "")]


def test_a_name_is_whole_in_the_list_and_no_formula(demo: Job, judge: Judge) -> None:
    name = "=HYPERLINK(1)" + "x" * 150
    job = with_names(demo, name)
    found = zone_schedule(job, judge(job))
    assert {x["device name"] for x in lines(found)} == {f"'{name}", "Panel"}


def test_the_pdf_says_what_the_schedule_says(schedule: ZoneSchedule) -> None:
    text = text_of(render(schedule))
    assert schedule.headline in text
    for remark in schedule.remarks:
        assert remark in text
    for device in (d for z in schedule.zones for d in z.devices):
        assert f"{device.key} {device.name}" in text
    assert "document Zone schedule" in text
    assert render(schedule) == render(schedule)


def test_an_empty_job_says_so(empty_job: Job, judge: Judge) -> None:
    found = zone_schedule(empty_job, judge(empty_job))
    assert "There are no zones and no devices in this job yet." in text_of(render(found))
    assert lines(found) == []


def test_300_devices_fit_on_sheets(demo: Job, judge: Judge) -> None:
    job = with_names(demo, "The door at the far end of the long corridor on the floor", devices=300)
    found = zone_schedule(job, judge(job))
    assert len({x["device"] for x in lines(found) if x["device"]}) == 300
    assert "298 The door" in text_of(render(found))
