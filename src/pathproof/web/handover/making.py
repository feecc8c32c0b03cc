"""Papers made once and kept: the same revision, day and name give the same bytes."""

import hashlib
from collections.abc import Mapping
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from pathproof.job import Job
from pathproof.web.handover.kinds import TITLES, Ask, Kind, pdf_of
from pathproof.web.jobs.answers import Answer
from pathproof.web.jobs.models import Paper, Picture, StoredJob
from pathproof.web.works import Progress, result_of


def paper_of(opened: Answer, kind: Kind, *, who: str) -> Paper:
    """The paper of the assessment that pages show, made and kept where it is not there yet.

    Raises
    ------
    StillWorkingError
        It takes longer than a page should; ask again.
    StoredJob.DoesNotExist
        The job was erased meanwhile.
    """
    found = _made_before(opened, kind, who)
    if found is not None:
        return found
    pdf = fresh_pdf(opened, kind, who=who)
    with transaction.atomic():
        stored = StoredJob.objects.select_for_update().get(pk=opened.stored.pk)
        found = _made_before(opened, kind, who)
        if found is not None:
            return found
        return Paper.objects.create(
            job=stored,
            revision=opened.stored.revision,
            kind=kind,
            made_at=opened.assessment.as_of,
            made_by=who,
            word=str(opened.assessment.word),
            sha256=hashlib.sha256(pdf).hexdigest(),
            pdf=pdf,
        )


def fresh_pdf(opened: Answer, kind: Kind, *, who: str) -> bytes:
    """The paper's bytes, kept nowhere.

    Raises
    ------
    StillWorkingError
        It takes longer than a page should; ask again.
    """
    assessment = opened.assessment
    ask = Ask(
        kind=kind,
        job=opened.job,
        assessment=assessment,
        who=who,
        underlays=_underlays(opened.stored.pk, opened.job) if kind is Kind.DESIGN else {},
    )

    def work(progress: Progress) -> bytes:
        return pdf_of(ask, progress)

    key = ("paper", opened.stored.pk, opened.job.hash, assessment.as_of, kind, who)
    return result_of(key, f"{TITLES[kind]} of {opened.job.site.name}", work)


def _made_before(opened: Answer, kind: Kind, who: str) -> Paper | None:
    """The paper of this revision, day and name; not if an entry's moment has come since.

    `made_at` is the moment as of which it was assessed.
    """
    zone, as_of = ZoneInfo(opened.job.site.time_zone), opened.assessment.as_of
    made = Paper.objects.defer("pdf").filter(
        job=opened.stored.pk, revision=opened.stored.revision, kind=kind, made_by=who
    )
    for paper in made:
        of_today = paper.made_at.astimezone(zone).date() == as_of.astimezone(zone).date()
        if of_today and not any(paper.made_at < e.at <= as_of for e in opened.job.record):
            return paper
    return None


def _underlays(job_id: UUID, job: Job) -> Mapping[str, bytes]:
    """Picture under each storey; of one that is not there the plan says so."""
    wanted = {f.id: f.underlay.sha256 for f in job.site.floors if f.underlay is not None}
    pictures = Picture.objects.filter(job=job_id, sha256__in=wanted.values())
    found = {p.sha256: bytes(p.png) for p in pictures}
    return {floor: found[sha256] for floor, sha256 in wanted.items() if sha256 in found}
