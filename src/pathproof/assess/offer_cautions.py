"""What to mind before an offer is taken: safety first, then what its parts' entries say."""

from collections.abc import Iterator
from typing import Final

from pathproof.assess.antenna_care import CARE_IN_BRIEF
from pathproof.assess.choice import Ranked
from pathproof.assess.main_path import main_communicator
from pathproof.assess.radio_distance import radio_distance
from pathproof.assess.taking import as_communicator
from pathproof.job import AntennaPart, Job, Site
from pathproof.terms import AntennaPlace

PAPERS_FIRST: Final = "What the module's papers and the rules of the place ask comes first"
_OUTSIDE: Final = (
    "An antenna outside is work at heights, wants lightning protection and bonding, and may need "
    "leave of the owner or the authorities. Local codes come first; where they ask for a licensed "
    "person, a licensed person does it. Keep clear of overhead lines."
)
_ABOVE_CEILING: Final = (
    "Above a ceiling: use a ladder made for the height, and look for cables, pipes and old "
    "insulation before opening or drilling. Local codes come first."
)
"""Common practice, no source, both."""


def offer_cautions(ranked: Ranked, job: Job) -> Iterator[str]:
    """Sentences on hanging an offer's antenna and on its parts; `PAPERS_FIRST` goes with them.

    Parameters
    ----------
    ranked : Ranked
        The offer, with its spot and antenna.
    job : Job
        The job it is for, with everything considered embedded.
    """
    if _outside(ranked, job):
        yield _OUTSIDE
    elif _place(ranked, job.site) is AntennaPlace.ABOVE_CEILING:
        yield _ABOVE_CEILING
    ids = (ranked.offer.part, ranked.offer.service, ranked.antenna.antenna, ranked.antenna.feeder)
    for part in (job.part(i) for i in ids if i is not None):
        if part.note:
            yield f"{part.name}: {part.note}"
    if ranked.antenna.antenna is not None:
        yield CARE_IN_BRIEF
    distance = radio_distance(job, as_communicator(job.site, ranked))
    new = main_communicator(job.site) is None
    called = f"communicator {distance.communicator}"
    yield distance.text.replace(called, "this communicator") if new else distance.text


def _place(ranked: Ranked, site: Site) -> AntennaPlace | None:
    return next((s.place for s in site.spots if s.id == ranked.spot), None)


def _outside(ranked: Ranked, job: Job) -> bool:
    """Whether the antenna hangs outside, or may: one for outside at a spot of which nobody said."""
    place = _place(ranked, job.site)
    if place is not None or ranked.antenna.antenna is None:
        return place is AntennaPlace.OUTSIDE
    part = job.part(ranked.antenna.antenna)
    return isinstance(part, AntennaPart) and part.outdoor
