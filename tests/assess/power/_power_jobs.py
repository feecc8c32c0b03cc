"""Small jobs for the tests of power, built from invented parts."""

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from pathproof.job import Job, embed, shipped

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
SOURCE = {"ref": "Invented for the tests", "evidence": "practice"}

PANEL: dict[str, Any] = {
    "kind": "panel",
    "id": "board",
    "standby_current_a": 0.1,
    "alarm_current_a": 0.4,
}

# A quiz of a trade magazine on standby batteries (24 h and 15 min, 20 %): parts with their number,
# standby and alarm current each, beside a board of 0.137 A. Printed: 13.54 Ah, with the 20 %
# 16.24 Ah, so choose 17 Ah.
B1_PARTS = {
    "module_large": (3, 0.100, 0.17),
    "module_small": (3, 0.0261, 0.0267),
    "detector": (37, 0.0003, 0.0003),
    "horn": (10, 0.0, 0.018),
    "strobe": (10, 0.0, 0.040),
    "strobe_large": (2, 0.0, 0.145),
    "speaker_strobe": (10, 0.0, 0.200),
}
B1_BOARD_A = 0.137
B1_STANDBY_A = 0.5264
B1_ALARM_A = 3.6082


def power_job(
    parts: Sequence[dict[str, Any]] = (),
    *,
    record: Sequence[dict[str, Any]] = (),
    limits: dict[str, dict[str, Any]] | None = None,
    alarm_within_standby: bool = True,
    **site: Any,
) -> Job:
    """A job with these parts beside the panel; limits are laid over those of the house."""
    named = [{"name": p["id"], "source": SOURCE, **p} for p in (PANEL, *parts)]
    catalogue = {p["id"]: p for p in named}  # the last one of an id counts
    data = {
        "site": {"name": "Test", "panel": {"part": "board"}, **site},
        "record": list(record),
        "embedded": {"catalogue": catalogue},
    }
    job = embed(Job.model_validate(data), shipped())
    changed = job.model_dump(mode="json")
    profile = changed["embedded"]["profile"]
    profile["alarm_within_standby"] = alarm_within_standby
    for name, figures in (limits or {}).items():
        profile["limits"][name] |= figures
    return Job.model_validate(changed)


def b1_job(**job: Any) -> Job:
    """The published list of parts as a job."""
    board = PANEL | {"standby_current_a": B1_BOARD_A, "alarm_current_a": B1_BOARD_A}
    parts = [
        {
            "kind": "detector",
            "id": part,
            "what": "other",
            "standby_current_a": standby_a,
            "alarm_current_a": alarm_a,
        }
        for part, (_, standby_a, alarm_a) in B1_PARTS.items()
    ]
    devices = [
        {"id": f"{part}_{i}", "name": f"{part} {i}", "part": part}
        for part, (count, _, _) in B1_PARTS.items()
        for i in range(count)
    ]
    return power_job([board, *parts, *job.pop("parts", ())], devices=devices, **job)
