"""`pathproof cable`: the JSON contract, both kinds of size, loads on the way, and wrong input."""

import json
from typing import Any

import pytest

PUBLISHED = (
    *("cable", "--awg", "16", "--length-ft", "100", "--current-a", "4"),
    *("--temperature-degc", "75", "--supply-v", "24"),
)
METRIC = ("cable", "--mm2", "0.5", "--length-m", "40", "--current-a", "0.5")


def answer(run: Any, *args: object) -> Any:
    return json.loads(run(*args, "--json").stdout)


def words(run: Any, *args: object) -> str:
    return " ".join(run(*args).stdout.split())


# A published example: 2 x 100 ft x 4.99 ohm/kft x 4 A = 3.992 V, 16.6 % of 24 V (printed 16.7 from
# the rounded 4.0 V). NEC chapter 9 table 8, gauge 16, 7 strands, 75 degC, restated.
def test_json_contract(run: Any) -> None:
    found = answer(run, *PUBLISHED)
    assert {"drop_v", "drop_percent", "resistance_ohm", "working"} <= set(found)
    assert found["drop_v"] == pytest.approx(3.992, abs=5e-4)
    assert found["drop_percent"] == pytest.approx(16.63, abs=5e-3)
    assert found["resistance_ohm"] == pytest.approx(0.998, abs=5e-4)
    assert "2 × 100 ft × 4.99 ohm/kft / 1000 = 0.998 ohm" in found["working"][1]
    assert any(
        s["clause"] == "chapter 9, table 8" and s["evidence"] == "restated"
        for s in found["sources"]
    )


# With a pencil: 24 - 3.992 and 20.4 - 3.992 V; 12 AWG at 1.98 ohm/kft takes 1.584 V, 14 AWG at 3.14
# 2.512 V, so 12 is the smallest within 10 % of 24 V.
def test_what_is_left_and_the_smallest_that_holds(run: Any) -> None:
    found = answer(run, *PUBLISHED)
    assert found["left_v"] == pytest.approx(20.008)
    assert found["left_at_end_v"] == pytest.approx(16.408)
    assert found["allowed_v"] == pytest.approx(2.4)
    assert found["holds"] is False
    assert found["smallest"]["awg"] == 12
    assert found["smallest"]["stranding"] == "7"
    assert found["smallest"]["drop_v"] == pytest.approx(1.584)
    shown = words(run, *PUBLISHED)
    for said in (
        "3.992 V, out and back, 16.6 % of 24 V",
        "at its end, 20.4 V, 16.41 V",
        "more than the 2.4 V to plan with; 12 AWG, 7 strands is the smallest that holds it",
        "3.283 V at 20 °C and 3.992 V at 75 °C; tables at 75 °C are for hot runs, indoors the "
        "figure at 20 °C is nearer",
        "4.99 ohm/kft at 75 °C, as the table has it",
        "(practice)",
        "licensed person",
    ):
        assert said in shown
    assert "too much" not in shown


# Defaults: 7 strands at 20 degC with a gauge, class 5 with an area. 4.99 ohm/kft carried to 20 degC
# by the note of NEC table 8, 0.00323 per K, three digits; IEC 60228 class 5, 39.0 ohm/km.
def test_defaults(run: Any) -> None:
    by_gauge = answer(run, "cable", "--awg", "16", "--length-ft", "1000", "--current-a", "1")
    assert by_gauge["drop_v"] / 2 == pytest.approx(4.99 * (1 - 0.00323 * 55), abs=2e-3)
    seven = ("--strand", "7", "--temperature-degc", "20")
    assert by_gauge == answer(
        run, "cable", "--awg", "16", "--length-ft", "1000", "--current-a", "1", *seven
    )
    by_area = answer(run, *METRIC)
    assert by_area["drop_v"] == pytest.approx(2 * 40 * 0.0390 * 0.5)
    assert by_area == answer(run, *METRIC, "--class", "5")
    for unknown in ("drop_percent", "left_v", "left_at_end_v", "allowed_v", "holds", "smallest"):
        assert by_area[unknown] is None


