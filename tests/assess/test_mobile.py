"""Mobile links from readings."""

import math
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, norm

from pathproof.assess import Leaf, Link, assess
from pathproof.assess.actions import next_actions
from pathproof.assess.antenna import fitted_run, gain_db
from pathproof.assess.context import Context
from pathproof.assess.mobile_at_spots import ExpectedLevels
from pathproof.job import Job
from pathproof.terms import Reason, Word

from ._jobs import NOW, PARTS, SOURCE, device, entry, make_job, with_entry, with_site

NETWORKS = [
    {"mcc_mnc": f"001-0{i}", "label": f"N{i}", "technologies": ["lte", "gsm"]} for i in (1, 2, 3)
]


def _level(value: float, quantity: str = "rsrp_dbm") -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "low": value - 0.5, "high": value + 0.5}


def _reading(network: str, *values: float, **fields: Any) -> dict[str, Any]:
    levels = [_level(v, fields.pop("quantity", "rsrp_dbm")) for v in values]
    technology = fields.pop("technology", None)
    shown = {"levels": levels, "network": network, "technology": technology}
    fields = {"about": ["S1"], "conditions": {}, **fields}
    return entry("reading", shown, **fields)


def _job(*record: dict[str, Any], kind: str = "fixed", part: str = "lte", **fields: Any) -> Job:
    sim = {"kind": kind, "networks": ["001-01"] if kind == "fixed" else []}
    communicator = {"id": "C1", "part": part, "sim": sim, "spot": "S1", **fields}
    return make_job(
        [r | {"id": f"r{i}"} for i, r in enumerate(record)],
        devices=[device()],
        networks=NETWORKS,
        spots=[{"id": "S1", "name": "Hall"}],
        communicators=[communicator],
    )


def _link(job: Job) -> Link:
    return assess(job, NOW).link("mobile:C1")


def test_a_single_reading_predicts_with_its_spread_and_does_not_prove() -> None:
    link = _link(_job(_reading("001-01", -98.0)))
    # house figures (practice): need -115 dBm, fade margin 10 dB, spread 6 dB and half a bin
    assert link.word is Word.PREDICTED
    assert link.margin is not None
    assert link.margin.value == pytest.approx(7.0)
    assert link.probability == pytest.approx(norm.cdf(17.0 / (6.0**2 + 0.5**2) ** 0.5))


def test_too_weak_a_reading_is_lacking() -> None:
    link = _link(_job(_reading("001-01", -108.0)))
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-3.0)


def test_index_16_of_31_is_enough_for_a_module() -> None:
    # Common practice, no source: 16 on the 0 to 31 scale (-81 dBm) is enough for an alarm module.
    job = _job(_reading("001-01", -81.0, quantity="rssi_dbm"), part="gsm")
    assert _link(job).word is Word.PREDICTED


def test_rssi_does_not_grade_lte() -> None:
    link = _link(_job(_reading("001-01", -60.0, quantity="rssi_dbm", technology="lte")))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "RSRP" in link.why


@pytest.mark.parametrize(
    ("readings", "word"),
    [
        ([("001-01", -90.0)], Word.UNDECIDED),
        ([("001-01", -90.0), ("001-02", -98.0)], Word.PREDICTED),
        ([("001-01", -90.0), ("001-02", -110.0)], Word.UNDECIDED),
        ([("001-01", -90.0), ("001-02", -110.0), ("001-03", -120.0)], Word.LACKING),
        ([("001-01", -90.0), ("001-02", -110.0), ("001-03", -99.0)], Word.PREDICTED),
    ],
)
def test_a_card_that_roams_needs_two_networks(
    readings: list[tuple[str, float]], word: Word
) -> None:
    assert _link(_job(*(_reading(n, v) for n, v in readings), kind="roaming")).word is word


def test_other_networks_do_not_help_a_fixed_card() -> None:
    link = _link(_job(_reading("001-02", -80.0)))
    assert link.word is Word.UNDECIDED


def test_no_reading_no_card_no_communicator() -> None:
    assert "no level" in _link(_job()).why
    assert "card" in _link(_job(_reading("001-01", -90.0), sim=None)).why
    none = assess(make_job(devices=[device()]), NOW).link("mobile:none")
    assert none.word is Word.UNDECIDED


def test_antenna_and_feeder_change_a_reading_taken_without_them() -> None:
    fields = {"antenna": "whip", "feeder": {"part": "coax", "length_m": 10.0, "connectors": 2}}
    plain = _link(_job(_reading("001-01", -90.0)))
    link = _link(_job(_reading("001-01", -90.0), **fields))
    # RG-58C class, MIL-C-17 form with handbook points: 142.2 dB/100 m at 2.6 GHz (restated), a
    # little more at the top of the band; 2 connectors of 0.5 dB; antenna 3 dBi with a standing wave
    # ratio of 2, which reflects a ninth of the power (0.51 dB)
    assert link.margin is not None
    assert plain.margin is not None
    assert link.margin.value - plain.margin.value == pytest.approx(3 - 14.5 - 1.0 - 0.51, abs=0.4)
    own = {"about": ["C1"], "conditions": {"final_antenna": True}}
    final = _job(_reading("001-01", -90.0, **own), **fields)
    assert _link(final).margin == plain.margin


FINAL = {"lid_shut": True, "final_antenna": True, "minutes_since_registration": 10.0}


