"""The site's main communicator as one of the candidates, judged by its own mobile link."""

from dataclasses import replace

from pathproof.assess.antenna import fitted_run
from pathproof.assess.choice import Antenna
from pathproof.assess.choosing._hanging import Hanging, Hangings
from pathproof.assess.choosing._lasting import Counting
from pathproof.assess.choosing._levels import Graded, Levels, State, grade
from pathproof.assess.choosing._offers import Bid, Considered, bids_of
from pathproof.assess.context import Context
from pathproof.assess.main_path import main_communicator, same_path
from pathproof.assess.mobile import mobile_link
from pathproof.assess.types import Link
from pathproof.job import Communicator, CommunicatorPart
from pathproof.terms import Technology, Word


class Fitted:
    """What is fitted now, if it comes into question: a main communicator with card and spot."""

    def __init__(
        self, ctx: Context, considered: Considered, hangings: Hangings, levels: Levels
    ) -> None:
        self._ctx, self._levels = ctx, levels
        self._communicator = main_communicator(ctx.site)
        self._service = self._its_service(considered)
        self._hanging = self._in_question(hangings)
        self._links: dict[tuple[Technology, ...], Link] = {}

    def among(
        self, bid: Bid, counting: Counting, hangings: list[Hanging], need: int
    ) -> list[Graded]:
        """Every spot and antenna graded; the one that is fitted by what its own link says."""
        fitted = self._hanging if self._same_path(bid) else None
        tried = [
            self._levels.graded(bid.part, counting.technologies, hanging, need)
            for hanging in hangings
            if fitted is None or not _same_but_length(hanging, fitted)
        ]
        graded = [g for g in tried if g is not None]
        if fitted is None or self._communicator is None:
            return graded
        run = fitted_run(self._ctx.job, self._communicator)
        own = self._levels.graded(bid.part, counting.technologies, fitted, need, run)
        link = self._link(self._communicator, bid.part, counting.spoken)
        found = own if link is None else _by_link(link, fitted, own)
        if found is None:
            return graded
        return [*graded, replace(found, fitted=bid.service.id == self._service, stays=True)]

    def _link(
        self,
        communicator: Communicator,
        part: CommunicatorPart,
        spoken: tuple[Technology, ...] | None,
    ) -> Link | None:
        """Its mobile link, as it is with no more than the technologies that count."""
        if not spoken:
            return None
        if spoken not in self._links:
            less = part.model_copy(update={"technologies": list(spoken)})
            ctx = self._ctx if list(spoken) == part.technologies else _with_part(self._ctx, less)
            self._links[spoken] = mobile_link(ctx, communicator)
        return self._links[spoken]

    def _same_path(self, bid: Bid) -> bool:
        c = self._communicator
        return c is not None and same_path(self._ctx.site, c, bid.offer)

    def _its_service(self, considered: Considered) -> str | None:
        """The service that the communicator names; else the cheapest that it may come with."""
        c = self._communicator
        if c is None or c.service is not None:
            return None if c is None else c.service
        bids = [
            bid
            for part in considered.communicators
            for service in considered.services_for(part)
            for bid in bids_of(part, service, self._ctx.job)
            if self._same_path(bid)
        ]
        costs = [(b.yearly_cost is None, b.yearly_cost or 0.0, b.service.id) for b in bids]
        return min(costs)[2] if costs else None

    def _in_question(self, hangings: Hangings) -> Hanging | None:
        c = self._communicator
        if c is None or c.spot is None or not hangings.allows(c.spot, c.antenna):
            return None
        feeder = None if c.feeder is None else c.feeder.part
        length_m = 0.0 if c.feeder is None else c.feeder.length_m
        return Hanging(c.spot, Antenna(antenna=c.antenna, feeder=feeder, cable_m=length_m))


def _by_link(link: Link, hanging: Hanging, own: Graded | None) -> Graded | None:
    """With the margin of a link, which knows the module's own readings too."""
    if link.word is Word.LACKING and link.margin is None and link.network is not None:
        told = {} if own is None else own.silent
        said = {link.network: told.get(link.network, f"by its own mobile link, {link.why},")}
        return grade(hanging, (), {}, said, 1)
    if link.margin is None or link.network is None or link.scale is None:
        return own
    margin_db = link.margin.value
    return Graded(
        hanging=hanging,
        state=State.MEETS if margin_db >= 0.0 else State.LACKS,
        network=link.network,
        margin_db=margin_db,
        spread_db=link.scale,
        odds=link.probability or 0.0,
        deciding=own.deciding if own is not None and own.margin_db == margin_db else (),
        unread={},
    )


def _with_part(ctx: Context, part: CommunicatorPart) -> Context:
    """The same job with a part of the catalogue changed."""
    embedded = ctx.job.embedded
    catalogue = {**embedded.catalogue, part.id: part}
    job = ctx.job.model_copy(
        update={"embedded": embedded.model_copy(update={"catalogue": catalogue})}
    )
    return Context(job, ctx.as_of, ctx.profile, leave_out_later=True)


def _same_but_length(a: Hanging, b: Hanging) -> bool:
    return a.spot == b.spot and (a.antenna.antenna, a.antenna.feeder) == (
        b.antenna.antenna,
        b.antenna.feeder,
    )
