"""`pathproof retirements`: the table, a job's outlook, JSON of both, and wrong input."""

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Edit = Callable[[Path, Callable[[Any], None]], None]

OWN = """
[[retirement]]
network = "001-01"
technology = "lte"
ends_on = "2031-03-01"
source = { ref = "Letter of the operator", edition = "2026-10-02", evidence = "read" }
seen = "2026-11-25"

[[retirement]]
network = "001-01"
technology = "gsm"
ends_on = "2025-12-31"
source = { ref = "Somebody said", evidence = "memory" }
"""


def answer(run: Any, *args: object) -> Any:
    return json.loads(run("retirements", *args, "--json").stdout)


def words(run: Any, *args: object) -> str:
    return " ".join(run("retirements", *args).stdout.split())


@pytest.fixture
def own_rows() -> None:
    (Path(os.environ["PATHPROOF_HOME"]) / "retirements_own.toml").write_text(OWN, "utf-8")


@pytest.fixture
def one_card(job_path: Path, edit: Edit) -> Path:
    """The demo's job, without rows of its own; the card may use one network only."""

    def change(data: Any) -> None:
        del data["embedded"]["retirements"]
        data["site"]["communicators"][0]["sim"] = {"kind": "fixed", "networks": ["001-01"]}

    edit(job_path, change)
    return job_path


def test_every_row_of_the_table_says_on_whose_word(run: Any) -> None:
    found = answer(run)
    assert found["as_of"] == "2026-11-25"
    assert found["rows"]
    for row in found["rows"]:
        assert row["source"]["ref"]
        assert row["source"]["evidence"] in ("restated", "memory")
        if row["fate"] == "gone":
            assert row["done"]
    text = words(run)
    remembered = [r for r in found["rows"] if r["source"]["evidence"] == "memory"]
    assert text.count("but that is from memory") == len(remembered)
    assert "(restated, looked at 2026-11-25)" in text


# House of Commons Library, briefing CBP-9959 (2024): planned for 2024, one network's 2G for 2030;
# nothing there says that the former happened.
def test_a_plan_that_is_past_is_not_told_as_certain(run: Any) -> None:
    text = words(run, "--network", "234-30", "--technology", "umts")
    assert "234-30 UMTS was to end in 2024; ask whether it is still there (planned)" in text
    assert "ended" not in text
    (row,) = answer(run, "--network", "234-30", "--technology", "umts")["rows"]
    assert row["fate"] == "ending"


@pytest.mark.parametrize(
    ("network", "technology", "rows"),
    [
        ("234-30", "gsm", ["234-30"]),
        ("234-99", "gsm", ["234-*"]),
        ("234-*", "gsm", ["234-*"]),
        ("001-01", "gsm", []),
    ],
)
def test_a_network_s_own_row_or_that_of_its_country(
    run: Any, network: str, technology: str, rows: list[str]
) -> None:
    found = answer(run, "--network", network, "--technology", technology)["rows"]
    assert [r["network"] for r in found] == rows


def test_an_unknown_network_is_said_to_be_unknown(run: Any) -> None:
    text = words(run, "--network", "999-70", "--technology", "lte_m")
    assert "999-70 LTE-M: nothing is known of its end, which does not say that it lasts." in text


def test_the_table_as_of_a_day(run: Any) -> None:
    asked = ("--network", "505-01", "--technology", "umts")
    early = words(run, *asked, "--as-of", "2024-10-27")
    late = words(run, *asked, "--as-of", "2024-10-28")
    assert "505-01 UMTS ends on 2024-10-28" in early
    assert "505-01 UMTS was to end on 2024-10-28; ask" in late


def test_a_job_of_which_nothing_is_known(run: Any, empty_job: Path) -> None:
    assert "There is no communicator" in words(run, empty_job)
    found = answer(run, empty_job)
    assert found["communicators"] == []
    assert found["exposed_from"] is None


def test_the_demo_s_networks_are_not_taken_to_last(run: Any, job_path: Path) -> None:
    (main,) = answer(run, job_path)["communicators"]
    assert main["fate"] == "unknown"
    # 2G ends by the demo's own rows; of LTE nobody knows.
    fates = {(n["technology"], n["fate"]) for n in main["networks"]}
    assert fates == {("lte", "unknown"), ("gsm", "ends")}
    text = words(run, job_path)
    assert "001-01 LTE nothing is known of its end, which does not say that it lasts" in text
    assert "What nobody knows the end of may end before." in text


