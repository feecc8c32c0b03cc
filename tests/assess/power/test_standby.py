"""Standby link: hours on the battery, its word, and what proves it."""

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

import pytest

from pathproof.assess import Line, Link, assess
from pathproof.job import Job, Profile, shipped
from pathproof.job.fingerprint import Fingerprints
from pathproof.terms import Reason, Word

from ._power_jobs import NOW, PANEL, SOURCE, b1_job, power_job

BATTERY = {
    "kind": "battery",
    "id": "block",
    "chemistry": "lead_acid",
    "nominal_v": 12.0,
    "capacity_ah": 7.0,
    "life_years": 5.0,
    "end_v": 10.5,
}
SUPPLY = {
    "kind": "supply",
    "id": "mains",
    "types": ["mains_recharged"],
    "output_v": 13.8,
    "average_a": 1.0,
    "peak_a": 3.0,
}
MEASURED = {
    "standby_current_a": 0.11,
    "alarm_current_a": 0.45,
    "loaded_v": 12.2,
    "loaded_minutes": 10.0,
    "battery_date": "2026-01-15",
}
NFPA_72_2010_TO_2019 = shipped().profile("nfpa_72_2010_to_2019")
HOURS_24 = {
    "limits": {"standby_h": {"value": 24.0}, "alarm_min": {"value": 5.0}},
    "alarm_within_standby": False,
}


def job(
    parts: Sequence[dict[str, Any]] = (),
    *,
    battery: dict[str, Any] | None = None,
    fitted: dict[str, Any] | None = None,
    supply: dict[str, Any] | None = None,
    charger: dict[str, Any] | None = None,
    without: str = "",
    make: Any = power_job,
    **rest: Any,
) -> Job:
    """A job with a supply and a 7 Ah block at 25 degC, unless told otherwise."""
    site: dict[str, Any] = {
        "supply": {"part": "mains", "kind": "mains_recharged"} | (supply or {}),
        "battery": {"part": "block", "temperature_degc": 25.0} | (fitted or {}),
    }
    if without:
        site[without] = None
    made = make(parts=[SUPPLY | (charger or {}), BATTERY | (battery or {}), *parts], **site, **rest)
    assert isinstance(made, Job)
    return made


def with_tests(before: Job, *tests: dict[str, Any]) -> Job:
    """The job with supply tests, a day apart, that fit what is there now."""
    prints = Fingerprints(before)
    fits = {name: prints.of(name) for name in ("supply", "standby")}
    data = before.model_dump(mode="json")
    for i, values in enumerate(tests):
        data["record"].append(
            {
                "id": f"t{i + 1}",
                "kind": "supply_test",
                "about": ["panel"],
                "at": f"2026-11-{10 + i}T10:00:00+00:00",
                "by": "A. Tester",
                "values": values,
                "fits": fits,
            }
        )
    return Job.model_validate(data)


def standby(of: Job, at: datetime = NOW) -> Link:
    return assess(of, at).link("standby")


def line(link: Link, start: str) -> Line:
    return next(x for x in link.working if x.label.startswith(start))


# Published examples through the whole assessment.


def standby_by(of: Job, profile: Profile) -> Link:
    return assess(of, NOW, profile).link("standby")


def test_b1_a_published_list_of_parts_asks_for_17_ah() -> None:
    # Quiz of a trade magazine: 24 h and 15 min, as for voice evacuation, 20 %: 13.54 Ah, 16.24 Ah,
    # choose 17 Ah.
    voice = NFPA_72_2010_TO_2019.model_dump(mode="json")
    voice["limits"]["alarm_min"]["value"] = 15.0
    asked = Profile.model_validate(voice)
    found = standby_by(job(make=b1_job, battery={"capacity_ah": 17.0}), asked)
    assert line(found, "Charge taken").value == pytest.approx(13.54, abs=0.005)
    assert line(found, "Capacity asked for").value == pytest.approx(16.24, abs=0.005)
    assert line(found, "Next usual size").value == 17.0
    assert found.word is Word.PREDICTED
    short = standby_by(job(make=b1_job, battery={"capacity_ah": 12.0}), asked)
    assert short.word is Word.LACKING


