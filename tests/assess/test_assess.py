"""The assessment as a whole."""

import random
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.assess import Signal, assess, leaves
from pathproof.job import Job
from pathproof.terms import JobError, Severity, Word

from ._jobs import NOW, PARTS, SOURCE, ZONES, device, entry, make_job, with_entry

EVENT = {
    "signal": "alarm",
    "code": "131",
    "zone": 7,
    "partition": 1,
    "delay_s": 12.0,
    "means": "list",
}


def _with_event(values: dict[str, Any]) -> Signal:
    job = make_job(devices=[device(zone="z1")], **ZONES)
    fields = {"kind": "event", "about": ["D1"], "values": EVENT | values}
    job = with_entry(job, ["signal:D1:alarm"], **fields)
    return next(s for s in assess(job, NOW).signals if s.id == "signal:D1:alarm")


def test_a_site_without_devices_is_undecided() -> None:
    found = assess(make_job(), NOW)
    assert found.word is Word.UNDECIDED
    assert found.summary.odds_all is None
    assert any(f.severity is Severity.GAP for f in found.findings)


def test_links_of_later_kinds_are_there_and_undecided_with_the_reason() -> None:
    found = assess(make_job(devices=[device()]), NOW)
    for link_id in ("supply", "standby", "mobile:none"):
        link = found.link(link_id)
        assert link.word is Word.UNDECIDED
        assert link.why


def test_every_signal_path_names_links_that_are_there() -> None:
    found = assess(make_job(devices=[device(), device("D2", part="wired")]), NOW)
    known = {x.id for x in found.links}
    for signal in found.signals:
        assert set(leaves(signal.path)) <= known
        assert signal.weakest in known


def test_joint_odds_are_the_product() -> None:
    found = assess(make_job(devices=[device(f"D{i}") for i in range(3)]), NOW)
    each = found.link("radio:D0>panel").probability
    assert each is not None
    assert found.summary.odds_all == pytest.approx(each**3)


@pytest.mark.parametrize(
    ("values", "arrival"),
    [
        ({}, Word.PROVEN),
        ({"arrived": False}, Word.LACKING),
        ({"zone": 8}, Word.LACKING),
        ({"code": "130"}, Word.LACKING),
        ({"partition": 2}, Word.LACKING),
        ({"delay_s": 86400.0}, Word.LACKING),
        ({"delay_s": None}, None),
        ({"code": None}, None),
        ({"zone": None}, None),
    ],
)
def test_arrival_needs_the_right_code_zone_partition_and_time(
    values: dict[str, Any], arrival: Word | None
) -> None:
    signal = _with_event(values)
    assert signal.arrival is arrival
    assert signal.evidence == ("r1",)
    assert (signal.word is Word.LACKING) == (arrival is Word.LACKING)


def test_where_no_code_is_due_nothing_has_arrived_rightly() -> None:
    job = make_job(devices=[device("D1")], **ZONES)  # in no zone
    job = with_entry(job, ["signal:D1:alarm"], kind="event", about=["D1"], values=EVENT)
    arrived = {s.id: s.arrival for s in assess(job, NOW).signals}
    assert arrived["signal:D1:alarm"] is None


@pytest.mark.parametrize(("code", "arrival"), [("301", Word.PROVEN), ("602", Word.LACKING)])
def test_codes_of_other_signals_stand_in_the_site(code: str, arrival: Word) -> None:
    job = make_job(devices=[device()], signal_codes={"mains_fail": "301"})
    values = {"signal": "mains_fail", "code": code, "delay_s": 5.0, "means": "list"}
    fields = {"kind": "event", "about": ["panel"], "values": values}
    found = assess(with_entry(job, ["signal:panel:mains_fail"], **fields), NOW)
    signal = next(s for s in found.signals if s.id == "signal:panel:mains_fail")
    assert signal.arrival is arrival


def test_figures_from_memory_leave_a_link_undecided_whichever_they_are() -> None:
    data = make_job(devices=[device(mounting="on_metal")]).model_dump(mode="json")
    data["embedded"]["profile"]["limits"]["mounted_on_metal_db"]["source"]["evidence"] = "memory"
    link = assess(Job.model_validate(data), NOW).link("radio:D1>panel")
    assert (link.word, link.reason) == (Word.UNDECIDED, "limit")
    assert "mounted_on_metal_db" in link.why


def test_who_looked_last_decides_whether_a_limit_is_confirmed() -> None:
    job = _from_memory(make_job(devices=[device()]), 0.95)
    data = job.model_dump(mode="json")
    later = entry(
        "confirm",
        data["record"][0]["values"] | {"value": 0.99},
        id="r2",
        at="2026-11-21T10:00:00+00:00",
    )
    data["record"].append(later)
    assert assess(Job.model_validate(data), NOW).link("radio:D1>panel").word is Word.UNDECIDED


def test_entries_after_the_as_of_date_are_refused_by_name() -> None:
    late = entry("note", {"text": "later"}, at="2026-12-01T10:00:00+00:00", id="r9")
    job = make_job([late], devices=[device()])
    with pytest.raises(JobError, match="r9"):
        assess(job, NOW)
    assert assess(job, NOW, leave_out_later=True).site == "Test"
    assert assess(job, datetime(2026, 12, 2, tzinfo=UTC)).site == "Test"