def _watched(job: Job, levels: Sequence[float], minutes: float, **fields: Any) -> Job:
    """The job with a watch of its module: readings at an even pace, as one entry."""
    pace_s = 60.0 * minutes / max(1, len(levels) - 1)
    values = {
        "levels": [_level(levels[0])],
        "series": [
            {"after_s": i * pace_s, "levels": [_level(v)]} for i, v in enumerate(levels) if i
        ],
        "network": fields.pop("network", "001-01"),
        "technology": fields.pop("technology", "lte"),
    }
    given = {"about": ["C1"], "conditions": FINAL, "id": f"w{len(job.record)}"} | fields
    return with_entry(job, ["mobile:C1"], kind="reading", values=values, **given)


def test_readings_over_time_with_everything_final_prove() -> None:
    # house figures (practice): 22 readings or more over 30 minutes or more, 90 % sure
    job = _job()
    assert _link(_watched(job, [-95.0] * 31, 30)).word is Word.PROVEN
    assert _link(_watched(job, [-95.0] * 21, 60)).word is Word.PREDICTED
    assert _link(_watched(job, [-95.0] * 60, 29)).word is Word.PREDICTED
    assert _link(_watched(job, [-106.0] * 31, 30)).word is Word.LACKING


@pytest.mark.parametrize(
    ("conditions", "said"),
    [
        ({"lid_shut": None}, "lid was shut"),
        ({"lid_shut": False}, "lid was shut"),
        ({"minutes_since_registration": None}, "how long the module had been registered"),
        ({"final_antenna": None}, ""),
        ({"final_antenna": False}, ""),
        ({"final_place": False}, ""),
    ],
)
def test_a_watch_under_other_conditions_proves_nothing_and_says_why(
    conditions: dict[str, Any], said: str
) -> None:
    link = _link(_watched(_job(), [-95.0] * 31, 30, conditions=FINAL | conditions))
    assert link.word is Word.PREDICTED
    assert said in link.why


@pytest.mark.parametrize(
    ("listed", "word"),
    [
        (["lte_m"], Word.PREDICTED),  # the only one that RSRP can be of
        (["lte_m", "gsm"], Word.PREDICTED),
        (["lte_m", "nb_iot"], Word.UNDECIDED),  # either, and nobody said
        (["nb_iot"], Word.UNDECIDED),  # of another one
        (["lte", "lte_m"], Word.LACKING),  # LTE, carried over at 6 dB and more of spread
        ([], Word.UNDECIDED),  # LTE as a rule, and nobody said that LTE-M is offered
    ],
)
def test_rsrp_that_names_no_technology_is_of_the_one_that_the_network_has(
    listed: list[str], word: Word
) -> None:
    data = _job(_reading("001-01", -104.0)).model_dump(mode="json")
    data["embedded"]["catalogue"]["lte"]["technologies"] = ["lte_m"]
    data["site"]["networks"] = [{"mcc_mnc": "001-01", "label": "N1", "technologies": listed}]
    link = _link(Job.model_validate(data))
    assert link.word is word, link.why
    if listed == ["lte_m", "nb_iot"]:
        assert "LTE-M or NB-IoT" in link.why
        assert "name its technology" in link.why


def test_a_final_antenna_of_nobody_knows_whom_does_not_count() -> None:
    told = _reading("001-01", -90.0, conditions={"final_antenna": True})
    answer = assess(_job(told), NOW)
    assert answer.link("mobile:C1").word is Word.UNDECIDED
    notes = [f for f in answer.findings if "no communicator is named" in f.text]
    assert [f.about for f in notes] == ["S1"]
    assert "r0" in notes[0].text
    both = assess(_job(told | {"about": ["S1", "C1"]}), NOW)
    assert both.link("mobile:C1").word is Word.PREDICTED
    assert not [f for f in both.findings if "no communicator is named" in f.text]


def test_the_first_minutes_after_registering_prove_nothing() -> None:
    # house figure (practice): 5 minutes; the watch goes on for 30 minutes after them
    early = FINAL | {"minutes_since_registration": 0.0}
    link = _link(_watched(_job(), [-95.0] * 31, 30, conditions=early))
    assert link.word is Word.PREDICTED
    assert _link(_watched(_job(), [-95.0] * 37, 36, conditions=early)).word is Word.PROVEN
    bad_at_first = [-120.0] * 4 + [-95.0] * 33
    assert _link(_watched(_job(), bad_at_first, 36, conditions=early)).word is Word.PROVEN


def test_a_watch_that_is_too_short_says_how_much_longer() -> None:
    link = _link(_watched(_job(), [-95.0] * 13, 12))
    # no reading below: 22 independent ones are enough (0.9^22 < 0.1 < 0.9^21) and 30 minutes are
    # asked; no more than one independent reading a minute is counted
    minutes = re.search(r"about (\d+) minutes more", link.why)
    assert minutes is not None
    assert 18 <= int(minutes[1]) <= 24
    job = _watched(_job(), [-95.0] * (13 + int(minutes[1])), 12 + int(minutes[1]))
    assert _link(job).word is Word.PROVEN


def test_the_next_action_says_what_a_watch_lacks() -> None:
    def action(job: Job) -> str:
        ctx, link = Context(job, NOW, None, leave_out_later=False), _link(job)
        signal = assess(job, NOW).signals[0]
        only = replace(signal, path=Leaf(link=link.id), arrival=Word.PROVEN)
        (found,) = next_actions(ctx, [only], {link.id: link})
        return found.text

    assert "001-01: watched for 12 minutes" in action(_watched(_job(), [-95.0] * 13, 12))
    assert "for 30 minutes or more" in action(_job(_reading("001-01", -90.0)))


