"""Things of a site at other places: the changed job, what is void then, how it would be heard."""

from collections.abc import Sequence
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from pathproof.assess.map_words import value_text
from pathproof.assess.taking import Voided, voided
from pathproof.assess.wording import odds_text
from pathproof.job import Job, Place, Site
from pathproof.terms import JobError

if TYPE_CHECKING:  # it loads the compiler
    from pathproof.assess.what_if import DeviceThere, PanelThere

__all__ = ["Thing", "evidence_voided", "heard_sentence", "moved", "name_of", "place_of"]


class Thing(StrEnum):
    """What hangs at a place of the plan."""

    DEVICE = "device"
    REPEATER = "repeater"
    PANEL = "panel"
    SPOT = "spot"


def _all_of(site: Site, kind: Thing) -> Sequence[Any]:
    match kind:
        case Thing.DEVICE:
            return site.devices
        case Thing.REPEATER:
            return site.repeaters
        case Thing.SPOT:
            return site.spots
        case Thing.PANEL:
            return [] if site.panel is None else [site.panel]


def _found(site: Site, kind: Thing, thing_id: str) -> Any:
    for thing in _all_of(site, kind):
        if kind is Thing.PANEL or thing.id == thing_id:
            return thing
    raise JobError(f"The site has no {kind} {thing_id!r}.")


def name_of(site: Site, kind: Thing, thing_id: str) -> str:
    """What people call a thing.

    Raises
    ------
    JobError
        The site has no such thing.
    """
    found = _found(site, kind, thing_id)
    return "Panel" if kind is Thing.PANEL else str(found.name)


def place_of(site: Site, kind: Thing, thing_id: str) -> Place | None:
    """Where a thing is on the plan; none where that is not said.

    Raises
    ------
    JobError
        The site has no such thing.
    """
    thing = _found(site, kind, thing_id)
    if thing.floor is None or thing.at is None:
        return None
    return Place(floor=thing.floor, at=thing.at, height_m=getattr(thing, "height_m", 0.0))


def moved(job: Job, kind: Thing, thing_id: str, place: Place) -> Job:
    """The job with a thing at a place of the plan, instead of where it was.

    What stood between it and others in words goes: on a plan, walls and floors say that.

    Raises
    ------
    JobError
        The site has no such thing or storey.
    """
    site = job.site
    if place.floor not in {floor.id for floor in site.floors}:
        raise JobError(f"The site has no storey {place.floor!r}.")
    thing = _found(site, kind, thing_id)
    update: dict[str, Any] = {"floor": place.floor, "at": place.at}
    if kind is not Thing.SPOT:
        update["height_m"] = place.height_m
    if kind in (Thing.DEVICE, Thing.REPEATER):
        update["between"] = None
    if kind is Thing.DEVICE:
        update["between_repeaters"] = {}
    put = thing.model_copy(update=update)
    field = "panel" if kind is Thing.PANEL else f"{kind}s"
    value = put if kind is Thing.PANEL else [
        put if x is thing else x for x in _all_of(site, kind)
    ]  # fmt: skip
    return job.model_copy(update={"site": site.model_copy(update={field: value})})


def evidence_voided(before: Job, after: Job) -> str:
    """A sentence on the evidence that no longer speaks for what it did; empty where all does."""
    gone: list[Voided] = list(voided(before, after))
    if not gone:
        return ""
    kinds: dict[str, int] = {}
    for entry in gone:
        kinds[entry.kind.replace("_", " ")] = kinds.get(entry.kind.replace("_", " "), 0) + 1
    what = ", ".join(f"{n} {kind}" for kind, n in kinds.items())
    entries = f"{len(gone)} entr{'y' if len(gone) == 1 else 'ies'} on record ({what})"
    return f"{entries} no longer speak{'s' if len(gone) == 1 else ''} for what hangs there now."


def leaves_storey(site: Site, kind: Thing, thing_id: str, place: Place) -> str:
    """A sentence on the storey that a thing hangs on now; empty where it stays on it."""
    now = place_of(site, kind, thing_id)
    if now is None or now.floor == place.floor:
        return ""
    storey = next(f.name for f in site.floors if f.id == now.floor)
    return f"{name_of(site, kind, thing_id)} hangs on {storey} now."


def heard_sentence(job: Job, there: "PanelThere", device: str | None = None) -> str:
    """How one device is heard with the panel at a place, or the one heard worst."""
    names = {d.id: d.name for d in job.site.devices}
    if device is None:
        worst, odds = there.worst, odds_text(there.odds_all_ratio)
        return f"Heard worst: {names[worst.device]}, {_heard(worst)}. All heard: {odds}."
    found = next((d for d in there.devices if d.device == device), None)
    if found is None:
        return f"{names.get(device, device)} cannot be worked out."
    return f"{names[device]}: {_heard(found)}."


def _heard(there: "DeviceThere") -> str:
    by = "" if there.via is None else f" by repeater {there.via}"
    margin = value_text(abs(there.margin_db), "dB").lstrip("+")
    against = "short of" if there.margin_db < 0 else "over"
    return f"predicted {margin} {against} the odds asked for, {odds_text(there.odds_ratio)}{by}"
