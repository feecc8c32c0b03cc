"""Small jobs to choose a communicator in: parts, services and levels at spots, all invented."""

import json
from collections.abc import Sequence
from typing import Any

from pathproof.assess.choice import Choice, Ranked, Rule, SetAside
from pathproof.job import Job, embed

from ._jobs import BEFORE, SOURCE, library

NETWORKS = [
    {"mcc_mnc": "001-01", "label": "Near", "technologies": ["lte", "gsm"], "bands": ["3", "20"]},
    {"mcc_mnc": "001-02", "label": "Far", "technologies": ["lte"], "bands": ["3"]},
    {"mcc_mnc": "999-70", "label": "999-70", "technologies": ["lte", "lte_m"], "bands": ["8"]},
]
HALL = {"id": "hall", "name": "Hall", "place": "in_panel"}
ROOF = {"id": "roof", "name": "Roof", "place": "outside", "cable_m": 10.0}


def part(kind: str, part_id: str, **figures: Any) -> dict[str, Any]:
    """A catalogue entry named by its id."""
    return {"kind": kind, "id": part_id, "name": part_id, "source": SOURCE, **figures}


def module(part_id: str = "module", **figures: Any) -> dict[str, Any]:
    """A communicator for LTE, with a socket, at 40 a year."""
    usual = {"technologies": ["lte"], "antenna_socket": True, "yearly_cost": 40.0}
    return part("communicator", part_id, **{**usual, **figures})


def service(part_id: str = "fixed_1", **figures: Any) -> dict[str, Any]:
    """A card for the network 001-01, at 30 a year, offered in XA."""
    usual = {"sim_kind": "fixed", "networks": ["001-01"], "countries": ["XA"], "yearly_cost": 30.0}
    return part("service", part_id, **{**usual, **figures})


ROAMING = service("roaming", sim_kind="roaming", networks=[], yearly_cost=42.0)
ROD = part("antenna", "rod", gain_dbi=3.0, low_hz=698e6, high_hz=2.69e9, vswr=1.0, outdoor=True)
WHIP = part("antenna", "whip", gain_dbi=2.0, low_hz=698e6, high_hz=2.69e9, vswr=1.0)
COAX = part("feeder", "coax", k1_db_per_100m=1.3195, k2_db_per_100m=0.02881)


def reading(
    spot: str,
    network: str,
    level_dbm: float,
    technology: str = "lte",
    band: str | None = "3",
) -> dict[str, Any]:
    """A level read at a spot with a survey modem, in a bin of 1 dB."""
    quantity = "rssi_dbm" if technology == "gsm" else "rsrp_dbm"
    level = {
        "quantity": quantity,
        "value": level_dbm,
        "low": level_dbm - 0.5,
        "high": level_dbm + 0.5,
    }
    return {
        "id": f"read-{spot}-{network}-{technology}-{band}",
        "kind": "reading",
        "about": [spot],
        "at": BEFORE,
        "by": "A. Tester",
        "values": {"levels": [level], "network": network, "technology": technology, "band": band},
    }


GOOD = [reading(s, n["mcc_mnc"], -95.0) for s in ("hall", "roof") for n in NETWORKS]


def market(
    *parts: dict[str, Any],
    read: Sequence[dict[str, Any]] = GOOD,
    retirements: Sequence[dict[str, Any]] = (),
    limits: dict[str, dict[str, Any]] | None = None,
    **site: Any,
) -> Job:
    """A job that considers these parts; a module with a fixed card unless given."""
    considered = parts or (module(), service())
    used = {p["id"]: p for p in (*considered, part("panel", "panel_a"), part("panel", "panel_b"))}
    fields = {
        "name": "Test",
        "country": "XA",
        "panel": {"part": "panel_a"},
        "networks": NETWORKS,
        "spots": [HALL],
        "considered": [p["id"] for p in considered],
        **site,
    }
    embedded: dict[str, Any] = {
        "catalogue": used,
        "retirements": [{"source": SOURCE, **row} for row in retirements],
    }
    spots = {s["id"] for s in fields["spots"]}
    record = [r for r in read if set(r["about"]) <= spots]
    job = Job.model_validate({"site": fields, "record": record, "embedded": embedded})
    return with_limits(embed(job, library()), limits or {})


def with_limits(job: Job, limits: dict[str, dict[str, Any]]) -> Job:
    """The job with limits of its profile changed."""
    data = json.loads(job.model_dump_json())
    for name, fields in limits.items():
        data["embedded"]["profile"]["limits"][name] |= fields
    return Job.model_validate(data)


def with_record(job: Job, record: Sequence[dict[str, Any]]) -> Job:
    """The job with another record."""
    data = job.model_dump(mode="json")
    return Job.model_validate({**data, "record": list(record)})


def of_part(found: Choice, part_id: str, service_id: str | None = None) -> Ranked | SetAside:
    """The only entry of a part with a service."""
    (only,) = [
        x
        for x in (*found.ranked, *found.undecided, *found.rejected)
        if x.offer.part == part_id and service_id in (None, x.offer.service)
    ]
    return only


def rules(aside: Ranked | SetAside) -> list[Rule]:
    """The rules that an entry has reasons of."""
    assert isinstance(aside, SetAside)
    return [r.rule for r in aside.reasons]
