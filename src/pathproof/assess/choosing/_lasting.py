"""The rule SERVICE_LIFE: networks, service and platform outlive the service life, by the table."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

from pathproof.assess import alike
from pathproof.assess.choice import Rule
from pathproof.assess.choosing._offers import Bid, counted, shared
from pathproof.assess.choosing._said import Names, Said, Weight, cited, listed
from pathproof.assess.main_path import main_communicator
from pathproof.assess.retirements import Ahead, Fate, Prospect
from pathproof.assess.wording import technology_text
from pathproof.job import CommunicatorPart, Job, Network
from pathproof.terms import Technology


class Standing(IntEnum):
    """Whether something may be counted on for the service life, the more the better."""

    FAILS = 0  # gone, ending, or ends within it, by a source
    ASK = 1  # the same, but from memory only
    UNKNOWN = 2  # nothing certain is known: it counts, and somebody should ask
    LASTS = 3  # known to outlive it


def standing(prospect: Prospect) -> Standing:
    """How far a prospect can be counted on."""
    match prospect.fate:
        case Fate.GONE | Fate.ENDING | Fate.ENDS:
            return Standing.ASK if prospect.from_memory else Standing.FAILS
        case Fate.UNKNOWN:
            return Standing.UNKNOWN
        case Fate.OUTLIVES:
            return Standing.LASTS


@dataclass(frozen=True, kw_only=True)
class Counting:
    """What a bid may use of each network, and what its service life rests on."""

    said: tuple[Said, ...]
    technologies: dict[str, tuple[Technology, ...]]
    """By network: those that count towards its margin; none where the network does not count."""
    lines: tuple[str, ...]
    """What is known of each thing it needs."""
    enough: bool
    """Whether it shares technologies with as many networks as its card needs."""
    spoken: tuple[Technology, ...] | None
    """A part that spoke these alone would use just what counts; none where no such set is."""


class Lasting:
    """Judges bids by the table, each network and part looked up once."""

    def __init__(self, job: Job, today: date, names: Names) -> None:
        self._ahead, self._names = Ahead(job, today), names
        main = main_communicator(job.site)
        self._centre = "" if main is None else main.centre
        self._networks: dict[tuple[str, Technology], Prospect] = {}
        self._behind: dict[str, tuple[Prospect, ...]] = {}

    def of(self, bid: Bid, here: list[Network], need: int) -> Counting:
        """What counts of an offer's networks, and what its service life says."""
        of_network = {
            n.mcc_mnc: {t: self._network(n.mcc_mnc, t) for t in shared(bid.part, n)} for n in here
        }
        services = self._services(bid.part.id)
        usable = {network: [*found.values()] for network, found in of_network.items() if found}
        enough = len(usable) >= need
        floor = _floor(usable, need) if enough else Standing.FAILS
        technologies = {
            network: tuple(t for t, p in found.items() if standing(p) >= floor)
            for network, found in of_network.items()
        }
        counts = {t for found in technologies.values() for t in found}
        exact = all(
            counts.isdisjoint(found.keys() - technologies[n]) for n, found in of_network.items()
        )
        return Counting(
            said=(
                *self._of_services(services),
                *(self._of_networks(usable, need, floor) if enough else ()),
            ),
            technologies=technologies,
            lines=tuple(
                f"{p.name}: {_why(p)}" for found in (*usable.values(), services) for p in found
            ),
            enough=enough,
            spoken=tuple(t for t in bid.part.technologies if t in counts) if exact else None,
        )

    def against(self, part: CommunicatorPart) -> list[Said]:
        """What keeps a part out on any network."""
        said = self._of_services(self._services(part.id))
        return [s for s in said if s.weight is Weight.FAILS]

    def _of_services(self, services: tuple[Prospect, ...]) -> Iterator[Said]:
        for p in services:
            ask = f"ask until when the {p.name} is promised"
            match standing(p):
                case Standing.FAILS:
                    need = f"the {p.name} to last until {self._ahead.until}"
                    text = f"{p.name} {_too_early(p)}"
                    yield Said(Rule.SERVICE_LIFE, Weight.FAILS, text, need)
                case Standing.ASK:
                    yield Said(Rule.SERVICE_LIFE, Weight.UNDECIDED, f"{p.name} {_why(p)}", ask)
                case Standing.UNKNOWN:
                    yield Said(Rule.SERVICE_LIFE, Weight.NOTE, f"{p.name}: {_why(p)}", ask)

    def _of_networks(
        self, usable: dict[str, list[Prospect]], need: int, floor: Standing
    ) -> Iterator[Said]:
        """Enough networks last; those that are not known to last are said so."""
        if floor >= Standing.UNKNOWN:
            for found in usable.values():
                if max(map(standing, found)) is Standing.UNKNOWN:
                    yield self._note(found)
            return
        short = [found for found in usable.values() if max(map(standing, found)) <= floor]
        wanted, left = [p for found in short for p in found], len(usable) - len(short)
        roams = "" if need == 1 else f"; its card needs {counted(need)} that last, and has {left}"
        text = f"{listed([f'{p.name} {_too_early(p)}' for p in wanted])}{roams}"
        more, names = need - left, [p.name for p in wanted if standing(p) is floor]
        alone = len(names) == 1
        these = f"{counted(more)} of these"
        if floor is Standing.ASK:
            one, some = f"ask how long {names[0]} is there", f"ask how long {these} are there"
            weight = Weight.UNDECIDED
        else:
            last = f"to last until {self._ahead.until}"
            one, some, weight = f"{names[0]} {last}", f"{these} {last}", Weight.FAILS
        yield Said(Rule.SERVICE_LIFE, weight, text, one if alone else f"{some}: {listed(names)}")

    def _note(self, found: list[Prospect]) -> Said:
        open_ = [p for p in found if standing(p) is Standing.UNKNOWN]
        text = "; ".join(f"{p.name}: {_why(p)}" for p in open_)
        network = self._names.network(open_[0].network or "")
        what = alike.listed([technology_text(p.technology) for p in open_ if p.technology])
        return Said(Rule.SERVICE_LIFE, Weight.NOTE, text, f"ask until when {network} offers {what}")

    def _network(self, network: str, technology: Technology) -> Prospect:
        key = (network, technology)
        if key not in self._networks:
            self._networks[key] = self._ahead.network(network, technology)
        return self._networks[key]

    def _services(self, part: str) -> tuple[Prospect, ...]:
        if part not in self._behind:
            self._behind[part] = self._ahead.behind(part, self._centre)
        return self._behind[part]


def _floor(usable: dict[str, list[Prospect]], need: int) -> Standing:
    """The standing that enough networks have, and no more is asked of them than UNKNOWN."""
    best = sorted((max(map(standing, found)) for found in usable.values()), reverse=True)
    return min(best[need - 1], Standing.UNKNOWN)


def _too_early(prospect: Prospect) -> str:
    """What the table says of something that ends too early, with source and evidence."""
    row = prospect.row
    if row is None or row.gone_by is not None or prospect.fate is not Fate.ENDS:
        return _why(prospect)
    return f"is promised only until {row.ends_from} {cited(row.source)}"


def _why(prospect: Prospect) -> str:
    """What the table says, with source and evidence."""
    source = "" if prospect.row is None else f" {cited(prospect.row.source)}"
    return prospect.why + source
