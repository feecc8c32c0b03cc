"""`pathproof reading --watch`: readings over time, on record as one entry, and what they say."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

STEADY = "+CESQ: 99,99,255,255,20,50"
# TS 36.133 table 9.1.4-1, restated: code 50 is -91 to -90 dBm, code 20 -121 to -120 dBm.
WEAK = "+CESQ: 99,99,255,255,20,20"
NOTHING = "+CESQ: 99,99,255,255,255,255"
ON = ("--about", "main", "--by", "A. Tester", "--network", "001-01", "--technology", "lte")
FINAL = ("--final-antenna", "--lid-shut", "--minutes-since-registration", "20")


def log_of(answers: list[str], every_min: int = 1, start_min: int = 600) -> str:
    """A modem's log, with echo, OK and empty lines around each answer."""
    stamps = [start_min + i * every_min for i in range(len(answers))]
    return "".join(
        f"{m // 60 % 24:02d}:{m % 60:02d}:00 AT+CESQ\r\r\n"
        f"{m // 60 % 24:02d}:{m % 60:02d}:00 {answer}\r\n\r\nOK\r\n"
        for m, answer in zip(stamps, answers, strict=True)
    )


@pytest.fixture
def watch(run: Any, job_path: Path, edit: Any) -> Any:
    """Puts a log on a record without readings and gives the answer and the entries that it made."""

    def no_readings(data: Any) -> None:
        data["record"] = [e for e in data["record"] if e["kind"] != "reading"]

    edit(job_path, no_readings)

    def watch(text: str, *options: str, at: str = "2026-10-07") -> tuple[Any, list[Any]]:
        before = json.loads(job_path.read_text("utf-8"))["record"]
        args = ("--job", job_path, *ON, "--at", at, *options, "--json")
        answer = json.loads(run("reading", "--watch", "-", *args, text=text).stdout)
        after = json.loads(job_path.read_text("utf-8"))["record"]
        new = after[len(before) :]
        assert answer["entries"] == [e["id"] for e in new]
        return answer, new

    return watch


def test_a_watch_is_one_entry(watch: Any) -> None:
    text = log_of([STEADY] * 3)
    answer, (entry,) = watch(text, *FINAL, "--attempt", "2", "--bandwidth-mhz", "10")
    assert entry["at"] == "2026-10-07T10:00:00+02:00"
    assert [s["after_s"] for s in entry["values"]["series"]] == [60.0, 120.0]
    assert len(entry["values"]["levels"]) == 2
    assert entry["values"]["bandwidth_hz"] == 10e6
    assert entry["raw"] == text
    assert entry["conditions"] == {
        "final_antenna": True,
        "lid_shut": True,
        "minutes_since_registration": 20.0,
        "attempt": 2,
    }
    assert list(entry["fits"]) == ["mobile:main"]
    (said,) = answer["watches"]
    assert (said["readings"], said["without_level"], said["minutes"]) == (3, 0, 2.0)
    assert "9 lines passed over" in answer["notes"][0]  # three each of echo, empty and OK


# 0.9^22 is the first power of 0.9 below 0.1: with 22 independent readings above one is 90 % sure.
# House targets: LTE needs -115 dBm and 10 dB of fade margin, so -105 dBm.
def test_long_enough(watch: Any, run: Any, job_path: Path) -> None:
    answer, _ = watch(log_of([STEADY] * 50), *FINAL)
    found = answer["watches"][0]["requirement"]
    assert (found["required"], found["asked_ratio"]) == (-105.0, pytest.approx(0.9))
    assert found["certainty_ratio"] >= 0.9
    assert found["enough"] is True
    assert not any("To prove" in note for note in answer["notes"])
    assert any(note.startswith("Mobile link of main: ") for note in answer["notes"])
    levels = answer["watches"][0]["quantities"][1]
    assert levels["quantity"] == "rsrp_dbm"
    assert levels["median"] == levels["tenth_percentile"] == {"low": -91.0, "high": -90.0}


def test_not_long_enough_says_how_many_minutes_it_takes(watch: Any) -> None:
    answer, _ = watch(log_of([STEADY] * 5))
    found = answer["watches"][0]["requirement"]
    assert found["enough"] is False
    assert found["certainty_ratio"] <= 1 - 0.9**5 + 1e-9
    assert found["needed_min"] >= 21  # 22 readings a minute apart
    needs = next(note for note in answer["notes"] if note.startswith("To prove"))
    for option in ("--final-antenna", "--lid-shut", "--minutes-since-registration"):
        assert option in needs


