"""What another part does to the power of a site."""

from typing import Any

from pathproof.assess import assess
from pathproof.assess.power.changes import power_changes
from pathproof.job import Job

from ._power_jobs import NOW
from .test_standby import MEASURED, job, with_tests

SMALL: dict[str, Any] = {
    "kind": "communicator",
    "id": "small",
    "technologies": ["lte"],
    "average_current_a": 0.02,
    "alarm_current_a": 0.1,
    "peak_current_a": 0.5,
    "minimum_v": 9.0,
}
LARGE = SMALL | {"id": "large", "average_current_a": 0.32, "peak_current_a": 2.5}
SUPPLY = {"charge_a": 0.5}
ROOM = {"internal_resistance_ohm": 0.02}


def _with(*modules: str) -> Job:
    communicators = [{"id": f"C{i}", "part": part} for i, part in enumerate(modules)]
    parts = [p for p in (SMALL, LARGE) if p["id"] in modules]
    return job(parts, battery=ROOM, charger=SUPPLY, communicators=communicators)


def test_nothing_changed_says_nothing() -> None:
    assert power_changes(_with("small"), _with("small"), NOW) == ()


def test_a_module_more_takes_more_and_leaves_fewer_hours() -> None:
    told = power_changes(_with(), _with("small"), NOW)
    assert "Standby current: what all take while idle: 0.1 A → 0.12 A" in told
    assert "Alarm current: what all take in alarm: 0.4 A → 0.5 A" in told
    # By hand: 1.25 (0.1 A 11.75 h + 0.4 A 0.25 h), then with 0.12 A and 0.5 A.
    assert "Capacity asked for: 1.594 Ah → 1.919 Ah" in told
    # By hand: (5.6 Ah - 0.1 Ah) / 0.1 A, then (5.6 Ah - 0.125 Ah) / 0.12 A.
    assert any(
        x.startswith("Hours it lasts at the end") and x.endswith("55 h → 45.62 h") for x in told
    )


def test_a_larger_module_asks_for_another_battery_and_supply() -> None:
    told = power_changes(_with("small"), _with("large"), NOW)
    assert any(x.startswith("Next usual size") and x.endswith("2.1 Ah → 7 Ah") for x in told)
    # By hand: 0.12 A and 0.42 A with 0.5 A to charge.
    assert "What the supply has to give all day: 0.62 A → 0.92 A" in told
    assert any("has to give" in x and "predicted → lacking" in x for x in told)


def test_figures_of_a_new_module_stand_alone_and_of_the_old_one_not_at_all() -> None:
    told = power_changes(_with("small"), _with("large"), NOW)
    of_modules = [x for x in told if x.startswith("Module ") or " (C0): volts in a burst" in x]
    assert all("→" not in x and "small" not in x for x in of_modules)


def test_a_supply_test_of_before_does_not_count_on_one_side_only() -> None:
    tested = with_tests(_with("small"), MEASURED)
    assert power_changes(tested, tested, NOW) == ()
    assert power_changes(tested, _with("large"), NOW) == power_changes(
        _with("small"), _with("large"), NOW
    )


def test_a_module_of_unknown_current_leaves_the_hours_open() -> None:
    silent = SMALL | {"id": "silent", "average_current_a": None}
    after = job(
        [silent], battery=ROOM, charger=SUPPLY, communicators=[{"id": "C0", "part": "silent"}]
    )
    told = power_changes(_with(), after, NOW)
    assert any(x.startswith("Capacity asked for") and x.endswith("→ not known") for x in told)
    assert any("predicted → undecided: not known: standby current of silent" in x for x in told)


def _again(of: Job) -> dict[str, str]:
    found = assess(of, NOW).findings
    again = [f.text for f in found if "no longer speaks for" in f.text]
    return {text.split(" speaks for ")[1].split(":")[0]: text for text in again}


def test_a_test_to_be_done_again_tells_its_currents_beside_those_of_now() -> None:
    tested, now = with_tests(_with("small"), MEASURED), _with("small", "small")
    told = _again(now.model_copy(update={"record": tested.record}))
    assert set(told) == {"standby", "supply"}
    # By hand: 0.1 + 2 x 0.02 A and 0.4 + 2 x 0.1 A.
    assert told["standby"].endswith(
        "It measured 0.11 A with nothing in alarm, where the parts state 0.14 A now; 0.45 A in "
        "alarm, where the parts state 0.6 A now."
    )
    assert told["supply"].endswith("has changed since.")


def test_what_a_test_did_not_measure_or_nobody_states_is_not_compared() -> None:
    tested = with_tests(_with(), MEASURED | {"alarm_current_a": None})
    told = _again(_with("small").model_copy(update={"record": tested.record}))["standby"]
    assert "0.11 A with nothing in alarm, where the parts state 0.12 A now." in told
    assert "A in alarm" not in told
    silent = {"kind": "communicator", "id": "silent", "technologies": ["lte"]}
    unknown = job([silent], communicators=[{"id": "C0", "part": "silent"}])
    told = _again(unknown.model_copy(update={"record": tested.record}))["standby"]
    assert told.endswith("has changed since.")
