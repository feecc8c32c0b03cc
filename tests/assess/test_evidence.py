"""What proves a radio link, and what voids the proof."""

from typing import Any

import pytest

from pathproof.assess import assess
from pathproof.job import Job
from pathproof.terms import Word

from ._jobs import NOW, device, entry, make_job, with_entry, with_site

LINK = "radio:D1>panel"
OTHER = "radio:D2>panel"
GOOD = {"due": 5, "received": 5, "in_hand_db": 6.0}


def _job(**site: Any) -> Job:
    return make_job(devices=[device("D1"), device("D2")], **site)


def _walk(job: Job, values: dict[str, Any] = GOOD, **fields: Any) -> Job:
    fields = {"about": ["D1"], "kind": "walk", "values": values, **fields}
    return with_entry(job, [LINK], **fields)


def _word(job: Job, link: str = LINK) -> Word:
    return assess(job, NOW).link(link).word


def test_a_walk_with_enough_in_hand_proves_its_link_and_no_other() -> None:
    job = _walk(_job())
    assert _word(job) is Word.PROVEN
    assert _word(job, OTHER) is Word.PREDICTED
    assert assess(job, NOW).link(LINK).evidence == ("r1",)


@pytest.mark.parametrize(
    "values",
    [
        {"due": 5, "received": 5, "in_hand_db": 3.0},
        {"due": 3, "received": 3, "in_hand_db": 6.0},
        {"due": 5, "received": 4, "in_hand_db": 12.0},  # harder than asked: says nothing
    ],
)
def test_less_than_the_profile_asks_proves_nothing(values: dict[str, Any]) -> None:
    assert _word(_walk(_job(), values)) is Word.PREDICTED


@pytest.mark.parametrize(
    "conditions", [{}, {"lid_shut": True}, {"final_place": True}, {"lid_shut": False}]
)
def test_lid_and_place_have_to_be_told(conditions: dict[str, bool]) -> None:
    job = _walk(_job(), conditions=conditions)
    assert _word(job) is Word.PREDICTED
    assert any("proves nothing" in f.text for f in assess(job, NOW).findings)


def test_missed_messages_are_lacking_whatever_the_calculation_says() -> None:
    link = assess(_walk(_job(), {"due": 5, "received": 3, "in_hand_db": 6.0}), NOW).link(LINK)
    assert link.word is Word.LACKING
    assert "3 of 5" in link.why


def test_the_newest_conclusive_evidence_counts() -> None:
    failed = _walk(_job(), {"due": 5, "received": 3, "in_hand_db": 6.0})
    job = _walk(failed, id="r2", at="2026-11-21T10:00:00+00:00")
    assert _word(job) is Word.PROVEN


def test_a_corrected_entry_no_longer_counts() -> None:
    job = _walk(_job())
    wrong = {"due": 5, "received": 3, "in_hand_db": 6.0}
    job = _walk(job, wrong, id="r2", replaces="r1", at="2026-11-21T10:00:00+00:00")
    assert _word(job) is Word.LACKING
    assert assess(job, NOW).link(LINK).evidence == ("r2",)


def test_moving_a_device_voids_its_own_evidence_and_nothing_else() -> None:
    job = with_entry(_walk(_job()), [OTHER], id="r2", kind="walk", about=["D2"], values=GOOD)
    moved = with_site(job, devices=[device("D1", between={"distance_m": 11.0}), device("D2")])
    assert _word(moved) is Word.PREDICTED
    assert _word(moved, OTHER) is Word.PROVEN
    assert any("r1" in f.text and "no longer" in f.text for f in assess(moved, NOW).findings)


def test_moving_it_back_makes_the_evidence_speak_again() -> None:
    job = _walk(_job())
    there = with_site(job, devices=[device("D1", between={"distance_m": 11.0}), device("D2")])
    back = with_site(there, devices=[device("D1"), device("D2")])
    assert _word(back) is Word.PROVEN


def _heard(count: int, low: float, high: float) -> dict[str, Any]:
    level = {"quantity": "rssi_dbm", "value": (low + high) / 2, "low": low, "high": high}
    return {"levels": [level] * count}


