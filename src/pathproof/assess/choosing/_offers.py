"""Offers: communicator parts with services and networks, and the rules that need no readings."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from pathproof.assess import alike
from pathproof.assess.choice import Offer, Rule, together
from pathproof.assess.choosing._said import Names, Said, Weight, listed
from pathproof.assess.mobile_levels import bare_band
from pathproof.assess.wording import technology_text
from pathproof.job import (
    AntennaPart,
    CommunicatorPart,
    FeederPart,
    Job,
    Network,
    ServicePart,
)
from pathproof.terms import SimKind, Technology


class Considered:
    """The parts that the choice is made from, by kind and in the order of their ids."""

    def __init__(self, job: Job) -> None:
        parts = [job.part(x) for x in sorted(job.site.considered)]
        self.communicators = [p for p in parts if isinstance(p, CommunicatorPart)]
        self.services = [p for p in parts if isinstance(p, ServicePart)]
        self.antennas = [p for p in parts if isinstance(p, AntennaPart)]
        self.feeders = [p for p in parts if isinstance(p, FeederPart)]

    def services_for(self, part: CommunicatorPart) -> list[ServicePart]:
        """Services that are offered for a part, with a card that it takes."""
        return [
            s
            for s in self.services
            if (not part.sim_kinds or s.sim_kind in part.sim_kinds)
            and (not s.communicators or part.id in s.communicators)
        ]


@dataclass(frozen=True, eq=False)
class Bid:
    """An offer with the parts it is made of."""

    part: CommunicatorPart
    service: ServicePart
    networks: tuple[str, ...]

    @cached_property
    def offer(self) -> Offer:
        """It as the choice lists it."""
        return Offer(
            part=self.part.id,
            service=self.service.id,
            sim_kind=self.service.sim_kind,
            networks=self.networks,
        )

    @property
    def yearly_cost(self) -> float | None:
        """Of platform, card and account; none where one is not known. [currency/year]"""
        return together(self.part.yearly_cost, self.service.yearly_cost)


def bids_of(part: CommunicatorPart, service: ServicePart, job: Job) -> list[Bid]:
    """One offer a network where the card is for one network, else one with all of them."""
    may_use = tuple(service.networks or (n.mcc_mnc for n in job.site.networks))
    if service.sim_kind is SimKind.FIXED and may_use:
        return [Bid(part, service, (network,)) for network in may_use]
    return [Bid(part, service, may_use)]


def shared(part: CommunicatorPart, network: Network) -> list[Technology]:
    """Technologies that a part can use on a network; what nobody said does not stand against it."""
    if part.bands and network.bands and not shared_bands(part, network):
        return []
    return [t for t in part.technologies if t in network.technologies or not network.technologies]


def shared_bands(part: CommunicatorPart, network: Network) -> list[str]:
    """Numbers of the bands that part and network share; those of one where only one tells any."""
    own, there = bare_bands(part.bands), bare_bands(network.bands)
    return sorted(own & there if own and there else own | there)


def bare_bands(bands: list[str]) -> set[str]:
    """Band numbers, "B20" and "20" alike."""
    return {bare_band(band) for band in bands}


class FirstRules:
    """The rules from PANEL to TECHNOLOGY."""

    def __init__(self, job: Job, considered: Considered, names: Names) -> None:
        self._job, self._considered, self._names = job, considered, names
        self._here = {n.mcc_mnc: n for n in job.site.networks}

    def of_part(self, part: CommunicatorPart) -> list[Said]:
        """What speaks against a part with any service."""
        return [
            *self._panel(part),
            *self._country(part),
            *self._service(part),
        ]

    def of_bid(self, bid: Bid, need: int) -> list[Said]:
        """What speaks against an offer of a part that is fit for the site itself."""
        networks = list(self._networks(bid, need))
        short = any(said.weight is not Weight.NOTE for said in networks)
        technology = [] if short else self._technology(bid, need)
        return [*self._country(bid.service), *networks, *technology]

    def networks_here(self, bid: Bid) -> list[Network]:
        """Networks of the site that an offer's card may use, in the card's order."""
        return [self._here[n] for n in bid.networks if n in self._here]

    def _panel(self, part: CommunicatorPart) -> Iterator[Said]:
        fits, panel = listed(part.panels), self._job.site.panel
        if not part.panels:
            return
        if panel is None:
            text = f"{part.id} fits {fits} only, and the site has no panel yet"
            yield Said(Rule.PANEL, Weight.UNDECIDED, text, f"choose a panel, such as {fits}")
        elif panel.part not in part.panels:
            text = f"{part.id} fits {fits}, not the site's panel {panel.part}"
            yield Said(Rule.PANEL, Weight.FAILS, text, f"a panel that it fits: {fits}")

    def _country(self, part: CommunicatorPart | ServicePart) -> Iterator[Said]:
        country, allowed = self._job.site.country, listed([str(c) for c in part.countries])
        if not part.countries:
            where = "this country" if country is None else str(country)
            text = f"it is not said in which countries {part.id} is allowed"
            need = f"ask whether {part.id} is allowed in {where}"
            yield Said(Rule.COUNTRY, Weight.NOTE, text, need)
        elif country is None:
            text = f"{part.id} is allowed in {allowed}, and the site's country is not given"
            yield Said(Rule.COUNTRY, Weight.UNDECIDED, text, "give the site's country")
        elif country not in part.countries:
            text = f"{part.id} is allowed in {allowed}, not in {country}"
            need = f"an approval of {part.id} for {country}, in writing"
            yield Said(Rule.COUNTRY, Weight.FAILS, text, need)

    def _service(self, part: CommunicatorPart) -> Iterator[Said]:
        if self._considered.services_for(part):
            return
        takes = listed([str(k) for k in part.sim_kinds], 3) or "any"
        need = f"a service that is offered for {part.id}, with a card of its kind: {takes}"
        if self._considered.services:
            text = f"no service that is considered is offered for {part.id} with a card it takes"
            yield Said(Rule.SERVICE, Weight.FAILS, text, need)
        else:
            text = "no service is considered, so card and account are not known"
            yield Said(Rule.SERVICE, Weight.UNDECIDED, text, need)

    def _networks(self, bid: Bid, need: int) -> Iterator[Said]:
        here = [n.mcc_mnc for n in self.networks_here(bid)]
        unknown = [n for n in bid.networks if n not in self._here]
        not_here = [f"{n} is not among the networks of the site" for n in unknown]
        if not self._here:
            text = "no network is given for the site"
            yield Said(Rule.NETWORKS, Weight.UNDECIDED, text, "list the networks to be had there")
        elif len(here) < need:
            short = f"its card needs {counted(need)} of the site, and may use {len(here)}"
            more = need - len(here)
            ways = [f"{counted(more)} more among the networks of the site that its card may use"]
            ways += [f"such as {listed(unknown)}, if to be had there"] if unknown else []
            text = "; ".join([*not_here, short])
            yield Said(Rule.NETWORKS, Weight.FAILS, text, ", ".join(ways))
        elif unknown:
            text = "; ".join(not_here)
            need_text = f"look whether {listed(unknown)} can be had there, and add it to the site"
            yield Said(Rule.NETWORKS, Weight.NOTE, text, need_text)

    def _technology(self, bid: Bid, need: int) -> Iterator[Said]:
        here = self.networks_here(bid)
        without = [n for n in here if not shared(bid.part, n)]
        has = len(here) - len(without)
        if has >= need:
            return
        speaks = speech(bid.part.technologies, bid.part.bands, "and")
        wanted = speech(bid.part.technologies, bid.part.bands, "or")
        everywhere = list(self._here.values())
        if len(everywhere) > 1 and not any(shared(bid.part, n) for n in everywhere):
            # The same words for all offers of the part, so that they are said once.
            text = f"{bid.part.id} speaks {speaks}; {', '.join(map(self._has, everywhere))}"
            on = "on as many networks of the site as the card needs"
            yield Said(Rule.TECHNOLOGY, Weight.FAILS, text, f"{wanted}, {on}")
            return
        there = [self._has(n) for n in without]
        roams = "" if need == 1 else f"; its card needs {counted(need)}, and it shares with {has}"
        text = f"{bid.part.id} speaks {speaks}; {', '.join(there)}{roams}"
        one_of = self._names.networks([n.mcc_mnc for n in without])
        where = one_of if len(without) == 1 else f"{need - has} more of {one_of}"
        yield Said(Rule.TECHNOLOGY, Weight.FAILS, text, f"{wanted}, on {where}")

    def _has(self, network: Network) -> str:
        name = self._names.network(network.mcc_mnc)
        return f"{name} has {speech(network.technologies, network.bands, 'and')}"


def counted(count: int) -> str:
    """So many networks, in words."""
    return f"{count} network" if count == 1 else f"{count} networks"


def speech(technologies: list[Technology], bands: list[str], joint: str) -> str:
    """Technologies and bands in words."""
    spoken = alike.listed([technology_text(t) for t in technologies], joint=joint)
    in_bands = f" in band {', '.join(bands)}" if bands else ""
    return f"{spoken or 'no technology told'}{in_bands}"
