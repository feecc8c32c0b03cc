"""The rules READINGS and MARGIN: what a bid has at each spot with each antenna."""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import partial

from pathproof.assess import alike
from pathproof.assess.antenna import AntennaRun, gain_db
from pathproof.assess.choice import Rule
from pathproof.assess.choosing._hanging import Hanging, Hangings
from pathproof.assess.choosing._offers import counted, shared_bands
from pathproof.assess.choosing._said import Names, Said, Weight, listed
from pathproof.assess.context import Context
from pathproof.assess.main_path import main_communicator
from pathproof.assess.mobile_at_spots import ExpectedLevels
from pathproof.assess.mobile_expected import Expected, NotThere, standing
from pathproof.assess.wording import technology_text
from pathproof.job import Communicator, CommunicatorPart, Network
from pathproof.terms import Technology

CONNECTORS = 2
"""Mated pairs on a feeder: one at the module, one at the antenna."""

Counted = Mapping[str, tuple[Technology, ...]]
"""Networks with the technologies of them that count."""


class State(StrEnum):
    """How a bid stands at one spot with one antenna."""

    MEETS = "meets"
    UNCONFIRMED = "unconfirmed"  # a limit is from memory
    UNREAD = "unread"  # what is not read yet decides
    LACKS = "lacks"


@dataclass(frozen=True, kw_only=True)
class Graded:
    """A bid at one spot with one antenna.

    `deciding` are the best networks, as many as the card needs or as were read; the last of them
    decides.
    """

    hanging: Hanging
    state: State
    network: str
    """The network that decides; empty where none was heard."""
    margin_db: float
    spread_db: float
    odds: float
    deciding: tuple[Expected, ...]
    unread: Counted
    """What is not read there and could count."""
    silent: Mapping[str, str] = field(default_factory=dict)
    """Networks that were not there too often to count, with that in words; empty if never."""
    uncounted: Mapping[str, str] = field(default_factory=dict)
    """What was read of networks that are not read for all that, and why it does not count."""
    fitted: bool = False
    stays: bool = False
    """Whether module, card and what hangs stay as they are, so that no evidence is voided."""


