"""What a coverage map rests on: a usual device of the site, and what hears it where it is now."""

from collections import Counter
from datetime import datetime

from pathproof.assess._budgets import Budgets
from pathproof.assess._links import Sent
from pathproof.assess._loss_field import Source
from pathproof.assess.context import Context
from pathproof.assess.radio import radio_link
from pathproof.assess.way import WallLosses
from pathproof.job import PANEL_ID, DetectorPart, Device, Job, Panel, Profile
from pathproof.job.geometry import SiteGeometry, things

HEIGHT_M = 1.2
"""Height above the floor that coverage is mapped for. [m]"""


def usual_part(job: Job) -> DetectorPart | None:
    """The wireless part that the site has most of; the first by id among equals."""
    parts = [job.part(d.part) for d in job.site.devices]
    counts = Counter(p.id for p in parts if isinstance(p, DetectorPart) and p.radio is not None)
    if not counts:
        return None
    part = job.part(min(counts, key=lambda i: (-counts[i], i)))
    return part if isinstance(part, DetectorPart) else None


def receivers(
    job: Job, budgets: Budgets, plan: SiteGeometry, part: DetectorPart
) -> dict[str, Sent]:
    """Placed panel and repeaters that hear a part; the way is the same from either end."""
    device = Device(id="usual", name="usual", part=part.id)
    found = {}
    for thing_id, thing in things(job.site).items():
        if isinstance(thing, Device) or (at_m := plan.position(thing)) is None:
            continue
        if (budget := budgets.of(device, thing)) is not None:
            source = Source(at_m=at_m, frequency_hz=budget.frequency_hz)
            found[thing_id] = Sent(source=source, budget=budget)
    return found


def onward_db(
    job: Job, as_of: datetime, profile: Profile | None, hears: dict[str, Sent]
) -> dict[str, float]:
    """Margin of each receiver's own link to the panel, evidence included; infinite for the panel.

    Repeaters without one are left out.
    """
    found = {PANEL_ID: float("inf")} if PANEL_ID in hears else {}
    repeaters = [i for i in hears if i != PANEL_ID]
    if repeaters and isinstance(job.site.panel, Panel):
        ctx = Context(job, as_of, profile, leave_out_later=True)
        for repeater in repeaters:
            margin = radio_link(ctx, WallLosses(), repeater, PANEL_ID).link.margin
            if margin is not None:
                found[repeater] = margin.value
    return found
