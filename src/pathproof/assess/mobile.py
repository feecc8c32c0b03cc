"""Mobile links: communicator to its network, from levels read at its spot."""

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from pathproof.assess.antenna import gain_db
from pathproof.assess.context import Context
from pathproof.assess.mobile_expected import (
    Expected,
    NotThere,
    expected_levels,
    level_spread,
    limit_in_force,
    not_there_text,
    standing,
)
from pathproof.assess.mobile_heard import Heard
from pathproof.assess.mobile_proof import watch_with, watched
from pathproof.assess.mobile_readings import (
    Moment,
    still_fits,
)
from pathproof.assess.mobile_undecided import unlisted, why_nothing_counts, why_nothing_is_read
from pathproof.assess.mobile_watched import Watched
from pathproof.assess.mobile_working import Working
from pathproof.assess.types import Link, Margin
from pathproof.assess.wording import technology_text
from pathproof.calc.radio import link_odds
from pathproof.job import Communicator
from pathproof.job import links as names
from pathproof.job.record import ReadingEntry
from pathproof.terms import (
    AccountState,
    LimitName,
    LinkKind,
    Reason,
    SimKind,
    Technology,
    Word,
)


@dataclass(frozen=True, kw_only=True)
class _Graded:
    """One network as seen from the communicator."""

    network: str
    margin_db: float
    odds: float
    spread_db: float
    proven: bool
    usable: bool
    limit: LimitName
    how: str
    """What the margin comes from, in words."""
    at_least: bool = False
    """Whether a margin that lacks is known only from above."""
    missing: str = ""
    """What is missing to prove it; empty where nobody began to watch."""
    not_there: str = ""
    """That the network was not there too often to have a level, in words; empty where it was."""
    never: bool = False
    """Whether it was not there at any moment."""
    band: str | None = None
    """Band of the reading that decides; none where it does not say."""

    @property
    def rank(self) -> tuple[int, float]:
        """What goes first: proven, predicted, not confirmed, lacking; then by margin."""
        return standing(self.usable, self.margin_db, proven=self.proven)


def mobile_link(ctx: Context, communicator: Communicator) -> Link:
    """The link of one communicator to the network or networks that its card may use."""
    return _MobileLink(ctx, communicator).assess()


def watch_of(ctx: Context, communicator: Communicator, entry: ReadingEntry) -> Watched | None:
    """What the watch with an entry shows of a communicator's link; none where it proves nothing."""
    return _MobileLink(ctx, communicator).watch_of(entry)


def no_communicator() -> Link:
    """The link that stands for a communicator nobody has chosen yet."""
    return Link(
        id=names.mobile("none"),
        kind=LinkKind.MOBILE,
        start="panel",
        end="mobile network",
        word=Word.UNDECIDED,
        why="no communicator is chosen yet",
        reason=Reason.INPUT,
    )


_ANOTHER = (
    "Choose a communicator and card with a network and a service that last longer "
    "(pathproof retirements shows what is known)."
)
_LIST_IT = (
    "Ask the operator whether the network offers there what the module speaks, and list it in the "
    "site's networks; or take another module."
)


