"""Jobs with supply, battery, cables and a module, from invented parts with round figures."""

from typing import Any

from pathproof.assess.context import Context
from pathproof.assess.power.supply import supply_link
from pathproof.assess.types import Line, Link
from pathproof.job import Job
from pathproof.job.fingerprint import Fingerprints

from ._power_jobs import NOW, power_job

MAINS = {"part": "psu", "kind": "mains_recharged"}
BATTERY = {"part": "block", "temperature_degc": 25.0}

SUPPLY_PARTS: tuple[dict[str, Any], ...] = (
    {
        "kind": "panel",
        "id": "board",
        "standby_current_a": 0.1,
        "alarm_current_a": 0.4,
        "minimum_v": 9.6,
    },
    {
        "kind": "supply",
        "id": "psu",
        "types": ["mains_recharged"],
        "output_v": 13.8,
        "average_a": 1.0,
        "peak_a": 3.0,
        "charge_a": 0.5,
    },
    {
        "kind": "battery",
        "id": "block",
        "chemistry": "lead_acid",
        "nominal_v": 12.0,
        "capacity_ah": 7.0,
        "internal_resistance_ohm": 0.025,
        "end_v": 10.5,
    },
    {
        "kind": "detector",
        "id": "siren",
        "what": "sounder",
        "standby_current_a": 0.02,
        "alarm_current_a": 0.5,
    },
    {
        "kind": "communicator",
        "id": "module",
        "technologies": ["gsm"],
        "average_current_a": 0.05,
        "alarm_current_a": 0.2,
        "peak_current_a": 1.8,
        "burst_s": 577e-6,
        "minimum_v": 9.0,
    },
    {"kind": "cable", "id": "thin", "area_mm2": 0.5},
    {"kind": "cable", "id": "awg_16", "awg": 16, "strands": "7"},
)
"""Alarm 0.4 A of the board, 0.5 A of each siren, 0.2 A of the module; a burst adds 1.6 A to it."""


def siren(device_id: str = "S1", part: str = "siren") -> dict[str, Any]:
    return {"id": device_id, "name": f"Siren {device_id}", "part": part}


def module(part: str = "module") -> dict[str, Any]:
    return {"id": "main", "part": part}


def cable(
    to: str = "S1", length_m: float = 40.0, part: str = "thin", **more: Any
) -> dict[str, Any]:
    return {"id": f"to_{to}", "part": part, "to": to, "length_m": length_m, **more}


def changed(part_id: str, **figures: Any) -> dict[str, Any]:
    """One of the parts above with other figures."""
    part = next(p for p in SUPPLY_PARTS if p["id"] == part_id)
    return {k: v for k, v in {**part, **figures}.items() if v is not None}


def supply_job(*parts: dict[str, Any], **more: Any) -> Job:
    """A board with supply, battery and whatever is told; later parts go before earlier ones."""
    return power_job([*SUPPLY_PARTS, *parts], **{"supply": MAINS, "battery": BATTERY, **more})


def with_test(job: Job, **values: Any) -> Job:
    """The job with one more supply test that fits what is there now; None leaves a value out."""
    measured = {
        "standby_current_a": 0.1,
        "alarm_current_a": 0.4,
        "loaded_v": 12.1,
        "loaded_minutes": 15.0,
        "charger_v": 13.7,
        **values,
    }
    prints = Fingerprints(job)
    data = job.model_dump(mode="json")
    number = len(data["record"]) + 1
    data["record"].append(
        {
            "id": f"test{number}",
            "kind": "supply_test",
            "about": ["panel"],
            "at": f"2026-11-{number:02}T10:00:00+00:00",
            "by": "A. Tester",
            "values": {k: v for k, v in measured.items() if v is not None},
            "fits": {name: prints.of(name) for name in ("supply", "standby")},
        }
    )
    return Job.model_validate(data)


def context(job: Job) -> Context:
    return Context(job, NOW, None, leave_out_later=False)


def link_of(job: Job) -> Link:
    return supply_link(context(job))


def line_of(link: Link, label: str) -> Line:
    """The one line whose label holds some words."""
    found = [line for line in link.working if label in line.label]
    assert len(found) == 1, [line.label for line in link.working]
    return found[0]