# Solid wire at 20 degC, NBS Handbook 100: 4.016 ohm/kft; class 1, IEC 60228: 36.0 ohm/km.
def test_other_strandings(run: Any) -> None:
    ask = ("cable", "--awg", "16", "--strand", "solid", "--length-ft", "1000", "--current-a", "1")
    assert answer(run, *ask)["resistance_ohm"] == pytest.approx(2 * 4.016)
    assert answer(run, *METRIC, "--class", "1")["resistance_ohm"] == pytest.approx(2 * 40 * 0.036)
    warm = words(run, *ask, "--temperature-degc", "40")
    assert "4.016 ohm/kft at 20 °C and 4.89 ohm/kft at 75 °C; on the line through both" in warm


# A foot is 0.3048 m: the same run in both units.
@pytest.mark.parametrize("size", [("--awg", "18"), ("--mm2", "1.5")])
def test_feet_and_metres(run: Any, size: tuple[str, str]) -> None:
    in_feet = answer(run, "cable", *size, "--length-ft", "100", "--current-a", "1")
    in_metres = answer(run, "cable", *size, "--length-m", "30.48", "--current-a", "1")
    assert in_feet["drop_v"] == pytest.approx(in_metres["drop_v"])
    converted = [in_metres, in_feet][size[0] == "--mm2"]["working"]
    assert any(line.startswith("1 kft is 0.3048 km") for line in converted)


# With a pencil, 18.1 ohm/km: 2 x 0.0181 x (10 x 0.2 + 30 x 0.3 + 60 x 0.1) = 0.6154 V; all at 60 m
# 2 x 0.0181 x 60 x 0.6 = 1.3032 V.
def test_loads_on_the_way(run: Any) -> None:
    ask = ("cable", "--mm2", "1", "--class", "2", "--length-m", "60", "--current-a", "0.1")
    loads = ("--load", "30:0.3", "--load", "10:0.2")
    found = answer(run, *ask, *loads)
    assert found["drop_v"] == pytest.approx(0.6154)
    assert found["lumped_v"] == pytest.approx(1.3032)
    shown = words(run, *ask, *loads)
    assert "Load at 30 m: its 0.3 A flow through 1.086 ohm and take 0.3258 V." in shown
    assert "with all of them there, the safe case, 1.303 V" in shown


def test_a_gauge_that_table_8_has_no_row_for(run: Any) -> None:
    ask = ("cable", "--awg", "22", "--length-ft", "100", "--current-a", "0.2")
    assert "no row for this gauge. Strands × 1.026" in words(run, *ask)
    assert "practice" in {s["evidence"] for s in answer(run, *ask)["sources"]}


def test_copper_clad_aluminium_is_flagged(run: Any) -> None:
    copper = answer(run, *METRIC, "--allowed-v", "1.6")
    clad = answer(run, *METRIC, "--allowed-v", "1.6", "--copper-clad")
    assert clad["drop_v"] == pytest.approx(1.6 * copper["drop_v"])  # a public note, restated
    assert (copper["holds"], clad["holds"], clad["copper_clad"]) == (True, False, True)
    assert clad["smallest"] == copper["smallest"]  # of copper
    assert "reject it on a survey" in words(run, *METRIC, "--copper-clad")
    assert "reject it" not in words(run, *METRIC)


def test_within_what_is_allowed(run: Any) -> None:
    assert "within the 1.6 V allowed, and the smallest that holds it" in words(
        run, *METRIC, "--allowed-v", "1.6"
    )
    assert "within the 10 V allowed; 0.14 mm², class 5 is" in words(
        run, *METRIC, "--allowed-v", "10"
    )


def test_nothing_holds(run: Any) -> None:
    ask = (*METRIC, "--allowed-v", "0.01")
    assert answer(run, *ask)["smallest"] is None
    assert "no size here holds that. Split the loads" in words(run, *ask)


def test_more_than_there_is(run: Any) -> None:
    ask = ("cable", "--mm2", "0.22", "--length-m", "200", "--current-a", "0.28", "--supply-v", "12")
    found = answer(run, *ask)  # 2 x 200 m x 0.096 ohm/m x 0.28 A = 10.752 V
    assert found["left_v"] == pytest.approx(1.248)
    assert found["left_at_end_v"] is None
    shown = words(run, *ask)
    assert "at its end, 10.5 V, nothing" in shown
    assert "so nothing is left" in shown
    assert "looks high by a fifth" in shown
    ask = (*ask, "--load", "200:1")
    assert answer(run, *ask)["left_v"] is None
    assert "the load would not run" in words(run, *ask)