def test_readings_that_hang_together_prove_less() -> None:
    # one slow swing, never below the requirement by the single reading, but read every 10 seconds
    swing = [-97.0 + 4.0 * math.sin(2 * math.pi * i / 180) for i in range(181)]
    link = _link(_watched(_job(), swing, 30))
    assert link.word is Word.PREDICTED
    assert "minutes more" in link.why


def test_a_failing_watch_is_not_outdone_by_a_single_reading() -> None:
    job = _job(_reading("001-01", -60.0))
    levels = [-100.0] * 27 + [-108.0] * 4
    link = _link(_watched(job, levels, 30))
    assert link.word is Word.LACKING
    assert link.margin is not None
    # nearest rank: the 4th of 31 from below; -105 dBm asked, lower edge of its bin
    assert link.margin.value == pytest.approx(-108.5 + 105.0)
    assert "30 minutes" in link.why


def test_a_watch_in_steps_that_reach_over_the_requirement_does_not_lack() -> None:
    # -105 dBm asked, and the step of 10 dB from -112 to -102 dBm says neither
    coarse = [{"quantity": "rsrp_dbm", "value": -104.0, "low": -112.0, "high": -102.0}]
    data = _watched(_job(), [-95.0] * 31, 30).model_dump(mode="json")
    values = data["record"][0]["values"]
    values["levels"] = coarse
    for sample in values["series"]:
        sample["levels"] = coarse
    link = _link(Job.model_validate(data))
    assert link.word is Word.PREDICTED  # by the single readings
    assert link.margin is not None
    assert link.margin.value == pytest.approx(1.0)
    assert "finer steps or an instrument of its own" in link.missing
    for sample in values["series"]:
        sample["levels"] = [coarse[0] | {"value": -110.0, "high": -106.0}]
    assert _link(Job.model_validate(data)).word is Word.LACKING


def test_few_readings_below_do_not_prove_and_do_not_fail() -> None:
    # one below: 90 % takes 38 independent readings (binomial), so more minutes
    assert binom.cdf(1, 38, 0.1) < 0.1 < binom.cdf(1, 37, 0.1)
    link = _link(_watched(_job(), [-95.0] * 15 + [-106.0] + [-95.0] * 15, 30))
    assert link.word is Word.PREDICTED
    assert "minutes more" in link.why
    longer = [-95.0] * 15 + [-106.0] + [-95.0] * 105
    link = _link(_watched(_job(), longer, 120))
    assert link.word is Word.PROVEN


def test_the_newest_watch_that_tells_decides() -> None:
    late = {"at": "2026-11-22T10:00:00+00:00"}
    good, bad = [-95.0] * 61, [-110.0] * 61
    assert _link(_watched(_watched(_job(), good, 60), bad, 60, **late)).word is Word.LACKING
    assert _link(_watched(_watched(_job(), bad, 60), good, 60, **late)).word is Word.PROVEN
    # a short look afterwards takes nothing away, unless it shows less than asked
    assert _link(_watched(_watched(_job(), good, 60), [-96.0], 0, **late)).word is Word.PROVEN
    link = _link(_watched(_watched(_job(), good, 60), [-107.0], 0, **late))
    assert link.word is Word.PREDICTED
    assert "newer readings" in link.why


def test_a_newer_weak_reading_by_the_module_ends_a_proof_whatever_else_was_told() -> None:
    late = {"at": "2026-11-22T10:00:00+00:00"}
    job = _watched(_job(), [-95.0] * 61, 60)
    link = _link(_watched(job, [-120.0], 0, conditions={}, **late))
    assert link.word is Word.PREDICTED
    assert "newer readings" in link.why
    other = {"final_antenna": False}  # says nothing of the one that stays
    assert _link(_watched(job, [-120.0], 0, conditions=other, **late)).word is Word.PROVEN


def test_trying_again_until_it_works_asks_for_more() -> None:
    # 0.9^31 = 0.038: enough for the first try, and for the second (0.05); not for the third (0.033)
    assert binom.cdf(0, 31, 0.1) == pytest.approx(0.038, abs=5e-4)
    levels, minutes = [-95.0] * 41, 40  # counts as 31 independent readings of the house's least
    told = {a: FINAL | {"attempt": a} for a in (1, 2, 3)}
    words = [_link(_watched(_job(), levels, minutes, conditions=told[a])).word for a in (1, 2, 3)]
    assert words[0] is Word.PROVEN
    assert words[2] is Word.PREDICTED


def test_watches_on_record_count_as_tries() -> None:
    job = _job()
    for day in (18, 19, 20, 21):
        job = _watched(job, [-95.0] * 4, 3, at=f"2026-11-{day}T10:00:00+00:00")
    job = _watched(job, [-95.0] * 31, 30, at="2026-11-22T10:00:00+00:00")
    link = _link(job)
    assert link.word is Word.PREDICTED
    asked = next(x for x in link.working if "certainty asked" in x.label)
    assert asked.value == pytest.approx(1 - 0.1 / 5)  # Bonferroni, fifth try


