"""The supply link: rating, recharging, its words and what proves it."""

from typing import Any

import pytest

from pathproof.assess.power.supply import work_out_supply
from pathproof.job import Job
from pathproof.terms import LinkKind, Reason, Word

from ._power_jobs import power_job
from ._supply_jobs import (
    BATTERY,
    MAINS,
    SUPPLY_PARTS,
    cable,
    changed,
    context,
    line_of,
    link_of,
    module,
    siren,
    supply_job,
    with_test,
)

UNSAID = changed("module", burst_s=None)
"""A module whose papers tell no length of a burst."""


def test_rating_by_hand_and_the_least_relative_margin_decides() -> None:
    # All day: standby 0.1 A and 0.05 A of the module + 0.5 A for charging = 0.65 A of 1.0 A. For a
    # short time: 0.4 + 0.2 A in alarm + 0.5 A + 1.6 A of the burst beyond its 0.2 A = 2.7 A of 3 A,
    # as nobody says that the burst is short.
    link = link_of(supply_job(UNSAID, communicators=[module()]))
    assert line_of(link, "give all day").value == pytest.approx(0.65)
    assert line_of(link, "give for a short time").value == pytest.approx(2.7)
    assert (link.kind, link.start, link.end) == (LinkKind.SUPPLY, "mains", "panel")
    assert link.word is Word.PREDICTED
    assert link.margin is not None
    assert (link.margin.value, link.margin.unit) == (pytest.approx(0.3), "A")
    assert link.scale == pytest.approx(2.7)
    assert "0.3 A to spare" in link.why


@pytest.mark.parametrize(
    ("burst_s", "short_time_a"), [(None, 2.7), (577e-6, 1.1), (1.0, 1.1), (1.01, 2.7)]
)
def test_a_connected_battery_lends_a_burst_of_a_second_or_less(
    burst_s: float | None, short_time_a: float
) -> None:
    # In alarm 0.6 A, 0.5 A for charging, 1.6 A of the burst; common practice, no source.
    part = changed("module", burst_s=burst_s)
    link = link_of(supply_job(part, changed("psu", peak_a=1.2), communicators=[module()]))
    needed = line_of(link, "give for a short time")
    assert needed.value == pytest.approx(short_time_a)
    assert ("the battery lends" in needed.formula) is (short_time_a == 1.1)
    assert link.word is (Word.PREDICTED if short_time_a == 1.1 else Word.LACKING)


@pytest.mark.parametrize(
    "site",
    [{"battery": None}, {"supply": {"part": "psu", "kind": "mains_not_recharged"}}],
)
def test_no_battery_lends_a_burst_to_a_supply_that_recharges_none(site: dict[str, Any]) -> None:
    needed = line_of(link_of(supply_job(communicators=[module()], **site)), "give for a short time")
    assert needed.inputs["burst"] == (pytest.approx(1.6), "A")


@pytest.mark.parametrize(
    ("figures", "short_a", "when"),
    [({"average_a": 0.6}, 0.05, "all day"), ({"peak_a": 2.5}, 0.2, "for a short time")],
)
def test_a_supply_that_gives_too_little_is_lacking_by_how_much(
    figures: dict[str, float], short_a: float, when: str
) -> None:
    link = link_of(supply_job(UNSAID, changed("psu", **figures), communicators=[module()]))
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-short_a)
    assert when in link.why
    assert "too little" in link.why


def test_a_rating_that_is_just_met_holds() -> None:
    # 0.1 + 0.5 A all day; 0.4 + 0.5 A in alarm.
    link = link_of(supply_job(changed("psu", average_a=0.6, peak_a=0.9)))
    assert link.word is Word.PREDICTED


