"""`pathproof feeder`: the JSON contract, cables by both names, the working, and wrong input."""

import json
from pathlib import Path
from typing import Any

import pytest

ASK = ("feeder", "--length-m", "5", "--frequency-hz", "1800e6")


def answer(run: Any, *args: object) -> Any:
    return json.loads(run(*args, "--json").stdout)


# Form of MIL-C-17, factors from memory: 107.8 dB/100 m of RG-58C at 1800 MHz, printed to one
# decimal; extrapolated above 1000 MHz; tables differ by 15 %.
def test_json_contract(run: Any) -> None:
    found = answer(run, *ASK, "--cable", "rg58")
    assert list(found)[:2] == ["loss_db", "evidence"]
    assert found["loss_db"] == pytest.approx(107.8 * 5 / 100, abs=0.003)
    assert found["evidence"] == "memory"
    assert found["extrapolated"] is True
    assert found["low_db"] == pytest.approx(0.85 * found["loss_db"])
    assert found["high_db"] == pytest.approx(1.15 * found["loss_db"])
    assert found["connectors_db"] == 1.0  # house allowance: 0.5 dB a pair, two pairs
    assert found["mismatch_db"] is None
    assert found["break_even_m"] is None


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("rg174", "coax_rg174"),
        ("rg58", "coax_rg58c"),
        ("RG-213", "coax_rg213"),
    ],
)
def test_a_class_and_the_shipped_part_of_it_are_alike(run: Any, one: str, other: str) -> None:
    assert answer(run, *ASK, "--cable", one) == answer(run, *ASK, "--cable", other)


def test_below_1_ghz_nothing_is_extrapolated(run: Any) -> None:
    ask = ("feeder", "--cable", "rg213", "--length-m", "10", "--frequency-hz", "900e6")
    found = answer(run, *ask)
    assert found["loss_db"] == pytest.approx(2.44, abs=0.006)  # 24.4 dB/100 m
    assert found["extrapolated"] is False
    assert "Extrapolated" not in run(*ask).stdout


def test_a_better_antenna_and_where_it_stops_helping(run: Any) -> None:
    better = (*ASK, "--cable", "rg58", "--gain-db", "5", "--vswr", "2")
    found = answer(run, *better)
    assert found["mismatch_db"] == pytest.approx(0.5115, abs=5e-5)  # 2:1, transmission lines
    assert found["total_db"] == pytest.approx(found["loss_db"] + 1.0 + found["mismatch_db"])
    # at that length: gain = feeder + connectors + mismatch
    per_m_db = found["loss_db"] / 5
    assert found["break_even_m"] * per_m_db + 1.0 + found["mismatch_db"] == pytest.approx(5.0)
    shown = " ".join(run(*better).stdout.split())
    assert f"spent by {found['break_even_m']:.1f} m" in shown
    assert "dB are lost" in shown
    # 2:1 returns 9.54 dB; through a one-way loss of 5.39 dB it reads 2 x 5.39 dB better
    assert "reads 20.3 dB" in shown
    short = ("feeder", "--cable", "rg58", "--length-m", "1", "--frequency-hz", "900e6")
    assert "dB are left" in " ".join(run(*short, "--gain-db", "5").stdout.split())
    little = run(*short, "--gain-db", "0.5").stdout
    assert "do not make up for the rest" in " ".join(little.split())


def test_a_perfect_match_costs_nothing(run: Any) -> None:
    ask = (*ASK, "--cable", "rg58", "--vswr", "1")
    assert answer(run, *ask)["mismatch_db"] == 0.0
    assert "0.00 dB" in run(*ask).stdout


