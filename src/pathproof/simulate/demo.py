"""The demo: one invented job with everything that a job file holds.

A dairy with its shop, in an old house of brick over a stone cellar. The goods worth stealing lie in
a cold room of steel panels, in an outbuilding across the yard. The system was fitted in October.
The radio of nine devices is proven, that of others predicted, and the contact on the cold store's
door is lacking: the steel takes what the repeater at the loft window would have needed.
"""

from datetime import datetime
from importlib.resources import files

from pathproof.job import Embedded, Job, Site, content_hash, embed, parse_job
from pathproof.simulate import _demo_building as building
from pathproof.simulate import _demo_kit as kit
from pathproof.simulate._demo_record import record

AS_OF = datetime.fromisoformat("2026-10-07T12:00:00+02:00")
"""A moment after the last entry on record."""


def build_demo() -> Job:
    """The demo's job, worked out from its building and kit."""
    own = Embedded(retirements=kit.retirements())
    job = embed(Job(site=_site(), embedded=own))
    job = Job(revision=1, site=job.site, record=record(job), embedded=job.embedded)
    return job.model_copy(update={"hash": content_hash(job)})


def demo_job() -> Job:
    """The demo's job as the shipped file holds it."""
    return parse_job(demo_json(), name="the demo's job file")


def demo_json() -> str:
    """The shipped job file."""
    return (files("pathproof.simulate") / "data" / "demo_job.json").read_text("utf-8")


def _site() -> Site:
    return Site(
        name="Quellrain dairy and shop",
        reference="2026-0917",
        country="XA",
        time_zone="Europe/Vienna",
        currency="EUR",
        profile="house_targets",
        service_life_years=10.0,
        floors=building.floors(),
        walls=building.walls(),
        partitions=kit.partitions(),
        zones=kit.zones(),
        signal_codes=kit.signal_codes(),
        devices=kit.devices(),
        panel=kit.panel(),
        repeaters=kit.repeaters(),
        spots=kit.spots(),
        networks=kit.networks(),
        communicators=kit.communicators(),
        considered=kit.considered(),
        supply=kit.supply(),
        battery=kit.battery(),
        cables=kit.cables(),
        reporting=kit.reporting(),
    )
