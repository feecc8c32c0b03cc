"""`choose`: every offer through every rule, those that meet them all in their order."""

from collections.abc import Collection
from datetime import datetime

from pathproof.assess.choice import Choice, Offer, SetAside
from pathproof.assess.choosing._first import missing_input, to_ask, to_read
from pathproof.assess.choosing._fitted import Fitted
from pathproof.assess.choosing._hanging import Hangings
from pathproof.assess.choosing._lasting import Lasting
from pathproof.assess.choosing._levels import Levels, levels_said, unfit_said
from pathproof.assess.choosing._offers import Bid, Considered, FirstRules, bids_of
from pathproof.assess.choosing._ranking import Ranking, Weighed, in_order
from pathproof.assess.choosing._said import Names, Said, Weight
from pathproof.assess.choosing._second import SecondPaths
from pathproof.assess.context import Context
from pathproof.job import CommunicatorPart, Job, Profile, ServicePart
from pathproof.terms import LimitName, SimKind


def choose(
    job: Job,
    as_of: datetime,
    profile: Profile | None = None,
    *,
    leave_out_later: bool = False,
    spots: Collection[str] | None = None,
    antennas: Collection[str] | None = None,
) -> Choice:
    """Which communicator, on which network, with which antenna, of what the site considers.

    Parameters
    ----------
    job : Job
        Site and record; `site.considered` says what is chosen from.
    as_of : datetime
        The moment to judge at, with offset.
    profile : Profile, optional
        Limits to judge by; the job's own unless given.
    leave_out_later : bool
        Leave out entries dated after `as_of` instead of refusing them.
    spots : collection of str, optional
        Only these spots, by id.
    antennas : collection of str, optional
        Only these antennas, by id, `BUILT_IN` for a part's own.

    Returns
    -------
    choice : Choice
        Every offer: ranked, undecided or rejected. The same for any order of record and catalogue.

    Raises
    ------
    JobError
        Entries are dated after `as_of`, the profile lacks a limit, or the job has no such spot or
        antenna.
    """
    ctx = Context(job, as_of, profile, leave_out_later=leave_out_later)
    return choice_in(ctx, spots, antennas)


def choice_in(
    ctx: Context,
    spots: Collection[str] | None = None,
    antennas: Collection[str] | None = None,
) -> Choice:
    """The choice in a job that is looked at already; see `choose`."""
    return _Chooser(ctx, spots, antennas).choice()


class _Chooser:
    def __init__(
        self, ctx: Context, spots: Collection[str] | None, antennas: Collection[str] | None
    ) -> None:
        self._ctx, self._names = ctx, Names(ctx.job)
        self._considered = Considered(ctx.job)
        self._rules = FirstRules(ctx.job, self._considered, self._names)
        self._lasting = Lasting(ctx.job, ctx.as_of.date(), self._names)
        self._hangings = Hangings(ctx.job, self._considered, self._names, spots, antennas)
        self._levels = Levels(ctx, self._hangings)
        self._fitted = Fitted(ctx, self._considered, self._hangings, self._levels)
        self._roaming_needs = int(ctx.value(LimitName.MOBILE_NETWORKS_ROAMING))
        self._weighed: list[Weighed] = []
        self._parts_undecided: list[SetAside] = []
        self._parts_rejected: list[SetAside] = []

    def choice(self) -> Choice:
        for part in self._considered.communicators:
            self._look_at(part)
        seconds = self._second_paths()
        weighed = [seconds.looked_at(w) for w in self._weighed]
        contenders = in_order(weighed, seconds.of)
        ranking = Ranking(contenders, self._names, self._ctx.site.currency)
        ranked = ranking.ranked()
        undecided = [w for w in weighed if not w.fails and not w.meets]
        rejected = [w for w in weighed if w.fails]
        return Choice(
            ranked=ranked,
            undecided=(
                *self._parts_undecided,
                *(ranking.set_aside(w, Weight.UNDECIDED, seconds.of(w.bid)) for w in undecided),
            ),
            rejected=(
                *self._parts_rejected,
                *(ranking.set_aside(w, Weight.FAILS, seconds.of(w.bid)) for w in rejected),
            ),
            read_first=(
                *missing_input(self._ctx.job, self._considered),
                *to_read(self._ctx.job, self._hangings, self._levels, undecided, self._names),
                *to_ask(ranked, undecided),
            ),
        )

    def _look_at(self, part: CommunicatorPart) -> None:
        """One part: with each service, or by itself where it is no use with any."""
        said = self._rules.of_part(part)
        services = self._considered.services_for(part)
        fails = [s for s in said if s.weight is Weight.FAILS]
        offer = Offer(part=part.id, service=None, sim_kind=None, networks=())
        if fails:
            reasons = tuple(s.reason for s in (*fails, *self._lasting.against(part)))
            self._parts_rejected.append(SetAside(offer=offer, reasons=reasons))
        elif not services:
            reasons = tuple(s.reason for s in said if s.weight is Weight.UNDECIDED)
            self._parts_undecided.append(SetAside(offer=offer, reasons=reasons))
        for service in [] if fails else services:
            for bid in bids_of(part, service, self._ctx.job):
                self._weighed.append(self._weigh(bid, said))

    def _weigh(self, bid: Bid, said_of_part: list[Said]) -> Weighed:
        need = self._need(bid.service)
        here = self._rules.networks_here(bid)
        counting = self._lasting.of(bid, here, need)
        hangings, why_none = self._hangings.of(bid.part)
        graded = self._fitted.among(bid, counting, hangings, need) if counting.enough else []
        counts = [n for n in here if counting.technologies[n.mcc_mnc]]
        unfit = counting.enough and hangings and not graded
        return Weighed(
            bid=bid,
            said=(
                *said_of_part,
                *self._rules.of_bid(bid, need),
                *counting.said,
                *why_none,
                *([unfit_said(bid.part, counts, need, self._names)] if unfit else []),
                *levels_said(graded, need, self._names),
            ),
            graded=tuple(graded),
            counting=counting,
        )

    def _need(self, service: ServicePart) -> int:
        """How many networks its card needs."""
        return 1 if service.sim_kind is SimKind.FIXED else self._roaming_needs

    def _second_paths(self) -> SecondPaths:
        meeting = [s.weighed.bid for s in in_order(self._weighed)]
        possible = [w.bid for w in self._weighed if not w.fails]
        return SecondPaths(self._ctx, meeting, possible, self._names)
