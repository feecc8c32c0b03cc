"""`pathproof reading`: the JSON contract, words, and entries on record."""

import json
from pathlib import Path
from typing import Any

import pytest

CESQ = "+CESQ: 99,99,255,255,20,40"


def test_json_contract_of_cesq(run: Any) -> None:
    # TS 27.007 clause 8.69 with TS 36.133: code n of RSRQ is -20 + n/2 up to half a dB more, code n
    # of RSRP is -141 + n up to one dB more; restated in several modem manuals. The value is the
    # middle of the bin.
    answer = json.loads(run("reading", CESQ, "--json").stdout)
    assert list(answer) == ["levels", "notes"]
    assert {x["quantity"]: (x["value"], x["low"], x["high"]) for x in answer["levels"]} == {
        "rsrq_db": (-9.75, -10.0, -9.5),
        "rsrp_dbm": (-100.5, -101.0, -100.0),
    }


def test_json_contract_of_csq(run: Any) -> None:
    # TS 27.007 Rel-18 clause 8.5: code 16 is -81 dBm, steps of 2 dB; 31 is -51 dBm or greater.
    assert json.loads(run("reading", "+CSQ: 16,99", "--json").stdout)["levels"] == [
        {"quantity": "rssi_dbm", "value": -81.0, "low": -82.0, "high": -80.0}
    ]
    top = json.loads(run("reading", "+CSQ: 31,99", "--json").stdout)["levels"][0]
    assert (top["value"], top["low"], top["high"]) == (-51.0, -51.0, None)


def test_not_known_is_no_level_and_a_note(run: Any) -> None:
    answer = json.loads(run("reading", "+CSQ: 99,99", "--json").stdout)
    assert answer["levels"] == []
    assert answer["notes"]
    assert "poor" not in json.dumps(answer)
    assert "No level" in run("reading", "+CSQ: 99,99").stdout


def test_levels_written_out_need_no_quotes(run: Any) -> None:
    assert "RSRP −97 dBm (−97.5 to −96.5)" in run("reading", "RSRP", "-97", "dBm").stdout
    assert "RSRP −97 dBm" in run("reading", "-97", "--quantity", "rsrp_dbm").stdout


def test_one_reading_a_line_from_standard_input(run: Any) -> None:
    done = run("reading", "-", "--json", text="+CSQ: 16,99\nOK\n+CSQ: 17,99\n")
    readings = json.loads(done.stdout)["readings"]
    assert [r["levels"][0]["value"] for r in readings] == [-81.0, -79.0]


def test_standard_input_that_is_no_text(run: Any) -> None:
    assert "not text in UTF-8" in run("reading", "-", text=b"\xff\xfe", code=1).stderr


def test_a_step_of_a_parts_own_scale(run: Any) -> None:
    known = run("reading", "3", "--scale", "no_such_part", code=2).stderr
    assert "phone_bars" in known
    answer = json.loads(run("reading", "3", "bars", "--scale", "phone_bars", "--json").stdout)
    assert len(answer["levels"]) <= 1
    assert answer["notes"]
    assert (
        "not a step of this scale" in run("reading", "99", "--scale", "phone_bars", code=1).stderr
    )


def test_a_step_without_a_scale_is_told_of_the_option(run: Any) -> None:
    for args, text in (
        (("reading", "3", "bars"), None),
        (("reading", "-"), "3 Bars\n"),
        (("reading", "--watch", "-"), "10:15:00 3 bars\n"),
    ):
        said = " ".join(run(*args, text=text, code=1).stderr.split())
        assert "say whose scale it is: --scale phone_bars" in said
    assert "--scale" not in run("reading", "hello", code=1).stderr


def test_a_refusal_is_answered_by_what_it_means(run: Any) -> None:
    said = " ".join(run("reading", "AT+CSQ", "+CME ERROR: 10", code=1).stderr.split())
    assert "'+CME ERROR: 10': SIM not inserted (no card" in said


def test_a_step_of_a_scale_that_is_not_tied(run: Any) -> None:
    said = run("reading", "good", "--scale", "wren_panel").stdout
    assert said.startswith("good: a step is not tied to levels.")
    assert "knew nothing" not in said


