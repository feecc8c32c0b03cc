"""`pathproof standby`: the JSON contract, the working, what is never counted twice, wrong input."""

import json
from typing import Any

import pytest

# A public sizing guide: 10.08 Ah and 0.3167 Ah, together 10.397 Ah, with 20 % added 12.48 Ah.
LOADS = ("--standby-a", "0.42", "--standby-h", "24", "--alarm-a", "3.8", "--alarm-min", "5")
ASK = ("standby", *LOADS, "--margin", "1.2")


def answer(run: Any, *args: object) -> Any:
    return json.loads(run(*args, "--json").stdout)


def words(run: Any, *args: object) -> str:
    return " ".join(run(*args).stdout.split())


def test_json_contract(run: Any) -> None:
    found = answer(run, *ASK)
    assert found["capacity_ah"] == pytest.approx(12.48, abs=5e-3)
    assert found["next_size_ah"] == 17.0
    assert found["blocks"] == 1
    assert found["standby_ah"] == pytest.approx(10.08)
    assert found["alarm_ah"] == pytest.approx(0.3167, abs=5e-5)
    assert found["taken_ah"] == pytest.approx(10.397, abs=5e-4)
    assert (found["temperature_factor"], found["allowance_factor"]) == (1.0, 1.2)
    assert found["lasts_new_h"] is found["lasts_aged_h"] is found["alarm_held_aged"] is None
    working = " ".join(found["working"])
    for said in ("0.42 A × 24 h = 10.08 Ah", "3.8 A × 5 min / 60 = 0.31667 Ah", "= 12.476 Ah"):
        assert said in working
    assert {s["evidence"] for s in found["sources"]} == {"restated", "practice"}


def test_words_tell_the_working_the_editions_and_who_decides(run: Any) -> None:
    shown = words(run, *ASK)
    assert "12.476 Ah are asked for; fit 17 Ah." in shown
    for said in (
        "Margin: factor 1.2",
        "editions 2010 to 2019 (1.2) and 25 % from 2022 (1.25)",
        "falls short before it has aged to 80 %",
        "Temperature: not corrected for",
        "not a statement that a rule is met",
        "licensed person, by the local code",
    ):
        assert said in shown
    assert "falls short" not in words(run, "standby", *LOADS, "--margin", "1.25")
    assert run(*ASK, "--ascii").stdout.isascii()


def test_the_margin_is_asked_for(run: Any) -> None:
    for extra in ((), ("--json",)):
        done = run("standby", *LOADS, *extra, code=2)
        said = " ".join(done.stderr.split())
        assert "'--margin': is needed" in said
        assert "2010 to 2019 (1.2)" in said
        assert done.stdout == ""


# What idles still takes its current: 0.42 A for 5 min are 0.035 Ah, with 10.08 Ah 10.115 Ah.
def test_an_alarm_current_below_the_standby_current_counts_as_that(run: Any) -> None:
    loads = ("--standby-a", "0.42", "--standby-h", "24", "--alarm-a", "0.38", "--alarm-min", "5")
    found = answer(run, "standby", *loads, "--margin", "1.2")
    assert found["alarm_ah"] == pytest.approx(0.035)
    assert found["capacity_ah"] == pytest.approx(10.115 * 1.2)
    said = "The alarm current was given as 0.38 A, less than while idle: 0.42 A count in its place"
    assert said in words(run, "standby", *loads, "--margin", "1.2")
    assert "less than while idle" not in words(run, *ASK)


# By hand: 10.39667 Ah x 1.19 (10 degC, IEEE 485 from memory) x 1.25 x 1.1 = 17.01155 Ah.
def test_ageing_by_itself_with_a_design_margin_in_the_cold(run: Any) -> None:
    ask = ("standby", *LOADS, "--ageing", "0.8", "--temperature-degc", "10")
    found = answer(run, *ask, "--margin", "1.1")
    assert found["capacity_ah"] == pytest.approx(17.01155, abs=5e-6)
    assert found["next_size_ah"] == 24.0
    assert answer(run, *ask)["capacity_ah"] == pytest.approx(17.01155 / 1.1, abs=5e-5)
    shown = words(run, *ask)
    for said in ("10 °C, factor 1.19", "1 / 0.8 = 1.25", "check your own copy"):
        assert said in shown
    assert "Margin: factor" not in shown


def test_a_battery_just_large_enough_lasts_no_tenth_less(run: Any) -> None:
    # By hand: 0.1 A for 24 h and 1 A for half an hour take 2.9 Ah.
    loads = ("--standby-a", "0.1", "--standby-h", "24", "--alarm-a", "1", "--alarm-min", "30")
    shown = words(run, "standby", *loads, "--margin", "1", "--battery-ah", "2.9")
    assert "carries 24.0 h of standby and then the alarm when new" in shown


def test_ageing_never_counts_twice(run: Any) -> None:
    done = run("standby", *LOADS, "--ageing", "0.8", "--margin", "1.25", code=2)
    assert "has ageing in it, which would count twice" in " ".join(done.stderr.split())


def test_warmth_is_not_counted(run: Any) -> None:
    warm = (*ASK, "--temperature-degc", "40")
    assert answer(run, *warm)["capacity_ah"] == answer(run, *ASK)["capacity_ah"]
    assert "warmth not counted" in words(run, *warm)


