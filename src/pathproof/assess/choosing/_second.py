"""The rule SECOND_PATH: another path that shares no network, where the profile asks for two."""

from collections.abc import Sequence
from dataclasses import replace

from pathproof.assess.choice import Offer, Rule, SecondPath, together
from pathproof.assess.choosing._offers import Bid
from pathproof.assess.choosing._ranking import Weighed
from pathproof.assess.choosing._said import Names, Said, Weight
from pathproof.assess.context import Context
from pathproof.assess.main_path import second_communicator
from pathproof.assess.mobile_levels import allowed_networks
from pathproof.job import CommunicatorPart, ServicePart
from pathproof.terms import LimitName

Second = tuple[SecondPath | None, Said | None]
"""The second path, or what the rule says where there is none."""


class SecondPaths:
    """Second paths by the networks of the first.

    Parameters
    ----------
    meeting : sequence of Bid
        Those that meet all other rules, best first.
    possible : sequence of Bid
        Those that may yet meet them.
    """

    def __init__(
        self, ctx: Context, meeting: Sequence[Bid], possible: Sequence[Bid], names: Names
    ) -> None:
        self._wanted = ctx.value(LimitName.MOBILE_PATHS) >= 2
        self._own = _own_second(ctx)
        self._meeting, self._possible, self._names = meeting, possible, names
        self._found: dict[frozenset[str], Second] = {}

    def looked_at(self, weighed: Weighed) -> Weighed:
        """The same bid with this rule's word."""
        said = self._beside(weighed.bid)[1]
        return weighed if said is None else replace(weighed, said=(*weighed.said, said))

    def of(self, bid: Bid) -> SecondPath | None:
        """The best second path beside an offer, where one is asked for and there is one."""
        return self._beside(bid)[0]

    def _beside(self, bid: Bid) -> Second:
        """The second path, or the rule's word; neither where none is asked for."""
        if not self._wanted or not bid.networks:
            return None, None
        networks = frozenset(bid.networks)
        if networks not in self._found:
            self._found[networks] = self._without(networks)
        return self._found[networks]

    def _without(self, networks: frozenset[str]) -> Second:
        if self._own is not None and networks.isdisjoint(self._own.offer.networks):
            return self._own, None
        for other in self._meeting:
            if networks.isdisjoint(other.networks):
                cost = other.yearly_cost
                return SecondPath(offer=other.offer, yearly_cost=cost, fitted=False), None
        none_of = self._names.networks(sorted(networks))
        need = f"a second path on networks that are none of {none_of}"
        if any(networks.isdisjoint(other.networks) for other in self._possible):
            text = "two paths are asked for, and whether another one can be had is undecided"
            return None, Said(Rule.SECOND_PATH, Weight.UNDECIDED, text, need)
        text = f"two paths are asked for, and no other one does without {none_of}"
        return None, Said(Rule.SECOND_PATH, Weight.FAILS, text, need)


def _own_second(ctx: Context) -> SecondPath | None:
    """The site's own second communicator, where it is known which networks it may use."""
    own = second_communicator(ctx.site)
    networks = () if own is None else tuple(allowed_networks(ctx.site, own))
    if own is None or own.sim is None or not networks:
        return None
    part = ctx.job.part(own.part)
    service = None if own.service is None else ctx.job.part(own.service)
    return SecondPath(
        offer=Offer(part=own.part, service=own.service, sim_kind=own.sim.kind, networks=networks),
        yearly_cost=together(
            part.yearly_cost if isinstance(part, CommunicatorPart) else None,
            service.yearly_cost if isinstance(service, ServicePart) else None,
        ),
        fitted=True,
    )