def test_levels_heard_often_enough_with_enough_in_hand_prove() -> None:
    # panel_a is sensitive to -100 dBm; the house asks 5 readings 10 dB above (practice)
    fields = {"kind": "level", "about": ["D1"]}
    assert (
        _word(with_entry(_job(), [LINK], values=_heard(5, -90.0, -89.0), **fields)) is Word.PROVEN
    )
    few = with_entry(_job(), [LINK], values=_heard(4, -90.0, -89.0), **fields)
    assert _word(few) is Word.PREDICTED
    low = with_entry(_job(), [LINK], values=_heard(5, -90.5, -89.5), **fields)
    assert _word(low) is Word.PREDICTED


def test_a_level_heard_replaces_the_calculated_margin_and_its_spread() -> None:
    job = with_entry(_job(), [LINK], kind="level", about=["D1"], values=_heard(1, -98.0, -98.0))
    link = assess(job, NOW).link(LINK)
    # 2 dB over sensitivity, 1.6449 x 4 dB kept back for fading
    assert link.margin is not None
    assert link.margin.value == pytest.approx(2.0 - 6.58, abs=0.005)
    assert link.word is Word.LACKING


def test_steps_of_a_tied_scale_count_as_levels() -> None:
    values = {"steps": ["good"] * 5}
    job = with_entry(_job(), [LINK], kind="level", about=["D1"], values=values)
    assert _word(job) is Word.PROVEN


def test_an_entry_without_fingerprint_proves_nothing_and_is_named() -> None:
    job = make_job([entry("walk", GOOD, about=["D1"])], devices=[device("D1")])
    assert _word(job) is Word.PREDICTED
    assert any("what it fits" in f.text for f in assess(job, NOW).findings)


def test_noise_at_the_panel_counts_against_heard_levels() -> None:
    # 5 readings at -88 dBm low: 12 dB over -100; with 6 dB of noise only 6, and 10 are asked
    fields = {"kind": "level", "about": ["D1"], "values": _heard(5, -88.0, -87.0)}
    assert _word(with_entry(_job(), [LINK], **fields)) is Word.PROVEN
    noisy = _job(panel={"part": "panel_a", "near_electronics": True})
    assert _word(with_entry(noisy, [LINK], **fields)) is not Word.PROVEN


def test_the_margin_of_evidence_is_worked_out_on_the_sheet() -> None:
    link = assess(_walk(_job(), {"due": 5, "received": 5, "in_hand_db": 9.0}), NOW).link(LINK)
    assert link.margin is not None
    assert link.margin.value == pytest.approx(3.0)  # 9 dB in hand, 6 asked (house, practice)
    assert link.note == "9 dB in hand"
    assert link.working[-1].value == pytest.approx(3.0)
    told = next(line for line in link.working if line.label == "Evidence")
    assert told.inputs["by"] == ("A. Tester", "")


def test_a_fault_behind_a_worse_one_is_still_told() -> None:
    weak = device("D1", between={"distance_m": 60.0, "walls": {"unknown_heavy_wall": 4}})
    worse = {
        "networks": [{"mcc_mnc": "001-01", "label": "N", "technologies": ["lte"]}],
        "communicators": [
            {"id": "C1", "part": "lte", "sim": {"kind": "fixed", "networks": ["001-01"]}}
        ],
    }
    reading = entry(
        "reading",
        {"levels": [{"quantity": "rsrp_dbm", "value": -139.0}], "network": "001-01"},
        about=["C1"],
    )
    found = assess(make_job([reading], devices=[weak], **worse), NOW)
    faults = [f.text for f in found.findings if f.severity == "fault"]
    assert any("by radio" in text for text in faults)
    assert any("Mobile" in text for text in faults)


def test_a_reading_from_a_trial_place_predicts_nothing_of_the_final_one() -> None:
    fields = {"kind": "level", "about": ["D1"], "values": _heard(1, -45.0, -45.0)}
    before = assess(_job(), NOW).link(LINK).margin
    bench = with_entry(_job(), [LINK], conditions={"final_place": False}, **fields)
    assert assess(bench, NOW).link(LINK).margin == before


def test_a_test_that_fails_with_nothing_in_hand_needs_no_confirmed_limit() -> None:
    job = _job(profile="en_50131_grade_2")  # its decibels in hand are from memory
    assert _word(_walk(job, {"due": 5, "received": 0, "in_hand_db": 0.0})) is Word.LACKING
    assert _word(_walk(job)) is not Word.PROVEN


