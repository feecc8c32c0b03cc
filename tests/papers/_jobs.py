"""What several tests of papers share."""

from collections.abc import Callable
from datetime import UTC, datetime

from pathproof.assess.types import Assessment
from pathproof.job import Job

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