@pytest.mark.usefixtures("own_rows")
def test_own_rows_say_by_when_a_communicator_is_exposed(run: Any, one_card: Path) -> None:
    found = answer(run, one_card)
    (main,) = found["communicators"]
    assert (found["serves_until"], found["exposed_from"]) == ("2036-11-25", "2031-03-01")
    assert (main["fate"], main["exposed_from"]) == ("ends", "2031-03-01")
    assert main["steps"][:2] == [
        {"on": "2025-12-31", "ended": ["001-01 GSM"], "left": ["001-01 LTE"]},
        {"on": "2031-03-01", "ended": ["001-01 LTE"], "left": []},
    ]
    text = words(run, one_card)
    assert "2025-12-31 without 001-01 GSM; left: 001-01 LTE" in text
    assert "001-01 GSM was to end on 2025-12-31, but that is from memory; ask" in text
    assert "Letter of the operator, 2026-10-02 (read, looked at 2026-11-25)" in text
    assert "without a way to the centre from 2031-03-01 on." in text


def test_a_day_that_is_only_promised_is_said_to_be(run: Any, one_card: Path) -> None:
    promised = (
        '[[retirement]]\npart = "lte_cat1_module"\nends_from = "2029-05-01"\n'
        'source = { ref = "Letter of the maker", evidence = "read" }\n'
    )
    (Path(os.environ["PATHPROOF_HOME"]) / "retirements_own.toml").write_text(promised, "utf-8")
    text = words(run, one_card)
    assert "it counts as without a way to the centre from 2029-05-01 on." in text
    assert "It is promised until then; that it ends then nobody has said." in text
    (Path(os.environ["PATHPROOF_HOME"]) / "retirements_own.toml").write_text(
        promised.replace("ends_from", "ends_on"), "utf-8"
    )
    assert "promised" not in words(run, one_card)


@pytest.mark.usefixtures("own_rows")
def test_a_job_as_of_a_day(run: Any, one_card: Path) -> None:
    fates = {
        day: answer(run, one_card, "--as-of", day)["communicators"][0]["fate"]
        for day in ("2019-01-01", "2026-11-25", "2031-03-01")
    }
    # serving until 2029-01-01, both outlasting; until 2036; past a planned day
    assert fates == {"2019-01-01": "outlives", "2026-11-25": "ends", "2031-03-01": "ending"}


@pytest.mark.usefixtures("own_rows")
def test_the_job_file_stays_as_it_is(run: Any, one_card: Path) -> None:
    before = one_card.read_bytes()
    run("retirements", one_card)
    assert one_card.read_bytes() == before


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("--network", "234"), "given '234'; allowed: a country and network code"),
        (("--network", ""), "given ''; allowed: a country and network code"),
        (("--technology", "3g"), "given '3g'; allowed: gsm, umts, lte, lte_m, nb_iot, nr"),
        (("--as-of", "2020-13-01"), "'2020-13-01' is not a date or a moment"),
        (("job.json", "--network", "001-01"), "leave it out with a job"),
        (("job.json", "--technology", "lte"), "leave it out with a job"),
    ],
)
def test_wrong_use(run: Any, job_path: Path, args: tuple[str, ...], says: str) -> None:
    assert job_path.name == "job.json"
    result = run("retirements", *args, code=2)
    assert says in " ".join(result.stderr.split())
    assert result.stdout == ""


def test_a_file_that_is_not_there(run: Any) -> None:
    assert "cannot be read" in run("retirements", "nope.json", code=1).stderr


def test_own_rows_that_cannot_be_used_say_where(run: Any) -> None:
    path = Path(os.environ["PATHPROOF_HOME"]) / "retirements_own.toml"
    path.write_text(OWN.replace("2031-03-01", "2031-02-30"), "utf-8")
    text = run("retirements", code=1).stderr
    assert "retirements_own.toml cannot be used" in text
    assert "retirement[0].ends_on" in text
