"""`pathproof wall`: the JSON contract, the working in words, and wrong input."""

import json
from typing import Any

import pytest

WALL = ("wall", "--frequency-hz", "868.42e6", "--angle-deg", "60")


# Loss of 200 mm of concrete at 868.42 MHz and 60 degrees by Rec. ITU-R P.2040-3/-4, its constants
# extrapolated below 1 GHz: worked out with scikit-rf's cascaded lines, printed to four decimals.
CONCRETE_TE_DB, CONCRETE_TM_DB = 11.3193, 6.4759


def test_json_contract(run: Any) -> None:
    answer = json.loads(run(*WALL, "--layers", "concrete:0.2", "--json").stdout)
    assert list(answer) == [
        "loss_te_db",
        "loss_tm_db",
        "loss_mean_db",
        "loss_link_db",
        "extrapolated",
        "edition",
    ]
    assert answer["loss_te_db"] == pytest.approx(CONCRETE_TE_DB, abs=5e-5)
    assert answer["loss_tm_db"] == pytest.approx(CONCRETE_TM_DB, abs=5e-5)
    assert CONCRETE_TM_DB < answer["loss_mean_db"] < CONCRETE_TE_DB
    assert answer["extrapolated"] is True
    assert "P.2040" in answer["edition"]


def test_glass_is_inside_the_table_at_868_mhz(run: Any) -> None:
    answer = json.loads(run(*WALL, "--layers", "glass:0.004", "--json").stdout)
    assert answer["extrapolated"] is False
    assert answer["loss_link_db"] >= 1.0  # house rule: no wall is quite as clear as its layers


def test_words_tell_the_same_figures_as_json(run: Any) -> None:
    layers = ("--layers", "concrete:0.2,air:0.05,plasterboard:0.0125")
    answer = json.loads(run(*WALL, *layers, "--json").stdout)
    shown = run(*WALL, *layers).stdout
    for name in ("loss_te_db", "loss_tm_db", "loss_mean_db", "loss_link_db"):
        assert f"{answer[name]:.2f} dB" in shown
    assert "concrete 200 mm, air 50 mm, plasterboard 12.5 mm" in " ".join(shown.split())
    assert "concrete is known from 1 to 100 GHz" in shown
    assert "practice" in shown


def test_construction_of_the_library_is_the_same_as_its_layers(run: Any) -> None:
    by_name = json.loads(run(*WALL, "--construction", "brick_solid_225", "--json").stdout)
    assert by_name == json.loads(run(*WALL, "--layers", "brick:0.225", "--json").stdout)


def test_construction_with_a_fixed_loss_has_no_other(run: Any) -> None:
    answer = json.loads(run(*WALL, "--construction", "steel_door", "--json").stdout)
    assert answer["loss_te_db"] is None
    assert answer["loss_link_db"] > 0
    assert "fixed loss" in run(*WALL, "--construction", "steel_door").stdout


@pytest.mark.parametrize(
    ("layers", "said"),
    [
        ("lead:0.1", "no material 'lead'; allowed: air, "),
        ("concrete", "'concrete' is not a number"),
        ("concrete:nan", "finite"),
        ("concrete:-0.1", "above 0"),
        ("concrete:inf", "finite"),
        ("concrete:0", "above 0"),
        ("concrete:200", "metres, not millimetres"),
        ("", "0 layers were given"),
        (",".join(["air:0.1"] * 41), "41 layers were given"),
    ],
)
def test_layers_that_make_no_wall(run: Any, layers: str, said: str) -> None:
    assert said in " ".join(run(*WALL, "--layers", layers, code=2).stderr.split())


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("--frequency-hz", "0"),
        ("--frequency-hz", "nan"),
        ("--frequency-hz", "-868e6"),
        ("--frequency-hz", "868"),
        ("--frequency-hz", "868 MHz"),
        ("--angle-deg", "90"),
        ("--angle-deg", "-1"),
        ("--angle-deg", "inf"),
    ],
)
def test_frequency_or_angle_out_of_range(run: Any, option: str, value: str) -> None:
    settings = {"--frequency-hz": "868.42e6", "--angle-deg": "0", option: value}
    options = [text for pair in settings.items() for text in pair]
    assert option in run("wall", "--layers", "brick:0.1", *options, code=2).stderr


def test_layers_or_construction_not_both(run: Any) -> None:
    both = ("--layers", "brick:0.1", "--construction", "brick_solid_225")
    assert "give one of" in run(*WALL, *both, code=2).stderr
    assert "give one of" in run(*WALL, code=2).stderr


def test_unknown_construction_names_the_known_ones(run: Any) -> None:
    assert "brick_solid_225" in run(*WALL, "--construction", "brick", code=2).stderr


def test_a_construction_of_a_job(run: Any, job_path: Any, edit: Any) -> None:
    own = {
        "name": "Tank room wall",
        "fixed_loss_db": 27.5,
        "source": {"ref": "Compared on site", "evidence": "practice"},
    }
    edit(job_path, lambda data: data["site"].setdefault("constructions", {}).update(tank=own))
    ask = ("wall", "--construction", "tank", "--frequency-hz", "868e6")
    assert "there is no construction 'tank'" in run(*ask, code=2).stderr
    assert "27.5 dB" in run(*ask, "--job", job_path).stdout
    layers = ("wall", "--layers", "brick:0.1", "--frequency-hz", "868e6")
    assert "--construction" in run(*layers, "--job", job_path, code=2).stderr
    assert "given '868.42MHz'" in run(*layers[:-1], "868.42MHz", code=2).stderr