def test_b2_a_published_sizing_leaves_a_12_ah_pair_short() -> None:
    # Public sizing guide: 0.42 A for 24 h, 3.8 A for 5 min, 20 %: 10.397 Ah, 12.48 Ah.
    board = PANEL | {"standby_current_a": 0.42, "alarm_current_a": 3.8}
    found = standby_by(job([board], battery={"capacity_ah": 12.0}), NFPA_72_2010_TO_2019)
    assert line(found, "Charge taken").value == pytest.approx(10.397, abs=0.0005)
    assert line(found, "Capacity asked for").value == pytest.approx(12.48, abs=0.005)
    assert (found.word, line(found, "Next usual size").value) == (Word.LACKING, 17.0)
    assert found.missing.startswith("Fit 17 Ah, ")


def test_the_edition_of_2022_adds_25_percent() -> None:
    # The charge that the same guide prints, and the 25 % of the edition of 2022 (two articles).
    board = PANEL | {"standby_current_a": 0.42, "alarm_current_a": 3.8}
    found = standby_by(job([board]), shipped().profile("nfpa_72_2022"))
    assert line(found, "Capacity asked for").value == pytest.approx(10.397 * 1.25, abs=0.001)


def test_b3_a_published_charge_before_factors() -> None:
    # Exam study guide: 0.25 A for 24 h and 1.5 A for 5 min take 6.125 Ah.
    board = PANEL | {"standby_current_a": 0.25, "alarm_current_a": 1.5}
    found = standby(job([board], **HOURS_24))
    assert line(found, "Charge taken").value == pytest.approx(6.125)


@pytest.mark.parametrize(
    ("temperature_degc", "factor"),
    [(-3.88, 1.52), (0.0, 1.40), (10.0, 1.19), (15.6, 1.11), (25.0, 1.0), (35.0, 1.0)],
)
def test_the_cold_asks_for_more_and_warmth_for_no_less(
    temperature_degc: float, factor: float
) -> None:
    # IEEE 485, from memory; above 25 degC common practice counts nothing.
    found = standby(job(fitted={"temperature_degc": temperature_degc}))
    assert line(found, "Factor for the cold").value == pytest.approx(factor, abs=0.005)


# Which hours are asked for.


@pytest.mark.parametrize(
    ("kind", "notified", "limit", "hours"),
    [
        ("mains_recharged", False, "standby_h", 60.0),
        ("mains_recharged", True, "standby_notified_h", 30.0),
        ("mains_not_recharged", True, "standby_not_recharged_h", 120.0),
        ("battery_only", False, "battery_only_h", 720.0),
    ],
)
def test_the_kind_of_supply_decides_the_hours(
    kind: str, notified: bool, limit: str, hours: float
) -> None:
    # EN 50131-6, grade 3, as facts give it; types B and C from memory.
    found = standby(
        job(
            supply={"kind": kind, "mains_fail_notified": notified},
            limits={limit: {"value": hours}},
        )
    )
    asked = line(found, "Time idle before it")
    assert asked.inputs[limit] == (hours, "h")
    assert asked.value == pytest.approx(hours - 0.25)


@pytest.mark.parametrize(("within", "standby_h"), [(True, 11.75), (False, 12.0)])
def test_the_alarm_is_part_of_the_hours_or_comes_after_them(within: bool, standby_h: float) -> None:
    # 12 h of grade 2 with the alarm inside are 11.75 h and 0.25 h, by an equipment manual's note.
    found = standby(job(alarm_within_standby=within))
    assert line(found, "Time idle before it").value == standby_h
    assert found.scale == standby_h


# Words.