class Levels:
    """Expected levels by network, spot and antenna, each worked out once."""

    def __init__(self, ctx: Context, hangings: Hangings) -> None:
        self._ctx, self._hangings = ctx, hangings
        self._expected = ExpectedLevels(ctx)
        self._here = {n.mcc_mnc: n for n in ctx.site.networks}
        self._main = main_communicator(ctx.site)
        self._found: dict[tuple[object, ...], Expected | NotThere | None] = {}
        self._gains_db: dict[tuple[object, ...], float | None] = {}
        self._modules: dict[tuple[str, tuple[Technology, ...]], CommunicatorPart] = {}

    def graded(
        self,
        part: CommunicatorPart,
        counting: Counted,
        hanging: Hanging,
        need: int,
        fitted: AntennaRun | None = None,
    ) -> Graded | None:
        """How a part stands at a spot with an antenna, on the networks that count.

        None where the antenna is made for the bands of too few of them. `fitted` is what hangs
        there already, where it does.
        """
        read: list[Expected] = []
        unread: dict[str, tuple[Technology, ...]] = {}
        silent: dict[str, str] = {}
        run = fitted or self._run(part, hanging, tuple(counting))
        gain = partial(self._gain_db, run)
        for network, technologies in counting.items():
            if not technologies:
                continue
            found = self._at(part, technologies, network, hanging, run)
            if isinstance(found, Expected):
                read.append(found)
            elif found is not None and not found.never:
                silent[network] = found.said
            elif self._may_be_read(part, network, run):
                nothing = self._expected.in_vain(hanging.spot, network, gain)
                left = () if None in nothing else tuple(t for t in technologies if t not in nothing)
                if left:
                    unread[network] = left
                else:
                    silent[network] = ""
        if len(read) + len(unread) + len(silent) < need:
            return None
        uncounted = {n: self._expected.uncounted(hanging.spot, n, gain) for n in unread}
        return grade(hanging, read, unread, silent, need, {n: x for n, x in uncounted.items() if x})

    def looked_at(self, spot: str) -> bool:
        """Whether some network was read at a spot, or looked for and not heard."""
        heard = self._expected.networks_read(spot)
        return bool(heard) or any(self._expected.looked_for_in_vain(spot, n) for n in self._here)

    def _at(
        self,
        part: CommunicatorPart,
        technologies: tuple[Technology, ...],
        network: str,
        hanging: Hanging,
        run: AntennaRun,
    ) -> Expected | NotThere | None:
        how = (hanging, run.networks, run.connectors, run.crossed, run.near_metal)
        own_db = part.antenna_gain_dbi if hanging.antenna.antenna is None else None
        key = (technologies, tuple(part.bands), own_db, network, how)
        if key not in self._found:
            module = self._module(part, technologies)
            gain = partial(self._gain_db, run)
            self._found[key] = self._expected.at_spot(module, network, hanging.spot, gain)
        return self._found[key]

    def _may_be_read(self, part: CommunicatorPart, network: str, run: AntennaRun) -> bool:
        """Whether the antenna is made for some band that part and network share, as far as told."""
        bands = shared_bands(part, self._here[network])
        return not bands or any(self._gain_db(run, band) is not None for band in bands)

    def _gain_db(self, run: AntennaRun, band: str | None) -> float | None:
        """What a run adds; of module and card only the own antenna matters, and bands unread."""
        antenna = run.module.antenna_gain_dbi if run.antenna is None else run.antenna.id
        feeder = None if run.feeder is None else run.feeder.id
        unread = (tuple(run.module.bands), run.networks) if band is None else ()
        how = (run.length_m, run.connectors, run.crossed, run.near_metal)
        key = (antenna, feeder, how, band, unread)
        if key not in self._gains_db:
            self._gains_db[key] = gain_db(run, band, self._ctx)
        return self._gains_db[key]

    def _run(
        self, module: CommunicatorPart, hanging: Hanging, networks: tuple[str, ...]
    ) -> AntennaRun:
        antenna, feeder = self._hangings.parts(hanging.antenna)
        stays = self._stays(hanging)
        return AntennaRun(
            module=module,
            antenna=antenna,
            feeder=feeder,
            length_m=hanging.antenna.cable_m,
            connectors=0 if feeder is None else CONNECTORS,
            crossed=stays is not None and stays.antenna_crossed,
            near_metal=stays is not None and stays.antenna_near_metal,
            networks=networks,
        )

    def _stays(self, hanging: Hanging) -> Communicator | None:
        """The communicator whose antenna hangs there already."""
        main, hung = self._main, (hanging.antenna.antenna, hanging.spot)
        return main if main is not None and (main.antenna, main.spot) == hung else None

    def _module(
        self, part: CommunicatorPart, technologies: tuple[Technology, ...]
    ) -> CommunicatorPart:
        """The part with no more than the technologies that count."""
        if list(technologies) == part.technologies:
            return part
        key = (part.id, technologies)
        if key not in self._modules:
            self._modules[key] = part.model_copy(update={"technologies": list(technologies)})
        return self._modules[key]


def grade(
    hanging: Hanging,
    read: Sequence[Expected],
    unread: Counted,
    silent: Mapping[str, str],
    need: int,
    uncounted: Mapping[str, str] | None = None,
) -> Graded:
    """How a card that needs so many networks stands with what is expected of each."""
    order = sorted(read, key=lambda e: e.network)
    best = sorted(order, key=lambda e: standing(e.usable, e.margin_db), reverse=True)[:need]
    good = sum(e.usable and e.margin_db >= 0.0 for e in best)
    unconfirmed = sum(not e.usable for e in best)
    if good == need:
        state = State.MEETS
    elif good + unconfirmed + len(unread) < need:
        state = State.LACKS
    else:
        state = State.UNCONFIRMED if good + unconfirmed == need else State.UNREAD
    short = len(best) < need and silent  # then one that is not heard decides
    last = None if short or not best else best[-1]
    return Graded(
        hanging=hanging,
        state=state,
        network="" if last is None else last.network,
        margin_db=-math.inf if last is None else last.margin_db,
        spread_db=0.0 if last is None else last.spread_db,
        odds=0.0 if last is None else last.odds,
        deciding=tuple(best),
        unread=unread,
        silent=silent,
        uncounted=uncounted or {},
    )


def best_of(graded: Sequence[Graded], state: State) -> Graded | None:
    """The one with the most margin among those in a state; of equal ones the simplest."""
    found = [g for g in graded if g.state is state]
    return min(found, key=lambda g: (-round(g.margin_db, 6), g.hanging.simplicity), default=None)


def simplest_of(graded: Sequence[Graded]) -> Graded | None:
    """The simplest one that is enough: own antenna first, then the shortest cable."""
    found = [g for g in graded if g.state is State.MEETS]
    return min(
        found,
        key=lambda g: (*g.hanging.simplicity[:2], -round(g.margin_db, 6), g.hanging.simplicity),
        default=None,
    )


