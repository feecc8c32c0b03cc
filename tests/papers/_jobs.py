"""What several tests of papers share."""

from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import Any

from pathproof.assess.types import Assessment
from pathproof.job import Job, embed

AS_OF = datetime(2026, 11, 25, 12, tzinfo=UTC)

Judge = Callable[[Job], Assessment]


def with_names(job: Job, name: str, *, devices: int | None = None) -> Job:
    """The job with every name replaced, and as many devices as asked for."""
    site = job.site
    count = len(site.devices) if devices is None else devices
    named = [
        site.devices[i % len(site.devices)].model_copy(update={"id": f"d{i}", "name": name})
        for i in range(count)
    ]
    update = {
        "name": name,
        "reference": name,
        "devices": named,
        "zones": [z.model_copy(update={"name": name}) for z in site.zones],
        "spots": [s.model_copy(update={"name": name}) for s in site.spots],
        "repeaters": [r.model_copy(update={"name": name}) for r in site.repeaters],
        "floors": [f.model_copy(update={"name": name}) for f in site.floors],
        "cables": [],
    }
    return job.model_copy(update={"site": site.model_copy(update=update), "record": []})


CODES = ["001-01", "001-02", "999-70"]
CONSIDERED = ["lte_cat1_module", "lte_m_module", "nb_iot_module", "fixed_card", "roaming_card"]


def mobile_job(
    *,
    codes: Sequence[str] = CODES,
    spots: Sequence[str] = ("hall", "loft"),
    read: Sequence[tuple[str, str, float]] = (),
    name: str = "",
    retirements: Sequence[dict[str, Any]] = (),
    technologies: Sequence[str] = ("lte",),
    **communicator: Any,
) -> Job:
    """A shop with a panel and one LTE communicator; levels by spot and network, read once. [dBm]"""
    main = {
        "id": "main",
        "part": "lte_cat1_module",
        "sim": {"kind": "fixed", "networks": [codes[0]]},
        "spot": spots[0],
        **communicator,
    }
    site = {
        "name": "Shop",
        "country": "XA",
        "panel": {"part": "lark_panel"},
        "devices": [{"id": "door", "name": "Door", "part": "wired_contact"}],
        "networks": [
            {"mcc_mnc": c, "label": name or c, "technologies": technologies, "bands": ["3", "20"]}
            for c in codes
        ],
        "spots": [{"id": s, "name": name or s.capitalize()} for s in spots],
        "communicators": [main],
        "considered": CONSIDERED,
    }
    record = [_level(f"r{i}", *one) for i, one in enumerate(read)]
    embedded = {"retirements": list(retirements)}
    return embed(Job.model_validate({"site": site, "record": record, "embedded": embedded}))


def _level(entry_id: str, spot: str, network: str, level_dbm: float) -> dict[str, Any]:
    """A reading of LTE in band 20, in a bin of 1 dB."""
    ends = {"value": level_dbm, "low": level_dbm - 0.5, "high": level_dbm + 0.5}
    return {
        "id": entry_id,
        "kind": "reading",
        "about": [spot],
        "at": "2026-11-20T10:00:00+00:00",
        "by": "A. Fitter",
        "instrument": "survey modem",
        "values": {
            "levels": [{"quantity": "rsrp_dbm", **ends}],
            "network": network,
            "technology": "lte",
            "band": "20",
        },
    }
