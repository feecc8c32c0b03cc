"""Every fault of the power stands in what to do next, once."""

from pathproof.assess import assess
from pathproof.job import Job

from ._power_jobs import NOW
from .test_standby import job

CONTACT = {
    "kind": "detector",
    "id": "contact",
    "what": "contact",
    "standby_current_a": 0.0,
    "alarm_current_a": 0.0,
}
DEVICES = [{"id": "D1", "name": "Door", "part": "contact"}]
MEMORY = {"source": {"ref": "A standard", "evidence": "memory"}}


def _next(of: Job) -> list[tuple[str | None, str]]:
    return [(a.link, a.text) for a in assess(of, NOW).next if a.link in ("supply", "standby")]


def test_supply_and_standby_that_both_lack_both_stand_there() -> None:
    told = _next(
        job([CONTACT], devices=DEVICES, battery={"capacity_ah": 1.2}, charger={"average_a": 0.05})
    )
    assert {link for link, _ in told} == {"supply", "standby"}
    assert "Fit 2.1 Ah" in dict(told)["standby"]
    assert "Choose a supply that gives" in dict(told)["supply"]


def test_a_limit_to_confirm_stands_beside_what_lacks() -> None:
    told = _next(
        job(
            [CONTACT],
            devices=DEVICES,
            charger={"average_a": 0.05},
            limits={"standby_h": MEMORY, "alarm_min": MEMORY},
        )
    )
    assert "Look standby_h, alarm_min up in your own copy and confirm them" in dict(told)["standby"]


def test_a_missing_battery_is_told_once_with_its_size() -> None:
    told = _next(job([CONTACT], devices=DEVICES, without="battery"))
    assert sum("Choose the battery: fit at least 2.1 Ah" in text for _, text in told) == 1
    assert sum("Choose the battery" in text for _, text in told) == 1