def test_later_tries_are_asked_for_more(watch: Any) -> None:
    # Bonferroni: of k tries each is asked for the k-th part of the doubt, 1 - 0.1 / 4.
    answer, _ = watch(log_of([STEADY] * 5), "--attempt", "4")
    assert answer["watches"][0]["requirement"]["asked_ratio"] == pytest.approx(0.975)


def test_earlier_watches_on_record_are_tries_too(watch: Any) -> None:
    watch(log_of([STEADY] * 3), *FINAL)
    watch(log_of([STEADY] * 3, start_min=700))  # not with everything final
    answer, _ = watch(log_of([STEADY] * 3, start_min=800), *FINAL)
    assert answer["watches"][0]["requirement"]["asked_ratio"] == pytest.approx(0.95)


def test_a_watch_that_proves(watch: Any, job_path: Path, edit: Any) -> None:
    def one_network(data: Any) -> None:
        data["site"]["communicators"][0]["sim"] |= {"kind": "fixed", "networks": ["001-01"]}

    edit(job_path, one_network)

    # A reading every 10 s: the first watch lasts 29.8 min of the 30 that are asked, the second 30.
    def every_ten_seconds(hour: int, count: int) -> str:
        times = (f"{hour + i // 360}:{i // 6 % 60:02d}:{i % 6 * 10:02d}" for i in range(count))
        return "\n".join(f"{time} {STEADY}" for time in times)

    short, _ = watch(every_ten_seconds(10, 180), *FINAL, "--band", "20")
    assert short["watches"][0]["requirement"]["enough"] is False
    assert any(n.startswith("Mobile link of main: predicted") for n in short["notes"])
    answer, _ = watch(every_ten_seconds(12, 181), *FINAL, "--band", "20")
    assert answer["watches"][0]["requirement"]["enough"] is True
    assert any(n.startswith("Mobile link of main: proven") for n in answer["notes"])


def fixed_card(data: Any) -> None:
    data["site"]["communicators"][0]["sim"] |= {"kind": "fixed", "networks": ["001-01"]}


def test_what_goes_on_a_little_later_is_the_same_watch(
    watch: Any, run: Any, job_path: Path, edit: Any
) -> None:
    edit(job_path, fixed_card)
    _, (before,) = watch(log_of([STEADY] * 16), *FINAL, "--band", "20")
    answer, (entry,) = watch(log_of([STEADY] * 20, start_min=620), *FINAL, "--band", "20")
    found = answer["watches"][0]["requirement"]
    assert found["entries"] == [before["id"], entry["id"]]
    # from 10:00 to 10:39, with nobody looking from 10:15 to 10:20
    assert (found["readings"], found["minutes"], found["enough"]) == (36, 39.0, True)
    assert any(n.startswith("Mobile link of main: proven") for n in answer["notes"])
    assert not any("watched before" in n for n in answer["notes"])
    later, _ = watch(log_of([STEADY] * 3, start_min=800), *FINAL, "--band", "20")
    assert any(n.endswith(" What was watched before proves it.") for n in later["notes"])
    on = ("--job", job_path, *ON, "--at", "2026-10-07", *FINAL, "--band", "20")
    said = run("reading", "--watch", "-", *on, text=log_of([STEADY] * 3, start_min=645)).stdout
    assert f"with {before['id']}, {entry['id']}, read before." in " ".join(said.split())


def test_the_offset_of_the_instrument_is_taken_off(
    watch: Any, job_path: Path, edit: Any, tmp_path: Path
) -> None:
    edit(job_path, fixed_card)
    own = tmp_path / "own-library" / "catalogue.toml"
    own.write_text(
        '[[part]]\nkind = "instrument"\nid = "high_meter"\nname = "Meter that shows too much"\n'
        'offset_db = 20.0\nspread_db = 0.0\nsource = { ref = "Ours", evidence = "practice" }\n',
        "utf-8",
    )
    meter = ("--instrument", "high_meter", "--band", "20")
    answer, _ = watch(log_of([STEADY] * 60), *FINAL, *meter)
    found = answer["watches"][0]["requirement"]
    # -91 dBm less 20 dB is below the -105 dBm that are required
    assert (found["enough"], found["needed_min"]) == (False, None)
    assert any("001-01 lacks 6.0 dB" in n for n in answer["notes"])


