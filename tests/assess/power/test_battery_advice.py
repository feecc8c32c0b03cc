"""What a battery's catalogue entry leaves out is said where it makes a prediction too kind."""

from typing import Any

import pytest

from pathproof.assess import assess
from pathproof.job import Job
from pathproof.terms import Severity

from ._power_jobs import NOW, PANEL
from .test_standby import MEASURED, NFPA_72_2010_TO_2019, job, with_tests


def _advice(of: Job, **more: Any) -> list[str]:
    found = assess(of, NOW, **more).findings
    told = [f for f in found if "kinder than it would be" in f.text]
    assert all((f.severity, f.about) == (Severity.ADVICE, "battery") for f in told)
    return [f"{f.text} {f.do}" for f in told]


# With a pencil: 0.8 x 7 Ah / 20 h are 0.28 A, 0.8 x 12 Ah / 20 h 0.48 A; the panel takes 0.4 A.
@pytest.mark.parametrize(
    ("battery", "found"),
    [({}, 1), ({"capacity_ah": 12.0}, 0), ({"peukert": 1.15}, 0), ({"peukert": 1.0}, 0)],
)
def test_no_peukert_exponent_is_said_above_the_rated_current(
    battery: dict[str, Any], found: int
) -> None:
    told = _advice(job(battery=battery))
    assert len(told) == found
    assert all("0.28 A when it has aged to 80 %; the 0.4 A in alarm" in text for text in told)
    assert all("Enter peukert of block in the catalogue" in text for text in told)


def test_the_measured_alarm_current_counts_in_it() -> None:
    larger = job(battery={"capacity_ah": 12.0})
    [told] = _advice(with_tests(larger, MEASURED | {"alarm_current_a": 0.5}))
    assert "the 0.5 A in alarm" in told


def test_no_life_is_said_also_where_currents_are_not_known() -> None:
    lifeless = {"life_years": None, "peukert": 1.15}
    [told] = _advice(job(battery=lifeless))
    assert "it counts however old it is, and cannot be proven" in told
    assert "Enter life_years of block" in told
    assert _advice(job([PANEL | {"standby_current_a": None}], battery=lifeless)) == [told]
    assert _advice(job(battery={"peukert": 1.15})) == []


# NFPA 72 before 2022: replaced after 5 years, by two trade articles.
def test_a_rule_on_replacement_stands_in_for_the_life() -> None:
    lifeless = job(battery={"life_years": None, "peukert": 1.15})
    [told] = _advice(lifeless, profile=NFPA_72_2010_TO_2019)
    assert "it counts for the 5 years of the rule on replacement" in told


def test_no_battery_leaves_nothing_out() -> None:
    assert _advice(job(without="battery")) == []
