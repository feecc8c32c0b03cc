"""`pathproof record`: entries of every kind, what they speak for, and what is refused."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

WALK = ("walk", "--due", "5", "--received", "5", "--in-hand-db", "6")
BY = ("--by", "A. Tester", "--at", "2026-10-07T10:00")


def add(run: Any, path: Path, *args: str, code: int = 0) -> Any:
    done = run("record", "add", path, *args, *BY, "--json", code=code)
    return json.loads(done.stdout) if code == 0 else " ".join(done.stderr.split())


def listed(run: Any, path: Path) -> dict[str, Any]:
    return {e["id"]: e for e in json.loads(run("record", "list", path, "--json").stdout)}


def test_walk_speaks_for_its_own_radio_link(run: Any, job_path: Path) -> None:
    entry = add(run, job_path, *WALK, "--about", "loft_motion", "--lid-shut", "--final-place")
    assert entry["id"] == "r0001"
    assert entry["at"] == "2026-10-07T10:00:00+02:00"  # the site's time zone
    assert entry["values"] == {"due": 5, "received": 5, "in_hand_db": 6.0}
    assert entry["conditions"] == {"lid_shut": True, "final_place": True}
    assert list(entry["fits"]) == ["radio:loft_motion>panel"]


def test_walk_proves_its_link(run: Any, job_path: Path) -> None:
    link = "radio:loft_motion>panel"
    ask = ("assess", job_path, "--as-of", "2026-10-08", "--json", "--working", link)
    assert json.loads(run(*ask, code=3).stdout)["links"][0]["word"] == "predicted"
    entry = add(run, job_path, *WALK, "--about", "loft_motion", "--lid-shut", "--final-place")
    proven = json.loads(run(*ask, code=3).stdout)["links"][0]
    assert proven["word"] == "proven"
    assert entry["id"] in proven["evidence"]


def test_moving_a_device_voids_its_own_entry_and_no_other(
    run: Any, job_path: Path, edit: Callable[..., None]
) -> None:
    add(run, job_path, *WALK, "--about", "loft_motion", "--lid-shut", "--final-place")
    add(run, job_path, *WALK, "--about", "keypad", "--lid-shut", "--final-place")
    before = listed(run, job_path)
    assert not any(e["no_longer_fits"] for e in before.values())

    def move(data: Any) -> None:
        device = next(d for d in data["site"]["devices"] if d["id"] == "loft_motion")
        device["at"][0] += 0.5

    edit(job_path, move)
    after = listed(run, job_path)
    assert {i for i, e in after.items() if e["no_longer_fits"]} == {"r0001"}
    assert "no longer fits the radio link from loft_motion to panel" in " ".join(
        run("record", "list", job_path).stdout.split()
    )


def test_walk_over_a_repeater(run: Any, job_path: Path) -> None:
    entry = add(run, job_path, *WALK, "--about", "keypad", "--via", "yard_repeater")
    assert list(entry["fits"]) == ["radio:keypad>yard_repeater"]


def test_level_in_dbm_is_a_bin_of_its_last_digit(run: Any, job_path: Path) -> None:
    entry = add(
        run, job_path, "level", "--about", "keypad", "--level-dbm", "-87", "--level-dbm", "-88.5"
    )
    assert [(x["low"], x["value"], x["high"]) for x in entry["values"]["levels"]] == [
        (-87.5, -87.0, -86.5),
        (-88.55, -88.5, -88.45),
    ]


def test_level_as_a_step_of_the_panels_scale(run: Any, job_path: Path) -> None:
    entry = add(run, job_path, "level", "--about", "keypad", "--step", "4", "--step", "5")
    assert entry["values"]["steps"] == ["4", "5"]
    error = add(run, job_path, "level", "--about", "keypad", "--step", "6", code=1)
    assert "not a step of this scale; allowed are '1'" in error


def test_event_speaks_for_its_signal(run: Any, job_path: Path) -> None:
    options = ("--signal", "alarm", "--code", "130", "--zone", "5", "--partition", "1")
    more = ("--delay-s", "7.5", "--means", "read_back", "--communicator", "main")
    entry = add(run, job_path, "event", "--about", "office_motion", *options, *more)
    assert list(entry["fits"]) == ["signal:office_motion:alarm"]
    assert entry["values"]["delay_s"] == 7.5


def test_event_that_did_not_arrive(run: Any, job_path: Path) -> None:
    means = ("--means", "list")
    entry = add(
        run, job_path, "event", "--about", "panel", "--signal", "set", "--not-arrived", *means
    )
    assert entry["values"]["arrived"] is False
    assert "the centre has nothing" in run("record", "list", job_path).stdout


def test_nought_is_a_value(run: Any, job_path: Path) -> None:
    options = ("--signal", "mains_fail", "--code", "301", "--zone", "0", "--partition", "0")
    options = (*options, "--means", "list")
    event = add(run, job_path, "event", "--about", "panel", *options, "--delay-s", "0")
    assert (event["values"]["zone"], event["values"]["partition"]) == (0, 0)
    assert event["values"]["delay_s"] == 0.0
    walk = add(run, job_path, "walk", "--about", "keypad", "--due", "5", "--received", "0")
    assert walk["values"]["received"] == 0


def test_supply_test_speaks_for_supply_and_standby(run: Any, job_path: Path) -> None:
    options = ("--standby-current-a", "0.18", "--loaded-v", "12.1", "--battery-date", "2026-09-01")
    entry = add(run, job_path, "supply_test", "--about", "panel", *options)
    assert set(entry["fits"]) == {"supply", "standby"}


def test_reading_by_its_text(run: Any, job_path: Path) -> None:
    options = ("--text", "+CESQ: 99,99,255,255,20,40", "--network", "001-01")
    entry = add(run, job_path, "reading", "--about", "main", *options)
    assert [x["quantity"] for x in entry["values"]["levels"]] == ["rsrq_db", "rsrp_dbm"]
    assert entry["raw"].startswith("+CESQ")
    assert list(entry["fits"]) == ["mobile:main"]


def test_conditions_and_channel_of_a_reading(run: Any, job_path: Path) -> None:
    text = ("--text", "RSRP -97 RSRQ -11", "--network", "001-01")
    channel = ("--earfcn", "6300", "--bandwidth-mhz", "10")
    told = ("--minutes-since-registration", "12", "--attempt", "3")
    entry = add(run, job_path, "reading", "--about", "main", *text, *channel, *told)
    assert entry["conditions"]["minutes_since_registration"] == 12.0
    assert entry["conditions"]["attempt"] == 3
    assert (entry["values"]["band"], entry["values"]["bandwidth_hz"]) == ("20", 10e6)
    error = add(run, job_path, "note", "--text", "x", "--earfcn", "6300", code=2)
    assert "a note does not take it" in " ".join(error.split())


def test_a_reading_that_cannot_be_is_warned_of(run: Any, job_path: Path) -> None:
    # RSRQ = 10 log10 N + RSRP - RSSI, TS 36.214 clause 5.1.3 as restated: -30 dB in 10 MHz
    text = ("--text", "RSRP -97 RSRQ -11 RSSI -50", "--network", "001-01")
    args = ("record", "add", job_path, "reading", "--about", "main", "--by", "A.", *text)
    assert "That cannot be" in run(*args, "--bandwidth-mhz", "10").stderr
    assert run(*args).stderr == ""


def test_a_final_antenna_of_nobody_said_whom_is_warned_of(run: Any, job_path: Path) -> None:
    read = ("--network", "001-01", "--technology", "lte", "--final-antenna", *BY)
    text = ("--text", "RSRP -98")
    of_spot = run("record", "add", job_path, "reading", *text, "--about", "office_window", *read)
    assert "not said whose final antenna" in " ".join(of_spot.stderr.split())
    both = ("--about", "office_window", "--about", "main")
    assert "whose" not in run("record", "add", job_path, "reading", *text, *both, *read).stderr
    shown = run(
        "reading", "RSRP -98 dBm", "--job", job_path, "--about", "office_window", *read
    ).stdout
    assert "not said whose final antenna" in " ".join(shown.split())


def test_note_and_override(run: Any, job_path: Path) -> None:
    note = add(run, job_path, "note", "--text", "The owner has a ladder.")
    assert note["values"] == {"text": "The owner has a ladder."}
    link = "radio:cold_store_door>panel"
    accepted = add(run, job_path, "override", "--link", link, "--reason", "Empty till spring")
    assert list(accepted["fits"]) == [link]


@pytest.mark.parametrize(
    ("kind", "values"),
    [
        ("step", {"procedure": "fit", "step": "fit-01", "done": True}),
        ("photo", {"sha256": "ab" * 32, "media_type": "image/jpeg"}),
        ("signature", {"name": "O. Quell", "role": "owner", "paper": "Certificate"}),
        ("walk", {"due": 5, "received": 4}),
    ],
)
def test_values_as_json_for_any_kind(run: Any, job_path: Path, kind: str, values: Any) -> None:
    about = ("--about", "keypad")
    entry = add(run, job_path, kind, *about, "--values", json.dumps(values))
    assert entry["kind"] == kind
    assert values.items() <= entry["values"].items()


def test_correction_names_what_it_replaces(run: Any, job_path: Path) -> None:
    add(run, job_path, *WALK, "--about", "keypad")
    add(run, job_path, *WALK, "--about", "keypad", "--replaces", "r0001")
    assert listed(run, job_path)["r0001"]["replaced_by"] == "r0002"
    assert "replaced by r0002" in run("record", "list", job_path).stdout
    assert "r0077" in add(run, job_path, *WALK, "--about", "keypad", "--replaces", "r0077", code=1)


def test_a_correction_says_what_it_strikes_out(run: Any, job_path: Path) -> None:
    add(run, job_path, *WALK, "--about", "keypad")
    again = ("record", "add", job_path, *WALK, *BY, "--replaces")
    said = " ".join(run(*again, "r0001", "--about", "loft_motion").stdout.split())
    assert "r0001, walk about keypad, no longer counts." in said
    assert "It was about keypad, this one is about loft_motion." in said
    said = " ".join(run(*again, "r0002", "--about", "loft_motion").stdout.split())
    assert "r0002, walk about loft_motion, no longer counts." in said
    assert "this one is" not in said


def test_a_correction_is_of_its_own_kind_and_made_once(run: Any, job_path: Path) -> None:
    add(run, job_path, *WALK, "--about", "keypad")
    note = ("note", "--text", "x", "--replaces", "r0001")
    assert "'r0001' is of kind walk and this entry of kind note" in add(
        run, job_path, *note, code=1
    )
    again = (*WALK, "--about", "keypad", "--replaces", "r0001")
    add(run, job_path, *again)
    assert "'r0001' is already replaced by 'r0002'" in add(run, job_path, *again, code=1)


def test_a_half_said_entry_names_the_choices(run: Any, job_path: Path) -> None:
    event = ("event", "--about", "keypad", "--signal", "alarm")
    error = add(run, job_path, *event, code=2)
    assert all(means in error for means in ("--means", "list", "read_back", "receiver"))
    add(run, job_path, *event, "--values", '{"means": "list"}')
    error = add(run, job_path, "level", "--about", "keypad", code=2)
    assert "--level-dbm" in error
    assert "--step" in error


def test_steps_of_a_tied_scale_count_as_levels(run: Any, job_path: Path) -> None:
    link = "radio:keypad>panel"
    ask = ("assess", job_path, "--as-of", "2026-10-08", "--working", link, "--json")
    steps = [x for _ in range(5) for x in ("--step", "5")]
    entry = add(run, job_path, "level", "--about", "keypad", *steps, "--lid-shut", "--final-place")
    answer = json.loads(run(*ask, code=3).stdout)["links"][0]
    assert entry["id"] in answer["evidence"]
    assert answer["word"] == "proven"


@pytest.mark.parametrize(
    ("at", "recorded"),
    [
        (("--at", "2026-10-07"), "2026-10-07T12:00:00+02:00"),
        (("--at", "2026-10-07T08:30"), "2026-10-07T08:30:00+02:00"),
        (("--at", "2026-10-07T08:30Z"), "2026-10-07T08:30:00Z"),
        (("--at", "2026-11-25"), "2026-11-25T12:00:00+01:00"),  # today is now
        ((), "2026-11-25T12:00:00+01:00"),
    ],
)
def test_when_it_happened(run: Any, job_path: Path, at: tuple[str, ...], recorded: str) -> None:
    run("record", "add", job_path, "note", "--text", "x", "--by", "A. Tester", *at)
    assert list(listed(run, job_path).values())[-1]["at"] == recorded


@pytest.mark.parametrize(
    ("args", "code", "said"),
    [
        ((*WALK, "--about", "nobody"), 1, "about 'nobody'; it has to be about a device or a"),
        ((*WALK,), 1, "Say what the walk is about"),
        (
            (*WALK, "--about", "back_door"),
            1,
            "'back_door' has no radio link to 'panel'. It is wired",
        ),
        ((*WALK, "--about", "keypad", "--via", "moon"), 1, "can be heard by: panel, yard_repeater"),
        ((*WALK, "--about", "keypad", "--signal", "alarm"), 2, "--signal"),
        (("walk", "--about", "keypad", "--due", "0", "--received", "0"), 1, "due: given 0"),
        (("walk", "--about", "keypad", "--due", "5", "--received", "6"), 1, "more than due 5"),
        ((*WALK, "--about", "keypad", "--in-hand-db", "nan"), 1, "NaN"),
        ((*WALK, "--about", "keypad", "--in-hand-db", "-3"), 1, "in_hand_db"),
        ((*WALK, "--about", "keypad", "--values", "[1]"), 2, "JSON object"),
        ((*WALK, "--about", "keypad", "--values", "{"), 2, "not JSON"),
        (("walk", "--about", "keypad", "--values", '{"colour": 1}'), 1, "colour"),
        (("level", "--about", "keypad", "--level-dbm", "70"), 2, "covers -125 to -20 dBm"),
        (("level", "--about", "keypad", "--level-dbm", "loud"), 2, "write it as -87"),
        (
            ("event", "--about", "keypad", "--signal", "set", "--means", "list"),
            1,
            "It sends: alarm, tamper",
        ),
        (
            ("walk", "--about", "keypad", "--due", "five"),
            2,
            "given 'five'; allowed: a whole number",
        ),
        ((*WALK, "--about", "keypad", "--in-hand-db", "6dB"), 2, "given '6dB'; allowed: a number"),
        (("walkk", "--about", "keypad"), 2, "Did you mean walk?"),
        (("supply_test", "--charger-v", "230"), 1, "charger_v: given 230.0; allowed: less than"),
        (("supply_test", "--alarm-current-a", "740"), 1, "alarm_current_a: given 740.0"),
        (("supply_test",), 1, "it has no value"),
        (
            ("supply_test", "--battery-date", "2026-10-08"),
            1,
            "battery_date: given 2026-10-08; allowed: up to 2026-10-07",
        ),
        (("event", "--about", "keypad", "--signal", "shout"), 2, "--signal"),
        (("step", "--about", "keypad"), 1, "procedure"),
        (("dance", "--about", "keypad"), 2, "dance"),
        (("reading", "--about", "keypad", "--text", "RSRP -97"), 1, "a spot or a communicator"),
        (("override", "--link", "radio:x>y", "--reason", "z"), 1, "radio:x>y"),
    ],
)
def test_what_is_refused_leaves_the_file_as_it_was(
    run: Any, job_path: Path, args: tuple[str, ...], code: int, said: str
) -> None:
    before = job_path.read_bytes()
    assert said in add(run, job_path, *args, code=code)
    assert job_path.read_bytes() == before


@pytest.mark.parametrize("at", ["yesterday", "2026-13-01", "2026-11-26", "2026-11-25T12:01+01:00"])
def test_a_moment_that_is_none_or_still_to_come(run: Any, job_path: Path, at: str) -> None:
    before = job_path.read_bytes()
    args = ("record", "add", job_path, "note", "--text", "x", "--by", "A.", "--at", at)
    assert "--at" in run(*args, code=2).stderr
    assert job_path.read_bytes() == before


def test_every_save_is_a_revision(run: Any, job_path: Path) -> None:
    before = json.loads(job_path.read_text())
    add(run, job_path, "note", "--text", "x")
    after = json.loads(job_path.read_text())
    assert after["revision"] == before["revision"] + 1
    assert after["record"][:-1] == before["record"]
    kept = list(job_path.parent.glob("job.revisions/*.json"))
    assert [json.loads(k.read_text())["revision"] for k in kept] == [before["revision"]]


def test_an_empty_record_says_what_goes_there(run: Any, empty_job: Path) -> None:
    assert "The record is empty" in run("record", "list", empty_job).stdout
    assert "this site has: none" in add(run, empty_job, *WALK, "--about", "x", code=1)
