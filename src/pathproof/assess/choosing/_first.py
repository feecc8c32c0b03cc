"""What to read or ask first, as sentences."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Final

from pathproof.assess.choice import Ranked, Rule
from pathproof.assess.choosing._hanging import Hangings
from pathproof.assess.choosing._levels import Levels, State, to_be_read
from pathproof.assess.choosing._offers import Considered
from pathproof.assess.choosing._ranking import Weighed
from pathproof.assess.choosing._said import Names, Weight, listed
from pathproof.job import Job
from pathproof.terms import Technology

_ASKED: Final = (Rule.COUNTRY, Rule.SERVICE_LIFE)
_MOST_ASKED: Final = 6


def missing_input(job: Job, considered: Considered) -> Iterator[str]:
    """What has to be told before anything can be chosen."""
    if not considered.communicators:
        yield "Say which communicators are considered."
    if not considered.services:
        yield "Say which services are considered: a card with its account, as they are offered."
    known = {part.id for part in considered.communicators}
    for service in considered.services:
        if known and service.communicators and known.isdisjoint(service.communicators):
            yield (
                f"{service.id} is offered for {listed(service.communicators)} only, which is no "
                "communicator that is considered: look at the ids in its communicators."
            )
    if not job.site.networks:
        yield "List the mobile networks to be had at the site."
    if not job.site.spots:
        yield "Add the spots where an antenna can hang, the one in the panel first."


def to_read(
    job: Job, hangings: Hangings, levels: Levels, undecided: Sequence[Weighed], names: Names
) -> Iterator[str]:
    """Networks to read, by spot: those that decide about an offer."""
    order = [n.mcc_mnc for n in job.site.networks]
    missing = _missing(undecided, order)
    spots = [s for s in hangings.spots if s in missing]
    if any(levels.looked_at(s) for s in hangings.spots):
        where: dict[str, list[str]] = defaultdict(list)
        for spot in spots:
            where[to_be_read(missing[spot], names)].append(names.spot(spot))
        for what, at in where.items():
            yield f"Read {what} at {listed(at)}."
    elif order and hangings.spots:
        spots = spots or hangings.spots
        others = "".join(f", then at {names.spot(s)}" for s in spots[1:])
        yield (
            f"No level is read yet: read {names.networks(order)} at {names.spot(spots[0])}{others}."
        )


def _missing(
    undecided: Sequence[Weighed], order: Sequence[str]
) -> dict[str, dict[str, list[Technology]]]:
    """By spot: networks in their order, with the technologies to read them in."""
    found: dict[str, dict[str, set[Technology]]] = defaultdict(lambda: defaultdict(set))
    for graded in (g for one in undecided for g in one.graded if g.state is State.UNREAD):
        for network, technologies in graded.unread.items():
            found[graded.hanging.spot][network] |= set(technologies)
    return {
        spot: {n: sorted(networks[n]) for n in order if n in networks}
        for spot, networks in found.items()
    }


def to_ask(ranked: Sequence[Ranked], undecided: Sequence[Weighed]) -> Iterator[str]:
    """What is not read or known of the first, and what keeps others undecided."""
    open_ = [reason for one in ranked[:1] for reason in one.open]
    read = dict.fromkeys(r.would_need for r in open_ if r.rule is Rule.READINGS)
    open_ += [reason for one in undecided for reason in one.reasons(Weight.UNDECIDED)]
    asked = dict.fromkeys(r.would_need for r in open_ if r.rule in _ASKED)
    for need in [*read, *list(asked)[:_MOST_ASKED]]:
        yield f"{need[0].upper()}{need[1:]}."
