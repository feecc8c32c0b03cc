"""What of the record counts for a link, and what an entry has changed, in sentences."""

from typing import Any

from pathproof.job import Job
from pathproof.job.adding import Draft, add_entries
from pathproof.papers.evidence_rows import Evidence
from pathproof.papers.names import Names
from pathproof.terms import RecordKind

from ._jobs import AS_OF, Judge

WINDOWS = "shop_glass"  # nobody has walk-tested it in the demo
LINK = f"radio:{WINDOWS}>panel"


def walked(job: Job, conditions: dict[str, Any], **values: Any) -> Job:
    draft = Draft(
        kind=RecordKind.WALK,
        values={"due": 5, "received": 5, "in_hand_db": 6.0, **values},
        about=[WINDOWS],
        at=AS_OF,
        by="A. Fitter",
        conditions=conditions,
    )
    return add_entries(job, [draft])[0]


def evidence(job: Job, judge: Judge) -> Evidence:
    assessment = judge(job)
    return Evidence(job, assessment, Names(job, assessment))


def test_a_walk_test_that_proves_says_so(demo: Job, judge: Judge) -> None:
    job = walked(demo, {"lid_shut": True, "final_place": True})
    found = evidence(job, judge)
    (row,) = found.rows(LINK)
    assert (row.proves, row.why) == (True, "")
    (sentence,) = found.told(job.record[-1])
    assert "Shop windows to Panel: proven" in sentence


def test_a_walk_test_that_does_not_says_all_it_lacks(demo: Job, judge: Judge) -> None:
    job = walked(demo, {"lid_shut": False}, due=3, received=3, in_hand_db=2.0)
    found = evidence(job, judge)
    (row,) = found.rows(LINK)
    assert not row.proves
    for lack in ("the lid was shut", "its final place", "5 are asked", "6 dB are asked"):
        assert lack in row.why  # the house targets: 5 messages with 6 dB in hand
        assert lack in found.told(job.record[-1])[-1]


def test_what_was_corrected_and_what_no_longer_fits_does_not_count(demo: Job, judge: Judge) -> None:
    rows = {r.row.id: r for r in evidence(demo, judge).rows("radio:yard_door>panel")}
    assert (rows["walk-05"].proves, rows["walk-05"].why) == (False, "replaced by walk-06")
    assert rows["walk-06"].proves
    device = next(d for d in demo.site.devices if d.id == "yard_door")
    moved = device.model_copy(update={"height_m": device.height_m + 0.5})
    devices = [moved if d.id == device.id else d for d in demo.site.devices]
    job = demo.model_copy(update={"site": demo.site.model_copy(update={"devices": devices})})
    rows = {r.row.id: r for r in evidence(job, judge).rows("radio:yard_door>panel")}
    assert (rows["walk-06"].proves, rows["walk-06"].why) == (False, "no longer fits")


def test_a_reading_says_what_was_read_and_what_it_lacks(demo: Job, judge: Judge) -> None:
    reading = Draft(
        kind=RecordKind.READING,
        values={"levels": [{"quantity": "rsrp_dbm", "value": -97.0, "low": -97.5, "high": -96.5}]},
        about=["main"],
        at=AS_OF,
        by="A. Fitter",
    )
    job, (entry,) = add_entries(demo, [reading])
    said = " ".join(evidence(job, judge).told(entry))
    assert "Read RSRP \N{MINUS SIGN}97 dBm (\N{MINUS SIGN}97.5 to \N{MINUS SIGN}96.5)" in said
    assert "It will count for no network" in said
    (row, *_) = evidence(job, judge).rows("mobile:main")
    assert not row.proves
    assert "the antenna was the final one" in row.why


def test_an_event_says_what_arrived(demo: Job, judge: Judge) -> None:
    event = Draft(
        kind=RecordKind.EVENT,
        values={"signal": "alarm", "means": "read_back", "code": "130", "zone": 63},
        about=[WINDOWS],
        at=AS_OF,
        by="A. Fitter",
    )
    job, (entry,) = add_entries(demo, [event])
    (said,) = evidence(job, judge).told(entry)
    assert said.startswith("Shop windows: alarm: the centre received")
    assert "zone 63 where 4 was due" in said
    assert said.endswith("The signal is lacking.")