def test_what_the_parts_state_predicts_with_hours_over_what_is_asked() -> None:
    found = standby(job())
    assert (found.word, found.reason) == (Word.PREDICTED, None)
    # By hand: 7 Ah / 1.25 = 5.6 Ah, less 0.4 A for 0.25 h, at 0.1 A.
    assert found.margin is not None
    assert found.margin.unit == "h"
    assert found.margin.value == pytest.approx((7 / 1.25 - 0.4 * 0.25) / 0.1 - 11.75)
    assert "by what the parts state" in found.why


def test_blocks_in_parallel_add_up() -> None:
    found = standby(job(fitted={"count": 2}))
    assert line(found, "Capacity of what is fitted").value == 14.0


def test_too_small_a_battery_lacks_and_says_what_to_fit() -> None:
    found = standby(job(battery={"capacity_ah": 1.2}))
    assert found.word is Word.LACKING
    # By hand: (0.1 A 11.75 h + 0.4 A 0.25 h) 1.25 = 1.59375 Ah.
    assert "1.5938 Ah asked for" in found.why
    assert found.missing.startswith("Fit 2.1 Ah, ")
    assert found.margin is not None
    assert found.margin.value < 0


def test_what_does_not_even_carry_the_alarm_says_so() -> None:
    board = PANEL | {"alarm_current_a": 30.0}
    found = standby(job([board], battery={"capacity_ah": 2.1}))
    assert found.word is Word.LACKING
    assert "does not even carry the alarm" in found.why


def test_peukert_counts_above_the_rated_current_only() -> None:
    slow = PANEL | {"standby_current_a": 0.1, "alarm_current_a": 0.2}
    # Rated current of what is left: 7 Ah / 1.25 in 20 h, 0.28 A.
    assert standby(job([slow], battery={"peukert": 1.2})).margin == standby(job([slow])).margin
    fast = PANEL | {"standby_current_a": 0.1, "alarm_current_a": 2.0}
    by_peukert, linear = standby(job([fast], battery={"peukert": 1.2})), standby(job([fast]))
    assert by_peukert.margin is not None
    assert linear.margin is not None
    assert by_peukert.margin.value < linear.margin.value
    taken = line(by_peukert, "Charge taken, a load above").value
    assert isinstance(taken, float)
    # Peukert's law in its form with the hour rate; 0.1 A 11.75 h and 2 A 0.25 h.
    idle, alarm = max(1.0, 0.1 * 20 / taken), max(1.0, 2.0 * 20 / taken)
    assert taken == pytest.approx(1.175 * idle**0.2 + 0.5 * alarm**0.2)


def test_a_margin_below_what_ageing_takes_holds_and_says_that_it_falls_short_aged() -> None:
    # By hand: 0.1 A for 11.75 h and 0.4 A for 0.25 h take 1.275 Ah; 1.4 Ah new are 1.12 Ah at 80 %.
    found = standby(
        job(battery={"capacity_ah": 1.4}, limits={"standby_margin_ratio": {"value": 1.0}})
    )
    assert found.word is Word.PREDICTED
    assert "at 80 % of its rating it would fall short" in found.why


def test_ageing_by_itself_goes_with_a_small_design_margin() -> None:
    # By hand: 1.275 Ah / 0.8 * 1.1.
    limits = {"ageing_ratio": {"value": 0.8}, "standby_margin_ratio": {"value": 1.1}}
    found = standby(job(limits=limits))
    assert line(found, "Capacity asked for").value == pytest.approx(1.275 / 0.8 * 1.1)
    assert found.word is Word.PREDICTED


def test_ageing_never_counts_twice() -> None:
    found = standby(job(limits={"ageing_ratio": {"value": 0.8}}))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.LIMIT)
    assert "set ageing_ratio to 1" in found.missing


