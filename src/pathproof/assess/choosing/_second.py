"""The rule SECOND_PATH: another path that shares no network, where the profile asks for two."""

from collections.abc import Sequence
from dataclasses import replace

from pathproof.assess.choice import Offer, Rule
from pathproof.assess.choosing._offers import Bid
from pathproof.assess.choosing._ranking import Weighed
from pathproof.assess.choosing._said import Names, Said, Weight
from pathproof.assess.context import Context
from pathproof.assess.mobile_levels import allowed_networks
from pathproof.terms import AccountState, LimitName, Role

Second = tuple[Offer | None, Said | None]
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
        said = self.beside(weighed.bid)[1]
        return weighed if said is None else replace(weighed, said=(*weighed.said, said))

    def beside(self, bid: Bid) -> Second:
        """The best second path beside an offer; neither path nor word where none is asked for."""
        if not self._wanted or not bid.networks:
            return None, None
        networks = frozenset(bid.networks)
        if networks not in self._found:
            self._found[networks] = self._beside(networks)
        return self._found[networks]

    def _beside(self, networks: frozenset[str]) -> Second:
        if self._own is not None and networks.isdisjoint(self._own.networks):
            return self._own, None
        for other in self._meeting:
            if networks.isdisjoint(other.networks):
                return other.offer, None
        none_of = self._names.networks(sorted(networks))
        need = f"a second path on networks that are none of {none_of}"
        if any(networks.isdisjoint(other.networks) for other in self._possible):
            text = "two paths are asked for, and whether another one can be had is undecided"
            return None, Said(Rule.SECOND_PATH, Weight.UNDECIDED, text, need)
        text = f"two paths are asked for, and no other one does without {none_of}"
        return None, Said(Rule.SECOND_PATH, Weight.FAILS, text, need)


def _own_second(ctx: Context) -> Offer | None:
    """The site's own second communicator, where it is known which networks it may use."""
    for c in ctx.site.communicators:
        networks = allowed_networks(ctx.site, c)
        if c.role is Role.SECOND and c.state is not AccountState.ENDED and c.sim and networks:
            return Offer(part=c.part, service=None, sim_kind=c.sim.kind, networks=tuple(networks))
    return None
