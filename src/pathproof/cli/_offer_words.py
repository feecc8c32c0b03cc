"""Offers of a choice in words for the terminal."""

from collections.abc import Sequence
from dataclasses import replace

from pathproof.assess.alike import listed
from pathproof.assess.choice import BUILT_IN, Antenna, Offer, Ranked, SecondPath
from pathproof.assess.strip import MINUS
from pathproof.job import Job, Site


def second_text(ranked: Sequence[Ranked], second: SecondPath) -> str:
    if second.fitted:
        return f"{offer_text(second.offer)}: the second path that the site has"
    number = number_of(second.offer, ranked)
    return f"{offer_text(second.offer)}: number {number}, as the other path"


def number_of(offer: Offer, ranked: Sequence[Ranked]) -> int:
    """The number of an offer among those that fit; a second path is always one of them."""
    return 1 + next(i for i, one in enumerate(ranked) if one.offer == offer)


def offer_text(offer: Offer) -> str:
    card = f", {offer.service}" if offer.service is not None else ""
    on = f" on {listed(offer.networks)}" if offer.networks else ""
    return f"{offer.part}{card}{on}"


def short_offer(offer: Offer) -> str:
    if len(offer.networks) < 2:
        return offer_text(offer)
    return f"{offer_text(replace(offer, networks=()))} on {len(offer.networks)} networks"


def card_text(job: Job, offer: Offer) -> str:
    if offer.service is None:
        return "none"
    networks = listed(offer.networks, most=len(offer.networks))
    return f"{offer.sim_kind} on {networks}: {named_part(job, offer.service)}"


def antenna_text(job: Job, antenna: Antenna) -> str:
    if antenna.antenna is None:
        return "the part's own"
    text = named_part(job, antenna.antenna)
    if antenna.feeder is None:
        return text
    return f"{text} on {antenna.cable_m:.3g} m of {named_part(job, antenna.feeder)}"


def short_antenna(antenna: Antenna) -> str:
    if antenna.antenna is None:
        return BUILT_IN
    run = "" if antenna.feeder is None else f" on {antenna.cable_m:.3g} m of {antenna.feeder}"
    return antenna.antenna + run


def named_part(job: Job, part: str) -> str:
    return f"{job.part(part).name} ({part})"


def spot_name(site: Site, spot: str) -> str:
    return next((s.name for s in site.spots if s.id == spot), spot)


def spot_text(site: Site, spot: str) -> str:
    return f"{spot_name(site, spot)} ({spot})"


def cost_text(ranked: Ranked, site: Site) -> str:
    """What the offer costs, or it and its second path together."""
    cost = ranked.yearly_cost if ranked.second is None else ranked.pair_yearly_cost
    return "cost not known" if cost is None else f"{cost:,.2f} {site.currency} a year"


def decibels_text(value_db: float) -> str:
    shown = round(value_db, 1)
    return f"{MINUS if shown < 0 else '+'}{abs(shown):.1f} dB"


def sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."
