"""What a coverage map rests on: a usual device of the site, and what hears it where it is now."""

import math
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime

from pathproof.assess._budgets import Budgets, confirm_first
from pathproof.assess._links import UNPLACED, LeftOut, Sent, left_out_notes, repeaters_hearing
from pathproof.assess._loss_field import Source
from pathproof.assess.context import Context
from pathproof.assess.radio import radio_link
from pathproof.assess.way import WallLosses
from pathproof.job import PANEL_ID, DetectorPart, Device, Job, Panel, Profile, Repeater
from pathproof.job.geometry import SiteGeometry
from pathproof.terms import JobError, Reason

HEIGHT_M = 1.2
"""Height above the floor that coverage is mapped for. [m]"""
_NO_BUDGET = "of another radio, or a figure of its part is missing"
_NO_LINK = "the margin of its own link to the panel is not known"


@dataclass(frozen=True, kw_only=True)
class Hearing:
    """What hears a usual device of a site."""

    part: DetectorPart
    """Of the usual device."""
    sent: dict[str, Sent] = field(default_factory=dict)
    """To panel and repeaters; the way is the same from either end."""
    onward_db: dict[str, float] = field(default_factory=dict)
    """Margin of each one's own link to the panel, evidence included; infinite for the panel."""
    left_out: LeftOut = field(default_factory=dict)
    """Those that hear its radio family and cannot be counted."""

    def notes(self) -> tuple[str, ...]:
        """Sentences that say what is left out, and why."""
        return left_out_notes(self.left_out, "receiver")


def usual_part(job: Job) -> DetectorPart:
    """The wireless part that the site has most of; the first by id among equals.

    Raises
    ------
    JobError
        There is none.
    """
    parts = [job.part(d.part) for d in job.site.devices]
    wireless = {p.id: p for p in parts if isinstance(p, DetectorPart) and p.radio is not None}
    if not wireless:
        raise JobError(
            "The site has no wireless device, so there is nothing to map; add its devices."
        )
    counts = Counter(p.id for p in parts if p.id in wireless)
    return wireless[min(counts, key=lambda i: (-counts[i], i))]


def hearing(
    job: Job, as_of: datetime, profile: Profile | None, budgets: Budgets, plan: SiteGeometry
) -> Hearing:
    """What hears a usual device of a site, where it is now.

    Raises
    ------
    JobError
        Nothing does, or not all where the profile asks for all.
    """
    found = Hearing(part=usual_part(job))
    ctx = Context(job, as_of, profile, leave_out_later=True)
    for thing_id, thing in _receivers(job, found.part).items():
        reason = _taken_in(found, ctx, budgets, plan, thing_id, thing)
        if reason is not None:
            name = "the panel" if isinstance(thing, Panel) else thing.name
            found.left_out[thing_id] = (name, reason)
    if not found.sent or (budgets.all_ways_needed and found.left_out):
        some = "Not all that has to" if found.sent else "Nothing on the plan"
        why = " ".join(found.notes()) or "So place the panel, and a repeater where one is needed."
        raise JobError(f"{some} is known to hear a {found.part.name}. {why}")
    return found


def _receivers(job: Job, part: DetectorPart) -> dict[str, Panel | Repeater]:
    """The panel, and the repeaters that hear a part's radio, placed or not."""
    family = "" if part.radio is None else part.radio.family
    panel = {} if job.site.panel is None else {PANEL_ID: job.site.panel}
    return {**panel, **{r.id: r for r in repeaters_hearing(job, family)}}


def _taken_in(
    found: Hearing,
    ctx: Context,
    budgets: Budgets,
    plan: SiteGeometry,
    thing_id: str,
    thing: Panel | Repeater,
) -> str | None:
    """The reason why a receiver could not be taken in."""
    device = Device(id="usual", name="usual", part=found.part.id)
    at_m, budget = plan.position(thing), budgets.of(device, thing)
    if at_m is None:
        return UNPLACED
    if budget is None:
        return budgets.unconfirmed(device, thing) or _NO_BUDGET
    onward_db = math.inf
    if isinstance(thing, Repeater):
        if ctx.site.panel is None:
            return _NO_LINK
        link = radio_link(ctx, WallLosses(), thing_id, PANEL_ID).link
        if link.margin is None:
            return confirm_first(link.why) if link.reason is Reason.LIMIT else _NO_LINK
        onward_db = link.margin.value
    source = Source(at_m=at_m, frequency_hz=budget.frequency_hz)
    if thing.floor in ctx.storeys_without_walls:
        budget = budget.on_bare_storey()
    found.sent[thing_id] = Sent(source=source, budget=budget)
    found.onward_db[thing_id] = onward_db
    return None