def test_words_tell_the_working_and_the_care(run: Any) -> None:
    shown = " ".join(run(*ASK, "--cable", "rg58", "--connectors", "3").stdout.split())
    for said in ("5.39 dB", "4.58 to 6.20 dB", "±15 %", "fitted from 100 to 1000 MHz", "1.50 dB"):
        assert said in shown
    assert "1 pair of plug" in run(*ASK, "--cable", "rg58", "--connectors", "1").stdout
    for said in ("torque", "drips off", "lightning protection", "licensed person", "from memory"):
        assert said in shown
    assert run(*ASK, "--cable", "rg58", "--ascii").stdout.isascii()


def own_cable(tmp_path: Path, k1: float) -> None:
    (tmp_path / "own-library" / "catalogue_own.toml").write_text(
        f"""
[[part]]
kind = "feeder"
id = "van_coax"
name = "Cable from the van"
source = {{ ref = "Data sheet", evidence = "read" }}
note = "White sheath."
k1_db_per_100m = {k1}
k2_db_per_100m = 0.0
connector_loss_db = 0.2
"""
    )


def test_ones_own_cable(run: Any, tmp_path: Path) -> None:
    own_cable(tmp_path, 1.0)
    found = answer(run, *ASK, "--cable", "van_coax")
    assert found["loss_db"] == pytest.approx(1800**0.5 * 5 / 100)
    assert found["evidence"] == "read"
    assert found["extrapolated"] is found["low_db"] is found["high_db"] is None
    assert found["connectors_db"] == pytest.approx(0.4)
    shown = " ".join(run(*ASK, "--cable", "van_coax").stdout.split())
    assert "the cable's own papers tell. White sheath." in shown


@pytest.mark.parametrize("k1", [0.0, 1000.0])
def test_a_cable_that_cannot_be_is_refused(run: Any, tmp_path: Path, k1: float) -> None:
    own_cable(tmp_path, k1)
    for extra in ((), ("--json",), ("--gain-db", "3")):
        done = run(*ASK, "--cable", "van_coax", *extra, code=2)
        assert "as no cable does; correct the entry" in " ".join(done.stderr.split())


@pytest.mark.parametrize(
    ("cable", "said"),
    [
        ("rg59", "there is no feeder 'rg59'; allowed: rg174, rg58, rg213, coax_rg174"),
        ("coax_rg58", "Did you mean coax_rg58c?"),
        ("whip_antenna", "'whip_antenna' is no feeder but of kind antenna"),
        ("", "there is no feeder ''"),
    ],
)
def test_a_cable_that_is_not_there(run: Any, cable: str, said: str) -> None:
    done = run(*ASK, "--cable", cable, code=2)
    assert said in " ".join(done.stderr.split())
    assert "--cable" in done.stderr


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--length-m", "-1", "allowed: 0 to 1000"),
        ("--length-m", "nan", "allowed: 0 to 1000"),
        ("--length-m", "1e308", "allowed: 0 to 1000"),
        ("--length-m", "5 m", "without its unit"),
        ("--frequency-hz", "1800", "covers 1e+07 to 6e+09 Hz"),
        ("--frequency-hz", "1e12", "covers 1e+07 to 6e+09 Hz"),
        ("--frequency-hz", "inf", "finite"),
        ("--frequency-hz", "-5", "above 0"),
        ("--connectors", "-1", "allowed: 0 to 10"),
        ("--connectors", "1.5", "whole number"),
        ("--vswr", "0.5", "allowed: 1 to 20"),
        ("--vswr", "inf", "allowed: 1 to 20"),
        ("--gain-db", "1e308", "allowed: -50 to 50"),
        ("--gain-db", "nan", "allowed: -50 to 50"),
    ],
)
def test_wrong_input(run: Any, option: str, value: str, said: str) -> None:
    settings = {"--cable": "rg58", "--length-m": "5", "--frequency-hz": "1800e6", option: value}
    options = [text for pair in settings.items() for text in pair]
    for extra in ((), ("--json",)):
        done = run("feeder", *options, *extra, code=2)
        assert option in done.stderr
        assert said in " ".join(done.stderr.split())
        assert done.stdout == ""