@pytest.mark.parametrize(
    "limit", ["standby_h", "alarm_min", "standby_margin_ratio", "ageing_ratio"]
)
def test_a_limit_from_memory_decides_nothing(limit: str) -> None:
    found = standby(job(limits={limit: {"source": SOURCE | {"evidence": "memory"}}}))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.LIMIT)
    assert limit in found.why
    assert line(found, "Capacity asked for")  # worked out all the same


@pytest.mark.parametrize(
    ("profile", "word"),
    [
        ("house_targets", Word.PREDICTED),
        ("en_50131_grade_1", Word.PREDICTED),
        ("en_50131_grade_2", Word.PREDICTED),
        ("en_50131_grade_3", Word.LACKING),  # 60 h by EN 50131-6, of 7 Ah at 0.1 A
        ("en_50131_grade_4", Word.LACKING),
        ("nfpa_ul_household", Word.UNDECIDED),  # its hours are from memory
        ("pd_6662_2004_grade_3", Word.PREDICTED),  # 24 h
        ("pd_6662_2004_grade_4", Word.PREDICTED),
        ("nfpa_72_2010_to_2019", Word.PREDICTED),
        ("nfpa_72_2022", Word.PREDICTED),
        ("ul_household_burglary", Word.UNDECIDED),
        ("en_54_4_bs_5839_1", Word.UNDECIDED),  # its minutes of alarm are from memory
    ],
)
def test_profiles_that_come_with_it(profile: str, word: Word) -> None:
    found = assess(job(), NOW, shipped().profile(profile)).link("standby")
    assert found.word is word


def test_a_limit_that_was_confirmed_decides() -> None:
    memory = {"alarm_min": {"source": SOURCE | {"evidence": "memory"}}}
    confirmed = {
        "id": "c1",
        "kind": "confirm",
        "at": "2026-11-01T10:00:00+00:00",
        "by": "A. Tester",
        "values": {
            "profile": "house_targets",
            "limit": "alarm_min",
            "value": 15.0,
            "document": "A standard",
            "edition": "2020",
        },
    }
    assert standby(job(limits=memory, record=[confirmed])).word is Word.PREDICTED


# Hours and minutes from memory of UL 1023 and BS 5839-1. By hand, 0.1 A and 0.4 A of 7 Ah:
# UL 1023 takes 0.4 Ah + 0.027 Ah, BS 5839-1 2.4 Ah + 0.2 Ah, both times 1.25 below 7 Ah.
@pytest.mark.parametrize(
    ("profile_id", "memory", "notified"),
    [
        ("ul_household_burglary", {"standby_h": 4.0, "alarm_min": 4.0}, False),
        ("ul_household_burglary", {"standby_notified_h": 4.0, "alarm_min": 4.0}, True),
        ("en_54_4_bs_5839_1", {"alarm_min": 30.0}, False),
    ],
)
def test_what_a_profile_has_from_memory_decides_once_it_is_confirmed(
    profile_id: str, memory: dict[str, float], notified: bool
) -> None:
    profile = shipped().profile(profile_id)
    confirmed: list[dict[str, Any]] = []
    for i, (limit, value) in enumerate(memory.items()):
        found = standby_by(job(supply={"mains_fail_notified": notified}, record=confirmed), profile)
        assert (found.word, found.reason) == (Word.UNDECIDED, Reason.LIMIT)
        assert limit in found.why
        values = {"profile": profile_id, "limit": limit, "value": value}
        confirmed.append(
            {
                "id": f"c{i}",
                "kind": "confirm",
                "at": "2026-11-01T10:00:00+00:00",
                "by": "A. Tester",
                "values": values | {"document": "My copy", "edition": "2020"},
            }
        )
    found = standby_by(job(supply={"mains_fail_notified": notified}, record=confirmed), profile)
    assert found.word is Word.PREDICTED


def test_hours_that_leave_no_standby_are_a_matter_of_the_profile() -> None:
    found = standby(job(limits={"standby_h": {"value": 0.2}}))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.LIMIT)