def test_what_is_known_can_lack_before_all_of_it_is_known() -> None:
    silent = changed("siren", alarm_current_a=None)
    enough = link_of(supply_job(silent, devices=[siren()]))
    assert (enough.word, enough.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "alarm current of siren (S1)" in enough.why
    too_small = link_of(supply_job(silent, changed("psu", peak_a=0.8), devices=[siren()]))
    assert too_small.word is Word.LACKING


def test_recharging_by_hand() -> None:
    # 0.8 x 7 Ah / (0.85 x 0.5 A) = 13.18 h of the 72 h of the house.
    link = link_of(supply_job())
    assert line_of(link, "Time to recharge").value == pytest.approx(13.176, abs=0.0005)
    assert line_of(link, "Margin of the time").value == pytest.approx(58.824, abs=0.0005)
    memory = {"recharge_h": {"source": {"ref": "A standard", "evidence": "memory"}}}
    not_confirmed = link_of(supply_job(limits=memory))
    assert not_confirmed.word is Word.UNDECIDED
    assert line_of(not_confirmed, "Time to recharge").value == pytest.approx(13.176, abs=0.0005)


def test_recharging_counts_all_blocks_and_no_more_current_than_a_battery_takes() -> None:
    # Three blocks: 0.8 x 21 / (0.85 x 0.5) = 39.53 h. One of 1.2 Ah takes 0.25 x 1.2 = 0.3 A of the
    # 0.5 A at most: 0.8 x 1.2 / (0.85 x 0.3) = 3.765 h.
    three = link_of(supply_job(battery={"part": "block", "count": 3}))
    assert line_of(three, "Time to recharge").value == pytest.approx(39.529, abs=0.0005)
    small = link_of(supply_job(changed("block", capacity_ah=1.2)))
    assert line_of(small, "Time to recharge").value == pytest.approx(3.765, abs=0.0005)


def test_recharging_that_takes_too_long_even_without_loss_is_lacking() -> None:
    # 0.8 x 50 / 0.5 A = 80 h, where 72 h are allowed.
    link = link_of(supply_job(changed("block", capacity_ah=50.0)))
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert (link.margin.value, link.margin.unit) == (pytest.approx(-8.0), "h")
    assert "8 h too long" in link.why


def test_recharging_that_takes_too_long_by_figures_from_memory_is_undecided() -> None:
    # 0.8 x 40 / (0.85 x 0.5) = 75.29 h with the usual efficiency, 64 h without any loss.
    link = link_of(supply_job(changed("block", capacity_ah=40.0)))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.LIMIT)
    assert "75.29 h" in link.why
    assert "from memory" in link.why


def test_a_battery_that_is_not_recharged_asks_for_no_charging() -> None:
    job = supply_job(
        changed("psu", types=["mains_not_recharged"], average_a=0.1, charge_a=0.0),
        supply={"part": "psu", "kind": "mains_not_recharged"},
    )
    link = link_of(job)
    assert line_of(link, "give all day").value == pytest.approx(0.1)
    assert not [line for line in link.working if "recharge" in line.label]
    assert link.word is Word.PREDICTED


def test_a_supply_used_for_what_it_is_not_made_for_is_lacking() -> None:
    job = supply_job(supply={"part": "psu", "kind": "mains_not_recharged"})
    link = link_of(job)
    assert link.word is Word.LACKING
    assert link.margin is None
    assert "is made for mains with a battery that it recharges" in link.why


@pytest.mark.parametrize(
    ("job", "named"),
    [
        (power_job(SUPPLY_PARTS, battery=BATTERY), "no supply is given"),
        (power_job(SUPPLY_PARTS, supply=MAINS, panel=None), "no panel is given"),
        (power_job(SUPPLY_PARTS, supply=MAINS), "no battery is given"),
        (supply_job(changed("psu", charge_a=0.0)), "keeps for charging is not known"),
    ],
    ids=["supply", "panel", "battery", "charging"],
)
def test_what_is_missing_is_named_once(job: Job, named: str) -> None:
    link = link_of(job)
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert link.why.count(named) == 1
    assert link.margin is None


@pytest.mark.parametrize(
    ("name", "job"),
    [
        ("recharge_h", {}),
        ("supply_min_v", {"devices": [siren()], "cables": [cable(length_m=1.0)]}),
    ],
)
@pytest.mark.parametrize("lacks", [False, True])
def test_a_limit_from_memory_decides_nothing(
    name: str, job: dict[str, Any], *, lacks: bool
) -> None:
    source = {"source": {"ref": "A standard", "evidence": "memory"}}
    value = {"recharge_h": {"value": 0.1}, "supply_min_v": {"value": 10.5}}[name] if lacks else {}
    link = link_of(supply_job(limits={name: source | value}, **job))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.LIMIT)
    assert name in link.why


def test_a_missing_input_is_said_before_an_unconfirmed_limit() -> None:
    memory = {"source": {"ref": "A standard", "evidence": "memory"}}
    silent = changed("siren", alarm_current_a=None)
    link = link_of(supply_job(silent, limits={"recharge_h": memory}, devices=[siren()]))
    assert link.reason is Reason.INPUT
    assert "recharge_h" in link.why


def test_a_standby_current_that_nobody_measured_proves_no_rating() -> None:
    job = supply_job(communicators=[module()])
    link = link_of(with_test(job, alarm_current_a=0.55, standby_current_a=None))
    assert link.word is Word.PREDICTED
    assert "the standby current" in link.missing


