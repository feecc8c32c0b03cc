"""The order of offers that meet every rule, ties, and what speaks for each."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from pathproof.assess.choice import Ranked, Reason, Rule, SecondPath, SetAside, together
from pathproof.assess.choosing._lasting import Counting
from pathproof.assess.choosing._levels import Graded, State, best_of, hung, simplest_of, to_be_read
from pathproof.assess.choosing._offers import Bid
from pathproof.assess.choosing._said import Names, Said, Weight
from pathproof.assess.wording import odds_text
from pathproof.calc.decibels import combined_spread_db
from pathproof.calc.mobile import TIE_ODDS_RATIO
from pathproof.calc.radio import link_odds
from pathproof.job import links


@dataclass(frozen=True, kw_only=True, eq=False)
class Weighed:
    """A bid with what the rules say of it."""

    bid: Bid
    said: tuple[Said, ...]
    graded: tuple[Graded, ...]
    counting: Counting

    @property
    def fails(self) -> bool:
        """Whether a rule keeps it out."""
        return any(s.weight is Weight.FAILS for s in self.said)

    @property
    def meets(self) -> bool:
        """Whether it meets every rule."""
        return all(s.weight is Weight.NOTE for s in self.said)

    def reasons(self, weight: Weight) -> tuple[Reason, ...]:
        """What the rules say of one weight, in their order."""
        order = list(Rule)
        said = sorted(self.said, key=lambda s: order.index(s.rule))
        return tuple(s.reason for s in said if s.weight is weight)


@dataclass(frozen=True, kw_only=True, eq=False)
class Contender:
    """A bid that meets every rule, with its best spot and antenna and the second path beside it."""

    weighed: Weighed
    best: Graded
    second: SecondPath | None

    @property
    def key(self) -> tuple[object, ...]:
        """Its place in the order: cost, then margin, then names."""
        bid, cost = self.weighed.bid, self.cost
        return (
            cost is None,
            cost or 0.0,
            -self.margin_db,
            bid.part.id,
            bid.service.id,
            bid.networks,
        )

    @property
    def cost(self) -> float | None:
        """Yearly cost, with that of a second path. [currency/year]"""
        return _cost(self.weighed.bid, self.second)

    @property
    def margin_db(self) -> float:
        """Margin, to a millionth. [dB]"""
        return round(self.best.margin_db, 6)


def _cost(bid: Bid, second: SecondPath | None) -> float | None:
    """Yearly cost, to a millionth so that sums compare. [currency/year]"""
    cost = bid.yearly_cost if second is None else together(bid.yearly_cost, second.yearly_cost)
    return None if cost is None else round(cost, 6)


def in_order(
    weighed: Sequence[Weighed], beside: Callable[[Bid], SecondPath | None] = lambda _: None
) -> list[Contender]:
    """Those that meet every rule, best first, each with the second path beside it."""
    found = [
        Contender(weighed=w, best=best, second=beside(w.bid))
        for w in weighed
        if w.meets and (best := best_of(w.graded, State.MEETS)) is not None
    ]
    return sorted(found, key=lambda s: s.key)


def ties(first: Contender, other: Contender) -> bool:
    """Whether nobody can tell which of two is better: as dear, and as likely better as worse."""
    if first.cost != other.cost:
        return False
    spread_db = combined_spread_db(first.best.spread_db, other.best.spread_db)
    difference_db = first.margin_db - other.margin_db
    if spread_db == 0.0:
        return difference_db == 0.0
    return float(link_odds(difference_db, spread_db)) < TIE_ODDS_RATIO


class Ranking:
    """Offers in their order as the choice lists them."""

    def __init__(self, contenders: Sequence[Contender], names: Names, currency: str) -> None:
        self._all, self._names, self._currency = contenders, names, currency
        self._tied = [s for s in contenders[1:] if ties(contenders[0], s)]
        self._pairs = any(s.second is not None for s in contenders)
        self._its_cost = "the yearly cost of both paths" if self._pairs else "its yearly cost"
        self._with_its_own = " with its second path" if self._pairs else ""

    def ranked(self) -> tuple[Ranked, ...]:
        """All of them, in their order."""
        return tuple(map(self._ranked, self._all))

    def set_aside(self, weighed: Weighed, weight: Weight, second: SecondPath | None) -> SetAside:
        """An offer that does not meet every rule, and where it would stand if it did."""
        offer, reasons = weighed.bid.offer, weighed.reasons(weight)
        if not self._all or (self._pairs and second is None):
            return SetAside(offer=offer, reasons=reasons)
        first, cost = self._all[0].cost, _cost(weighed.bid, second)
        then = self._then(first, cost)
        less = None if cost is None else (math.inf if first is None else first - cost)
        sooner = less if less is not None and less > 0.0 else None
        return SetAside(offer=offer, reasons=reasons, then=then, cheaper_by=sooner)

    def _then(self, first: float | None, cost: float | None) -> str:
        """Where an offer of that cost would stand, against the cost of the first."""
        if cost is None:
            unknown = f"{self._its_cost} is not known"
            return unknown if first is None else f"would stand after the first, as {unknown}"
        if first is None:
            return f"would come first, as {self._its_cost} is known"
        more = cost - first
        if more == 0.0:
            return (
                f"would cost{self._with_its_own} as much as the first, so the margin would decide"
            )
        if more > 0.0:
            where = f"would stand after the first, {self._money(more)} a year dearer"
        else:
            where = f"would come before the first, {self._money(-more)} a year cheaper"
        return where + self._with_its_own

    def _ranked(self, contender: Contender) -> Ranked:
        best, bid = contender.best, contender.weighed.bid
        is_first = contender is self._all[0]
        return Ranked(
            offer=bid.offer,
            spot=best.hanging.spot,
            antenna=best.hanging.antenna,
            margin_db=best.margin_db,
            network=best.network,
            spread_db=best.spread_db,
            yearly_cost=bid.yearly_cost,
            fitted=best.fitted,
            tied=bool(self._tied) if is_first else contender in self._tied,
            second=contender.second,
            reasons=(
                self._before_the_next() if is_first else self._behind_the_first(contender),
                *self._why(contender),
            ),
            open=(
                *contender.weighed.reasons(Weight.NOTE),
                *self._carried(best),
                *self._voided(best),
            ),
        )

    def _before_the_next(self) -> str:
        first = self._all[0]
        if len(self._all) == 1:
            return "the only offer that meets every rule"
        after = self._all[1]
        next_ = f"the next, {_called(after)}"
        if first.cost is not None and after.cost is None:
            return f"{self._its_cost} is known, and that of {next_}, is not"
        dearer = (after.cost or 0.0) - (first.cost or 0.0)
        if dearer > 0.0:
            return f"costs{self._with_its_own} {self._money(dearer)} a year less than {next_}"
        more_db = first.margin_db - after.margin_db
        same = f"{self._its_cost} not known either" if first.cost is None else "at the same cost"
        if more_db > 0.0:
            tie = "; too little to tell them apart" if after in self._tied else ""
            return f"{_decibels(more_db)} more than {next_}, {same}{tie}"
        return f"as much margin as {next_}, {same}: listed first by name alone"

    def _behind_the_first(self, contender: Contender) -> str:
        first = self._all[0]
        if first.cost is not None and contender.cost is None:
            return f"{self._its_cost} is not known, so it stands after those whose cost is"
        dearer = (contender.cost or 0.0) - (first.cost or 0.0)
        if dearer > 0.0:
            return f"costs{self._with_its_own} {self._money(dearer)} a year more than the first"
        same = "with its cost not known either" if first.cost is None else "at the same cost"
        less_db = first.margin_db - contender.margin_db
        if less_db == 0.0:
            return f"as much margin as the first {same}: listed after it by name alone"
        tie = "; too little to tell them apart" if contender in self._tied else ""
        return f"{_decibels(less_db)} less than the first {same}{tie}"

    def _why(self, contender: Contender) -> Iterator[str]:
        best, weighed = contender.best, contender.weighed
        yield (
            f"{self._names.network(best.network)} decides: {best.margin_db:.1f} dB over need and "
            f"fade margin {self._where(best)}; it stays above the need in {odds_text(best.odds)}"
        )
        simplest = simplest_of(weighed.graded)
        if simplest is not None and simplest is not best:
            yield f"enough too, and simpler: {simplest.margin_db:.1f} dB {self._where(simplest)}"
        fitted = next((g for g in weighed.graded if g.fitted), None)
        if fitted is not None and fitted is not best and fitted.network:
            yield f"fitted now: {fitted.margin_db:.1f} dB {self._where(fitted)}"
        yield from weighed.counting.lines

    def _where(self, graded: Graded) -> str:
        return f"at {self._names.spot(graded.hanging.spot)} with {hung(graded.hanging)}"

    def _carried(self, best: Graded) -> Iterator[Reason]:
        """Networks that were read in another technology than the part speaks."""
        carried = {e.network: [e.technology] for e in best.deciding if e.carried is not None}
        if carried:
            what = f"{to_be_read(carried, self._names)} at {self._names.spot(best.hanging.spot)}"
            yield Reason(
                rule=Rule.READINGS,
                text=f"no level is read of {what}: it is carried over from LTE",
                would_need=f"read {what}",
            )

    def _voided(self, best: Graded) -> Iterator[Reason]:
        """Networks of which a level decides that counts for what hangs now and nothing else."""
        for level in () if best.stays else best.deciding:
            read = level.decides
            if read.module is None or links.mobile(read.module) not in read.entry.fits:
                continue
            what = to_be_read({level.network: [level.technology]}, self._names)
            yield Reason(
                rule=Rule.READINGS,
                text=f"rests on what {read.module} read of {self._names.network(level.network)} "
                f"with its own antenna on {read.at:%Y-%m-%d}, which does not count for another "
                "module, card or antenna",
                would_need=f"read {what} at {self._names.spot(best.hanging.spot)} again once it "
                "hangs, or with a survey instrument before",
            )

    def _money(self, amount: float) -> str:
        return f"{amount:.2f} {self._currency}"


def _called(contender: Contender) -> str:
    bid = contender.weighed.bid
    many = len(bid.networks) > 2
    networks = f"{len(bid.networks)} networks" if many else " and ".join(bid.networks)
    return f"{bid.part.id} with {bid.service.id} on {networks}"


def _decibels(difference_db: float) -> str:
    return f"{difference_db:.1f} dB" if difference_db >= 0.05 else "less than 0.1 dB"
