"""A ranked offer taken into the job: what changes, what is dropped and which evidence is void."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from pathproof.assess.choice import BUILT_IN, Antenna, Offer, Ranked
from pathproof.assess.main_path import main_communicator
from pathproof.assess.mobile_levels import allowed_networks
from pathproof.job import PANEL_ID, Communicator, Job, Sim, Site
from pathproof.job.fingerprint import Fingerprints
from pathproof.job.record import EventEntry
from pathproof.job.site import FeederRun
from pathproof.terms import AccountState, Role, SimKind

_SAME_LENGTH_M: Final = 0.001
"""Feeders that differ by less are the same. [m]"""

_NONE: Final = "none"


@dataclass(frozen=True, kw_only=True)
class Change:
    """One thing that is different of the main communicator."""

    what: str
    before: str
    now: str

    def as_dict(self) -> dict[str, str]:
        """Its JSON shape."""
        return {"what": self.what, "before": self.before, "now": self.now}


@dataclass(frozen=True, kw_only=True)
class Voided:
    """An entry that no longer speaks for some links and signals, by their names."""

    entry: str
    kind: str
    names: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Its JSON shape."""
        return {"entry": self.entry, "kind": self.kind, "names": list(self.names)}


@dataclass(frozen=True, kw_only=True)
class Taken:
    """A job whose main communicator is the one that was chosen."""

    job: Job
    communicator: str
    """Its id."""
    changes: tuple[Change, ...]
    dropped: tuple[Change, ...]
    """What was known of the module or card before and is not of the new one."""
    voided: tuple[Voided, ...]

    def as_dict(self) -> dict[str, Any]:
        """Its JSON shape."""
        return {
            "communicator": self.communicator,
            "changes": [x.as_dict() for x in self.changes],
            "dropped": [x.as_dict() for x in self.dropped],
            "voided": [x.as_dict() for x in self.voided],
        }


def take(job: Job, ranked: Ranked) -> Taken:
    """The job with a ranked offer as its main communicator; nothing is saved.

    The communicator's id and centre stay; its number (IMEI) stays with the part, the card's number
    with the card, account and state where both stay. Otherwise it starts as ordered.

    Parameters
    ----------
    job : Job
        The job that the offer was ranked for, with everything considered embedded.
    ranked : Ranked
        The offer, with its spot and antenna.
    """
    before = main_communicator(job.site)
    chosen = as_communicator(job.site, ranked)
    communicators = list(job.site.communicators)
    if before is None:
        communicators.append(chosen)
    else:
        communicators[communicators.index(before)] = chosen
    site = job.site.model_copy(update={"communicators": communicators})
    changed = job.model_copy(update={"site": site})
    return Taken(
        job=changed,
        communicator=chosen.id,
        changes=tuple(_differing(_SHOWN, before, chosen)),
        dropped=() if before is None else tuple(_differing(_KNOWN, before, chosen)),
        voided=tuple(voided(job, changed)),
    )


def as_communicator(site: Site, ranked: Ranked) -> Communicator:
    """The site's main communicator as it is to be by a ranked offer; what it keeps, see `take`."""
    before, offer = main_communicator(site), ranked.offer
    if before is None:
        before = Communicator(id=_new_id(site), part=offer.part)
    same_part = before.part == offer.part
    same_card = _same_card(site, before, offer)
    changed: dict[str, Any] = {
        "part": offer.part,
        "service": offer.service,
        "sim": _card(site, before, offer) if same_card else _new_card(site, offer),
        **_hung(before, ranked),
    }
    if not same_part:
        changed["imei"] = None
    if not (same_part and same_card):
        changed |= {"account": None, "state": AccountState.ORDERED}
    return before.model_copy(update=changed)


def as_second(site: Site, ranked: Ranked) -> Communicator:
    """A ranked offer as a second communicator that the site does not have yet."""
    alone = as_communicator(site.model_copy(update={"communicators": []}), ranked)
    return alone.model_copy(update={"id": _new_id(site, "second"), "role": Role.SECOND})


def _new_id(site: Site, name: str = "main") -> str:
    """An id that nothing at the site has."""
    taken = {PANEL_ID, *(d.id for d in site.devices), *(r.id for r in site.repeaters)}
    taken |= {s.id for s in site.spots} | {c.id for c in site.communicators}
    names = (name if n == 1 else f"{name}_{n}" for n in range(1, len(taken) + 2))
    return next(new for new in names if new not in taken)


