"""Where in the app a mobile link gets what it lacks: card, networks, antenna, readings."""

from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from django.urls import reverse

from pathproof.job import Site


@dataclass(frozen=True, kw_only=True)
class Way:
    """A page, and what is done there."""

    words: str
    url: str


def mobile_ways(site: Site, communicator: str, job_id: UUID) -> Iterator[Way]:
    """Pages on which a communicator's mobile link is told of, in the order of the work."""
    found = next((c for c in site.communicators if c.id == communicator), None)
    if found is None:
        yield Way(words="Choose a communicator", url=reverse("specify:communicator", args=[job_id]))
        return
    if found.sim is None:
        page = reverse("prepare:page", args=[job_id])
        yield Way(words="Say which card it has", url=f"{page}#identifiers-{found.id}")
    if not site.networks:
        url = reverse("specify:add", args=[job_id, "networks"])
        yield Way(words="Add the networks of the site", url=url)
    if found.spot is None:
        if not site.spots:
            url = reverse("specify:add", args=[job_id, "spots"])
            yield Way(words="Add a spot for its antenna", url=url)
        url = reverse("specify:hang", args=[job_id, found.id])
        yield Way(words="Say where its antenna is", url=url)
    url = reverse("signals:evidence", args=[job_id, "reading"])
    yield Way(words="Record what was read there", url=url)