def test_a_whole_test_proves_the_supply_from_measured_inputs() -> None:
    job = with_test(supply_job(communicators=[module()]), alarm_current_a=0.55)
    link = link_of(job)
    assert link.word is Word.PROVEN
    assert "measured inputs" in link.why
    assert link.evidence == ("test1",)
    assert link.missing == ""
    beside = line_of(link, "Alarm current as measured")
    assert beside.value == 0.55
    assert beside.inputs["scheduled"] == (pytest.approx(0.6), "A")
    # Nobody tells whether the module was sending when 0.55 A were read: its burst counts from idle,
    # 0.55 + 0.5 + (1.8 - 0.05) = 2.8 A where no battery lends it.
    assert line_of(link, "give for a short time").value == pytest.approx(0.55 + 0.5)
    unsaid = with_test(supply_job(UNSAID, communicators=[module()]), alarm_current_a=0.55)
    assert line_of(link_of(unsaid), "give for a short time").value == pytest.approx(2.8)


@pytest.mark.parametrize(
    ("left_out", "named"),
    [
        ({"alarm_current_a": None}, "alarm current"),
        ({"loaded_v": None}, "battery volts under alarm load"),
        ({"loaded_v": 13.6}, "battery volts under alarm load"),  # those of a charger
        ({"loaded_minutes": 4.0}, "5 min"),
        ({"loaded_minutes": None}, "5 min"),
        ({"charger_v": None}, "charger volts"),
    ],
)
def test_what_a_test_lacks_leaves_it_predicted_and_is_named(
    left_out: dict[str, float | None], named: str
) -> None:
    link = link_of(with_test(supply_job(), **left_out))
    assert link.word is Word.PREDICTED
    assert named in link.missing
    assert named in link.why


def test_without_a_test_nothing_is_missing_yet() -> None:
    assert link_of(supply_job()).missing == ""


def test_what_several_tests_measured_counts_together() -> None:
    first = with_test(supply_job(), charger_v=None)
    assert link_of(first).word is Word.PREDICTED
    second = with_test(first, alarm_current_a=None, loaded_v=None, charger_v=13.6)
    assert link_of(second).word is Word.PROVEN


def test_the_volts_needed_hold_the_worst_run_with_the_measured_current() -> None:
    # The siren's 0.5 A over 20 m of 0.5 mm2 take 2 x 20 x 0.039 x 0.5 = 0.78 V: 9.6 + 0.78 = 10.38
    # V. Where 1.08 A are measured of 0.9 A scheduled, 1.2 times: 9.6 + 0.936 = 10.536 V.
    job = supply_job(devices=[siren()], cables=[cable(length_m=20.0)])
    expected = line_of(link_of(with_test(job, alarm_current_a=0.9)), "volts under alarm load")
    assert expected.value == pytest.approx(12.1 - 10.38)
    more = line_of(link_of(with_test(job, alarm_current_a=1.08)), "volts under alarm load")
    assert more.value == pytest.approx(12.1 - 10.536)
    over_cable = line_of(link_of(with_test(job, alarm_current_a=1.08)), "volts at S1 in alarm")
    assert over_cable.value == pytest.approx(10.5 - 0.936)
    assert "1.2 times the scheduled" in over_cable.formula
    less = line_of(link_of(with_test(job, alarm_current_a=0.45)), "volts under alarm load")
    assert less.value == pytest.approx(12.1 - 10.38)


@pytest.mark.parametrize("minutes", [1.0, 15.0])
def test_volts_under_load_below_the_need_are_lacking_however_soon(minutes: float) -> None:
    link = link_of(with_test(supply_job(), loaded_v=9.3, loaded_minutes=minutes))
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-0.3)
    assert "test1" in link.why


def test_volts_under_a_smaller_load_than_the_one_that_counts_prove_nothing() -> None:
    first = with_test(supply_job())
    found = link_of(with_test(first, alarm_current_a=0.8, loaded_v=None, charger_v=None))
    assert found.word is Word.PREDICTED
    assert "battery volts under alarm load" in found.missing


def test_a_worse_retest_counts_and_a_better_one_after_it_too() -> None:
    good = with_test(supply_job())
    worse = with_test(good, loaded_v=9.3, loaded_minutes=2.0)
    assert link_of(worse).word is Word.LACKING
    assert link_of(with_test(worse)).word is Word.PROVEN
    # A short look that shows no miss takes nothing away.
    assert link_of(with_test(good, loaded_minutes=1.0)).word is Word.PROVEN