def test_a_profile_of_before_that_gives_no_such_limit_leaves_it_undecided() -> None:
    data = job(supply={"mains_fail_notified": True}).model_dump(mode="json")
    del data["embedded"]["profile"]["limits"]["standby_notified_h"]
    found = standby(Job.model_validate(data))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.LIMIT)
    assert "standby_notified_h" in found.why


def test_a_factor_from_memory_alone_makes_nothing_lack() -> None:
    # By hand: 1.275 Ah asked of 1.7 Ah / 1.25 = 1.36 Ah; at 0 degC, factor 1.40, 0.97 Ah.
    found = standby(job(battery={"capacity_ah": 1.7}, fitted={"temperature_degc": 0.0}))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.LIMIT)
    assert found.missing.startswith("Fit 4.5 Ah, or check the factor in your own copy")
    assert found.margin is None


def test_without_a_battery_the_working_says_what_to_fit() -> None:
    found = standby(job(without="battery"))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)
    # By hand: (0.1 A 11.75 h + 0.4 A 0.25 h) 1.25 = 1.275 Ah 1.25 = 1.59375 Ah.
    assert line(found, "Charge taken").value == pytest.approx(1.275)
    assert line(found, "Capacity asked for").value == pytest.approx(1.59375)
    assert line(found, "Next usual size").value == 2.1
    assert "no Peukert" in line(found, "Factor for the cold").label
    assert "at least 2.1 Ah (next usual size), as 1.5938 Ah are asked for" in found.missing


@pytest.mark.parametrize("without", ["supply", "panel"])
def test_without_a_battery_nothing_is_sized_by_what_is_not_known(without: str) -> None:
    before = job(without=without).model_dump(mode="json")
    before["site"]["battery"] = None
    found = standby(Job.model_validate(before))
    assert found.missing == "Choose the battery."
    assert not any(x.label.startswith("Capacity") for x in found.working)


def test_every_figure_of_the_hours_has_a_line() -> None:
    found = standby(job(battery={"peukert": 1.15}, fitted={"temperature_degc": 10.0}))
    # By hand, factor 1.19 at 10 degC: 7 Ah / 1.19 = 5.8824 Ah; 0.4 A is above 5.8824 / 20 A, so
    # 0.1 Ah (0.4 x 20 / 5.8824)^0.15 = 0.10472 Ah; 0.1 A is not: (5.8824 - 0.1047) / 0.1 = 57.78.
    assert line(found, "Capacity left when new").value == pytest.approx(5.8824, abs=5e-5)
    assert line(found, "The alarm takes of it when new").value == pytest.approx(0.10472, abs=5e-6)
    hours = line(found, "Hours it lasts when new")
    assert hours.value == pytest.approx(57.78, abs=0.005)
    assert [unit for _, unit in hours.inputs.values()] == ["Ah", "Ah", "A"]


@pytest.mark.parametrize("temperature_degc", [-10.0, 60.0])
def test_outside_the_table_the_hours_are_not_known(temperature_degc: float) -> None:
    found = standby(job(fitted={"temperature_degc": temperature_degc}))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "-3.9 to 51.7 degC" in found.why


def test_other_chemistries_go_without_the_factor_and_say_so() -> None:
    iron = {"chemistry": "lithium_iron_phosphate", "nominal_v": 12.8, "end_v": 10.0}
    frost = standby(job(battery=iron, fitted={"temperature_degc": -20.0}))
    assert (frost.word, frost.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "in frost" in frost.why
    found = standby(job(battery=iron, fitted={"temperature_degc": 0.0}))
    assert found.word is Word.PREDICTED
    cold = line(found, "Factor for the cold")
    assert cold.value == 1.0
    assert "lead-acid only" in cold.label
    assert not any(x.label.startswith("Next usual size") for x in found.working)


# What is missing.


@pytest.mark.parametrize(
    ("without", "why"),
    [
        ("battery", "no battery is given"),
        ("supply", "no supply is given"),
        ("panel", "no panel is chosen"),
    ],
)
def test_what_the_site_does_not_say_is_asked_for(without: str, why: str) -> None:
    found = standby(job(without=without))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert why in found.why


def test_currents_that_nobody_states_are_named() -> None:
    siren = {"kind": "detector", "id": "siren", "what": "sounder"}
    found = standby(job([siren], devices=[{"id": "S1", "name": "S1", "part": "siren"}]))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "standby and alarm current of siren (S1)" in found.why


@pytest.mark.parametrize("standby_a", [0.0, 1e-320])
def test_a_panel_that_takes_nothing_is_no_load(standby_a: float) -> None:
    board = PANEL | {"standby_current_a": standby_a}
    found = standby(job([board]))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)


