"""Which communicator was chosen, on paper: why it, what comes next, and why none of the others."""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from pathproof.assess.alike import Block, alike, stopped_by, then_text
from pathproof.assess.choice import Choice, Offer, Ranked, Reason, Rule, SetAside
from pathproof.assess.main_path import main_communicator, same_path
from pathproof.assess.retirements import NOTHING_KNOWN
from pathproof.assess.strip import margin_text
from pathproof.assess.types import Margin
from pathproof.assess.wording import yearly_text
from pathproof.job import Job
from pathproof.papers._text import counted, listed
from pathproof.papers.communicator_rows import antenna_text
from pathproof.papers.names import Names, at_most

NEXT_BEST = 3
"""Offers shown beside the fitted one. House choice."""
MOST_BLOCKS = 6
"""Groups of like offers in one table; then the number of the others. House choice."""
MOST_PARTS = 5
"""Parts of one group; then the number of the others. House choice."""
PART_CHARACTERS = 32
"""What their narrow column shows of each name. House choice."""
MOST_REASONS = 5
"""Reasons for one group; then the number of the others. House choice."""

NOT_KEPT = (
    "What it was chosen from was not kept: pathproof choose JOB --take N keeps it, and this sheet "
    "then says why this one and none of the others."
)


@dataclass(frozen=True, kw_only=True)
class RankRow:
    """An offer that meets every rule."""

    number: str
    offer: str
    hung: str
    margin: str
    cost: str
    says: tuple[str, ...]
    """What speaks for it and what nobody knows of it; of others what they lack only."""
    fitted: bool


@dataclass(frozen=True, kw_only=True)
class AsideReason:
    """Why some offers are set aside, and what would change that."""

    on: str
    """Which cards and networks it is said of."""
    text: str
    would_need: str


@dataclass(frozen=True, kw_only=True)
class AsideRow:
    """Parts of which the same is said."""

    parts: str
    reasons: tuple[AsideReason, ...]
    further: str
    """That there are more reasons; else empty."""
    then: str
    """Where they would stand with all of that; empty where it cannot be told."""


@dataclass(frozen=True, kw_only=True)
class AsideTable:
    """Offers that are set aside."""

    heading: str
    rows: tuple[AsideRow, ...]
    further: str
    """That there are more offers, and how many of all each rule stops; else empty."""


@dataclass(frozen=True, kw_only=True)
class ChoiceRows:
    """The choice, the fitted communicator first."""

    verdict: str
    warn: bool
    """Whether the verdict is that what is fitted does not fit."""
    ranked: tuple[RankRow, ...]
    further: str
    aside: tuple[AsideTable, ...]
    ask_first: tuple[str, ...]


def choice_rows(
    job: Job,
    choice: Choice | None,
    names: Names,
    ends_told: Collection[str] = (),
    *,
    every: bool = False,
) -> ChoiceRows:
    """The choice that was kept, or that none was.

    Reasons on the end of what `ends_told` names are left out, as another table has them. With
    `every`, offers are in their order and nothing is cut for want of room.
    """
    if choice is None:
        return ChoiceRows(
            verdict=NOT_KEPT, warn=False, ranked=(), further="", aside=(), ask_first=()
        )
    return _Rows(job, choice, names, ends_told, every=every).rows()