def test_command_and_assessment_name_the_same_minutes(
    run: Any, job_path: Path, edit: Any, watch: Any
) -> None:
    edit(job_path, fixed_card)
    on = ("--job", job_path, *ON, "--at", "2026-10-07", *FINAL, "--band", "20")
    said = " ".join(run("reading", "--watch", "-", *on, text=log_of([STEADY] * 5)).stdout.split())
    assert said.count("minutes more in the same watch prove it") == 2
    (first, second) = re.findall(r"about (\d+) minutes more", said)
    assert first == second


def test_a_watch_at_a_spot_goes_by_the_same_rules(watch: Any, run: Any, job_path: Path) -> None:
    spot = ("--job", job_path, "--about", "office_window", "--by", "A.", "--network", "001-01")
    for start_min in (600, 620):
        text = log_of([STEADY] * 16, start_min=start_min)
        done = run(
            "reading", "--watch", "-", *spot, "--technology", "lte", "--at", "2026-10-07", "--json",
            text=text,
        )  # fmt: skip
    found = json.loads(done.stdout)["watches"][0]["requirement"]
    assert (found["readings"], found["minutes"]) == (32, 35.0)


def test_a_watch_that_fails_for_good(watch: Any, run: Any, job_path: Path) -> None:
    answer, _ = watch(log_of([WEAK] * 40))
    found = answer["watches"][0]["requirement"]
    assert (found["enough"], found["needed_min"]) == (False, None)
    args = ("--job", job_path, *ON, "--at", "2026-10-08")
    said = run("reading", "--watch", "-", *args, text=log_of([WEAK] * 40)).stdout
    # -121 dBm, the lower edge, under -105 dBm
    assert "lacks 16.0 dB; more time changes nothing" in " ".join(said.split())


def test_a_lost_network_is_news(watch: Any) -> None:
    answer, (entry,) = watch(log_of([STEADY, NOTHING, STEADY] * 10))
    assert entry["values"]["series"][0]["levels"] == []
    assert answer["watches"][0]["without_level"] == 10
    assert answer["watches"][0]["requirement"]["needed_min"] is None
    assert any("10 of 30 readings knew nothing, the first at 10:01" in n for n in answer["notes"])
    for quantity in answer["watches"][0]["quantities"]:
        assert quantity["tenth_percentile"] == {"low": None, "high": None}


def test_a_lost_network_is_said_as_no_level(run: Any, job_path: Path) -> None:
    on = ("--job", job_path, *ON, "--at", "2026-10-07")
    log = log_of([STEADY, NOTHING, STEADY] * 11)
    said = " ".join(run("reading", "--watch", "-", *on, text=log).stdout.split())
    assert "fewer than 9 of 10 reach any: 11 without a level" in said
    assert "no network in 11 of 33 moments; more time changes nothing" in said


def test_nothing_but_lost(watch: Any) -> None:
    answer, (entry,) = watch(log_of([NOTHING] * 3))
    assert entry["values"]["levels"] == []
    assert answer["watches"][0]["requirement"] is None


def test_another_technology_meanwhile_is_an_entry_of_its_own(watch: Any) -> None:
    umts = "+CESQ: 99,99,40,24,255,255"
    _, entries = watch(log_of([STEADY, umts, umts, STEADY]), "--band", "20")
    assert [e["values"]["technology"] for e in entries] == ["lte", "umts"]
    assert [e["values"].get("band") for e in entries] == ["20", None]
    assert [len(e["values"]["series"]) for e in entries] == [1, 1]
    assert entries[1]["at"] == "2026-10-07T10:01:00+02:00"


def test_each_technology_has_a_verdict_of_its_own(watch: Any, job_path: Path, edit: Any) -> None:
    edit(job_path, fixed_card)
    # TS 45.008: RXLEV 5 is -106 to -105 dBm, below what GSM needs; to LTE it is a lost network.
    gsm = "+CESQ: 5,99,255,255,255,255"
    answer, _ = watch(log_of([STEADY, gsm, gsm, STEADY]), *FINAL)
    found = [w["requirement"] for w in answer["watches"]]
    assert [f["technology"] for f in found] == ["lte", "gsm"]
    assert [f["quantity"] for f in found] == ["rsrp_dbm", "rxlev_dbm"]


