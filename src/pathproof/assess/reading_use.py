"""What a reading on record will not count for, said when it is put there."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pathproof.assess.lte_words import doubts
from pathproof.assess.mobile_expected import CARRIED_OVER
from pathproof.assess.mobile_levels import allowed_networks, grading
from pathproof.assess.mobile_readings import unnamed_antenna
from pathproof.assess.reading_words import quantity_words
from pathproof.assess.wording import technology_text
from pathproof.job import CommunicatorPart, Job, Site
from pathproof.job.record import ReadingEntry
from pathproof.terms import Quantity, Technology


def reading_doubts(entry: ReadingEntry, job: Job) -> list[str]:
    """Why a reading on record will grade nothing, and what in it cannot be, in sentences."""
    values = entry.values
    lte = values.technology in (None, Technology.LTE)
    moments = [values.levels, *(x.levels for x in values.series)] if lte else []
    final = entry.conditions.final_antenna
    plain = values.model_dump(mode="json")
    return [
        *will_not_count(plain, entry.about, final, job),
        *doubts(moments, values.bandwidth_hz),
    ]


def will_not_count(
    values: Mapping[str, Any], about: Sequence[str], final_antenna: bool | None, job: Job
) -> list[str]:
    """Why a reading will grade nothing, or what it will not count for; parameters as of
    `limits_of_use`."""
    worthless = unknown_network(values, job.site) or grades_nothing(values, job.site)
    return [worthless] if worthless else list(limits_of_use(values, about, final_antenna, job))


def unknown_network(values: Mapping[str, Any], site: Site) -> str | None:
    """That nobody knows the network of a reading; none where the site or a card names it."""
    network = values.get("network")
    here = [n.mcc_mnc for n in site.networks]
    cards = [n for c in site.communicators if c.sim is not None for n in c.sim.networks]
    if network is None or network in (*here, *cards):
        return None
    return (
        f"It will grade nothing: {network} is not among the networks of the site "
        f"({', '.join(here) or 'none yet'}); check the code, or add the network to the site."
    )


def grades_nothing(values: Mapping[str, Any], site: Site) -> str | None:
    """Why a reading on record will grade nothing; none where it may, or where nobody knows.

    Parameters
    ----------
    values : mapping
        The values of its entry, as plain JSON values.
    site : Site
        The site with its networks.
    """
    network, told = values.get("network"), values.get("technology")
    of_network = [n.technologies for n in site.networks if n.mcc_mnc == network]
    spoken = [Technology(told)] if told else [t for known in of_network for t in known]
    graded_by = list(dict.fromkeys(q for t in spoken for q in grading(t)))
    moments = [values["levels"], *(sample["levels"] for sample in values.get("series", []))]
    read = list(dict.fromkeys(Quantity(level["quantity"]) for x in moments for level in x))
    if not read or not graded_by or set(read) & set(graded_by):
        return None
    given, wanted = (" or ".join(quantity_words(q)[0] for q in x) for x in (read, graded_by))
    of = f"{network}, which is " if network else ""
    return f"It will grade nothing: {given} does not grade {of}{', '.join(spoken)}; read {wanted}."


def limits_of_use(
    values: Mapping[str, Any], about: Sequence[str], final_antenna: bool | None, job: Job
) -> Iterator[str]:
    """What a reading on record will not count for, though it may for something else.

    Parameters
    ----------
    values : mapping
        The values of its entry, as plain JSON values.
    about : sequence of str
        What it is about: spots and communicators.
    final_antenna : bool or None
        Whether it was read with the final antenna, as told.
    job : Job
        The job with its networks, cards and modules.
    """
    network, told = values.get("network"), values.get("technology")
    site = job.site
    if unnamed_antenna(site, about, final_antenna):
        yield (
            "It will not count: it is not said whose final antenna it was read with. Name the "
            "communicator too."
        )
    here = [n.mcc_mnc for n in site.networks]
    modules = [c for c in site.communicators if c.id in about or c.spot in about]
    own = [c for c in modules if c.id in about]
    possible = allowed_networks(site, own[0]) if own else here
    if network is None and len(possible) > 1:
        yield (
            f"It will count for no network: it names none of {', '.join(possible)}. Say which "
            "one was read."
        )
    for communicator in modules:
        allowed = allowed_networks(site, communicator)
        part = job.part(communicator.part)
        speaks = part.technologies if isinstance(part, CommunicatorPart) else []
        if network is not None and allowed and network not in allowed:
            yield (
                f"It will not count for the mobile link of {communicator.id}, whose card may use "
                f"{', '.join(allowed)}; it counts for spots and for a choice."
            )
        elif told is not None and speaks and Technology(told) not in speaks:
            yield _other_technology(communicator.id, Technology(told), speaks)


def _other_technology(communicator: str, told: Technology, speaks: Sequence[Technology]) -> str:
    spoken = " or ".join(map(technology_text, speaks))
    narrow = [technology_text(t) for t in speaks if t in CARRIED_OVER]
    if told is Technology.LTE and narrow:
        counts = f"it predicts {' or '.join(narrow)} at best, and proves nothing"
    else:
        counts = "it does not count for its mobile link"
    return (
        f"{communicator} speaks no {technology_text(told)}, so {counts}; what counts is read in "
        f"{spoken}."
    )
