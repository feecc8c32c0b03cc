"""Which battery is asked for is told where standby could be worked out, and not else."""

from datetime import UTC, datetime

from pathproof.assess import assess
from pathproof.assess.power.battery_asked import battery_asked
from pathproof.job import Job, embed, shipped
from pathproof.simulate import build_demo

NOW = datetime(2026, 11, 25, tzinfo=UTC)


def test_capacity_size_and_hours_are_told():
    job = build_demo().model_copy(update={"record": []})
    lines = battery_asked(assess(job, NOW).link("standby"))
    units = {line.label.split(",")[0]: line.unit for line in lines}
    assert units["Capacity asked for"] == "Ah"
    assert units["Next usual size that holds it"] == "Ah"
    assert any(label.startswith("Hours it lasts") for label in units)


def test_nothing_is_told_without_a_supply():
    job = embed(Job.model_validate({"site": {"name": "Empty"}}), shipped())
    assert battery_asked(assess(job, NOW).link("standby")) == ()