def test_what_was_read_after_the_as_of_moment_does_not_count() -> None:
    job = _watched(_job(), [-95.0] * 31, 30)
    as_of = datetime.fromisoformat("2026-11-20T10:20:00+00:00")
    link = assess(job, as_of).link("mobile:C1")
    assert link.word is Word.PREDICTED
    assert "from 21 readings" in link.why


def test_a_level_read_through_another_communicators_antenna_does_not_count() -> None:
    job = _job(_reading("001-01", -80.0, about=["C2", "S1"]))
    sim = {"kind": "fixed", "networks": ["001-01"]}
    other = {"id": "C2", "part": "lte", "sim": sim, "spot": "S1"}
    data = job.model_dump(mode="json")
    data["site"]["communicators"].append(other)
    assert _link(Job.model_validate(data)).word is Word.UNDECIDED
    data["record"][0]["conditions"]["final_antenna"] = False
    assert _link(Job.model_validate(data)).word is Word.PREDICTED


def test_a_module_reads_only_technologies_that_it_speaks() -> None:
    job = _job()
    data = job.model_dump(mode="json")
    data["embedded"]["catalogue"]["lte"]["technologies"] = ["gsm", "lte_m"]
    reading = _reading("001-01", -95.0, about=["C1"]) | {"id": "r9"}
    data["record"] = [reading]
    link = _link(Job.model_validate(data))
    assert link.word is Word.PREDICTED
    assert "carried over" not in link.why
    reading["values"]["levels"] = [_level(-60.0, "rssi_dbm")]  # +CSQ on LTE-M is no GSM level
    assert _link(Job.model_validate(data)).word is Word.UNDECIDED


def test_a_gap_ends_a_watch() -> None:
    job = _watched(_job(), [-95.0] * 16, 15)
    job = _watched(job, [-95.0] * 16, 15, at="2026-11-20T10:46:00+00:00")
    assert _link(job).word is Word.PREDICTED  # 31 minutes between them, 30 allowed
    job = _watched(_job(), [-95.0] * 16, 15)
    job = _watched(job, [-95.0] * 21, 20, at="2026-11-20T10:25:00+00:00")
    assert _link(job).word is Word.PROVEN


def test_one_moment_recorded_twice_is_one_reading() -> None:
    job = _watched(_job(), [-95.0] * 21, 40)
    assert _link(_watched(job, [-95.0] * 21, 40)).word is Word.PREDICTED
    # and of two levels at one moment the weaker counts
    job = _watched(_job(), [-95.0] * 41, 40)
    assert _link(job).word is Word.PROVEN
    assert _link(_watched(job, [-115.0] * 41, 40)).word is Word.LACKING


def test_minutes_without_readings_in_them_are_one_reading() -> None:
    job = _job()
    for minute in range(0, 10, 2):
        job = _watched(
            job,
            [-95.0],
            0,
            conditions=FINAL | {"minutes": 60.0},
            at=f"2026-11-20T10:{minute:02d}:00+00:00",
        )
    assert _link(job).word is Word.PREDICTED


def test_losing_the_network_counts_as_below_the_need() -> None:
    job = _watched(_job(), [-95.0] * 31, 30)
    data = job.model_dump(mode="json")
    for i in range(5, 9):
        data["record"][0]["values"]["series"][i]["levels"] = []
    link = _link(Job.model_validate(data))
    assert link.word is Word.LACKING
    # rank ceil(31 / 10) from below is one of the four (nearest rank)
    assert link.why == "001-01: no network in 4 of 31 moments, measured over 30 minutes"
    assert (link.margin, link.network) == (None, "001-01")
    data["record"][0]["values"]["series"][5]["levels"] = [_level(-95.0)]
    assert _link(Job.model_validate(data)).word is not Word.LACKING


def test_moments_without_the_network_count_in_a_prediction_too() -> None:
    moments = [
        {"after_s": 60.0 * i, "levels": [_level(-95.0)] if i > 3 else []} for i in range(1, 20)
    ]
    read = _reading("001-01", -95.0, technology="lte")
    read["values"]["series"] = moments
    link = _link(_job(read))
    assert link.word is Word.LACKING  # three of twenty; the second from below counts
    assert link.why == "001-01: no network in 3 of 20 moments"
    for sample in moments[:2]:
        sample["levels"] = [_level(-95.0)]
    moments[5]["levels"] = [_level(-99.0)]
    link = _link(_job(read))
    assert link.margin is not None
    assert link.margin.value == pytest.approx(6.0)  # one lost, then -99 against -105 dBm
    assert "from 20 readings, 1 of them without a network" in link.why


def test_a_network_looked_for_in_vain_is_lacking_once_nothing_else_may_be_tried() -> None:
    silent = _reading("001-01", technology="lte")
    assert _link(_job(silent)).why == "001-01: looked for in LTE and not heard"
    assert _link(_job(silent)).word is Word.LACKING
    data = _job(silent).model_dump(mode="json")
    data["embedded"]["catalogue"]["lte"]["technologies"] = ["lte", "gsm"]
    link = _link(Job.model_validate(data))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert link.why == "001-01 was looked for in LTE and not heard; read it in GSM"
    data["site"]["communicators"][0]["sim"] |= {"kind": "roaming", "networks": []}
    data["record"].append(_reading("001-02", -80.0, technology="lte") | {"id": "other"})
    link = _link(Job.model_validate(data))
    assert link.why.endswith("not read yet: 001-01 in GSM, 001-03")
    # heard now and then it is as a low level is, whatever else may be read
    data["record"].append(_reading("001-01", -80.0, technology="lte") | {"id": "once"})
    data["site"]["communicators"][0]["sim"] |= {"kind": "fixed", "networks": ["001-01"]}
    link = _link(Job.model_validate(data))
    assert (link.word, link.why) == (Word.LACKING, "001-01: no network in 1 of 2 moments")