def test_other_volts_have_no_end_of_discharge(run: Any) -> None:
    found = answer(run, *METRIC, "--supply-v", "13.8")
    assert found["left_v"] == pytest.approx(13.8 - 1.56)
    assert found["left_at_end_v"] is None
    assert "at its end" not in words(run, *METRIC, "--supply-v", "13.8")


def test_plain_ascii(run: Any) -> None:
    assert run(*PUBLISHED, "--ascii").stdout.isascii()


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--length-m", "0", "allowed: above 0, 5000 at most"),
        ("--length-m", "-1", "allowed: above 0"),
        ("--length-m", "nan", "allowed: above 0"),
        ("--length-m", "1e308", "5000 at most"),
        ("--length-m", "40 m", "without its unit"),
        ("--current-a", "0", "allowed: above 0, 100 at most"),
        ("--current-a", "-0.5", "allowed: above 0"),
        ("--current-a", "nan", "allowed: above 0"),
        ("--current-a", "inf", "100 at most"),
        ("--mm2", "0", "the tables have 0.14, 0.22"),
        ("--mm2", "-1", "the tables have 0.14, 0.22"),
        ("--mm2", "nan", "the tables have 0.14, 0.22"),
        ("--mm2", "0.6", "next thinner of these to be on the safe side"),
        ("--class", "6", "given '6'; allowed: 1, 2, 5"),
        ("--temperature-degc", "200", "covers -40 to 105 degC"),
        ("--temperature-degc", "nan", "finite"),
        ("--supply-v", "0", "allowed: 1 to 60"),
        ("--supply-v", "1e-320", "allowed: 1 to 60"),
        ("--supply-v", "230", "mains are for a licensed person"),
        ("--allowed-v", "0", "above 0"),
        ("--allowed-v", "nan", "above 0"),
        ("--load", "50:1", "at most --length-m, 40"),
        ("--load", "0:1", "a length above 0"),
        ("--load", "10:0", "a current above 0, 100 A at most"),
        ("--load", "nan:nan", "a length above 0"),
        ("--load", "10", "a length, a colon and a current"),
        ("--load", "", "a length, a colon and a current"),
    ],
)
def test_wrong_input(run: Any, option: str, value: str, said: str) -> None:
    settings = {"--mm2": "0.5", "--length-m": "40", "--current-a": "0.5", option: value}
    options = [text for pair in settings.items() for text in pair]
    for extra in ((), ("--json",)):
        done = run("cable", *options, *extra, code=2)
        assert option in done.stderr
        assert said in " ".join(done.stderr.split())
        assert done.stdout == ""


LENGTH = ("--length-m", "40")
REST = (*LENGTH, "--current-a", "0.5")


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (REST, "'--awg / --mm2': neither was given"),
        (("--awg", "16", "--mm2", "1.5", *REST), "'--awg / --mm2': both were given"),
        (("--awg", "16", "--current-a", "1"), "'--length-m / --length-ft': neither was given"),
        (("--awg", "16", *REST, "--length-ft", "9"), "'--length-m / --length-ft': both were given"),
        (("--awg", "17", *REST), "the tables have 24, 22, 20, 18, 16, 14, 12, 10"),
        (("--awg", "0", *REST), "awg was 0; the tables have"),
        (("--awg", "16.5", *REST), "whole number"),
        (("--awg", "16", "--strand", "19", *REST), "given '19'; allowed: solid, 7"),
        (("--awg", "16", "--class", "5", *REST), "'--class': goes with --mm2"),
        (("--mm2", "1", "--strand", "7", *REST), "'--strand': goes with --awg"),
        (("--mm2", "0.22", "--class", "1", *REST), "classes 1 and 2 begin at 0.5"),
        (("--mm2", "1", *REST, "--supply-v", "12", "--allowed-v", "13"), "above 0, 12 at most"),
        (("--mm2", "1", *LENGTH), "Missing option '--current-a'"),
    ],
)
def test_what_does_not_go_together(run: Any, args: tuple[str, ...], said: str) -> None:
    for extra in ((), ("--json",)):
        done = run("cable", *args, *extra, code=2)
        assert said in " ".join(done.stderr.split())
        assert done.stdout == ""
