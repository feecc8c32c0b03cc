"""The title block at the foot of every sheet, as on a drawing."""

from dataclasses import dataclass
from typing import Final

from pathproof.assess.types import Assessment
from pathproof.job import Job
from pathproof.papers._text import day, shorten

_CHARACTERS: Final = 44
"""A long name is cut in the title block; the first sheet has the whole."""


@dataclass(frozen=True, kw_only=True)
class TitleBlock:
    """What stands at the foot of every sheet."""

    job: str
    reference: str
    document: str
    revision: str
    date: str
    who: str
    hash: str


def title_block(job: Job, assessment: Assessment, document: str, who: str) -> TitleBlock:
    """The title block of a paper on a job as it was assessed."""
    return TitleBlock(
        job=shorten(job.site.name, _CHARACTERS),
        reference=shorten(job.site.reference, _CHARACTERS // 2),
        document=document,
        revision=str(assessment.revision),
        date=day(assessment.as_of, job.site.time_zone),
        who=shorten(who, _CHARACTERS),
        hash=assessment.hash[:16],
    )
