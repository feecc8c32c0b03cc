"""What to do about a standby, in findings and next actions."""

from typing import Any

import pytest

from pathproof.assess import assess
from pathproof.assess.context import Context
from pathproof.assess.power.standby import standby_link
from pathproof.assess.power.standby_advice import standby_proof
from pathproof.job import Job

from ._power_jobs import NOW
from .test_standby import MEASURED, PANEL, job, with_tests

WIRED = {
    "kind": "detector",
    "id": "contact",
    "what": "contact",
    "standby_current_a": 0.0,
    "alarm_current_a": 0.0,
}
DEVICES = [{"id": "D1", "name": "Door", "part": "contact"}]


def _told(of: Job) -> str:
    """Findings about standby with what to do, and next actions of the standby link."""
    found = assess(of, NOW)
    texts = [f"{f.text} {f.do}" for f in found.findings if f.text.startswith("Standby")]
    return " ".join([*texts, *(a.text for a in found.next if a.link == "standby")])


def _site(parts: list[dict[str, Any]] | None = None, **fields: Any) -> Job:
    return job([WIRED, *(parts or [])], devices=DEVICES, **fields)


@pytest.mark.parametrize(
    ("of", "told"),
    [
        (_site(battery={"capacity_ah": 1.2}), "Fit 2.1 Ah, of a type that"),
        (with_tests(_site(), MEASURED | {"loaded_v": 9.0}), "fit a new battery"),
        (_site(without="battery"), "Choose the battery: fit at least 2.1 Ah (next usual size)"),
        (_site(without="supply"), "Choose the supply"),
        (_site([PANEL | {"standby_current_a": None}]), "measure standby and alarm current"),
        (_site([PANEL | {"minimum_v": 11.5}]), "Look up what block gives down to 11.5 V"),
        (_site(limits={"ageing_ratio": {"value": 0.8}}), "Mend the profile: set ageing_ratio to 1"),
        (
            _site(battery={"capacity_ah": 1.7}, fitted={"temperature_degc": 0.0}),
            "Fit 4.5 Ah, or check the factor",
        ),
        (
            with_tests(_site(), MEASURED | {"battery_date": "2020-01-15"}),
            "(past its date 2023-07-30)",
        ),
    ],
)
def test_a_finding_says_what_to_do(of: Job, told: str) -> None:
    assert told in _told(of)


def test_a_limit_from_memory_is_to_be_confirmed() -> None:
    memory = {"source": {"ref": "A standard", "evidence": "memory"}}
    assert "confirm it" in _told(_site(limits={"alarm_min": memory}))


def test_what_is_predicted_is_to_be_tested_with_what_is_missing() -> None:
    values = {k: v for k, v in MEASURED.items() if k != "alarm_current_a"}
    ctx = Context(with_tests(_site(), values), NOW, None, leave_out_later=False)
    told = standby_proof(ctx, standby_link(ctx))
    assert "in alarm for 5 minutes" in told
    assert "10.5 V or more" in told
    assert "Mains back on, nothing left in alarm, and the account off test." in told
    assert told.endswith("Missing to prove it: the alarm current, measured.")


@pytest.mark.parametrize(
    ("measured_a", "told"), [(0.066, True), (0.067, False), (0.15, False), (0.151, True)]
)
def test_what_was_measured_far_from_what_is_stated_is_looked_at_again(
    measured_a: float, told: bool
) -> None:
    of = with_tests(_site(), MEASURED | {"standby_current_a": measured_a})  # the panel: 0.1 A
    found = assess(of, NOW).findings
    assert any(f.text.startswith("The standby current was measured as") for f in found) is told


def test_nothing_is_compared_with_what_nobody_states() -> None:
    silent = PANEL | {"standby_current_a": None}
    of = with_tests(_site([silent]), MEASURED | {"standby_current_a": 0.4})
    assert not any("was measured as" in f.text for f in assess(of, NOW).findings)


def test_without_a_panel_that_is_what_to_choose() -> None:
    ctx = Context(_site(without="panel"), NOW, None, leave_out_later=False)
    assert standby_link(ctx).missing == "Choose the panel."