def test_a_reading_that_will_grade_nothing(run: Any, job_path: Path, edit: Any) -> None:
    def lte_only(data: Any) -> None:
        network = next(n for n in data["site"]["networks"] if n["mcc_mnc"] == "001-01")
        network["technologies"] = ["lte"]

    edit(job_path, lte_only)
    on = ("--job", job_path, "--about", "main", "--network", "001-01", "--by", "A. Tester")
    # RSSI counts all that is on the channel, load and interference too (common practice, no source)
    answer = json.loads(run("reading", "+CSQ: 16,99", *on, "--json").stdout)
    assert any("It will grade nothing: RSSI" in note for note in answer["notes"])
    assert "grade nothing" in " ".join(run("reading", "+CSQ: 16,99", *on).stdout.split())
    assert "grade nothing" not in run("reading", CESQ, *on).stdout
    add = ("record", "add", job_path, "reading", "--about", "main", "--by", "A. Tester")
    text = ("--text", "+CSQ: 16,99", "--network", "001-01")
    assert "grade nothing" in run(*add, *text).stderr
    assert run(*add, *text, "--technology", "gsm").stderr == ""


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--about", "counter"), "It will count for no network: it names none of 001-01"),
        (
            ("--about", "main", "--network", "001-03"),
            "It will not count for the mobile link of main, whose card may use 001-01, 001-02",
        ),
        (
            ("--about", "main", "--network", "001-01", "--technology", "lte"),
            "main speaks no LTE, so it predicts LTE-M at best, and proves nothing; what counts is "
            "read in LTE-M.",
        ),
        (
            ("--about", "main", "--network", "001-01", "--technology", "nb_iot"),
            "main speaks no NB-IoT, so it does not count for its mobile link",
        ),
        (("--about", "main", "--network", "001-01", "--technology", "lte_m"), None),
    ],
)
def test_what_a_reading_will_not_count_for_is_said(
    run: Any, job_path: Path, edit: Any, options: tuple[str, ...], says: str | None
) -> None:
    def lte_m(data: Any) -> None:
        card = {"kind": "roaming", "networks": ["001-01", "001-02"]}
        data["site"]["communicators"][0]["sim"] |= card
        part = data["site"]["communicators"][0]["part"]
        data["embedded"]["catalogue"][part]["technologies"] = ["lte_m"]
        for code in ("001-02", "001-03"):
            if all(n["mcc_mnc"] != code for n in data["site"]["networks"]):
                data["site"]["networks"].append(
                    {"mcc_mnc": code, "label": code, "technologies": ["lte", "lte_m"]}
                )
        data["site"]["spots"].append({"id": "counter", "name": "Counter"})

    edit(job_path, lte_m)
    on = ("--job", job_path, "--by", "A. Tester", *options)
    notes = json.loads(run("reading", CESQ, *on, "--json").stdout)["notes"]
    if says is None:
        assert not any("count" in note for note in notes)
    else:
        assert any(note.startswith(says) for note in notes)
    add = ("record", "add", job_path, "reading", "--by", "A. Tester", "--text", CESQ, *options)
    assert (says or "") in " ".join(run(*add).stderr.split())


def test_one_reading_replaces_one_entry(run: Any, job_path: Path) -> None:
    on = ("--job", job_path, "--about", "main", "--by", "A. Tester", "--replaces", "r0001")
    text = "+CSQ: 16,99\n+CSQ: 17,99\n"
    assert "--replaces" in run("reading", "-", *on, text=text, code=2).stderr


def test_no_step_at_all(run: Any, job_path: Path) -> None:
    before = job_path.read_bytes()
    options = ("--scale", "phone_bars", "--about", "main", "--by", "A. Tester")
    assert (
        "Nothing was given"
        in run("reading", "-", "--job", job_path, *options, text="\n \n", code=1).stderr
    )
    assert job_path.read_bytes() == before


@pytest.mark.parametrize(
    "text", ["RSRP -20 dBm", "RSRP nan dBm", "+CSQ: 77,0", "+CESQ: 1,2", "hello", " ", "x" * 3000]
)
def test_what_no_instrument_can_show(run: Any, text: str) -> None:
    done = run("reading", text, code=1)
    assert done.stdout == ""
    assert len(done.stderr) < 600


def test_an_answer_without_quotes(run: Any) -> None:
    answer = json.loads(run("reading", "+CSQ:", "16,99", "--json").stdout)
    assert answer["levels"][0]["value"] == -81.0


# RSRQ = 10 log10 N + RSRP - RSSI, TS 36.214 clause 5.1.3 as restated; N = 50 in 10 MHz (16.99 dB):
# -97 + 11 + 17 = -69 dBm, and a bin of 1 dB each.
def test_what_rsrp_and_rsrq_say_of_rssi(run: Any) -> None:
    said = run("reading", "RSRP", "-97", "RSRQ", "-11", "--bandwidth-mhz", "10").stdout
    assert "By RSRP and RSRQ, RSSI is −70 to −68 dBm in 50 resource blocks" in said
    fits = run("reading", "RSRP -97 RSRQ -11 RSSI -69", "--bandwidth-mhz", "10").stdout
    assert "fit each other" in fits
    nearly = run("reading", "RSRP -97 RSRQ -11 RSSI -66", "--bandwidth-mhz", "10").stdout
    assert "misses each other by a few dB" in nearly
    alone = run("reading", "RSRP -97", "--bandwidth-mhz", "10").stdout
    assert "two are needed" in alone