def test_a_wrong_date_can_be_corrected_with_a_new_entry() -> None:
    late = entry("note", {"text": "later"}, at="2027-12-01T10:00:00+00:00", id="r9")
    right = entry("note", {"text": "then"}, id="r10", replaces="r9")
    assert assess(make_job([late, right], devices=[device()]), NOW).site == "Test"


def test_an_as_of_date_without_offset_is_refused() -> None:
    with pytest.raises(JobError, match="time zone"):
        assess(make_job(), datetime(2026, 11, 25))  # noqa: DTZ001


def _from_memory(job: Job, confirmed_value: float | None) -> Job:
    data = job.model_dump(mode="json")
    data["embedded"]["profile"]["limits"]["radio_odds_ratio"]["source"]["evidence"] = "memory"
    if confirmed_value is not None:
        values = {
            "profile": "house_targets",
            "limit": "radio_odds_ratio",
            "value": confirmed_value,
            "document": "Own copy",
            "edition": "2026",
        }
        data["record"].append(entry("confirm", values))
    return Job.model_validate(data)


def test_a_limit_from_memory_is_undecided_until_confirmed() -> None:
    job = make_job(devices=[device()])
    link = assess(_from_memory(job, None), NOW).link("radio:D1>panel")
    assert (link.word, link.reason) == (Word.UNDECIDED, "limit")
    told = assess(_from_memory(job, None), NOW).findings
    assert any("radio_odds_ratio" in f.text and f.about == "profile" for f in told)
    assert assess(_from_memory(job, 0.95), NOW).link("radio:D1>panel").word is Word.PREDICTED
    differing = assess(_from_memory(job, 0.99), NOW)
    assert differing.link("radio:D1>panel").word is Word.UNDECIDED
    assert any("stays unconfirmed" in f.text for f in differing.findings)


def test_where_the_walk_tests_limit_waits_the_next_action_is_to_confirm_it() -> None:
    data = make_job(devices=[device()]).model_dump(mode="json")
    data["embedded"]["profile"]["limits"]["walk_in_hand_db"]["source"]["evidence"] = "memory"
    data["site"] |= {
        "supply": {"part": "supply", "kind": "mains_recharged"},
        "battery": {"part": "battery"},
        "communicators": [{"id": "C1", "part": "lte"}],
    }
    for kind, figures in (
        (
            "supply",
            {
                "types": ["mains_recharged"],
                "output_v": 13.8,
                "average_a": 1,
                "peak_a": 2,
                "charge_a": 0.5,
            },
        ),
        (
            "battery",
            {
                "chemistry": "lead_acid",
                "nominal_v": 12,
                "capacity_ah": 7,
                "internal_resistance_ohm": 0.02,
            },
        ),
    ):
        part = {"kind": kind, "id": kind, "name": kind, "source": SOURCE, **figures}
        data["embedded"]["catalogue"][kind] = part
    data["embedded"]["catalogue"]["lte"] = PARTS["lte"] | {
        "average_current_a": 0.02,
        "peak_current_a": 0.5,
        "minimum_v": 9.0,
    }
    for part in ("panel_a", "lte"):
        data["embedded"]["catalogue"][part] |= {"standby_current_a": 0.1, "alarm_current_a": 0.2}
    data["site"]["reporting"] = {"interval_s": 60, "misses": 3, "timeout_s": 10}
    data["site"]["communicators"][0]["sim"] = {"kind": "fixed", "networks": ["001-01"]}
    data["site"]["networks"] = [{"mcc_mnc": "001-01", "label": "N", "technologies": ["lte"]}]
    level = {"quantity": "rsrp_dbm", "value": -90.0}
    values = {"levels": [level], "network": "001-01"}
    data["record"] = [entry("reading", values, about=["C1"])]
    told = assess(Job.model_validate(data), NOW).next
    assert any("Confirm walk_in_hand_db" in action.text for action in told)


@given(seed=st.integers(0, 10_000))
def test_any_order_of_the_record_gives_the_same_assessment(seed: int) -> None:
    job = make_job(devices=[device("D1", zone="z1"), device("D2")], **ZONES)
    walk = {"due": 5, "received": 5, "in_hand_db": 6.0}
    bad = walk | {"received": 2}
    job = with_entry(job, ["radio:D1>panel"], id="a", kind="walk", about=["D1"], values=bad)
    job = with_entry(job, ["radio:D1>panel"], id="b", kind="walk", about=["D1"], values=walk)
    job = with_entry(job, ["radio:D2>panel"], id="c", kind="walk", about=["D2"], values=walk)
    job = with_entry(job, ["signal:D1:alarm"], id="d", kind="event", about=["D1"], values=EVENT)
    shuffled = list(job.record)
    random.Random(seed).shuffle(shuffled)
    again = job.model_copy(update={"record": shuffled})
    assert assess(again, NOW).as_dict() == assess(job, NOW).as_dict()


def test_next_actions_cover_every_signal_once() -> None:
    found = assess(make_job(devices=[device("D1"), device("D2")]), NOW)
    told = [s for action in found.next for s in action.signals]
    assert sorted(told) == sorted(s.id for s in found.signals)
