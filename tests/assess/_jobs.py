"""Small jobs for the tests of the assessment, built from invented parts with round figures."""

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from pathproof.job import Job, Library, embed, shipped
from pathproof.job.fingerprint import Fingerprints

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
BEFORE = "2026-11-20T10:00:00+00:00"
SOURCE = {"ref": "Invented for the tests", "evidence": "practice"}


def _part(kind: str, part_id: str, **figures: Any) -> dict[str, Any]:
    return {"kind": kind, "id": part_id, "name": part_id, "source": SOURCE, **figures}


def _radio(**figures: Any) -> dict[str, Any]:
    return {"family": "f868", "frequency_hz": 868.42e6, **figures}


PARTS = {
    p["id"]: p
    for p in (
        _part(
            "panel",
            "panel_a",
            radios=[_radio(sensitivity_dbm=-100.0, eirp_dbm=0.0)],
            scale={
                "quantity": "rssi_dbm",
                "tied": True,
                "source": SOURCE,
                "steps": [
                    {"name": "weak", "high": -95.0},
                    {"name": "fair", "low": -95.0, "high": -85.0},
                    {"name": "good", "low": -85.0, "high": -75.0},
                ],
            },
        ),
        _part("panel", "panel_no_send", radios=[_radio(sensitivity_dbm=-100.0)]),
        _part("panel", "panel_433", radios=[_radio(family="f433", sensitivity_dbm=-100.0)]),
        _part("detector", "plain", what="contact", radio=_radio(eirp_dbm=0.0)),
        _part("detector", "precise", what="smoke", radio=_radio(eirp_dbm=0.0, spread_db=3.0)),
        _part("detector", "ranged", what="motion", radio=_radio(open_air_range_m=300.0)),
        _part(
            "detector",
            "field",
            what="contact",
            radio={
                "family": "f868",
                "frequency_hz": 345e6,
                "field_strength_uv_per_m": 7291.7,
            },
        ),
        _part(
            "detector", "listens", what="keypad", radio=_radio(eirp_dbm=0.0, sensitivity_dbm=-90.0)
        ),
        _part("detector", "wired", what="contact"),
        _part("repeater", "repeater_a", radios=[_radio(eirp_dbm=10.0, sensitivity_dbm=-100.0)]),
        _part("communicator", "lte", technologies=["lte"]),
        _part("communicator", "lte_band_20", technologies=["lte"], bands=["20"]),
        _part("communicator", "gsm", technologies=["gsm"]),
        _part("antenna", "whip", gain_dbi=3.0, low_hz=698e6, high_hz=2.69e9, outdoor=True),
        _part("feeder", "coax", k1_db_per_100m=1.3195, k2_db_per_100m=0.02881),
    )
}


def library() -> Library:
    """The shipped library; parts of the tests come embedded."""
    return shipped()


def make_job(record: Sequence[dict[str, Any]] = (), **site: Any) -> Job:
    """A job of the given site fields; the panel is `panel_a` unless given."""
    site = {"name": "Test", "panel": {"part": "panel_a"}, **site}
    data = {"site": site, "record": list(record), "embedded": {"catalogue": PARTS}}
    return embed(Job.model_validate(data), library())


def device(device_id: str = "D1", part: str = "plain", **fields: Any) -> dict[str, Any]:
    """A device; 10 m from the panel with nothing in the way unless told otherwise."""
    if "floor" not in fields and "between" not in fields:
        fields["between"] = {"distance_m": 10.0}
    return {"id": device_id, "name": device_id, "part": part, **fields}


def entry(kind: str, values: dict[str, Any], **fields: Any) -> dict[str, Any]:
    """A record entry with everything in its final place."""
    return {
        "id": "r1",
        "kind": kind,
        "at": BEFORE,
        "by": "A. Tester",
        "conditions": {"lid_shut": True, "final_place": True, "final_antenna": True},
        "values": values,
        **fields,
    }


def with_entry(job: Job, fits: Sequence[str], **entry_fields: Any) -> Job:
    """The job with one more entry that fits these links or signals as they are now."""
    prints = Fingerprints(job)
    new = entry(**entry_fields) | {"fits": {name: prints.of(name) for name in fits}}
    data = job.model_dump(mode="json")
    data["record"].append(new)
    return Job.model_validate(data)


def with_site(job: Job, **site: Any) -> Job:
    """The job with other site fields."""
    data = job.model_dump(mode="json")
    data["site"] |= site
    return embed(Job.model_validate(data), library())


ZONES = {
    "partitions": [{"id": "p1", "name": "Shop", "number": 1}],
    "zones": [
        {
            "id": "z1",
            "number": 7,
            "name": "Door",
            "kind": "entry_exit",
            "partition": "p1",
            "event": "131",
        }
    ],
}