def unfit_said(
    part: CommunicatorPart, networks: Sequence[Network], need: int, names: Names
) -> Said:
    """What ANTENNA says where no antenna is made for the bands of enough networks."""
    bands = sorted({b for n in networks for b in shared_bands(part, n)}, key=lambda b: (len(b), b))
    told = names.networks([n.mcc_mnc for n in networks])
    roams = "" if need == 1 else f"; its card needs {counted(need)}"
    text = f"no antenna that is considered is made for the bands of {told}{roams}"
    wanted = f"an antenna made for band {' or '.join(bands)}"
    return Said(Rule.ANTENNA, Weight.FAILS, text, wanted)


def levels_said(graded: Sequence[Graded], need: int, names: Names) -> Iterator[Said]:
    """What READINGS and MARGIN say of a bid, where no spot and antenna is enough."""
    if best_of(graded, State.MEETS) is not None:
        return
    unconfirmed = best_of(graded, State.UNCONFIRMED)
    unread = [g for g in graded if g.state is State.UNREAD]
    if unconfirmed is not None:
        limits = sorted({str(e.limit) for e in unconfirmed.deciding if not e.usable})
        text = f"the limit {listed(limits)} is from memory and not confirmed"
        yield Said(Rule.MARGIN, Weight.UNDECIDED, text, f"confirm {listed(limits)} from a copy")
    if unread:
        yield _unread(unread, need, names)
    lacking = best_of(graded, State.LACKS)
    if unconfirmed is None and not unread and lacking is not None:
        yield _lacks(lacking, names)


def _unread(unread: Sequence[Graded], need: int, names: Names) -> Said:
    spots: dict[str, list[str]] = defaultdict(list)
    for spot, graded in {g.hanging.spot: g for g in unread}.items():
        spots[_wanted(graded, need, names)].append(names.spot(spot))
    where = [
        f"{wanted} at {alike.listed(at, most=len(at), joint='or')}" for wanted, at in spots.items()
    ]
    networks = names.networks(list(dict.fromkeys(n for g in unread for n in g.unread)))
    roams = "" if need == 1 else f"its card needs {counted(need)}; "
    why = {
        f"; {names.network(n)} at {names.spot(g.hanging.spot)}: {said}"
        for g in unread
        for n, said in g.uncounted.items()
    }
    text = f"{roams}no level that counts is read of {networks}{''.join(sorted(why))}"
    return Said(Rule.READINGS, Weight.UNDECIDED, text, f"read {', or '.join(where)}")


def _wanted(graded: Graded, need: int, names: Names) -> str:
    """What to read at its spot: all that is unread, or as many of it as could be enough."""
    more = need - sum(not e.usable or e.margin_db >= 0.0 for e in graded.deciding)
    which = to_be_read(graded.unread, names)
    if more >= len(graded.unread):
        return which
    return f"{'one' if more == 1 else more} of {which}"


def to_be_read(networks: Mapping[str, Iterable[Technology]], names: Names) -> str:
    """Networks with the technologies to read them in, those with the same ones together."""
    spoken: dict[str, list[str]] = defaultdict(list)
    for network, technologies in networks.items():
        how = alike.listed([*map(technology_text, technologies)], joint="or")
        spoken[how].append(network)
    return listed([f"{names.networks(same)} in {how}" for how, same in spoken.items()])


def _lacks(best: Graded, names: Names) -> Said:
    if math.isinf(best.margin_db):
        where, unheard = names.spot(best.hanging.spot), names.networks(list(best.silent))
        never = [n for n, said in best.silent.items() if not said]
        texts = [
            f"{names.network(n)}: {said} at {where}" for n, said in best.silent.items() if said
        ]
        texts += (
            [f"{names.networks(never)} was looked for at {where} and not heard"] if never else []
        )
        text = "; ".join(texts)
        return Said(Rule.MARGIN, Weight.FAILS, text, f"{unheard} to be heard at {where}")
    where = f"at {names.spot(best.hanging.spot)} with {hung(best.hanging)}"
    lack = f"{math.ceil(-best.margin_db * 10.0 - 1e-6) / 10.0:.1f} dB"
    text = (
        f"{names.network(best.network)} lacks {lack} of need and fade margin {where}, "
        "where it has the most"
    )
    return Said(Rule.MARGIN, Weight.FAILS, text, f"{lack} more of each of its networks {where}")


def hung(hanging: Hanging) -> str:
    """What hangs there, in words."""
    a = hanging.antenna
    if a.antenna is None:
        return "its own antenna"
    over = "" if a.feeder is None else f" over {a.cable_m:.1f} m of {a.feeder}"
    return f"{a.antenna}{over}"