def test_a_battery_of_other_volts_is_not_the_panels() -> None:
    found = standby(job(battery={"nominal_v": 7.2, "end_v": 6.0}))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "7.2 V" in found.why


def test_a_panel_that_stops_before_the_battery_is_empty_leaves_the_capacity_open() -> None:
    found = standby(job([PANEL | {"minimum_v": 11.5}]))
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "stops at 11.5 V" in found.why


def test_two_communicators_both_take_current() -> None:
    module = {
        "kind": "communicator",
        "id": "module",
        "technologies": ["lte"],
        "average_current_a": 0.02,
        "alarm_current_a": 0.1,
    }
    communicators = [{"id": "A", "part": "module"}, {"id": "B", "part": "module"}]
    found = standby(job([module], communicators=communicators))
    assert line(found, "Standby current").value == pytest.approx(0.1 + 2 * 0.02)


# Proof.


def test_a_full_test_proves_it_from_measured_inputs() -> None:
    found = standby(with_tests(job(), MEASURED))
    assert found.word is Word.PROVEN
    assert "worked out from measured inputs (t1, 2026-11-10)" in found.why
    assert found.evidence == ("t1",)
    # By hand: 5.6 Ah less 0.45 A for 0.25 h, at 0.11 A.
    assert found.margin is not None
    assert found.margin.value == pytest.approx((5.6 - 0.45 * 0.25) / 0.11 - 11.75)


def test_the_working_shows_measured_beside_scheduled() -> None:
    found = standby(with_tests(job(), MEASURED))
    differs = line(found, "Standby current: measured against")
    assert differs.value == pytest.approx(10.0)
    assert differs.unit == "%"


@pytest.mark.parametrize(
    ("left_out", "missing"),
    [
        ("standby_current_a", "the standby current, measured"),
        ("alarm_current_a", "the alarm current, measured"),
        ("loaded_v", "battery volts under alarm load after 5 min"),
        ("loaded_minutes", "battery volts under alarm load after 5 min"),
        ("battery_date", "the date of the battery"),
    ],
)
def test_what_a_test_leaves_out_is_missing_to_prove_it(left_out: str, missing: str) -> None:
    values = {k: v for k, v in MEASURED.items() if k != left_out}
    found = standby(with_tests(job(), values))
    assert found.word is Word.PREDICTED
    assert missing in found.missing
    assert missing in found.why


def test_the_date_of_fitting_stands_in_for_the_one_on_the_battery() -> None:
    values = {k: v for k, v in MEASURED.items() if k != "battery_date"}
    assert standby(with_tests(job(fitted={"fitted_on": "2026-02-01"}), values)).word is Word.PROVEN


def test_the_date_of_another_battery_proves_nothing_of_the_one_that_came_after_it() -> None:
    small = with_tests(job(), MEASURED)
    larger = job(battery={"id": "larger"}, fitted={"part": "larger"})
    undated = {k: v for k, v in MEASURED.items() if k != "battery_date"}
    found = standby(_after(small, with_tests(larger, {}, undated)))
    assert found.word is Word.PREDICTED
    assert "the date of this battery (t1 read it" in found.missing
    assert standby(_after(small, with_tests(larger, {}, MEASURED))).word is Word.PROVEN