def test_lte_says_nothing_of_a_technology_that_was_looked_for_in_vain() -> None:
    networks = [{"mcc_mnc": "001-01", "label": "N1", "technologies": ["lte", "lte_m"]}]
    read = [_reading("001-01", -80.0, technology="lte"), _reading("001-01", technology="lte_m")]

    def link(*record: dict[str, Any]) -> Link:
        data = with_site(_job(*record), networks=networks).model_dump(mode="json")
        data["embedded"]["catalogue"]["lte"]["technologies"] = ["lte_m"]
        return _link(Job.model_validate(data))

    assert link(read[0]).word is Word.PREDICTED
    assert link(*read).word is Word.LACKING
    assert link(*read).why == "001-01: looked for in LTE-M and not heard"


def test_a_step_of_a_scale_without_levels_is_no_silence() -> None:
    bars = _reading("001-01", technology="lte")
    bars["values"]["step"] = "3 bars"
    link = _link(_job(bars))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert link.why == "only read as steps of a scale without levels (3 bars): read it in dBm"
    assert _link(_job(bars, _reading("001-01", -98.0))).word is Word.PREDICTED


def test_a_technology_that_no_network_of_the_card_is_known_to_offer_is_said() -> None:
    data = _job(_reading("001-01", -80.0, technology="lte")).model_dump(mode="json")
    data["embedded"]["catalogue"]["lte"]["technologies"] = ["lte_m"]
    link = _link(Job.model_validate(data))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert link.why == (
        "001-01 is not known to offer LTE-M, which is all that the module speaks: list it in "
        "the site's networks if it is offered there, or take another module"
    )
    assert _link(Job.model_validate(data | {"record": []})).why == link.why
    job = Job.model_validate(data)
    (ask,) = [f.do for f in assess(job, NOW).findings if f.about == "C1" and "known to" in f.text]
    assert ask.startswith("Ask the operator whether the network offers there")


def test_only_what_is_not_told_is_asked_for() -> None:
    def asked(job: Job) -> str:
        return next(
            f.do for f in assess(job, NOW).findings if f.about == "C1" and "read" in f.do.lower()
        )

    rest = "the level there on each network that the card may use, with network and technology"
    assert asked(_job()).startswith(f"Read {rest}")
    assert asked(_job(sim=None)).startswith(f"Say which card (SIM) it has, and read {rest}")
    neither = _job(sim=None, spot=None)
    both = "Say which card (SIM) it has and where its antenna is, and read the level"
    assert asked(neither).startswith(both)


def test_readings_without_any_level_count_whatever_technology_was_looked_for() -> None:
    job = _watched(_job(), [-95.0] * 41, 40)
    assert _link(job).word is Word.PROVEN
    for minute in range(5, 25):
        job = _watched(job, [-95.0], 0, technology=None, at=f"2026-11-20T10:{minute:02d}:30+00:00")
        data = job.model_dump(mode="json")
        data["record"][-1]["values"]["levels"] = []
        job = Job.model_validate(data)
    assert _link(job).word is Word.LACKING


@pytest.mark.parametrize(
    ("gsm_dbm", "word"),
    [(-105.0, Word.LACKING), (-70.0, Word.PROVEN)],  # house targets: GSM needs -100 dBm and 10 dB
)
def test_a_technology_is_lost_while_the_module_makes_do_with_a_weak_other_one(
    gsm_dbm: float, word: Word
) -> None:
    job = _job()
    data = job.model_dump(mode="json")
    data["embedded"]["catalogue"]["lte"]["technologies"] = ["lte", "gsm"]
    job = _watched(Job.model_validate(data), [-95.0] * 61, 120)  # every two minutes
    between = {"technology": "gsm", "at": "2026-11-20T10:31:00+00:00"}
    job = _watched(job, [gsm_dbm] * 20, 38, **between)
    data = job.model_dump(mode="json")
    for sample in (data["record"][1]["values"], *data["record"][1]["values"]["series"]):
        sample["levels"] = [_level(gsm_dbm, "rssi_dbm")]
    assert _link(Job.model_validate(data)).word is word


def test_a_network_that_is_never_heard_in_a_watch_is_lacking() -> None:
    job = _watched(_job(), [-95.0] * 31, 30)
    data = job.model_dump(mode="json")
    values = data["record"][0]["values"]
    for sample in (values, *values["series"]):
        sample["levels"] = []
    link = _link(Job.model_validate(data))
    assert link.word is Word.LACKING
    assert link.why == (
        "001-01: looked for in LTE at 31 moments and not heard, measured over 30 minutes"
    )


def test_a_card_that_needs_more_networks_than_it_may_use_is_not_good_enough() -> None:
    sim = {"kind": "roaming", "networks": ["001-01"]}
    assert _link(_job(_reading("001-01", -80.0), sim=sim)).word is Word.LACKING
    job = with_site(_job(_reading("001-01", -80.0), kind="roaming"), networks=NETWORKS[:1])
    link = _link(job)
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "the site lists 001-01 and no other" in link.why


