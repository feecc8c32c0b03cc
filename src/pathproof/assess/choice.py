"""What a choice of communicator is: offers in their order, and what speaks against the others."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from pathproof.terms import SimKind


class Rule(StrEnum):
    """A hard constraint that an offer meets or not, in the order they are looked at."""

    PANEL = "panel"  # the part fits the panel
    COUNTRY = "country"  # part and service are allowed in the country
    SERVICE = "service"  # the dealer offers a service with a card that the part takes
    NETWORKS = "networks"  # the card may use networks that are at the site
    TECHNOLOGY = "technology"  # the part shares a technology and a band with them
    SERVICE_LIFE = "service_life"  # network and platform outlive the service life
    ANTENNA = "antenna"  # there is a spot with an antenna that the part can have there
    READINGS = "readings"  # levels were read that tell of its networks there
    MARGIN = "margin"  # the level is enough, on as many networks as the card needs
    SECOND_PATH = "second_path"  # another path shares no network with it, where the profile asks


@dataclass(frozen=True, kw_only=True)
class Reason:
    """Why an offer fails a rule, or why it cannot be told, and what would change that."""

    rule: Rule
    text: str
    would_need: str


@dataclass(frozen=True, kw_only=True)
class Antenna:
    """What hangs at the spot: catalogue ids; no antenna means the part's own."""

    antenna: str | None = None
    feeder: str | None = None
    cable_m: float = 0.0
    """Length of the feeder. [m]"""


BUILT_IN = "built_in"
"""What the part's own antenna is called where antennas are named."""


@dataclass(frozen=True, kw_only=True)
class Offer:
    """A communicator part with a service, and the networks that its card may use."""

    part: str
    service: str | None
    sim_kind: SimKind | None
    networks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class SecondPath:
    """Another path beside an offer, which shares no network with it."""

    offer: Offer
    yearly_cost: float | None
    """Of platform, card and account; none where one is not known. [currency/year]"""
    fitted: bool
    """Whether it is the site's second communicator already."""


@dataclass(frozen=True, kw_only=True)
class Ranked:
    """An offer that meets every rule, with spot and antenna that give it the most margin.

    `margin_db` is that of the network that decides: the worst of as many as the card needs.
    `reasons` say what speaks for it and what it lacks against the first; `open` what nobody knows,
    with what to ask.
    """

    offer: Offer
    spot: str
    antenna: Antenna
    margin_db: float
    network: str
    """The network that decides."""
    spread_db: float
    """Spread of its level. [dB]"""
    yearly_cost: float | None
    """Of platform, card and account; none where one is not known. [currency/year]"""
    fitted: bool
    """Whether the site's main communicator is just this."""
    tied: bool
    """Whether nobody can tell it from the first, or the first from another one: as cheap, and about
    as likely better as worse."""
    second: SecondPath | None
    """The best second path beside it, where the profile asks for one."""
    reasons: tuple[str, ...]
    open: tuple[Reason, ...]

    @property
    def pair_yearly_cost(self) -> float | None:
        """Of both paths; none without a second one, or where one is not known. [currency/year]"""
        return None if self.second is None else together(self.yearly_cost, self.second.yearly_cost)


def together(cost: float | None, other: float | None) -> float | None:
    """Two costs in one; none where one is not known. [currency/year]"""
    return None if cost is None or other is None else cost + other


@dataclass(frozen=True, kw_only=True)
class SetAside:
    """An offer that fails rules, or of which it cannot be told yet, with a reason for each.

    One that fails lists the rules that it fails, and not those that cannot be told.
    """

    offer: Offer
    reasons: tuple[Reason, ...]
    then: str = ""
    """Where it would stand if it met every rule; empty where that cannot be told."""
    cheaper_by: float | None = None
    """What it would cost less than the first of those that do; infinite where what the first costs
    is not known, none where it would not come before it. [currency/year]"""


@dataclass(frozen=True, kw_only=True)
class Choice:
    """Which communicator, on which network, with which antenna, and why none of the others."""

    ranked: tuple[Ranked, ...]
    """Best first: enough margin, then the lower yearly cost, then the larger margin."""
    undecided: tuple[SetAside, ...]
    """Nothing speaks against these, but something is missing."""
    rejected: tuple[SetAside, ...]
    read_first: tuple[str, ...]
    """What to read or ask first, as sentences."""

    def as_dict(self) -> dict[str, Any]:
        """The JSON shape of `pathproof choose --json`."""
        return {
            "ranked": [_ranked_dict(x) for x in self.ranked],
            "rejected": [_set_aside_dict(x) for x in self.rejected],
            "undecided": [_set_aside_dict(x) for x in self.undecided],
            "read_first": list(self.read_first),
        }


def _ranked_dict(ranked: Ranked) -> dict[str, Any]:
    return {
        **_offer_dict(ranked.offer),
        "spot": ranked.spot,
        "antenna": ranked.antenna.antenna or BUILT_IN,
        "feeder": ranked.antenna.feeder,
        "cable_m": ranked.antenna.cable_m,
        "margin": {"value": ranked.margin_db, "unit": "dB"},
        "network": ranked.network,
        "spread_db": ranked.spread_db,
        "yearly_cost": ranked.yearly_cost,
        "pair_yearly_cost": ranked.pair_yearly_cost,
        "fitted": ranked.fitted,
        "tied": ranked.tied,
        "second": None if ranked.second is None else _offer_dict(ranked.second.offer),
        "reasons": list(ranked.reasons),
        "open": [_reason_dict(x) for x in ranked.open],
    }


def _set_aside_dict(aside: SetAside) -> dict[str, Any]:
    reasons = [_reason_dict(x) for x in aside.reasons]
    return {**_offer_dict(aside.offer), "reasons": reasons, "then": aside.then}


def _offer_dict(offer: Offer) -> dict[str, Any]:
    return {
        "part": offer.part,
        "service": offer.service,
        "sim_kind": None if offer.sim_kind is None else str(offer.sim_kind),
        "networks": list(offer.networks),
    }


def _reason_dict(reason: Reason) -> dict[str, str]:
    return {"rule": str(reason.rule), "text": reason.text, "would_need": reason.would_need}
