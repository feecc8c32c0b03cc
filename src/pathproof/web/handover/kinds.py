"""The papers that can be made of a job."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from typing import Final

from django.utils.text import slugify

from pathproof.assess import Assessment
from pathproof.job import Job
from pathproof.papers import (
    activation_sheet,
    build,
    coverage_maps,
    parts_list,
    render,
    zone_schedule,
)
from pathproof.papers.render import Paper as PaperData
from pathproof.web.works import Progress


class Kind(StrEnum):
    """Which paper."""

    DESIGN = "design"
    CUSTOMER = "customer"
    ZONES = "zones"
    PARTS = "parts"
    ACTIVATION = "activation"


TITLES: Final[Mapping[Kind, str]] = {
    Kind.DESIGN: "Design assessment",
    Kind.CUSTOMER: "Design assessment, for the customer",
    Kind.ZONES: "Zone schedule",
    Kind.PARTS: "Parts list",
    Kind.ACTIVATION: "Activation sheet",
}
HOLDS: Final[Mapping[Kind, str]] = {
    Kind.DESIGN: "Every signal with its working, plans with places, record and cautions. It shows "
    "where devices hang: keep it away from strangers.",
    Kind.CUSTOMER: "Summary, what to do and cautions, without plan, places and names of devices.",
    Kind.ZONES: "Zones with their devices and the codes due at the centre.",
    Kind.PARTS: "What to order, and how much of it.",
    Kind.ACTIVATION: "Numbers to read aloud, and what the centre programmes. No codes of users.",
}
_FILE_NAMES: Final[Mapping[Kind, str]] = {
    Kind.DESIGN: "design-assessment",
    Kind.CUSTOMER: "customer",
    Kind.ZONES: "zone-schedule",
    Kind.PARTS: "parts-list",
    Kind.ACTIVATION: "activation-sheet",
}
_LISTS: Final[Mapping[Kind, Callable[..., PaperData]]] = {
    Kind.ZONES: zone_schedule,
    Kind.PARTS: parts_list,
    Kind.ACTIVATION: activation_sheet,
    Kind.CUSTOMER: partial(build, for_customer=True),
}
"""Those that need neither maps nor pictures."""


@dataclass(frozen=True, kw_only=True)
class Ask:
    """A paper that is asked for, with all that goes into it."""

    kind: Kind
    job: Job
    assessment: Assessment
    who: str
    underlays: Mapping[str, bytes]
    """Picture under each storey by the storey's id."""


def pdf_of(ask: Ask, progress: Progress) -> bytes:
    """The paper as PDF; says storey by storey how far its maps are."""
    job, assessment = ask.job, ask.assessment
    steps = (len(job.site.floors) if ask.kind is Kind.DESIGN else 0) + 1

    def storey_begun(storey: int) -> None:
        progress.say(f"map of storey {storey}", storey, steps)

    if ask.kind in _LISTS:
        paper = _LISTS[ask.kind](job, assessment, who=ask.who)
    else:
        maps = coverage_maps(job, assessment.as_of, begun=storey_begun)
        paper = build(
            job,
            assessment,
            for_customer=False,
            maps=maps,
            underlays=ask.underlays,
            who=ask.who,
        )
    progress.say("setting the paper", steps, steps)
    return render(paper)


def file_name(kind: Kind, job_name: str, revision: int) -> str:
    """A name for the file, of letters, digits and dashes alone."""
    return f"{slugify(job_name)[:60] or 'job'}-{_FILE_NAMES[kind]}-r{revision}.pdf"