# By hand, linear: (12 - 0.31667) / 0.42 = 27.817 h new, (9.6 - 0.31667) / 0.42 = 22.103 h aged.
def test_how_long_a_battery_lasts(run: Any) -> None:
    ask = (*ASK, "--battery-ah", "12")
    found = answer(run, *ask)
    assert found["lasts_new_h"] == pytest.approx(27.817, abs=5e-4)
    assert found["lasts_aged_h"] == pytest.approx(22.103, abs=5e-4)
    assert found["alarm_held_aged"] is True
    shown = words(run, *ask)
    assert "27.8 h of standby and then the alarm when new" in shown
    assert "22.1 h of standby and then the alarm at 80 % of its rating" in shown
    assert "not even the alarm" in words(run, *ASK, "--battery-ah", "0.2")
    assert answer(run, *ASK, "--battery-ah", "0.2")["alarm_held_aged"] is False


def test_peukert_above_the_rated_current(run: Any) -> None:
    ask = (*ASK, "--peukert", "1.15", "--battery-ah", "12")
    found, plain = answer(run, *ask), answer(run, *ASK, "--battery-ah", "12")
    assert found["capacity_ah"] > plain["capacity_ah"]
    assert found["lasts_new_h"] < plain["lasts_new_h"]
    assert "exponent 1.15 at the 20 h rate" in words(run, *ask)
    # at the 1 h rate the rated current is above both loads, so nothing changes
    assert answer(run, *ask, "--hour-rate-h", "1")["capacity_ah"] == pytest.approx(
        plain["capacity_ah"]
    )


# By hand, typical figures from memory: 0.8 x 17 Ah / (0.85 x 24 h) = 0.66667 A; with 0.42 A idle
# 1.08667 A, with 3.8 A in alarm 4.46667 A. Usually at most 0.25 of the capacity an hour: 4.25 A.
def test_what_recharging_asks_of_the_supply(run: Any) -> None:
    ask = (*ASK, "--recharge-h")
    found = answer(run, *ask, "24")
    assert found["charging_a"] == pytest.approx(0.66667, abs=5e-6)
    assert found["supply_average_a"] == pytest.approx(1.08667, abs=5e-6)
    assert found["supply_peak_a"] == pytest.approx(4.46667, abs=5e-6)
    assert answer(run, *ASK)["charging_a"] is None
    assert answer(run, *ask, "24", "--battery-ah", "34")["charging_a"] == pytest.approx(
        1.3333, 1e-4
    )
    assert "more than the 4.25 A" in words(run, *ask, "3")
    slow = words(run, *ask, "24")
    assert "1.09 A all day and 4.47 A in alarm" in slow
    assert "usually takes" not in slow


def test_more_than_one_block_and_more_than_is_usual(run: Any) -> None:
    large = ("standby", *LOADS[2:], "--margin", "1.25", "--standby-a")
    found = answer(run, *large, "1.4")  # 1.25 x (33.6 + 0.317) = 42.4 Ah
    assert (found["next_size_ah"], found["blocks"]) == (48.0, 2)
    assert "2 blocks of 24 Ah in parallel, 48 Ah" in words(run, *large, "1.4")
    assert answer(run, *large, "40")["next_size_ah"] is None
    assert "no usual size" in words(run, *large, "40")


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--standby-a", "0", "allowed: 0.0001 to 1000"),
        ("--standby-a", "-0.42", "allowed: 0.0001 to 1000"),
        ("--standby-a", "1e-320", "allowed: 0.0001 to 1000"),
        ("--standby-a", "nan", "allowed: 0.0001 to 1000"),
        ("--standby-a", "1e308", "allowed: 0.0001 to 1000"),
        ("--standby-a", "420 mA", "without its unit"),
        ("--standby-h", "0", "allowed: 0.01 to 10000"),
        ("--standby-h", "inf", "allowed: 0.01 to 10000"),
        ("--alarm-a", "0", "allowed: 0.0001 to 1000"),
        ("--alarm-a", "-1", "allowed: 0.0001 to 1000"),
        ("--alarm-a", "nan", "allowed: 0.0001 to 1000"),
        ("--alarm-min", "-5", "allowed: 0 to 10000"),
        ("--alarm-min", "nan", "allowed: 0 to 10000"),
        ("--margin", "0.9", "allowed: 1 to 5"),
        ("--margin", "20", "allowed: 1 to 5"),
        ("--margin", "nan", "allowed: 1 to 5"),
        ("--ageing", "1.25", "A factor of 1.25 is 0.8"),
        ("--ageing", "0", "allowed: 0.5 to 1"),
        ("--ageing", "nan", "allowed: 0.5 to 1"),
        ("--temperature-degc", "-4", "covers -3.9 to 51.7 degC"),
        ("--temperature-degc", "60", "covers -3.9 to 51.7 degC"),
        ("--temperature-degc", "nan", "finite"),
        ("--peukert", "0.9", "allowed: 1 to 2"),
        ("--peukert", "nan", "allowed: 1 to 2"),
        ("--hour-rate-h", "20", "together with --peukert"),
        ("--hour-rate-h", "0", "allowed: 0.01 to 100"),
        ("--battery-ah", "0", "allowed: 0.01 to 10000"),
        ("--battery-ah", "nan", "allowed: 0.01 to 10000"),
        ("--recharge-h", "0", "allowed: 0.01 to 10000"),
        ("--recharge-h", "nan", "allowed: 0.01 to 10000"),
    ],
)
def test_wrong_input(run: Any, option: str, value: str, said: str) -> None:
    settings = {**dict(zip(LOADS[::2], LOADS[1::2], strict=True)), "--margin": "1.1"}
    options = [text for pair in {**settings, option: value}.items() for text in pair]
    for extra in ((), ("--json",)):
        done = run("standby", *options, *extra, code=2)
        assert option in done.stderr
        assert said in " ".join(done.stderr.split())
        assert done.stdout == ""