@pytest.mark.parametrize(
    ("charger_v", "word"),
    [(13.4, Word.LACKING), (13.5, Word.PROVEN), (13.8, Word.PROVEN), (13.9, Word.LACKING)],
)
def test_the_charger_holds_the_float_volts_of_the_battery(charger_v: float, word: Word) -> None:
    # 2.25 to 2.30 V a cell at 25 degC: 13.5 to 13.8 V of six cells; a battery text, restated.
    link = link_of(with_test(supply_job(), charger_v=charger_v))
    assert link.word is word


def test_float_volts_rise_for_a_battery_that_stands_cold() -> None:
    # 3 mV a cell and K: 2.33 V at 15 degC, 13.98 V of six cells.
    job = supply_job(battery={"part": "block", "temperature_degc": 15.0})
    assert link_of(with_test(job, charger_v=13.97)).word is Word.PROVEN
    assert link_of(with_test(job, charger_v=14.0)).word is Word.LACKING


def test_the_charger_of_another_chemistry_is_not_judged() -> None:
    job = supply_job(changed("block", chemistry="lithium_iron_phosphate"))
    assert link_of(with_test(job, charger_v=None)).word is Word.PROVEN


def test_a_measured_current_above_the_rating_is_lacking() -> None:
    # 0.7 A measured and 0.5 A for charging, of 1.1 A; 0.4 A are stated.
    link = link_of(with_test(supply_job(changed("psu", peak_a=1.1)), alarm_current_a=0.7))
    assert link.word is Word.LACKING
    assert "1.2 A" in link.why


def test_a_measured_current_stands_in_for_what_the_catalogue_does_not_say() -> None:
    silent = changed("board", standby_current_a=None, alarm_current_a=None)
    unknown = supply_job(silent)
    assert link_of(unknown).word is Word.UNDECIDED
    assert link_of(with_test(unknown, standby_current_a=0.1)).word is Word.PROVEN


def test_a_changed_cable_voids_the_test_and_a_changed_battery_its_volts() -> None:
    job = with_test(
        supply_job(devices=[siren()], cables=[cable(length_m=2.0)]), alarm_current_a=0.9
    )
    assert link_of(job).word is Word.PROVEN
    data = job.model_dump(mode="json")
    data["site"]["cables"][0]["length_m"] = 3.0
    longer = link_of(Job.model_validate(data))
    assert (longer.word, longer.evidence) == (Word.PREDICTED, ())
    data = job.model_dump(mode="json")
    data["site"]["battery"]["fitted_on"] = "2026-11-20"
    new_battery = link_of(Job.model_validate(data))
    assert new_battery.word is Word.PREDICTED
    assert "battery volts" in new_battery.missing
    assert "charger volts" in new_battery.missing


def test_volts_of_another_battery_by_its_date_do_not_count() -> None:
    dated = supply_job(battery={**BATTERY, "fitted_on": "2026-10-01"})
    read = with_test(dated, battery_date="2026-10-01")
    assert link_of(read).word is Word.PROVEN
    # A newer test read another date, so that one is the battery now.
    newer = with_test(read, loaded_v=None, charger_v=None, battery_date="2026-11-02")
    assert link_of(newer).word is Word.PREDICTED
    assert "battery volts" in link_of(newer).missing


def test_a_loaded_test_limit_from_memory_keeps_a_test_from_proving() -> None:
    memory = {"source": {"ref": "A standard", "evidence": "memory"}}
    link = link_of(with_test(supply_job(limits={"loaded_test_min": memory})))
    assert link.word is Word.PREDICTED
    assert "loaded_test_min" in link.missing


def test_every_line_of_the_working_needs_lines_before_it() -> None:
    job = supply_job(
        devices=[siren("S1"), siren("S2")],
        communicators=[module()],
        cables=[
            cable("panel", 2.0),
            cable("main", 20.0, on_the_way=[{"to": "S2", "at_m": 3.0}]),
            cable(),
        ],
    )
    seen: set[str] = set()
    for line in link_of(with_test(job)).working:
        assert set(line.needs) <= seen
        assert line.formula
        seen.add(line.id)


def test_all_that_lacks_is_counted_and_the_worst_said() -> None:
    job = supply_job(changed("psu", average_a=0.55), devices=[siren()], cables=[cable()])
    work = work_out_supply(context(job))
    assert len(work.lacking) == 2
    assert "to_S1" in link_of(job).why
    assert "1 more thing lacks" in link_of(job).why