def _after(before: Job, now: Job) -> Job:
    """The job as it is now, its first entry being the one of before."""
    return now.model_copy(update={"record": [before.record[0], *now.record[1:]]})


def test_a_battery_of_unknown_life_is_not_proven() -> None:
    found = standby(with_tests(job(battery={"life_years": None}), MEASURED))
    assert found.word is Word.PREDICTED
    assert "how long the battery is counted on" in found.missing


def test_a_date_that_has_not_come_proves_nothing() -> None:
    found = standby(with_tests(job(), MEASURED | {"battery_date": "2027-01-15"}))
    assert found.word is Word.PREDICTED
    assert "the date of the battery" in found.missing


def test_a_battery_past_its_date_is_proven_no_more_and_predicted_neither() -> None:
    old = with_tests(job(), MEASURED)
    assert standby(old, datetime(2027, 12, 1, tzinfo=UTC)).word is Word.PROVEN
    found = standby(old, datetime(2031, 6, 1, tzinfo=UTC))  # 5 years at 20 degC, fewer at 25
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "to be replaced by" in found.why


def test_a_measured_miss_is_lacking() -> None:
    # 0.14 A for 11.75 h, 0.25 h of alarm, 1.25 of that: 2.2 Ah of 2 Ah; stated are 0.1 A, 1.6 Ah.
    small = job(battery={"capacity_ah": 2.0})
    found = standby(with_tests(small, MEASURED | {"standby_current_a": 0.14}))
    assert found.word is Word.LACKING
    assert "by measured currents" in found.why


@pytest.mark.parametrize("minutes", [None, 1.0, 10.0])
def test_volts_below_what_the_battery_has_to_hold_are_lacking_at_any_time(
    minutes: float | None,
) -> None:
    low = MEASURED | {"loaded_v": 10.4, "loaded_minutes": minutes}
    found = standby(with_tests(job(), low))
    assert found.word is Word.LACKING
    assert "10.4 V" in found.why
    assert "10.5 V" in found.why


def test_volts_that_fail_do_so_whatever_is_not_known() -> None:
    low = {"loaded_v": 9.0}
    assert standby(with_tests(job(without="supply"), low)).word is Word.LACKING


def test_volts_held_too_short_prove_nothing() -> None:
    found = standby(with_tests(job(), MEASURED | {"loaded_minutes": 4.9}))
    assert found.word is Word.PREDICTED


@pytest.mark.parametrize(("loaded_v", "word"), [(12.9, Word.PROVEN), (12.91, Word.PREDICTED)])
def test_volts_above_those_at_rest_are_none_under_load(loaded_v: float, word: Word) -> None:
    # 6 cells of 2.15 V at rest; common practice, no source: the mains was on.
    found = standby(with_tests(job(), MEASURED | {"loaded_v": loaded_v}))
    assert found.word is word
    assert ("with the mains off" in found.missing) is (word is Word.PREDICTED)


def test_without_volts_to_hold_nothing_is_proven() -> None:
    found = standby(with_tests(job(battery={"end_v": None}), MEASURED))
    assert found.word is Word.PREDICTED
    assert "minimum_v of the panel" in found.missing


def test_no_proof_rests_on_a_time_from_memory() -> None:
    limits = {"loaded_test_min": {"source": SOURCE | {"evidence": "memory"}}}
    found = standby(with_tests(job(limits=limits), MEASURED))
    assert found.word is Word.PREDICTED
    assert "loaded_test_min" in found.missing


def test_a_worse_retest_counts() -> None:
    assert standby(with_tests(job(), MEASURED, {"loaded_v": 10.0})).word is Word.LACKING
    assert standby(with_tests(job(), {"loaded_v": 10.0}, MEASURED)).word is Word.PROVEN
    more = {"standby_current_a": 0.14}
    small = job(battery={"capacity_ah": 2.0})
    assert standby(with_tests(small, MEASURED)).word is Word.PROVEN
    assert standby(with_tests(small, MEASURED, more)).word is Word.LACKING


