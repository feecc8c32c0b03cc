"""What was read of the networks that a communicator may use, as far as it counts for its link."""

from collections import defaultdict
from functools import partial

from pathproof.assess.antenna import fitted_run
from pathproof.assess.context import Context
from pathproof.assess.mobile_levels import allowed_networks, network_at, spoken_in
from pathproof.assess.mobile_readings import (
    LevelsRead,
    network_read,
    still_fits,
    taken_through,
    told_technology,
    unnamed_antenna,
    young,
)
from pathproof.assess.retirements import Ahead, Prospect
from pathproof.assess.wording import technology_text
from pathproof.job import Communicator
from pathproof.job import links as names
from pathproof.job.record import ReadingEntry
from pathproof.terms import Quantity, Technology

__all__ = ["Heard"]


class Heard:
    """A communicator, the readings that count for its link, and what lies ahead of its networks."""

    def __init__(self, ctx: Context, communicator: Communicator) -> None:
        self.ctx, self.communicator = ctx, communicator
        self.id = names.mobile(communicator.id)
        """Of its mobile link."""
        self.run = fitted_run(ctx.job, communicator)
        self.module = self.run.module
        self.allowed = allowed_networks(ctx.site, communicator)
        self._ahead = Ahead(ctx.job, ctx.as_of.date())
        self._networks_ahead = self._prospects()
        self.readings = [e for e in young(ctx) if self.is_relevant(e)]
        self.entries = self._entries_by_network()
        """Of those, what is of a network that its card may use, by network."""

    def _prospects(self) -> dict[tuple[str, Technology], Prospect]:
        """How long each technology will be there that the module may use a network with."""
        offered = {n.mcc_mnc: n.technologies for n in self.ctx.site.networks}
        return {
            (network, t): self._ahead.network(network, t)
            for network in self.allowed
            for t in self.module.technologies
            if t in offered.get(network, ()) or not offered.get(network)
        }

    def to_read(self, network: str) -> str:
        """A network that is not read yet, with what to read where something was read in vain."""
        read = self.read(network) if network in self.entries else LevelsRead()
        untried = [technology_text(t) for t in self.untried(network, read)]
        return f"{network} in {' or '.join(untried)}" if any(read.lost.values()) else network

    def has_ended(self, network: str, technology: Technology) -> bool:
        """Whether a network has ended in a technology, for sure."""
        prospect = self._networks_ahead.get((network, technology))
        return prospect is not None and prospect.has_ended

    def is_gone(self, network: str) -> bool:
        """Whether a network has ended in all that the module may use it with."""
        of = [p for (code, _), p in self._networks_ahead.items() if code == network]
        return bool(of) and all(p.has_ended for p in of)

    def ended(self) -> str:
        """That what it depends on has ended for sure, with the source; empty where it has not."""
        communicator = self.communicator
        gone = [
            p for p in self._ahead.behind(communicator.part, communicator.centre) if p.has_ended
        ]
        networks = list(self._networks_ahead.values())
        if not gone and networks and all(p.has_ended for p in networks):
            gone = networks
        return "; ".join(
            f"{p.name} {p.why} ({p.row.source.ref}, {p.row.source.evidence})" for p in gone if p.row
        )

    def is_relevant(self, entry: ReadingEntry) -> bool:
        """Whether a reading is about this communicator or its spot, and nothing has changed."""
        spot = self.communicator.spot
        modules = {c.id for c in self.ctx.site.communicators}
        return self.is_own(entry) or (
            spot in entry.about
            and not taken_through(entry, modules)
            and not self.is_unnamed(entry)
            and still_fits(self.ctx, entry, names.spot(spot or ""))
        )

    def is_unnamed(self, entry: ReadingEntry) -> bool:
        """Whether it was read with a final antenna, and nobody said whose."""
        return unnamed_antenna(self.ctx.site, entry.about, entry.conditions.final_antenna)

    def is_own(self, entry: ReadingEntry) -> bool:
        """Whether the module read it itself, and is still the same with the same antenna."""
        return self.communicator.id in entry.about and still_fits(self.ctx, entry, self.id)

    def _entries_by_network(self) -> dict[str, list[ReadingEntry]]:
        found: dict[str, list[ReadingEntry]] = defaultdict(list)
        for entry in self.readings:
            network = self.network(entry)
            if network in self.allowed:
                found[network].append(entry)
        return found

    def network(self, entry: ReadingEntry) -> str | None:
        """The network of a reading; where it names none, the only one, or the module's own."""
        here = [n.mcc_mnc for n in self.ctx.site.networks] or self.allowed
        return network_read(entry, self.allowed if self.is_own(entry) else here)

    def _technology(self, entry: ReadingEntry, quantity: Quantity) -> Technology | None:
        """The technology of a level; where its entry names none, what the module can have read."""
        speaks = self.module.technologies
        if entry.values.technology is None and self.is_own(entry):
            own = spoken_in(speaks, quantity)
            if own is not None:
                return own
        network = network_at(self.ctx.site, self.network(entry))
        return told_technology(entry, quantity, network, gsm_only=set(speaks) == {Technology.GSM})

    def read(self, network: str) -> LevelsRead:
        """What was read of a network, by technology."""
        found = LevelsRead()
        for entry in self.entries[network]:
            found.add(self.ctx, entry, partial(self._technology, entry))
        return found

    def untried(self, network: str, read: LevelsRead) -> list[Technology]:
        """Technologies that the module may use the network with, and nobody looked for."""
        offered = next((n.technologies for n in self.ctx.site.networks if n.mcc_mnc == network), [])
        return [
            t
            for t in self.module.technologies
            if (t in offered or not offered) and not read.told(t) and not self.has_ended(network, t)
        ]

    def place(self) -> str:
        """What a level is read for, in words."""
        spot = self.communicator.spot
        return self.communicator.id if spot is None else f"{self.communicator.id} or spot {spot}"
