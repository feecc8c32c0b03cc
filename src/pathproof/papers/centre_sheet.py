"""The sheet on communicator, network and antenna, and what a customer reads of them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from pathproof.assess.mobile_levels import allowed_networks
from pathproof.assess.radio_distance import centimetres, radio_distance
from pathproof.assess.retirements import Fate, Outlook, Prospect, outlooks, site_exposed_from
from pathproof.assess.types import Assessment
from pathproof.job import Communicator, Job
from pathproof.job.links import mobile
from pathproof.papers._text import date_text
from pathproof.papers.antenna_rows import AntennaRows, antenna_rows
from pathproof.papers.choice_rows import ChoiceRows, choice_rows
from pathproof.papers.communicator_rows import CommunicatorRow, communicator_rows
from pathproof.papers.ending_rows import Endings, ending_name, endings
from pathproof.papers.names import Names
from pathproof.papers.network_rows import NetworkRows, network_rows
from pathproof.papers.working import SourceBook
from pathproof.terms import AccountState, Role, Word


@dataclass(frozen=True, kw_only=True)
class CentreSheet:
    """The way from the panel to the centre: what carries it, and why that."""

    communicators: tuple[CommunicatorRow, ...]
    choice: ChoiceRows
    networks: NetworkRows | None
    antennas: AntennaRows
    endings: tuple[Endings, ...]


def centre_sheet(
    job: Job, assessment: Assessment, names: Names, book: SourceBook
) -> CentreSheet | None:
    """The sheet; none for a site with no communicator and nothing to choose one by."""
    site = job.site
    if not (site.communicators or site.networks or site.spots or assessment.choice):
        return None
    found = outlooks(job, assessment.as_of)
    ends_told = {p.name for o in found for p in (*o.networks, *o.services)}
    return CentreSheet(
        communicators=communicator_rows(job, assessment, names),
        choice=choice_rows(job, assessment.choice, names, ends_told),
        networks=network_rows(job, assessment, names, book),
        antennas=antenna_rows(job, assessment, book),
        endings=endings(found, names),
    )


def centre_plain(job: Job, assessment: Assessment) -> tuple[str, ...]:
    """The same for a customer, in sentences that name no place."""
    names = Names(job, assessment)
    in_use = [c for c in job.site.communicators if c.state is not AccountState.ENDED]
    return tuple(
        [
            *(_carried(job, c, assessment, names) for c in in_use),
            *_ends(outlooks(job, assessment.as_of), assessment.as_of.date(), names),
            *_distance(job, in_use),
        ]
    )


def _carried(job: Job, communicator: Communicator, assessment: Assessment, names: Names) -> str:
    """By which networks the alarm travels, or is to where nothing proves that yet."""
    codes = [] if communicator.sim is None else list(allowed_networks(job.site, communicator))
    path = "" if communicator.role is Role.MAIN else ", as a second path,"
    if not codes:
        return f"Which mobile network carries your alarm{path} is not chosen yet."
    many = "whichever of the mobile networks" if codes[1:] else "the mobile network"
    reach = " it reaches best" if codes[1:] else ""
    proven = assessment.link(mobile(communicator.id)).word is Word.PROVEN
    travels = "travels" if proven else "is to travel"
    return f"Your alarm {travels}{path} over {many} {names.networks(codes)}{reach}."


def _ends(found: Sequence[Outlook], today: date, names: Names) -> Iterator[str]:
    """Switch-offs that are known, and whether anything is left then."""
    prospects = {p.name: p for o in found for p in (*o.networks, *o.services)}
    ending = [p for p in prospects.values() if p.fate in (Fate.GONE, Fate.ENDING, Fate.ENDS)]
    yield from (
        f"{'A service behind your system' if p.network is None else ending_name(p, names)} "
        f"{_when(p)}."
        for p in sorted(ending, key=lambda p: (p.counts_from is None, p.counts_from, p.name))
    )
    exposed_from = site_exposed_from(found)
    if exposed_from is not None and exposed_from <= today:
        yield (
            "By what is known nothing may be left already: do not rely on the system until we have "
            "looked into it."
        )
    elif exposed_from is not None and exposed_from <= max(o.serves_until for o in found):
        yield (
            f"By what is known nothing would be left from {date_text(exposed_from)} on: the "
            "communicator has to be changed before then. We will tell you in time."
        )
    elif ending:
        yield (
            "By what is known the system has other ways left then; we look again at every visit."
        )
    elif found:
        yield (
            "No switch-off of these networks is known within the years that the system is to "
            "serve. Nobody announces them that far ahead, so we look again at every visit."
        )


def _when(prospect: Prospect) -> str:
    on = prospect.counts_from
    memory = " (to be asked again)" if prospect.from_memory else ""
    if prospect.fate is Fate.GONE or on is None:
        return f"has been switched off{memory}"
    if prospect.fate is Fate.ENDING:
        return f"may be switched off already{memory}"
    return f"is to be switched off from {date_text(on)} on{memory}"


def _distance(job: Job, in_use: Sequence[Communicator]) -> Iterator[str]:
    if in_use:
        keep_m = max(radio_distance(job, c).keep_m for c in in_use)
        yield (
            f"Let nobody stay nearer than {centimetres(keep_m)} cm to the antenna, and do not move "
            "or cover it."
        )
