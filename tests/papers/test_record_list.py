"""The record on paper."""

from datetime import timedelta

import pytest

from pathproof.job import Job
from pathproof.job.record import NoteEntry, NoteValues, ReadingEntry
from pathproof.papers import DesignAssessment, build
from pathproof.papers.record_list import RecordRow

from ._jobs import AS_OF, Judge


def rows(paper: DesignAssessment) -> dict[str, RecordRow]:
    return {r.id: r for r in paper.record}


def test_every_entry_is_listed_oldest_first(demo_paper: DesignAssessment, demo: Job):
    assert [r.id for r in demo_paper.record] == [
        e.id for e in sorted(demo.record, key=lambda e: (e.at, e.id))
    ]  # all ids of the demo have two digits


def test_entries_of_one_moment_stand_by_their_numbers(demo: Job, judge: Judge):
    at = AS_OF - timedelta(days=1)
    notes = [
        NoteEntry(kind="note", id=i, at=at, by="R. Senn", values=NoteValues(text=i))
        for i in ("r10", "r2", "r1")
    ]
    job = demo.model_copy(update={"record": notes})
    assert [r.id for r in build(job, judge(job), for_customer=False).record] == ["r1", "r2", "r10"]


def _reading(values: dict[str, object]) -> ReadingEntry:
    return ReadingEntry.model_validate(
        {
            "kind": "reading",
            "id": "watch",
            "about": ["main"],
            "at": AS_OF - timedelta(days=1),
            "by": "R. Senn",
            "values": values,
        }
    )


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"levels": [], "step": "3 bars", "network": "001-01"}, "001-01, shown as '3 bars'"),
        ({"levels": [], "network": "001-01"}, "001-01, no level"),
        (
            {
                "levels": [{"quantity": "rsrq_db", "value": -8.25}],
                "series": [
                    {"after_s": 60.0, "levels": [{"quantity": "rsrq_db", "value": -8.25}]},
                ],
            },
            "2 readings over 1 min, RSRQ \N{MINUS SIGN}8.25 dB throughout",
        ),
    ],
)
def test_a_reading_in_short(demo: Job, judge: Judge, values: dict[str, object], said: str):
    job = demo.model_copy(update={"record": [*demo.record, _reading(values)]})
    assert rows(build(job, judge(job), for_customer=False))["watch"].what == said


def test_an_entry_says_who_did_what_with_what(demo_paper: DesignAssessment):
    row = rows(demo_paper)["walk-01"]
    assert (row.kind, row.about) == ("walk", "1 Shop door")
    assert (row.date, row.time) == ("2026-10-06", "08:40")
    assert row.by == "A. Moosbrugger, with 6 dB pad at the receiver"
    assert row.what.startswith("to Panel, 5 of 5 messages, 6 dB in hand, lid shut")


@pytest.mark.parametrize(
    ("entry", "piece"),
    [
        ("reading-01", "LTE band 20, RSRQ \N{MINUS SIGN}10.25 dB"),
        ("event-01", "alarm, code 134, zone 1"),
        ("supply-01", "12.4 V under load"),
        ("confirm-01", "path_loss_noticed_s = 1800"),
        ("note-01", "Not heard with the cold store shut"),
    ],
)
def test_each_kind_says_what_it_holds(demo_paper: DesignAssessment, entry: str, piece: str):
    assert piece in rows(demo_paper)[entry].what


def test_an_entry_counts_or_is_replaced(demo_paper: DesignAssessment):
    found = rows(demo_paper)
    assert found["walk-01"].state == "counts"
    assert found["walk-05"].state == "replaced by walk-06"
    assert found["note-01"].state == "on record"


def test_an_entry_about_something_moved_no_longer_fits(demo: Job, judge: Judge):
    devices = [
        d.model_copy(update={"at": (1.0, 1.0)}) if d.id == "shop_door" else d
        for d in demo.site.devices
    ]
    job = demo.model_copy(update={"site": demo.site.model_copy(update={"devices": devices})})
    found = rows(build(job, judge(job), for_customer=False))
    assert found["walk-01"].state == "no longer fits"
    assert found["walk-02"].state == "counts"


def test_a_watch_is_one_line(demo: Job, judge: Judge):
    def level(value: float) -> dict[str, object]:
        return {"quantity": "rsrp_dbm", "value": value, "low": value - 0.5, "high": value + 0.5}

    values = {
        "levels": [level(-97.5)],
        "series": [
            {"after_s": 60.0, "levels": [level(-101.5)]},
            {"after_s": 120.0, "levels": []},
            {"after_s": 1890.0, "levels": [level(-93.5)]},
        ],
        "network": "001-01",
    }
    watch = ReadingEntry.model_validate(
        {
            "kind": "reading",
            "id": "watch",
            "about": ["main"],
            "at": AS_OF - timedelta(days=1),
            "by": "R. Senn",
            "conditions": {"attempt": 2, "minutes_since_registration": 20.0},
            "values": values,
        }
    )
    job = demo.model_copy(update={"record": [*demo.record, watch]})
    what = rows(build(job, judge(job), for_customer=False))["watch"].what
    minus = "\N{MINUS SIGN}"
    assert what == (
        f"001-01, 4 readings over 31.5 min, 1 of them without a level, RSRP {minus}101.5 to "
        f"{minus}93.5 dBm, median {minus}97.5 dBm, 20 min after the module registered, try 2"
    )


def test_a_later_entry_is_said_to_be_left_out(demo: Job, judge: Judge):
    late = NoteEntry(
        kind="note",
        id="late",
        at=AS_OF + timedelta(days=1),
        by="R. Senn",
        values=NoteValues(text="later"),
    )
    job = demo.model_copy(update={"record": [*demo.record, late]})
    found = rows(build(job, judge(job), for_customer=False))
    assert "left out" in found["late"].state
