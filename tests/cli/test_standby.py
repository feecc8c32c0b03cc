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
        ("--standby-a", "0", "allowed: above 0"),
        ("--standby-a", "-0.42", "allowed: above 0"),
        ("--standby-a", "nan", "allowed: above 0"),
        ("--standby-a", "1e308", "1000 at most"),
        ("--standby-a", "420 mA", "without its unit"),
        ("--standby-h", "0", "allowed: above 0"),
        ("--standby-h", "inf", "10000 at most"),
        ("--alarm-a", "0", "allowed: above 0"),
        ("--alarm-a", "-1", "allowed: above 0"),
        ("--alarm-a", "nan", "allowed: above 0"),
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
        ("--hour-rate-h", "0", "allowed: above 0"),
        ("--battery-ah", "0", "allowed: above 0"),
        ("--battery-ah", "nan", "allowed: above 0"),
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