def _same_card(site: Site, before: Communicator, offer: Offer) -> bool:
    """Whether the offer's card may be the one it has; a fixed one of another network is not."""
    if before.sim is None or before.sim.kind is not offer.sim_kind:
        return False
    had = allowed_networks(site, before)
    return before.sim.kind is not SimKind.FIXED or had[:1] == list(offer.networks[:1])


def _card(site: Site, before: Communicator, offer: Offer) -> Sim | None:
    """The card it has, with the networks of the offer where these are others."""
    had, offered = allowed_networks(site, before), _networks_here(site, offer)
    if before.sim is None or set(had) == set(offered):
        return before.sim
    return before.sim.model_copy(update={"networks": offered})


def _new_card(site: Site, offer: Offer) -> Sim | None:
    if offer.sim_kind is None:
        return None
    return Sim(kind=offer.sim_kind, networks=_networks_here(site, offer))


def _networks_here(site: Site, offer: Offer) -> list[str]:
    """Those of an offer's networks that are to be had at the site; a job holds no others."""
    here = {n.mcc_mnc for n in site.networks}
    return [n for n in offer.networks if n in here]


def _hung(before: Communicator, ranked: Ranked) -> dict[str, Any]:
    """Antenna, feeder and spot; how the antenna hangs is only known where it stays."""
    antenna = ranked.antenna.antenna
    hung: dict[str, Any] = {
        "antenna": antenna,
        "feeder": _feeder(before.feeder, ranked.antenna),
        "spot": ranked.spot,
    }
    if (before.antenna, before.spot) != (antenna, ranked.spot):
        hung |= {"antenna_crossed": False, "antenna_near_metal": False}
    return hung


def _feeder(before: FeederRun | None, wanted: Antenna) -> FeederRun | None:
    """The cable that is wanted; the one that hangs, with its connectors, where it is the same."""
    if wanted.feeder is None or wanted.cable_m <= 0.0:
        return None
    same = (
        before is not None
        and before.part == wanted.feeder
        and abs(before.length_m - wanted.cable_m) < _SAME_LENGTH_M
    )
    return before if same else FeederRun(part=wanted.feeder, length_m=wanted.cable_m)


_Text = Callable[[Communicator], str]


def _differing(
    of: Mapping[str, _Text], before: Communicator | None, now: Communicator
) -> Iterator[Change]:
    for what, text in of.items():
        was = _NONE if before is None else text(before)
        if was != text(now):
            yield Change(what=what, before=was, now=text(now))


def _card_text(communicator: Communicator) -> str:
    card = communicator.sim
    return _NONE if card is None else " ".join([str(card.kind), *card.networks])


def _feeder_text(communicator: Communicator) -> str:
    run = communicator.feeder
    if run is None:
        return _NONE
    return f"{run.length_m:g} m of {run.part}, {run.connectors} connectors"


def _allowances_text(communicator: Communicator) -> str:
    told = ["crossed"] if communicator.antenna_crossed else []
    told += ["near metal"] if communicator.antenna_near_metal else []
    return " and ".join(told) or _NONE


def voided(before: Job, after: Job) -> Iterator[Voided]:
    """Entries that count and spoke for something before, and no longer do."""
    was, now = Fingerprints(before), Fingerprints(after)
    replaced = {entry.replaces for entry in before.record}
    for entry in before.record:
        over = entry.values.communicator if isinstance(entry, EventEntry) else None
        names = tuple(
            name
            for name, print_ in entry.fits.items()
            if was.holds(name, print_, over) and not now.holds(name, print_, over)
        )
        if names and entry.id not in replaced:
            yield Voided(entry=entry.id, kind=str(entry.kind), names=names)


_SHOWN: Final[Mapping[str, _Text]] = MappingProxyType(
    {
        "part": lambda c: c.part,
        "card": _card_text,
        "service": lambda c: c.service or _NONE,
        "antenna": lambda c: c.antenna or BUILT_IN,
        "feeder": _feeder_text,
        "spot": lambda c: c.spot or _NONE,
        "allowances": _allowances_text,
    }
)
"""What a choice decides."""

_KNOWN: Final[Mapping[str, _Text]] = MappingProxyType(
    {
        "IMEI": lambda c: c.imei or _NONE,
        "ICCID": lambda c: (None if c.sim is None else c.sim.iccid) or _NONE,
        "account": lambda c: c.account or _NONE,
        "state": lambda c: str(c.state),
    }
)
"""What is known of a module, its card and its account."""