class _MobileLink:
    def __init__(self, ctx: Context, communicator: Communicator) -> None:
        self._ctx, self._communicator = ctx, communicator
        self._heard = heard = Heard(ctx, communicator)
        self._id, self._run, self._module = heard.id, heard.run, heard.module
        self._working = Working(ctx, heard.run)
        self._gains: dict[str | None, float | None] = {}

    def assess(self) -> Link:
        if self._communicator.state is AccountState.ENDED:
            return self._link(Word.LACKING, "its card and account have ended")
        ended = self._heard.ended()
        if ended:
            return replace(self._link(Word.LACKING, ended), missing=_ANOTHER)
        if self._communicator.sim is None:
            return self._undecided("no card (SIM) is chosen, so its networks are not known")
        if not self._heard.allowed:
            return self._undecided("it is not said which networks its card (SIM) may use")
        if not self._heard.readings:
            return self._nothing(why_nothing_is_read)
        graded = self._graded()
        if not graded:
            return self._nothing(why_nothing_counts)
        wanted = self._networks_wanted()
        good = sum(g.margin_db >= 0 for g in graded)
        known = {g.network for g in graded}
        unread = [n for n in self._heard.allowed if n not in known and not self._heard.is_gone(n)]
        if good < wanted <= good + len(unread):
            return self._undecided(
                f"{good} of {wanted} good networks that its card needs are known; "
                f"not read yet: {', '.join(map(self._heard.to_read, unread))}"
            )
        return self._conclude(graded[:wanted])

    def watch_of(self, entry: ReadingEntry) -> Watched | None:
        network = self._heard.network(entry)
        if network is None or entry not in self._heard.entries.get(network, ()):
            return None
        entries, read = self._heard.entries[network], self._heard.read(network)
        return watch_with(self._ctx, self._id, self._module, entries, read.taken, entry)

    def _graded(self) -> list[_Graded]:
        """The networks of which something tells, the best first."""
        graded = (self._grade(network) for network in sorted(self._heard.entries))
        return sorted((g for g in graded if g is not None), key=lambda g: g.rank, reverse=True)

    def _grade(self, network: str) -> _Graded | None:
        """A network by the technology that comes off best."""
        read = self._heard.read(network)
        watches = watched(
            self._ctx, self._id, self._module, self._heard.entries[network], read.taken
        )
        found = expected_levels(self._ctx, self._module, network, read, self._gain)
        of_technology = {e.technology: e for e in found}
        graded = []
        for technology in self._module.technologies:
            if self._heard.has_ended(network, technology):
                continue
            watch = watches.get(technology)
            if watch is not None:
                self._working.watch(network, watch)
            if watch is not None and watch.word is not None:
                graded.append(self._by_watch(network, watch))
            elif technology in of_technology:
                missing = "" if watch is None else watch.missing
                graded.append(self._by_expected(of_technology[technology], missing))
        best = max(graded, key=lambda g: g.rank, default=None)
        open_ = best is not None and best.never and self._heard.untried(network, read)
        return None if open_ else best

    def _by_expected(self, expected: Expected | NotThere, missing: str) -> _Graded:
        if isinstance(expected, NotThere):
            self._working.not_there(
                expected.network, expected.technology, expected.lost, expected.moments
            )
            return _not_there(expected.network, expected.limit, expected.said, expected.never)
        final = self._read_with_final_antenna(expected.decides)
        self._working.expected(expected, final=final)
        carried = ""
        if expected.carried is not None:
            said = technology_text(expected.technology)
            carried = f" of {technology_text(Technology.LTE)}, carried over to {said}"
            missing = missing or f"read {said} itself; what was read of LTE proves nothing of it"
        count = expected.readings
        lost = f", {expected.lost} of them without a network" if expected.lost else ""
        return _Graded(
            network=expected.network,
            margin_db=expected.margin_db,
            odds=expected.odds,
            spread_db=expected.spread_db,
            proven=False,
            usable=expected.usable,
            limit=expected.limit,
            how=f"from {count} reading{'' if count == 1 else 's'}{lost}{carried}",
            missing=missing,
            band=expected.decides.band,
        )

    def _by_watch(self, network: str, watch: Watched) -> _Graded:
        usable, limit = limit_in_force(self._ctx, watch.technology)
        if watch.not_there:
            self._working.not_there(network, watch.technology, watch.lost, watch.readings)
            said = not_there_text(watch.technology, watch.lost, watch.readings)
            over = f"{said}, measured over {watch.minutes:.0f} minutes"
            return _not_there(network, limit, over, watch.lost == watch.readings)
        fade_db = self._ctx.value(LimitName.MOBILE_FADE_MARGIN_DB)
        spread = level_spread(self._ctx, [(t, 0.0) for t in watch.taken])
        odds = float(link_odds(watch.margin_db + fade_db, spread.value_db))
        self._working.of_watch(network, watch, spread, odds)
        return _Graded(
            network=network,
            margin_db=watch.margin_db,
            odds=odds,
            spread_db=spread.value_db,
            proven=watch.word is Word.PROVEN,
            usable=usable,
            limit=limit,
            how=f"measured over {watch.minutes:.0f} minutes",
            at_least=watch.open_below,
            band=watch.band,
        )

    def _gain(self, taken: Moment) -> float | None:
        """What antenna and feeder add to a reading: nothing where they were there."""
        if self._read_with_final_antenna(taken):
            return 0.0
        if taken.band not in self._gains:
            self._gains[taken.band] = gain_db(self._run, taken.band, self._ctx)
        return self._gains[taken.band]

    def _read_with_final_antenna(self, taken: Moment) -> bool:
        entry = taken.entry
        told = entry.conditions.final_antenna
        own = self._heard.is_own(entry)
        return own if told is None else told and still_fits(self._ctx, entry, self._id)

    def _networks_wanted(self) -> int:
        sim = self._communicator.sim
        if sim is None or sim.kind is SimKind.FIXED:
            return 1
        return int(self._ctx.value(LimitName.MOBILE_NETWORKS_ROAMING))

    def _conclude(self, deciding: list[_Graded]) -> Link:
        worst = deciding[-1]
        if not worst.usable:
            return self._link(
                Word.UNDECIDED,
                f"the limit {worst.limit} is from memory and not confirmed",
                reason=Reason.LIMIT,
            )
        if worst.not_there:
            why = f"{self._needs()}{worst.network}: {worst.not_there}"
            return replace(self._link(Word.LACKING, why), network=worst.network)
        if worst.margin_db < 0:
            least = "at least " if worst.at_least else ""
            why = (
                f"{self._needs()}{worst.network} lacks {least}{-worst.margin_db:.1f} dB of need "
                f"and fade margin, {worst.how}"
            )
            return self._by_network(Word.LACKING, why, worst)
        if len(deciding) < self._networks_wanted():
            return self._too_few(deciding)
        worst = min(reversed(deciding), key=lambda g: g.margin_db)
        shown = " and ".join(g.network for g in deciding)
        why = f"{shown}: {worst.margin_db:.1f} dB over need and fade margin, {worst.how}"
        if all(g.proven for g in deciding):
            return self._by_network(Word.PROVEN, why, worst)
        missing = _missing(deciding)
        why = f"{why}; {missing}" if missing else why
        return self._by_network(Word.PREDICTED, why, worst, missing)

    def _by_network(self, word: Word, why: str, decides: _Graded, missing: str = "") -> Link:
        return replace(
            self._link(word, why),
            missing=missing,
            network=decides.network,
            band=decides.band,
            margin=Margin(value=decides.margin_db, unit="dB"),
            scale=decides.spread_db,
            probability=decides.odds,
        )

    def _needs(self) -> str:
        asked = self._networks_wanted()
        return f"the card roams and needs {asked} good networks; " if asked > 1 else ""

    def _too_few(self, good: list[_Graded]) -> Link:
        """A card that needs more networks than it may use here, all of them good."""
        shown = " and ".join(g.network for g in good)
        sim = self._communicator.sim
        if sim is not None and sim.networks:
            return self._link(Word.LACKING, f"{self._needs()}it may use {shown} and no other")
        return self._undecided(f"{self._needs()}the site lists {shown} and no other")

    def _nothing(self, why: Callable[[Heard], str]) -> Link:
        """Undecided, as no level counts."""
        none_offers = unlisted(self._heard)
        if none_offers:
            return replace(self._undecided(none_offers), missing=_LIST_IT)
        return self._undecided(why(self._heard))

    def _undecided(self, why: str) -> Link:
        return self._link(Word.UNDECIDED, why, reason=Reason.INPUT)

    def _link(self, word: Word, why: str, *, reason: Reason | None = None) -> Link:
        return Link(
            id=self._id,
            kind=LinkKind.MOBILE,
            start=self._communicator.id,
            end="mobile network",
            word=word,
            why=why,
            reason=reason,
            evidence=tuple(e.id for e in self._heard.readings),
            working=self._working.finished(),
        )


def _not_there(network: str, limit: LimitName, said: str, never: bool) -> _Graded:
    """A network that was not there too often, by what was read."""
    return _Graded(
        network=network,
        margin_db=-math.inf,
        odds=0.0,
        spread_db=0.0,
        proven=False,
        usable=True,
        limit=limit,
        how="",
        not_there=said,
        never=never,
    )


def _missing(deciding: Sequence[_Graded]) -> str:
    """What is missing to prove the networks that decide; empty where nobody began to."""
    if not any(g.missing for g in deciding):
        return ""
    networks: dict[str, list[str]] = defaultdict(list)
    for one in deciding:
        if not one.proven:
            networks[one.missing or "not watched with everything final yet"].append(one.network)
    return "; ".join(f"{' and '.join(of)}: {missing}" for missing, of in networks.items())