def test_two_visits_prove_it_together() -> None:
    currents = {k: MEASURED[k] for k in ("standby_current_a", "alarm_current_a")}
    rest = {k: v for k, v in MEASURED.items() if k not in currents}
    found = standby(with_tests(job(), currents, rest))
    assert found.word is Word.PROVEN
    assert "t1" in found.why
    assert "t2" in found.why


def test_volts_under_a_smaller_load_than_the_one_that_counts_prove_nothing() -> None:
    more = {"alarm_current_a": 0.79}  # 1.76 times that of the test with the volts
    found = standby(with_tests(job(), MEASURED, more))
    assert found.word is Word.PREDICTED
    assert "battery volts under alarm load" in found.missing
    assert standby(with_tests(job(), MEASURED, {"alarm_current_a": 0.46})).word is Word.PROVEN
    assert standby(with_tests(job(), MEASURED | {"loaded_v": 10.0}, more)).word is Word.LACKING


def test_volts_of_the_battery_before_do_not_speak_for_the_new_one() -> None:
    old = MEASURED | {"battery_date": "2022-03-01"}
    new = {"battery_date": "2026-10-01"}
    found = standby(with_tests(job(), old, new))
    assert found.word is Word.PREDICTED
    assert "battery volts under alarm load" in found.missing
    assert standby(with_tests(job(), old | {"loaded_v": 9.0}, new)).word is Word.PREDICTED
    assert standby(with_tests(job(), MEASURED | {"battery_date": None}, new)).word is Word.PROVEN
    made_since = {"battery_date": "2026-11-11"}
    undated = MEASURED | {"battery_date": None}  # of the day before
    assert standby(with_tests(job(), undated, made_since)).word is Word.PREDICTED


def test_measured_currents_stand_in_for_what_nobody_states() -> None:
    siren = {"kind": "detector", "id": "siren", "what": "sounder"}
    unstated = job([siren], devices=[{"id": "S1", "name": "S1", "part": "siren"}])
    assert standby(with_tests(unstated, MEASURED)).word is Word.PROVEN


def test_one_measured_current_is_enough_where_only_that_one_is_not_stated() -> None:
    siren = {"kind": "detector", "id": "siren", "what": "sounder", "alarm_current_a": 0.3}
    unstated = job([siren], devices=[{"id": "S1", "name": "S1", "part": "siren"}])
    assert standby(unstated).word is Word.UNDECIDED
    found = standby(with_tests(unstated, {"standby_current_a": 0.12}))
    assert found.word is Word.PREDICTED
    assert not any("measured against" in x.label for x in found.working)


def test_a_measured_nothing_is_no_measurement() -> None:
    found = standby(with_tests(job(), MEASURED | {"standby_current_a": 0.0}))
    assert found.word is Word.PREDICTED
    assert "the standby current, measured" in found.missing


def test_a_device_added_since_voids_the_test() -> None:
    siren = {
        "kind": "detector",
        "id": "siren",
        "what": "sounder",
        "standby_current_a": 0.01,
        "alarm_current_a": 0.3,
    }
    devices = [{"id": "S1", "name": "S1", "part": "siren"}]
    data = with_tests(job([siren], devices=devices), MEASURED).model_dump(mode="json")
    assert standby(Job.model_validate(data)).word is Word.PROVEN
    data["site"]["devices"].append({"id": "S2", "name": "S2", "part": "siren"})
    found = standby(Job.model_validate(data))
    assert (found.word, found.evidence) == (Word.PREDICTED, ())


def test_an_alarm_that_takes_less_than_idle_says_what_counts() -> None:
    found = standby(job([PANEL | {"alarm_current_a": 0.05}]))
    assert line(found, "Alarm current that counts").value == 0.1
