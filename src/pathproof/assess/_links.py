"""Who is heard by whom, as maps need it: places, frequencies and budgets of all radio links."""

from collections.abc import Collection
from dataclasses import dataclass, field

from pathproof.assess._budgets import Budgets, PairBudget
from pathproof.assess._loss_field import Source
from pathproof.assess.drawn import storey_named, storeys_without_walls
from pathproof.job import DetectorPart, Device, Job, Panel, Repeater, RepeaterPart, Site
from pathproof.job.geometry import Position, SiteGeometry

_NAMES_SHOWN = 3
WIRED = "wired"
UNPLACED = "no place on the plan"
NO_BUDGET = "of a radio that neither panel nor placed repeaters hear, or a figure is missing"
PANEL_DEAF = "of a radio that the panel does not hear, or a figure is missing"
LeftOut = dict[str, tuple[str, str]]
"""Name and reason of things, by id."""


@dataclass(frozen=True, kw_only=True)
class Sent:
    """What is sent from a placed thing to some receiver."""

    source: Source
    budget: PairBudget


@dataclass(frozen=True, kw_only=True)
class ToRepeater:
    """What a placed repeater that the panel hears may hear itself."""

    at_m: Position
    senders: dict[str, Sent]


@dataclass(kw_only=True)
class Links:
    """Radio links of a site, of whatever place the panel has."""

    to_panel: dict[str, Sent] = field(default_factory=dict)
    """From devices and repeaters."""
    to_repeaters: dict[str, ToRepeater] = field(default_factory=dict)
    mapped: list[str] = field(default_factory=list)
    """Devices with a way to the panel; with all ways, where the profile asks for all."""
    left_out: LeftOut = field(default_factory=dict)
    """The other devices."""
    no_way_on: LeftOut = field(default_factory=dict)
    """Repeaters that are left out."""

    def notes(self) -> tuple[str, ...]:
        """Sentences that say which devices and repeaters are left out, and why."""
        return (*left_out_notes(self.left_out, "device"), *self.notes_on_repeaters())

    def notes_on_repeaters(self) -> tuple[str, ...]:
        """Those on repeaters alone."""
        return left_out_notes(self.no_way_on, "repeater")


def said_of_repeaters(site: Site, floor_id: str, used: Collection[str]) -> tuple[str, ...]:
    """A sentence on repeaters that devices go by on a map of a storey; none where none does."""
    others = {f.id: f" on storey {storey_named(f)}" for f in site.floors if f.id != floor_id}
    names = [
        f"{r.name} ({r.id}){others.get(r.floor or '', '')}" for r in site.repeaters if r.id in used
    ]
    if not names:
        return ()
    return (
        f"In places devices go by a repeater: {', '.join(names)}. There a device's figure is at "
        "most that of its link to the repeater, wherever the panel hangs.",
    )


def left_out_notes(left_out: LeftOut, what: str) -> tuple[str, ...]:
    """Sentences that say what is left out, and why."""
    by_reason: dict[str, list[str]] = {}
    for name, reason in left_out.values():
        by_reason.setdefault(reason, []).append(name)
    return tuple(_left_out(names, reason, what) for reason, names in by_reason.items())


def links_of(job: Job, budgets: Budgets, panel: Panel, plan: SiteGeometry) -> Links:
    """The radio links of a job's devices and repeaters."""
    links, bare = Links(), storeys_without_walls(job.site)
    for repeater in job.site.repeaters:
        at_m, budget = plan.position(repeater), budgets.of(repeater, panel)
        if at_m is not None and budget is not None:
            links.to_panel[repeater.id] = _sent(at_m, budget, bare=repeater.floor in bare)
            links.to_repeaters[repeater.id] = ToRepeater(at_m=at_m, senders={})
        else:
            reason = budgets.unconfirmed(repeater, panel) or PANEL_DEAF
            links.no_way_on[repeater.id] = (repeater.name, UNPLACED if at_m is None else reason)
    repeaters = [r for r in job.site.repeaters if r.id in links.to_repeaters]
    for device in job.site.devices:
        family, at_m = _family(job, device), plan.position(device)
        if family is None or at_m is None:
            reason = WIRED if family is None else UNPLACED
            links.left_out[device.id] = (device.name, reason)
            continue
        ways = 0
        if (budget := budgets.of(device, panel)) is not None:
            links.to_panel[device.id] = _sent(at_m, budget, bare=device.floor in bare)
            ways += 1
        for repeater in repeaters:
            if (budget := budgets.of(device, repeater)) is not None:
                on_bare = not bare.isdisjoint((device.floor, repeater.floor))
                senders = links.to_repeaters[repeater.id].senders
                senders[device.id] = _sent(at_m, budget, bare=on_bare)
                ways += 1
        needed = 1 + (len(repeaters_hearing(job, family)) if budgets.all_ways_needed else 0)
        if ways >= needed:
            links.mapped.append(device.id)
        else:
            receivers: list[Panel | Repeater] = [panel, *repeaters]
            unconfirmed = (budgets.unconfirmed(device, x) for x in receivers)
            links.left_out[device.id] = (device.name, next(filter(None, unconfirmed), NO_BUDGET))
    return links


def _sent(at_m: Position, budget: PairBudget, *, bare: bool) -> Sent:
    source = Source(at_m=at_m, frequency_hz=budget.frequency_hz)
    return Sent(source=source, budget=budget.on_bare_storey() if bare else budget)


def _family(job: Job, device: Device) -> str | None:
    part = job.part(device.part)
    return part.radio.family if isinstance(part, DetectorPart) and part.radio else None


def repeaters_hearing(job: Job, family: str) -> list[Repeater]:
    """Repeaters that hear a radio family, placed or not."""
    parts = [(r, job.part(r.part)) for r in job.site.repeaters]
    return [
        repeater
        for repeater, part in parts
        if isinstance(part, RepeaterPart) and family in {r.family for r in part.radios}
    ]


def _left_out(names: list[str], reason: str, what: str) -> str:
    shown = ", ".join(names[:_NAMES_SHOWN])
    more = f" and {len(names) - _NAMES_SHOWN} more" if len(names) > _NAMES_SHOWN else ""
    are = f"{what} is" if len(names) == 1 else f"{what}s are"
    return f"{len(names)} {are} left out ({reason}): {shown}{more}."