def test_levels_that_cannot_be(run: Any) -> None:
    text = "RSRP -97 RSRQ -11 RSSI -50"
    answer = json.loads(run("reading", text, "--bandwidth-mhz", "10", "--json").stdout)
    (note,) = answer["notes"]
    # -97 + 17 + 50 = -30 dB, half a bin either side
    assert "RSRQ −11.5 to −10.5 dB does not fit" in note
    assert "allows −31 to −29 dB" in note
    assert "That cannot be" in note
    assert "does not fit" not in run("reading", text).stdout
    # Thermal noise in 15 kHz at 290 K is -132.2 dBm, so SINR is at most 12.7 dB at -119.5 dBm.
    noise = run("reading", "RSRP -120 SINR 25").stdout
    assert "allows 12.7 dB or less" in " ".join(noise.split())
    doubtful = run("reading", "RSRP -97 RSRQ 1").stdout
    assert "hardly" in doubtful


def test_an_earfcn_tells_the_band(run: Any, job_path: Path) -> None:
    # TS 36.101 clause 5.7.3, restated: 791 + 0.1 (6300 - 6150) = 806 MHz, band 20
    assert "EARFCN 6300 is band 20, 806 MHz" in run("reading", CESQ, "--earfcn", "6300").stdout
    on = ("--job", job_path, "--about", "main", "--by", "A. Tester", "--at", "2026-10-07")
    run("reading", CESQ, *on, "--earfcn", "6300", "--bandwidth-mhz", "1.4")
    values = json.loads(job_path.read_text("utf-8"))["record"][-1]["values"]
    assert (values["band"], values["bandwidth_hz"]) == ("20", 1.4e6)
    run("reading", CESQ, *on, "--earfcn", "6300", "--band", "B20")
    assert json.loads(job_path.read_text("utf-8"))["record"][-1]["values"]["band"] == "B20"


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--earfcn", "24300"), "as 6300"),
        (("--earfcn", "9999999"), "in no band on hand"),
        (("--earfcn", "6300.5"), "--earfcn"),
        (("--bandwidth-mhz", "7"), "1.4, 3, 5, 10, 15, 20"),
        (("--bandwidth-mhz", "wide"), "--bandwidth-mhz"),
        (("--attempt", "2"), "--job"),
        (("--minutes-since-registration", "2"), "--job"),
    ],
)
def test_conditions_that_are_none(run: Any, options: tuple[str, ...], said: str) -> None:
    assert said in " ".join(run("reading", CESQ, *options, code=2).stderr.split())


def test_a_mistyped_option_is_not_taken_for_text(run: Any) -> None:
    assert "--jsn" in run("reading", "RSRP", "-97", "--jsn", code=2).stderr


def test_on_record_about_a_spot(run: Any, job_path: Path) -> None:
    options = ("--about", "landing_window", "--network", "001-01", "--technology", "lte")
    run("reading", CESQ, "--job", job_path, *options, "--by", "A. Tester", "--at", "2026-10-07")
    entry = json.loads(run("record", "list", job_path, "--json").stdout)[-1]
    assert entry["kind"] == "reading"
    assert entry["about"] == ["landing_window"]
    assert entry["raw"] == CESQ
    assert list(entry["fits"]) == ["spot:landing_window"]
    assert entry["no_longer_fits"] == []
    assert entry["values"]["network"] == "001-01"


def test_several_readings_go_on_record_together(run: Any, job_path: Path) -> None:
    before = json.loads(job_path.read_text())
    options = (
        "--about",
        "main",
        "--by",
        "A. Tester",
        "--at",
        "2026-10-07T10:00",
        "--final-antenna",
    )
    text = "+CSQ: 16,99\n+CSQ: 17,99\n"
    said = run("reading", "-", "--job", job_path, *options, text=text).stdout
    after = json.loads(job_path.read_text())
    new = after["record"][len(before["record"]) :]
    assert "count as one reading" in " ".join(said.split())
    assert [list(e["fits"]) for e in new] == [["mobile:main"]] * 2
    assert new[0]["conditions"] == {"final_antenna": True}
    assert after["revision"] == before["revision"] + 1


def test_record_options_want_a_job_and_a_name(run: Any, job_path: Path) -> None:
    assert "--job" in run("reading", CESQ, "--network", "001-01", code=2).stderr
    assert "--by" in run("reading", CESQ, "--job", job_path, code=2).stderr


def test_a_spot_that_is_not_there_names_those_that_are(run: Any, job_path: Path) -> None:
    before = job_path.read_bytes()
    options = ("--about", "roof", "--by", "A. Tester")
    error = run("reading", CESQ, "--job", job_path, *options, code=1).stderr
    assert "'roof'" in error
    assert "landing_window" in error
    assert job_path.read_bytes() == before


def test_a_network_that_is_none(run: Any, job_path: Path) -> None:
    before = job_path.read_bytes()
    options = ("--about", "landing_window", "--network", "abc", "--by", "A. Tester")
    assert "network" in run("reading", CESQ, "--job", job_path, *options, code=1).stderr
    assert job_path.read_bytes() == before
