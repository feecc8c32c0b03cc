"""Mobile links: communicator to its network, from levels read at its spot."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from pathproof.assess.antenna import fitted_run, gain_db, unfit
from pathproof.assess.context import Context
from pathproof.assess.mobile_expected import (
    Expected,
    NotThere,
    expected_levels,
    level_spread,
    limit_in_force,
    not_there_text,
    standing,
    unsaid_technologies,
)
from pathproof.assess.mobile_levels import allowed_networks, moments, network_at, spoken_in
from pathproof.assess.mobile_proof import watch_with, watched
from pathproof.assess.mobile_readings import (
    LevelsRead,
    Moment,
    network_read,
    oldest,
    step_of,
    steps_text,
    still_fits,
    taken_through,
    told_technology,
    too_old_text,
    unnamed_antenna,
    untold_text,
    young,
)
from pathproof.assess.mobile_watched import Watched
from pathproof.assess.mobile_working import Working
from pathproof.assess.retirements import Ahead, Prospect
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
    Quantity,
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
        self._id = names.mobile(communicator.id)
        self._run = fitted_run(ctx.job, communicator)
        self._module = self._run.module
        self._working = Working(ctx, self._run)
        self._allowed = allowed_networks(ctx.site, communicator)
        self._readings = self._relevant_readings()
        self._entries = self._entries_by_network()
        self._gains: dict[str | None, float | None] = {}
        self._ahead = Ahead(ctx.job, ctx.as_of.date())
        self._networks_ahead = self._prospects()

    def assess(self) -> Link:
        if self._communicator.state is AccountState.ENDED:
            return self._link(Word.LACKING, "its card and account have ended")
        ended = self._ended()
        if ended:
            return replace(self._link(Word.LACKING, ended), missing=_ANOTHER)
        if self._communicator.sim is None:
            return self._undecided("no card (SIM) is chosen, so its networks are not known")
        if not self._allowed:
            return self._undecided("it is not said which networks its card (SIM) may use")
        if not self._readings:
            return self._unlisted() or self._undecided(self._why_nothing_is_read())
        graded = self._graded()
        if not graded:
            return self._unlisted() or self._undecided(self._why_nothing_counts())
        wanted = self._networks_wanted()
        good = sum(g.margin_db >= 0 for g in graded)
        known = {g.network for g in graded}
        unread = [n for n in self._allowed if n not in known and not self._is_gone(n)]
        if good < wanted <= good + len(unread):
            return self._undecided(
                f"{good} of {wanted} good networks that its card needs are known; "
                f"not read yet: {', '.join(map(self._to_read, unread))}"
            )
        return self._conclude(graded[:wanted])

    def watch_of(self, entry: ReadingEntry) -> Watched | None:
        network = self._network(entry)
        if network is None or entry not in self._entries.get(network, ()):
            return None
        entries, read = self._entries[network], self._read(network)
        return watch_with(self._ctx, self._id, self._module, entries, read.taken, entry)

    def _prospects(self) -> dict[tuple[str, Technology], Prospect]:
        """How long each technology will be there that the module may use a network with."""
        offered = {n.mcc_mnc: n.technologies for n in self._ctx.site.networks}
        return {
            (network, t): self._ahead.network(network, t)
            for network in self._allowed
            for t in self._module.technologies
            if t in offered.get(network, ()) or not offered.get(network)
        }

    def _to_read(self, network: str) -> str:
        """A network that is not read yet, with what to read where something was read in vain."""
        read = self._read(network) if network in self._entries else LevelsRead()
        untried = [technology_text(t) for t in self._untried(network, read)]
        return f"{network} in {' or '.join(untried)}" if any(read.lost.values()) else network

    def _has_ended(self, network: str, technology: Technology) -> bool:
        prospect = self._networks_ahead.get((network, technology))
        return prospect is not None and prospect.has_ended

    def _is_gone(self, network: str) -> bool:
        """Whether a network has ended in all that the module may use it with."""
        of = [p for (code, _), p in self._networks_ahead.items() if code == network]
        return bool(of) and all(p.has_ended for p in of)

    def _ended(self) -> str:
        """That what it depends on has ended for sure, with the source; empty where it has not."""
        communicator = self._communicator
        gone = [
            p for p in self._ahead.behind(communicator.part, communicator.centre) if p.has_ended
        ]
        networks = list(self._networks_ahead.values())
        if not gone and networks and all(p.has_ended for p in networks):
            gone = networks
        return "; ".join(
            f"{p.name} {p.why} ({p.row.source.ref}, {p.row.source.evidence})" for p in gone if p.row
        )

    def _relevant_readings(self) -> list[ReadingEntry]:
        """Readings about this communicator or its spot: none too old, none of something changed."""
        return [e for e in young(self._ctx) if self._is_relevant(e)]

    def _is_relevant(self, entry: ReadingEntry) -> bool:
        spot = self._communicator.spot
        modules = {c.id for c in self._ctx.site.communicators}
        return self._is_own(entry) or (
            spot in entry.about
            and not taken_through(entry, modules)
            and not self._is_unnamed(entry)
            and still_fits(self._ctx, entry, names.spot(spot or ""))
        )

    def _is_unnamed(self, entry: ReadingEntry) -> bool:
        """Whether it was read with a final antenna, and nobody said whose."""
        return unnamed_antenna(self._ctx.site, entry.about, entry.conditions.final_antenna)

    def _is_own(self, entry: ReadingEntry) -> bool:
        """Whether the module read it itself, and is still the same with the same antenna."""
        return self._communicator.id in entry.about and still_fits(self._ctx, entry, self._id)

    def _entries_by_network(self) -> dict[str, list[ReadingEntry]]:
        found: dict[str, list[ReadingEntry]] = defaultdict(list)
        for entry in self._readings:
            network = self._network(entry)
            if network in self._allowed:
                found[network].append(entry)
        return found

    def _network(self, entry: ReadingEntry) -> str | None:
        """The network of a reading; where it names none, the only one, or the module's own."""
        here = [n.mcc_mnc for n in self._ctx.site.networks] or self._allowed
        return network_read(entry, self._allowed if self._is_own(entry) else here)

    def _technology(self, entry: ReadingEntry, quantity: Quantity) -> Technology | None:
        """The technology of a level; where its entry names none, what the module can have read."""
        speaks = self._module.technologies
        if entry.values.technology is None and self._is_own(entry):
            own = spoken_in(speaks, quantity)
            if own is not None:
                return own
        network = network_at(self._ctx.site, self._network(entry))
        return told_technology(entry, quantity, network, gsm_only=set(speaks) == {Technology.GSM})

    def _read(self, network: str) -> LevelsRead:
        """What was read of a network, by technology."""
        found = LevelsRead()
        for entry in self._entries[network]:
            found.add(self._ctx, entry, partial(self._technology, entry))
        return found

    def _graded(self) -> list[_Graded]:
        """The networks of which something tells, the best first."""
        graded = (self._grade(network) for network in sorted(self._entries))
        return sorted((g for g in graded if g is not None), key=lambda g: g.rank, reverse=True)

    def _grade(self, network: str) -> _Graded | None:
        """A network by the technology that comes off best."""
        read = self._read(network)
        watches = watched(self._ctx, self._id, self._module, self._entries[network], read.taken)
        found = expected_levels(self._ctx, self._module, network, read, self._gain)
        of_technology = {e.technology: e for e in found}
        graded = []
        for technology in self._module.technologies:
            if self._has_ended(network, technology):
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
        open_ = best is not None and best.never and self._untried(network, read)
        return None if open_ else best

    def _untried(self, network: str, read: LevelsRead) -> list[Technology]:
        """Technologies that the module may use the network with, and nobody looked for."""
        offered = next(
            (n.technologies for n in self._ctx.site.networks if n.mcc_mnc == network), []
        )
        return [
            t
            for t in self._module.technologies
            if (t in offered or not offered)
            and not read.told(t)
            and not self._has_ended(network, t)
        ]

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
        own = self._is_own(entry)
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

    def _why_nothing_is_read(self) -> str:
        """That no level is on record, or none that is young enough."""
        too_old = [
            e.at
            for e in self._ctx.entries
            if isinstance(e, ReadingEntry) and e.at < oldest(self._ctx) and self._is_relevant(e)
        ]
        if not too_old:
            nothing = f"no level is on record for {self._place()}"
            spot = self._communicator.spot
            if any(self._is_unnamed(e) for e in young(self._ctx) if spot in e.about):
                return f"{nothing} that says whose final antenna it was read with"
            return nothing
        why = too_old_text(self._ctx, max(too_old))
        return f"what was read for {self._place()} is {why}; read again"

    def _why_nothing_counts(self) -> str:
        speaks = ", ".join(technology_text(t) for t in self._module.technologies)
        quantities = {x.quantity for e in self._readings for _, y in moments(e) for x in y}
        steps = [step for e in self._readings if (step := step_of(e)) is not None]
        if not quantities and steps:
            return steps_text(steps[-1])
        if not quantities and not self._in_vain():
            return "what was read holds no level"
        if all(self._network(e) is None for e in self._readings):
            return "the reading does not say which network it is of"
        if quantities and quantities <= {Quantity.RSSI_DBM, Quantity.BER_PERCENT}:
            return f"RSSI alone does not grade {speaks}; read RSRP (+CESQ)"
        return (
            self._untold()
            or self._unsaid()
            or self._in_vain()
            or self._unfit()
            or f"nothing read is of a network and technology that it uses ({speaks})"
        )

    def _in_vain(self) -> str:
        """That a network was looked for in vain, and in what it is to be looked for yet."""
        for network in self._entries:
            read = self._read(network)
            lost = [technology_text(t) for t, x in read.lost.items() if x and not read.taken.get(t)]
            untried = [technology_text(t) for t in self._untried(network, read)]
            if lost and untried:
                return (
                    f"{network} was looked for in {' and '.join(lost)} and not heard; read it in "
                    f"{' or '.join(untried)}"
                )
        return ""

    def _unlisted(self) -> Link | None:
        """That no network of the card is known to offer what the module speaks; none if one is."""
        speaks = ", ".join(technology_text(t) for t in self._module.technologies)
        listed = [n for n in self._ctx.site.networks if n.mcc_mnc in self._allowed]
        offered = {t for n in listed for t in n.technologies}
        silent = len(listed) < len(self._allowed) or not all(n.technologies for n in listed)
        if silent or offered & set(self._module.technologies):
            return None
        codes = " and ".join(n.mcc_mnc for n in listed)
        they = "is" if len(listed) == 1 else "are"
        why = (
            f"{codes} {they} not known to offer {speaks}, which is all that the module speaks: "
            "list it in the site's networks if it is offered there, or take another module"
        )
        return replace(self._undecided(why), missing=_LIST_IT)

    def _untold(self) -> str:
        """That a reading may be of several technologies of its network."""
        for network, entries in self._entries.items():
            here = network_at(self._ctx.site, network)
            told = [untold_text(e, here) for e in entries]
            if any(told):
                return f"{network}: {max(told)}"
        return ""

    def _unsaid(self) -> str:
        """That the site does not say whether a network offers what LTE would stand in for."""
        for network in self._entries:
            read = self._read(network)
            asked = unsaid_technologies(self._ctx, self._module, network, read)
            if asked:
                said = " or ".join(technology_text(t) for t in asked)
                return (
                    f"LTE was read, and it is not said whether {network} offers {said} here; ask "
                    "the operator and list its technologies, or read the technology itself"
                )
        return ""

    def _unfit(self) -> str:
        """Why the antenna makes nothing of what was read."""
        taken = [t for n in self._entries for of in self._read(n).taken.values() for t in of]
        for one in taken:
            why = unfit(self._run, one.band, self._ctx)
            if why is not None and one.technology in self._module.technologies:
                return why
        return ""

    def _place(self) -> str:
        spot = self._communicator.spot
        return self._communicator.id if spot is None else f"{self._communicator.id} or spot {spot}"

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
            evidence=tuple(e.id for e in self._readings),
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