def test_a_step_that_is_open_below_is_an_upper_bound() -> None:
    far = {"distance_m": 100.0, "walls": {"unknown_heavy_wall": 4}}
    weak = {"kind": "level", "about": ["D1"], "values": {"steps": ["weak"]}}
    job = make_job(devices=[device("D1", between=far)])
    assert _word(job) is Word.LACKING
    assert _word(with_entry(job, [LINK], **weak)) is Word.LACKING
    # below -95 dBm there is less than 5 dB over sensitivity, and 6.58 dB are kept back
    assert _word(with_entry(_job(), [LINK], **weak)) is Word.LACKING


def test_a_step_that_the_scale_does_not_hold_leaves_the_entry_unclear() -> None:
    values = {"steps": ["good"] * 5 + ["nothing"]}
    job = with_entry(_job(), [LINK], kind="level", about=["D1"], values=values)
    assert _word(job) is Word.PREDICTED
    assert any("holds nothing" in f.text for f in assess(job, NOW).findings)


def test_levels_heard_since_void_a_walk_they_contradict() -> None:
    fields = {"kind": "level", "about": ["D1"], "values": _heard(5, -99.0, -98.0)}
    job = _walk(_job())
    older = with_entry(job, [LINK], id="r2", at="2026-11-19T10:00:00+00:00", **fields)
    assert _word(older) is Word.PROVEN
    newer = with_entry(job, [LINK], id="r2", at="2026-11-21T10:00:00+00:00", **fields)
    assert _word(newer) is Word.LACKING


def test_levels_at_the_panel_prove_a_device_that_listens_only_if_it_hears_too() -> None:
    # the device is 10 dB less sensitive than the panel, at the same power: -80 is asked, not -90
    job = make_job(devices=[device("D1", part="listens")])
    fields = {"kind": "level", "about": ["D1"]}
    assert (
        _word(with_entry(job, [LINK], values=_heard(5, -81.0, -80.0), **fields)) is Word.PREDICTED
    )
    assert _word(with_entry(job, [LINK], values=_heard(5, -80.0, -79.0), **fields)) is Word.PROVEN


def test_a_fingerprint_does_not_make_an_entry_speak_for_something_else() -> None:
    assert _word(_walk(_job(), about=["D2"])) is Word.PREDICTED
    assert _word(_walk(_job(), GOOD | {"via": "R1"})) is Word.PREDICTED


def test_a_test_done_again_is_not_asked_for_again() -> None:
    moved = with_site(
        _walk(_job()), devices=[device("D1", between={"distance_m": 11.0}), device("D2")]
    )
    assert any("no longer" in f.text for f in assess(moved, NOW).findings)
    again = with_entry(
        moved,
        [LINK],
        kind="walk",
        about=["D1"],
        values=GOOD,
        id="r2",
        at="2026-11-21T10:00:00+00:00",
    )
    assert not any("no longer" in f.text for f in assess(again, NOW).findings)


def test_a_proven_link_counts_as_working_in_the_joint_odds() -> None:
    far = {"distance_m": 100.0, "walls": {"unknown_heavy_wall": 4}}
    job = _walk(make_job(devices=[device("D1", between=far)]))
    found = assess(job, NOW)
    assert found.link(LINK).probability is None
    assert found.summary.odds_all == 1.0


def test_a_walk_that_a_repeater_may_have_carried_is_told() -> None:
    far = {"distance_m": 100.0, "walls": {"unknown_heavy_wall": 4}}
    near = {"R1": {"distance_m": 5.0}}
    repeater = {"id": "R1", "name": "R1", "part": "repeater_a", "between": {"distance_m": 20.0}}

    def told(**site: Any) -> bool:
        found = assess(_walk(make_job(**site)), NOW)
        return any("may have carried" in f.text for f in found.findings)

    assert told(devices=[device("D1", between=far, between_repeaters=near)], repeaters=[repeater])
    assert not told(devices=[device("D1", between=far)])
    assert not told(devices=[device("D1", between_repeaters=near)], repeaters=[repeater])