def test_without_a_day_the_last_line_is_of_today(run: Any, job_path: Path) -> None:
    # The clock of these tests shows 2026-11-25 12:00 +01:00.
    text = log_of([STEADY] * 3, start_min=23 * 60 + 59)
    run("reading", "--watch", "-", "--job", job_path, *ON, text=text)
    entry = json.loads(job_path.read_text("utf-8"))["record"][-1]
    assert entry["at"] == "2026-11-24T23:59:00+01:00"
    assert [s["after_s"] for s in entry["values"]["series"]] == [60.0, 120.0]


def test_a_pace_in_place_of_times(run: Any, job_path: Path, tmp_path: Path) -> None:
    log = tmp_path / "log.txt"
    log.write_text(f"{STEADY}\nOK\n{STEADY}\nOK\n{STEADY}\n", "utf-8")
    on = ("--job", job_path, *ON, "--every", "0.5 min")
    run("reading", "--watch", log, *on)
    run("reading", "--watch", log, *on, "--at", "2026-10-07T09:30")
    ended_now, began = json.loads(job_path.read_text("utf-8"))["record"][-2:]
    assert ended_now["at"] == "2026-11-25T11:59:00+01:00"
    assert began["at"] == "2026-10-07T09:30:00+02:00"
    assert [s["after_s"] for s in began["values"]["series"]] == [30.0, 60.0]


def test_a_pace_over_the_night_in_which_clocks_changed(run: Any, job_path: Path) -> None:
    # Clocks went from +02:00 to +01:00 on 25 October 2026 (IANA time zone database, Europe/Vienna);
    # 32 days before 11:00 UTC on 25 November it was 13:00 by the clock.
    text = f"{STEADY}\n" * (32 * 24 + 1)
    run("reading", "--watch", "-", "--every", "60min", "--job", job_path, *ON, text=text)
    entry = json.loads(job_path.read_text("utf-8"))["record"][-1]
    assert entry["at"] == "2026-10-24T13:00:00+02:00"
    assert entry["values"]["series"][-1]["after_s"] == 32 * 24 * 3600.0


def test_steps_of_a_scale_over_time(run: Any, job_path: Path) -> None:
    on = ("--job", job_path, *ON, "--scale", "lte_cat1_module", "--at", "2026-10-07")
    run("reading", "--watch", "-", *on, text="10:15 3\n10:16 4\n")
    values = json.loads(job_path.read_text("utf-8"))["record"][-1]["values"]
    assert len(values["series"]) == len(values["levels"]) == 1
    bad = run("reading", "--watch", "-", *on, text="10:15 3\n10:16 9 bars", code=1).stderr
    assert "Line 2: '9 bars' is not a step" in bad


def test_a_scale_that_is_not_tied_says_nothing_over_time(run: Any) -> None:
    done = run("reading", "--watch", "-", "--scale", "wren_panel", text="10:15 good\n", code=2)
    assert "not tied to levels" in " ".join(done.stderr.split())


def test_one_moment_is_no_watch(run: Any, job_path: Path) -> None:
    on = ("--job", job_path, *ON, "--at", "2026-10-07")
    said = " ".join(run("reading", "--watch", "-", *on, text=f"10:15:00 {STEADY}").stdout.split())
    assert "001-01 LTE: 1 reading RSRQ" in said
    assert "One moment says nothing of 9 of 10 levels over time" in said


def test_without_a_job_it_says_what_there_is(run: Any) -> None:
    said = run("reading", "--watch", "-", text=log_of([STEADY] * 3)).stdout
    assert "3 readings over 2 min" in said
    assert "median −91 to −90 dBm" in said
    assert "On record" not in said


def test_it_stands_in_short_in_the_list(watch: Any, run: Any, job_path: Path) -> None:
    watch(log_of([STEADY, NOTHING, WEAK]))
    said = " ".join(run("record", "list", job_path).stdout.split())
    assert "3 readings over 2 min, 1 of them without a level on 001-01 LTE: RSRQ" in said
    assert "RSRP −120.5 to −90.5 dBm" in said


def test_a_gap_in_the_watch_is_said(run: Any, job_path: Path) -> None:
    text = log_of([STEADY] * 3) + log_of([STEADY] * 3, start_min=700)
    on = ("--job", job_path, *ON, "--at", "2026-10-07")
    said = " ".join(run("reading", "--watch", "-", *on, text=text).stdout.split())
    assert "Nothing was read for 98 min" in said