def test_a_watch_of_lte_is_no_try_of_another_technology() -> None:
    job = _job(part="gsm")
    job = _watched(job, [-95.0] * 31, 30)
    own = {"technology": "gsm", "at": "2026-11-21T10:00:00+00:00"}
    job = _watched(job, [-75.0] * 31, 30, **own)
    data = job.model_dump(mode="json")
    for sample in (data["record"][1]["values"], *data["record"][1]["values"]["series"]):
        sample["levels"] = [_level(-75.0, "rxlev_dbm")]
    assert _link(Job.model_validate(data)).word is Word.PROVEN


def test_a_level_below_what_an_instrument_shows_lacks_at_least_so_much() -> None:
    job = _watched(_job(), [-95.0] * 31, 30)
    data = job.model_dump(mode="json")
    bottom = [{"quantity": "rsrp_dbm", "value": -140.0, "low": None, "high": -140.0}]
    for i in range(5, 9):
        data["record"][0]["values"]["series"][i]["levels"] = bottom
    link = _link(Job.model_validate(data))
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-140.0 + 105.0)
    assert "at least 35.0 dB" in link.why


def test_both_networks_of_a_card_that_roams_have_to_be_watched() -> None:
    job = _watched(_job(kind="roaming"), [-95.0] * 31, 30)
    assert "not read yet" in _link(job).why
    predicted = _watched(job, [-95.0] * 5, 4, network="001-02")
    assert _link(predicted).word is Word.PREDICTED
    assert "001-02: watched for 4 minutes" in _link(predicted).why
    assert _link(_watched(job, [-95.0] * 31, 30, network="001-02")).word is Word.PROVEN


def test_an_instruments_offset_and_spread_count_in_a_proof_too() -> None:
    survey = {"kind": "instrument", "id": "survey", "name": "S", "source": SOURCE}

    def read_with(offset_db: float, spread_db: float) -> Link:
        job = _watched(_job(), [-95.0] * 31, 30, instrument="survey")
        data = job.model_dump(mode="json")
        part = survey | {"offset_db": offset_db, "spread_db": spread_db}
        data["embedded"]["catalogue"]["survey"] = part
        return _link(Job.model_validate(data))

    exact = read_with(3.0, 0.0)
    assert exact.word is Word.PROVEN
    assert exact.margin is not None
    assert exact.margin.value == pytest.approx(-95.5 - 3.0 + 105.0)
    wide = read_with(3.0, 4.0)
    assert wide.word is Word.PROVEN
    assert wide.margin is not None
    # nine of ten pieces keep to 1.2816 deviations (normal distribution)
    assert wide.margin.value == pytest.approx(-95.5 - 3.0 + 105.0 - norm.ppf(0.9) * 4.0)
    doubtful = read_with(3.0, 6.0)
    assert doubtful.word is Word.PREDICTED
    assert "spread of the instrument" in doubtful.why


def test_a_limit_from_memory_lets_no_watch_prove() -> None:
    job = _watched(_job(), [-95.0] * 31, 30)
    data = job.model_dump(mode="json")
    certainty = data["embedded"]["profile"]["limits"]["mobile_certainty_ratio"]
    certainty["source"]["evidence"] = "memory"
    link = _link(Job.model_validate(data))
    assert link.word is Word.PREDICTED
    assert "mobile_certainty_ratio" in link.why


def test_impossible_readings_count_for_nothing() -> None:
    levels = [_level(-120.0), _level(25.0, "sinr_db")]
    # -120 dBm an element is 12.2 dB over thermal noise (kTB at 290 K, 15 kHz: -132.2 dBm)
    reading = _reading("001-01", -120.0)
    reading["values"]["levels"] = levels
    job = _job(reading)
    assert _link(job).word is Word.UNDECIDED
    finding = next(f for f in assess(job, NOW).findings if "cannot be" in f.text)
    assert "SINR was read as 24.5 to 25.5 dB" in finding.text
    assert "12.7 dB or less" in finding.text


def test_a_doubtful_reading_counts_and_is_said() -> None:
    reading = _reading("001-01", -95.0)
    reading["values"]["levels"] = [_level(-95.0), _level(-15.0, "rsrq_db"), _level(9.0, "sinr_db")]
    # RSRQ of -15 dB: SINR -3.9 to -2.1 dB (worked example of the calculation's own sheet)
    job = _job(reading)
    assert _link(job).word is Word.PREDICTED
    assert any("hardly" in f.text for f in assess(job, NOW).findings)


def test_poor_quality_is_told_once_for_a_watch() -> None:
    def told(*rsrq_db: float) -> list[str]:
        job = _watched(_job(), [-95.0] * len(rsrq_db), 10)
        data = job.model_dump(mode="json")
        values = data["record"][0]["values"]
        for sample, value in zip((values, *values["series"]), rsrq_db, strict=True):
            sample["levels"].append(_level(value, "rsrq_db"))
        return [f.text for f in assess(Job.model_validate(data), NOW).findings if "RSRQ" in f.text]

    # house figure (practice): -14 dB
    assert told(-18.0, -10.0, -11.0) == []
    (text,) = told(-18.0, -15.0, -11.0)
    assert "RSRQ -15 dB (middle of 3 readings)" in text


