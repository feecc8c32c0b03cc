"""`pathproof exposure`: the JSON contract, what binds, the working in words, and wrong input."""

import json
from typing import Any

import pytest

ASK = ("exposure", "--eirp-dbm", "26", "--frequency-hz", "824e6")


def answer(run: Any, *args: object) -> Any:
    return json.loads(run(*args, "--json").stdout)


# 47 CFR 1.1310 (restated) and OET Bulletin 65 (memory): 0.2 W into 3 dBi, which is 26.01 dBm, at
# 824 MHz gives 7.60 cm, 12.16 cm with full ground reflection; near field up to 5.8 cm. Here 26 dBm.
def test_json_contract(run: Any) -> None:
    found = answer(run, *ASK, "--stated-m", "0.2")
    assert list(found)[:4] == ["far_field_m", "keep_m", "rule", "near_field_m"]
    assert found["far_field_m"] == pytest.approx(0.0760, abs=1.5e-4)
    assert found["near_field_m"] == pytest.approx(0.058, abs=5e-4)
    assert found["keep_m"] == 0.2
    assert found["rule"] == "stated distance"
    assert [x["evidence"] for x in found["limits"]] == ["restated", "memory"]
    assert found["limits"][0]["plain_m"] == found["far_field_m"]
    assert found["limits"][0]["reflected_m"] == pytest.approx(0.1216, abs=2e-4)


def test_without_a_stated_distance_the_usual_one_counts(run: Any) -> None:
    assert answer(run, *ASK) == answer(run, *ASK, "--stated-m", "0.2")
    assert "none was given" in run(*ASK).stdout
    assert "none was given" not in run(*ASK, "--stated-m", "0.2").stdout


def test_a_larger_stated_distance_counts(run: Any) -> None:
    found = answer(run, *ASK, "--stated-m", "0.35")
    assert (found["keep_m"], found["rule"]) == (0.35, "stated distance")


def test_a_strong_sender_is_kept_by_the_stricter_limit(run: Any) -> None:
    found = answer(run, "exposure", "--eirp-dbm", "40", "--frequency-hz", "824e6")
    assert found["rule"].startswith("ICNIRP 2020")
    assert found["keep_m"] == found["limits"][1]["plain_m"] > found["far_field_m"]


def test_ground_reflection_counts_where_asked_for(run: Any) -> None:
    strong = ("exposure", "--eirp-dbm", "40", "--frequency-hz", "824e6")
    plain, reflected = answer(run, *strong), answer(run, *strong, "--ground-reflection")
    assert reflected["far_field_m"] == plain["limits"][0]["reflected_m"]
    assert reflected["keep_m"] == pytest.approx(1.6 * plain["keep_m"])
    assert "which counts here" in " ".join(run(*strong, "--ground-reflection").stdout.split())


def test_occupational_limits(run: Any) -> None:
    strong = ("exposure", "--eirp-dbm", "46", "--frequency-hz", "900e6")
    found = answer(run, *strong, "--occupational")
    assert found["rule"] == "47 CFR 1.1310, occupational"
    assert found["keep_m"] == pytest.approx(answer(run, *strong)["far_field_m"] / 5**0.5)


def test_a_weak_sender_is_kept_out_of_the_near_field(run: Any) -> None:
    weak = ("exposure", "--eirp-dbm", "-10", "--frequency-hz", "433.92e6", "--stated-m", "0.05")
    found = answer(run, *weak)
    assert found["rule"] == "near-field limit"
    assert found["keep_m"] == found["near_field_m"] > found["far_field_m"]
    assert "it says nothing here" in " ".join(run(*weak).stdout.split())


def test_words_tell_the_same_and_what_comes_first(run: Any) -> None:
    shown = " ".join(run(*ASK).stdout.split())
    assert "at least 20 cm" in shown
    for said in ("7.6 cm", "8.8 cm", "5.8 cm", "12.2 cm", "5.493 W/m²"):
        assert said in shown
    for said in (
        "papers state come first",
        "rules of the place",
        "pacemaker",
        "check your own copy",
    ):
        assert said in shown
    assert run(*ASK, "--ascii").stdout.isascii()


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--frequency-hz", "824", "covers 3e+07 to 1e+11 Hz"),
        ("--frequency-hz", "200e9", "covers 3e+07 to 1e+11 Hz"),
        ("--frequency-hz", "0", "above 0"),
        ("--frequency-hz", "nan", "finite"),
        ("--frequency-hz", "824 MHz", "without its unit"),
        ("--eirp-dbm", "inf", "finite"),
        ("--eirp-dbm", "1e9", "100 or below"),
        ("--eirp-dbm", "26dBm", "without its unit"),
        ("--stated-m", "0", "above 0"),
        ("--stated-m", "-0.2", "above 0"),
        ("--stated-m", "nan", "finite"),
    ],
)
def test_wrong_input(run: Any, option: str, value: str, said: str) -> None:
    settings = {"--eirp-dbm": "26", "--frequency-hz": "824e6", option: value}
    options = [text for pair in settings.items() for text in pair]
    for extra in ((), ("--json",)):
        done = run("exposure", *options, *extra, code=2)
        assert option in done.stderr
        assert said in " ".join(done.stderr.split())
        assert done.stdout == ""


def test_occupational_limits_are_not_known_below_300_mhz(run: Any) -> None:
    ask = ("exposure", "--eirp-dbm", "26", "--frequency-hz", "169e6")
    assert answer(run, *ask)["keep_m"] > 0.2
    assert "3e+08" in run(*ask, "--occupational", code=2).stderr