def test_a_profile_without_mobile_limits_records_all_the_same(
    watch: Any, job_path: Path, edit: Any, tmp_path: Path
) -> None:
    # Ours: a profile of one's own that knows nothing of mobile links.
    own = tmp_path / "own-library" / "profile_bare.toml"
    own.write_text(
        'id = "bare"\ntitle = "Bare"\ntext = "Ours"\n'
        '[limits.radio_odds_ratio]\nvalue = 0.95\nunit = ""\n'
        'text = "Odds"\nsource = { ref = "House value, no source", evidence = "practice" }\n',
        "utf-8",
    )

    def bare(data: Any) -> None:
        data["site"]["profile"] = "bare"
        data["embedded"].pop("profile", None)

    edit(job_path, bare)
    answer, entries = watch(log_of([STEADY] * 3))
    assert len(entries) == 1
    assert answer["watches"][0]["requirement"] is None
    assert any("judged yet. Profile 'bare' gives no" in note for note in answer["notes"])


def test_a_network_that_nobody_knows_is_said(run: Any, job_path: Path) -> None:
    on = ("--job", job_path, "--about", "main", "--by", "A. Tester", "--network", "999-99")
    answer = json.loads(run("reading", STEADY, *on, "--json").stdout)
    assert any("999-99 is not among the networks of the site" in n for n in answer["notes"])
    add = ("record", "add", job_path, "reading", "--about", "main", "--by", "A.", "--text", STEADY)
    assert "999-99 is not among" in run(*add, "--network", "999-99").stderr


@pytest.mark.parametrize(
    ("text", "options", "code", "said"),
    [
        ("10:15:00 RSRP -97\n10:15:10 hello\n", (), 1, "Line 2: 'hello'"),
        ("10:15:00 RSRP -97\n10:14:00 RSRP -97\n", (), 1, "Line 2: 10:14:00 is before"),
        ("RSRP -97\n", (), 1, "--every 10s"),
        ("", (), 1, "holds no reading"),
        ("10:15:00 RSRP -97", ("--every", "10s"), 1, "Line 1 tells its time"),
        ("RSRP -97", ("--every", "0s"), 2, "'0s'"),
        ("RSRP -97", ("--every", "soon"), 2, "such as 10s or 1min"),
        ("RSRP -97", ("--every", "2h"), 2, "up to an hour"),
        ("2026-10-06T10:15:00 RSRP -97", ("--at", "2026-10-06"), 2, "leave it out"),
        ("2026-12-06T10:15:00 RSRP -97", (), 2, "still to come"),
        ("13:15:00 RSRP -97", (), 2, "still to come"),
        ("10:15:00 RSRP -97", ("--minutes", "20"), 2, "--minutes"),
        ("10:15:00 RSRP -97", ("--attempt", "0"), 1, "attempt"),
        ("10:15:00 RSRP -97", ("--attempt", "one"), 2, "--attempt"),
        ("10:15:00 RSRP -97", ("--about", "roof"), 1, "'roof'"),
        ("10:15:00 RSRP -97", ("--earfcn", "6300", "--band", "8"), 2, "channel of band 20"),
        (b"\xff\xfe1\x00", (), 1, "not text in UTF-8"),
        (f"10:15 {STEADY}\n10:16 +CESQ: 99,99,40,24,255,255", ("--replaces", "r1"), 2, "2 were"),
    ],
)
def test_what_is_refused_leaves_the_file_as_it_was(
    run: Any, job_path: Path, text: Any, options: tuple[str, ...], code: int, said: str
) -> None:
    before = job_path.read_bytes()
    done = run("reading", "--watch", "-", "--job", job_path, *ON, *options, text=text, code=code)
    assert said in " ".join(done.stderr.split())
    assert job_path.read_bytes() == before


def test_wrong_use_of_the_log(run: Any, tmp_path: Path) -> None:
    assert "cannot be read" in run("reading", "--watch", tmp_path / "none.txt", code=1).stderr
    assert "cannot be read" in run("reading", "--watch", tmp_path, code=1).stderr
    assert "leave 'RSRP -97' out" in run("reading", "RSRP", "-97", "--watch", "-", code=2).stderr
    assert "--watch too" in run("reading", "RSRP", "-97", "--every", "10s", code=2).stderr
    assert "give a reading" in run("reading", code=2).stderr