class _Rows:
    def __init__(
        self,
        job: Job,
        choice: Choice,
        names: Names,
        ends_told: Collection[str],
        *,
        every: bool,
    ) -> None:
        self._job, self._choice, self._names = job, choice, names
        self._every = every
        self._ends_told = tuple(f"{name}: " for name in ends_told)
        self._main = main_communicator(job.site)
        self._fitted = next((x for x in choice.ranked if x.fitted), None)
        self._leader = self._fitted or next(iter(choice.ranked), None)
        """The one of which everything is said."""

    def rows(self) -> ChoiceRows:
        choice = self._choice
        verdict, warn = self._verdict()
        shown = list(choice.ranked) if self._every else self._fitted_and_next()
        left = len(choice.ranked) - len(shown)
        return ChoiceRows(
            verdict=verdict,
            warn=warn,
            ranked=tuple(self._rank_row(x) for x in shown),
            further=f"And {counted(left, 'more offer')} that {_meet(left)} every rule."
            if left
            else "",
            aside=tuple(
                self._aside(said, aside)
                for said, aside in (
                    ("cannot be told yet", choice.undecided),
                    ("rejected", choice.rejected),
                )
                if aside
            ),
            ask_first=tuple(_sentence(self._names.plain(text)) for text in choice.read_first),
        )

    def _fitted_and_next(self) -> list[Ranked]:
        others = [x for x in self._choice.ranked if x is not self._fitted][:NEXT_BEST]
        return [*([self._fitted] if self._fitted else []), *others]

    def _verdict(self) -> tuple[str, bool]:
        choice, count = self._choice, len(self._choice.ranked)
        of_all = f"of {counted(count, 'offer')} that {_meet(count)} every rule"
        if self._main is None:
            first = f" The first {of_all}: {self._offer(choice.ranked[0].offer)}." if count else ""
            return f"No communicator is fitted yet.{first}", False
        if self._fitted is not None:
            return self._place(self._fitted, of_all), False
        for aside, said in (
            (choice.rejected, "does not fit"),
            (choice.undecided, "cannot be told yet"),
        ):
            found = next((x for x in aside if self._is_fitted(x.offer)), None)
            if found is not None:
                why = "; ".join(f"{r.text} (needed: {r.would_need})" for r in found.reasons)
                return (
                    f"What is fitted {said}: {self._names.plain(why)}.{self._first()}",
                    aside is choice.rejected,
                )
        same = next((x for x in choice.ranked if self._is_fitted(x.offer)), None)
        if same is not None:
            place = f"number {1 + choice.ranked.index(same)} {of_all}"
            return (
                f"Part and card that are fitted are {place}, though not with the antenna and spot "
                "that suit them best.",
                False,
            )
        return f"What is fitted is not among what was considered.{self._first()}", False

    def _place(self, fitted: Ranked, of_all: str) -> str:
        number = 1 + self._choice.ranked.index(fitted)
        if number == 1:
            tied = sum(x.tied for x in self._choice.ranked) - fitted.tied
            tie = f" Nobody can tell it from {counted(tied, 'other')}: a tie." if tied else ""
            return f"What is fitted is the first {of_all}.{tie}"
        tie = ", in a tie with it" if fitted.tied else ""
        return f"What is fitted is not the first: it is number {number} {of_all}{tie}."

    def _first(self) -> str:
        if not self._choice.ranked:
            return " No offer meets every rule."
        return f" The first that meets every rule: {self._offer(self._choice.ranked[0].offer)}."

    def _is_fitted(self, offer: Offer) -> bool:
        """Whether the main communicator is of that part, with that service, card and networks."""
        c = self._main
        if c is None or c.part != offer.part:
            return False
        if offer.service is None:
            return True
        return c.service in (None, offer.service) and same_path(self._job.site, c, offer)

    def _rank_row(self, ranked: Ranked) -> RankRow:
        number = str(1 + self._choice.ranked.index(ranked))
        antenna = ranked.antenna
        hung = antenna_text(self._names, antenna.antenna, antenna.feeder, antenna.cable_m)
        leader = self._leader
        same = leader is not None and (ranked.spot, antenna) == (leader.spot, leader.antenna)
        margin = margin_text(Margin(value=ranked.margin_db, unit="dB"))
        return RankRow(
            number=number,
            offer=self._offer(ranked.offer),
            hung="Hung the same way"
            if same and ranked is not leader
            else f"{self._names.named(ranked.spot)}, {hung}",
            margin=f"{margin} on {ranked.network}",
            cost=yearly_text(ranked, self._job.site.currency).removesuffix(" a year"),
            says=tuple(_sentence(self._names.plain(text)) for text in self._says(ranked)),
            fitted=ranked.fitted,
        )

    def _says(self, ranked: Ranked) -> Iterator[str]:
        if ranked.tied and ranked is not self._choice.ranked[0]:
            yield "a tie with the first"
        if ranked is not self._leader:
            yield from ranked.reasons[:1]
            return
        nothing = f": {NOTHING_KNOWN}"
        reasons = [text for text in ranked.reasons if not text.startswith(self._ends_told)]
        yield from (text for text in reasons if not text.endswith(nothing))
        unknown = [t.removesuffix(nothing) for t in reasons if t.endswith(nothing)]
        if unknown:
            yield f"nothing is known of the end of {listed(unknown)}"
        if ranked.second is not None:
            has = ", which the site has" if ranked.second.fitted else ""
            yield f"second path beside it: {self._offer(ranked.second.offer)}{has}"
        for reason in ranked.open:
            asked = _sentence(reason.would_need) in self._choice.read_first
            if not asked and reason.rule is not Rule.SERVICE_LIFE:  # reasons say it of each network
                yield f"not known: {reason.text}; {reason.would_need}"

    def _offer(self, offer: Offer) -> str:
        card = "" if offer.service is None else f" with {self._names.part(offer.service)}"
        uses = f" on {listed(at_most(list(offer.networks)))}" if offer.networks else ""
        return f"{self._names.part(offer.part)}{card}{uses}"

    def _aside(self, said: str, aside: Sequence[SetAside]) -> AsideTable:
        labels = {n.mcc_mnc: n.label for n in self._job.site.networks}
        blocks = alike(aside, labels)
        of_part = Counter(x.offer.part for x in aside)
        most = len(blocks) if self._every else MOST_BLOCKS
        left = sum(of_part[part] for block in blocks[most:] for part in block.parts)
        count = counted(len(aside), "offer")
        stopped = ", ".join(f"{rule.replace('_', ' ')} {n}" for rule, n in stopped_by(aside))
        return AsideTable(
            heading=f"{said.capitalize()}: {count}",
            rows=tuple(self._aside_row(block, aside) for block in blocks[:most]),
            further=f"And {counted(left, 'more offer')}; pathproof choose JOB --all shows them. "
            f"All {len(aside)} by the first rule that each does not meet: {stopped}."
            if left
            else "",
        )

    def _aside_row(self, block: Block, aside: Sequence[SetAside]) -> AsideRow:
        said = [(x.on, reason) for x in block.said for reason in x.reasons]
        most_parts = len(block.parts) if self._every else MOST_PARTS
        most = len(said) if self._every else MOST_REASONS
        left = len(said) - most
        return AsideRow(
            parts=listed(at_most(self._parts(block), most_parts)),
            reasons=tuple(self._reason(*one) for one in said[:most]),
            further=f"And {counted(left, 'more reason')}." if left > 0 else "",
            then=then_text([x for x in aside if x.offer.part in block.parts]),
        )

    def _parts(self, block: Block) -> list[str]:
        return [self._names.part(part, PART_CHARACTERS) for part in block.parts]

    def _reason(self, said_of: str, reason: Reason) -> AsideReason:
        return AsideReason(
            on=said_of,
            text=_sentence(self._names.plain(reason.text)),
            would_need=_sentence(self._names.plain(reason.would_need)),
        )


def _meet(count: int) -> str:
    return "meets" if count == 1 else "meet"


def _sentence(text: str) -> str:
    """Words as a sentence: a capital letter where they start with a plain word, and a full stop."""
    start, *_ = text.split(" ", 1)
    capital = text[:1].upper() + text[1:] if start.isalpha() else text
    return capital if not capital or capital.endswith((".", "!", "?")) else f"{capital}."
