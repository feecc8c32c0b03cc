"""The site's main communicator, and whether an offer of a choice is the same path as it."""

from pathproof.assess.choice import Offer
from pathproof.assess.mobile_levels import allowed_networks
from pathproof.job import Communicator, Site
from pathproof.terms import AccountState, Role


def main_communicator(site: Site) -> Communicator | None:
    """The site's main communicator; none where there is none whose account has not ended."""
    return _first_of(Role.MAIN, site)


def second_communicator(site: Site) -> Communicator | None:
    """The site's second communicator; none where there is none whose account has not ended."""
    return _first_of(Role.SECOND, site)


def same_path(site: Site, communicator: Communicator, offer: Offer) -> bool:
    """Whether part, kind of card and the networks of the site that it may use are the offer's."""
    card, here = communicator.sim, {n.mcc_mnc for n in site.networks}
    return (
        card is not None
        and communicator.part == offer.part
        and card.kind is offer.sim_kind
        and here.intersection(allowed_networks(site, communicator))
        == here.intersection(offer.networks)
    )


def _first_of(role: Role, site: Site) -> Communicator | None:
    live = (c for c in site.communicators if c.state is not AccountState.ENDED)
    return next((c for c in live if c.role is role), None)