def test_rssi_of_another_moment_is_allowed_some_slack() -> None:
    def rssi(dbm: float) -> Word:
        reading = _reading("001-01", -95.0)
        reading["values"]["levels"] = [
            _level(-95.0),
            _level(-10.79, "rsrq_db"),
            _level(dbm, "rssi_dbm"),
        ]
        reading["values"]["bandwidth_hz"] = 10e6
        return _link(_job(reading)).word

    # N = 50, fully loaded: RSSI = RSRP + 27.8 dB = -67.2 dBm (fact: 10 log10 12N = 27.78)
    assert rssi(-67.2) is Word.PREDICTED
    assert rssi(-61.0) is Word.PREDICTED
    assert rssi(-55.0) is Word.UNDECIDED


def test_lte_counts_little_for_lte_m_and_never_proves() -> None:
    site = NETWORKS[0] | {"technologies": ["lte", "lte_m"]}
    part = PARTS["lte"] | {"id": "m1", "technologies": ["lte_m"]}

    def job_with(network: dict[str, Any]) -> Job:
        job = _job()
        data = job.model_dump(mode="json")
        data["site"]["networks"] = [network]
        data["site"]["communicators"][0]["part"] = "m1"
        data["embedded"]["catalogue"]["m1"] = part
        return Job.model_validate(data)

    link = _link(_watched(job_with(site), [-85.0] * 61, 60))
    assert link.word is Word.PREDICTED
    assert "carried over to LTE-M" in link.why
    doubts = next(x for x in link.working if "leaves open" in x.label)
    assert doubts.value == pytest.approx((6.0**2 + 3.0**2 + 3.0**2 + 6.0**2) ** 0.5)
    unsaid = _link(_watched(job_with(site | {"technologies": []}), [-85.0] * 61, 60))
    assert (unsaid.word, unsaid.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "whether 001-01 offers LTE-M" in unsaid.why
    not_offered = _link(_watched(job_with(NETWORKS[0]), [-85.0] * 61, 60))
    assert (not_offered.word, not_offered.reason) == (Word.UNDECIDED, Reason.INPUT)


def test_the_working_ends_with_what_receivers_have_to_hear() -> None:
    reading = _reading("001-01", -95.0)
    reading["values"]["band"] = "1"
    last = _link(_job(reading)).working[-1]
    # TS 36.101, 10 MHz in band 1: -97 dBm over 600 subcarriers (facts: -124.8 dBm an element)
    assert last.value == pytest.approx(-124.8, abs=0.05)
    assert "For information" in last.label


@given(
    st.lists(st.integers(-104, -60), min_size=31, max_size=60),
    st.lists(st.integers(0, 30), max_size=8),
    st.booleans(),
)
@settings(max_examples=30, deadline=None)
def test_more_readings_at_or_above_never_turn_proven_into_lacking(
    levels: list[int], above: list[int], later: bool
) -> None:
    job = _watched(_job(_reading("001-01", -120.0)), levels, len(levels))
    if _link(job).word is not Word.PROVEN:
        return
    more = [max(levels) + a for a in sorted(above)]
    at = "2026-11-24T10:00:00+00:00" if later else "2026-11-20T10:00:30+00:00"
    for i, one in enumerate(more):
        job = _watched(job, [one], 0, at=at.replace(":00:", f":{i:02d}:"))
    assert _link(job).word is not Word.LACKING


@given(
    st.lists(st.integers(-125, -60), min_size=1, max_size=3),
    st.booleans(),
    st.sampled_from(["fixed", "roaming"]),
)
@settings(max_examples=30, deadline=None)
def test_an_added_strong_network_never_makes_it_worse(
    levels: list[int], watch: bool, kind: str
) -> None:
    networks = [f"001-0{i}" for i in range(1, len(levels) + 1)]
    job = _job(*(_reading(n, v) for n, v in zip(networks, levels, strict=True)), kind=kind)
    if watch:
        job = _watched(job, [levels[0]] * 31, 30)
    data = job.model_dump(mode="json")
    data["site"]["networks"].append(NETWORKS[0] | {"mcc_mnc": "001-09", "label": "N9"})
    data["record"].append(_reading("001-09", -60.0) | {"id": "strong"})
    before, after = _link(job), _link(Job.model_validate(data))
    assert _RANK[after.word] >= _RANK[before.word]


@given(
    st.lists(
        st.tuples(st.integers(-125, -60), st.sampled_from([None, "1", "20", "31"])),
        min_size=1,
        max_size=12,
    ),
    st.sampled_from([{}, {"antenna": "whip", "feeder": {"part": "coax", "length_m": 7.0}}]),
)
@settings(max_examples=30, deadline=None)
def test_what_is_not_proven_is_what_the_choice_rests_on(
    read: list[tuple[int, str | None]], fields: dict[str, Any]
) -> None:
    readings = [_reading("001-01", value) for value, _ in read]
    for reading, (_, band) in zip(readings, read, strict=True):
        reading["values"]["band"] = band
    job = _job(*readings, **fields)
    ctx = Context(job, NOW, None, leave_out_later=False)
    run = fitted_run(job, job.site.communicators[0])
    levels = ExpectedLevels(ctx)
    found = levels.at_spot(run.module, "001-01", "S1", lambda band: gain_db(run, band, ctx))
    link = _link(job)
    assert (found is None) == (link.margin is None)
    if found is not None and link.margin is not None:
        assert link.margin.value == found.margin_db
        assert (link.probability, link.scale) == (found.odds, found.spread_db)


_RANK = {Word.LACKING: 0, Word.UNDECIDED: 1, Word.PREDICTED: 2, Word.PROVEN: 3}


def test_changing_the_card_voids_the_proof() -> None:
    job = _watched(_job(), [-95.0] * 31, 30)
    data = job.model_dump(mode="json")
    data["site"]["communicators"][0]["sim"]["networks"] = ["001-01", "001-02"]
    link = _link(Job.model_validate(data))
    assert link.word is not Word.PROVEN


def test_a_reading_that_names_no_network_counts_for_none_of_several() -> None:
    unnamed = _reading("001-01", -90.0)
    unnamed["values"]["network"] = None
    link = _link(_job(unnamed))
    assert link.word is Word.UNDECIDED
    assert "which network" in link.why


def test_the_modules_own_reading_is_of_the_cards_only_network() -> None:
    own = _reading("001-01", -90.0, about=["C1"])
    own["values"]["network"] = None
    assert _link(_job(own)).word is Word.PREDICTED


def test_readings_that_are_too_old_do_not_count() -> None:
    # house figure (practice): 365 days
    link = _link(_job(_reading("001-01", -90.0, at="2025-11-01T10:00:00+00:00")))
    assert link.word is Word.UNDECIDED
    assert link.why == (
        "what was read for C1 or spot S1 is too old: the last on 2025-11-01, and a reading counts "
        "for 365 days; read again"
    )


def test_what_a_roaming_card_needs_is_said() -> None:
    some = [_reading("001-01", -90.0), _reading("001-02", -110.0)]
    assert "not read yet: 001-03" in _link(_job(*some, kind="roaming")).why
    link = _link(_job(*some, _reading("001-03", -120.0), kind="roaming"))
    assert "roams" in link.why
    assert "001-02" in link.why


def _changed(job: Job, **communicator: Any) -> Job:
    data = job.model_dump(mode="json")
    data["site"]["communicators"][0] |= communicator
    data["embedded"]["catalogue"] |= {k: PARTS[k] for k in ("whip", "coax")}
    return Job.model_validate(data)


def test_a_reading_about_module_and_spot_proves_nothing_once_the_antenna_is_another() -> None:
    job = _job()
    for minute in range(31):
        values = {"levels": [_level(-95.0)], "network": "001-01", "technology": "lte"}
        at = f"2026-11-20T10:{minute:02d}:00+00:00"
        new = {"kind": "reading", "about": ["C1", "S1"], "values": values, "at": at}
        fits = ["mobile:C1", "spot:S1"]
        job = with_entry(job, fits, id=f"r{minute}", conditions=FINAL, **new)
    assert _link(job).word is Word.PROVEN
    # nobody knows any more what the antenna then made of the level
    changed = _link(_changed(job, antenna="whip"))
    assert (changed.word, changed.reason) == (Word.UNDECIDED, Reason.INPUT)


def test_a_module_in_the_panel_moves_with_it() -> None:
    floors = [{"id": "G", "name": "Ground", "elevation_m": 0.0, "height_m": 3.0}]
    panel = {"part": "panel_a", "floor": "G", "at": [0.0, 0.0], "height_m": 1.5}
    sim = {"kind": "fixed", "networks": ["001-01"]}
    job = make_job(
        devices=[device()],
        networks=NETWORKS,
        floors=floors,
        panel=panel,
        communicators=[{"id": "C1", "part": "lte", "sim": sim}],
    )
    values = {"levels": [_level(-95.0)], "network": "001-01", "technology": "lte"}
    job = with_entry(job, ["mobile:C1"], kind="reading", about=["C1"], values=values)
    assert _link(job).word is Word.PREDICTED
    data = job.model_dump(mode="json")
    data["site"]["panel"]["at"] = [30.0, 20.0]
    assert _link(Job.model_validate(data)).word is Word.UNDECIDED


def test_an_ended_account_carries_nothing() -> None:
    assert _link(_job(_reading("001-01", -80.0), state="ended")).word is Word.LACKING


def test_a_band_that_the_module_has_not_does_not_count() -> None:
    reading = _reading("001-01", -80.0)
    reading["values"]["band"] = "3"
    assert _link(_job(reading, part="lte_band_20")).word is Word.UNDECIDED
    reading["values"]["band"] = "B20"
    assert _link(_job(reading, part="lte_band_20")).word is Word.PREDICTED


def test_another_antenna_is_believed_even_of_the_module_itself() -> None:
    fields = {"antenna": "whip", "feeder": {"part": "coax", "length_m": 30.0}}
    own = _reading("001-01", -90.0, about=["C1"], conditions={"final_antenna": False})
    assert _link(_job(own, **fields)).word is Word.LACKING


def test_one_moment_is_one_reading_in_however_many_quantities() -> None:
    job = _job(part="gsm")
    for minute in range(0, 60, 3):
        levels = [_level(-81.0, "rssi_dbm"), _level(-81.0, "rxlev_dbm")]
        values = {"levels": levels, "network": "001-01", "technology": "gsm"}
        at = f"2026-11-20T10:{minute:02d}:00+00:00"
        new = {"kind": "reading", "about": ["C1"], "values": values, "at": at}
        job = with_entry(job, ["mobile:C1"], id=f"r{minute}", conditions=FINAL, **new)
    assert _link(job).word is Word.PREDICTED  # 22 readings are asked (house figure, practice)


def test_the_weakest_of_a_few_readings_counts() -> None:
    link = _link(_job(_reading("001-01", -80.0), _reading("001-01", -112.0)))
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-7.0)
