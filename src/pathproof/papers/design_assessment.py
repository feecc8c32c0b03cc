"""The design assessment: what is known of every signal of a site, on paper.

`build` makes a plain dataclass that tests read; `render` draws it. The version for customers holds
the summary and the cautions alone: a plan with detector positions is a burglar's map.
"""

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from pathproof.assess.floor_map import FloorMap, MapKind, MapOf
from pathproof.assess.maps import floor_map
from pathproof.assess.types import Assessment
from pathproof.job import Job
from pathproof.papers.cautions import Caution, cautions
from pathproof.papers.centre_sheet import CentreSheet, centre_plain, centre_sheet
from pathproof.papers.names import Names
from pathproof.papers.next_steps import Step, customer_steps, plain_steps, steps
from pathproof.papers.plan_drawing import PlanDrawing, draw_plan
from pathproof.papers.power_sheet import OWN_SHEET, PowerSheet, power_sheet
from pathproof.papers.record_list import RecordRow, record_rows
from pathproof.papers.replacement_rows import replacements_plain
from pathproof.papers.signal_rows import SignalRows, SignalsSheet
from pathproof.papers.summary import SummarySheet, summary_sheet
from pathproof.papers.title_block import TitleBlock, title_block
from pathproof.papers.working import SourceBook, SourceNote, Working, working
from pathproof.terms import JobError, Severity

TEMPLATE = "design_assessment.typ"
TEXT_WIDTH_MM = 180.0
PLAN_ROOM_MM = (180.0, 178.0)

NO_PLAN = (
    "This job has no plan. Places are given by distance and by the walls and floors that stand "
    "between; the working shows them."
)
EMPTY_STOREYS = (
    "Not drawn, as nothing is known to be there: {}. Here its walls and what hangs there would "
    "stand: read its plan with pathproof import, or lay a picture under it with pathproof underlay."
)
LEFT_OUT = (
    "Plan, places, names of devices and the working are left out of this version on purpose: they "
    "would tell a stranger where the detectors are. Your installer keeps the full paper."
)


@dataclass(frozen=True, kw_only=True)
class FindingRow:
    """A finding with what to do about it."""

    id: str
    severity: str
    about: str
    text: str
    do: str
    warn: bool


@dataclass(frozen=True, kw_only=True)
class DesignAssessment:
    """The paper, sheet by sheet; sheets that the customer's version leaves out are empty."""

    template: str = TEMPLATE
    title: str
    site: str
    time_stamp_s: int
    """As-of moment, seconds since 1970. [s]"""
    block: TitleBlock
    profile: str
    reference: str
    hash: str
    for_customer: bool
    left_out: str
    summary: SummarySheet
    centre_plain: tuple[str, ...]
    """Networks, switch-offs and distance from the antenna in plain words, for customers."""
    replacements_plain: tuple[str, ...]
    """What is replaced by when in plain words, for customers."""
    signals: SignalsSheet | None
    centre: CentreSheet | None
    power: PowerSheet | None
    plans: tuple[PlanDrawing, ...]
    no_plan: str
    """That there is no plan, or of which storeys there is none."""
    findings: tuple[FindingRow, ...]
    steps: tuple[Step, ...]
    working: Working | None
    sources: tuple[SourceNote, ...]
    record: tuple[RecordRow, ...]
    cautions: tuple[Caution, ...]


def build(
    job: Job,
    assessment: Assessment,
    *,
    for_customer: bool,
    maps: Mapping[str, FloorMap] | None = None,
    underlays: Mapping[str, bytes] | None = None,
    who: str = "",
) -> DesignAssessment:
    """The design assessment of a job as data.

    Parameters
    ----------
    job : Job
        The job that was assessed.
    assessment : Assessment
        What `assess` says of it.
    for_customer : bool
        Leave out everything that tells where devices are.
    maps : mapping, optional
        Map of each storey by its id, as of `coverage_maps`.
    underlays : mapping, optional
        Stored picture under each storey by its id; of one that is not there the plan says so.
    who : str
        Who made the paper.
    """
    full = None if for_customer else _Full(job, assessment, maps or {}, underlays or {})
    next_steps = plain_steps(assessment, full.steps) if full else customer_steps(assessment)
    return DesignAssessment(
        title="Design assessment for the customer" if for_customer else "Design assessment",
        site=job.site.name,
        time_stamp_s=int(assessment.as_of.timestamp()),
        block=title_block(
            job,
            assessment,
            "Design assessment" + (", for the customer" if for_customer else ""),
            who,
        ),
        profile=_profile(job, assessment),
        reference=job.site.reference,
        hash=assessment.hash,
        for_customer=for_customer,
        left_out=LEFT_OUT if for_customer else "",
        summary=summary_sheet(assessment, TEXT_WIDTH_MM, next_steps),
        centre_plain=() if full else centre_plain(job, assessment),
        replacements_plain=() if full else replacements_plain(assessment),
        signals=full.signals() if full else None,
        centre=full.centre if full else None,
        power=full.power if full else None,
        plans=full.plans if full else (),
        no_plan=full.no_plan() if full else "",
        findings=full.findings() if full else (),
        steps=full.steps if full else (),
        working=full.working if full else None,
        sources=full.sources() if full else (),
        record=full.record() if full else (),
        cautions=cautions(job),
    )


def coverage_maps(
    job: Job, as_of: datetime, *, begun: Callable[[int], None] = lambda storey: None
) -> dict[str, FloorMap]:
    """How well a usual device is heard, for the plan sheets: a map of each storey by its id.

    Storeys where nothing can be mapped are left out; `begun` is told how manieth is begun, from 1.
    """
    maps = {}
    for storey, floor in enumerate(job.site.floors, 1):
        begun(storey)
        with suppress(JobError):
            maps[floor.id] = floor_map(job, MapOf(kind=MapKind.COVERAGE), floor.id, as_of)
    return maps


def _profile(job: Job, assessment: Assessment) -> str:
    """The title of the profile that was judged by; its id where it is not the job's own."""
    own = job.profile
    return own.title if own.id == assessment.profile else assessment.profile


class _Full:
    """The sheets that only the full paper has."""

    def __init__(
        self,
        job: Job,
        assessment: Assessment,
        maps: Mapping[str, FloorMap],
        underlays: Mapping[str, bytes],
    ) -> None:
        self._job, self._assessment, self._maps = job, assessment, maps
        self._underlays = underlays
        self._names = Names(job, assessment)
        self._rows = SignalRows(assessment, self._names)
        self._book = SourceBook()
        self.steps = steps(assessment, self._names)
        self.centre = centre_sheet(job, assessment, self._names, self._book)
        self.power = power_sheet(job, assessment, self._names, self._book)
        self.plans = self._plans()
        drawn = set(self._rows.drawn()) - OWN_SHEET
        self.working = working(assessment, drawn, self._names.numbered, self._book)

    def signals(self) -> SignalsSheet:
        return self._rows.sheet(TEXT_WIDTH_MM)

    def _plans(self) -> tuple[PlanDrawing, ...]:
        drawn = (
            draw_plan(
                self._job,
                floor,
                self._names.words,
                self._names.keys,
                self._maps.get(floor.id),
                PLAN_ROOM_MM,
                underlay_png=self._underlays.get(floor.id),
            )
            for floor in self._job.site.floors
        )
        return tuple(plan for plan in drawn if plan is not None)

    def no_plan(self) -> str:
        """What is said of storeys that have no sheet."""
        floors = self._job.site.floors
        if not floors:
            return NO_PLAN
        drawn = {plan.floor for plan in self.plans}
        empty = [f.name for f in floors if f.id not in drawn]
        return EMPTY_STOREYS.format(", ".join(empty)) if empty else ""

    def findings(self) -> tuple[FindingRow, ...]:
        return tuple(
            FindingRow(
                id=f.id,
                severity=str(f.severity),
                about=self._names.about(f.about),
                text=self._names.plain(f.text),
                do=self._names.plain(f.do),
                warn=f.severity is Severity.SAFETY,
            )
            for f in self._assessment.findings
        )

    def sources(self) -> tuple[SourceNote, ...]:
        """Every source of the working, by its number."""
        return tuple(self._book.notes.values())

    def record(self) -> tuple[RecordRow, ...]:
        return record_rows(self._job, self._assessment, self._names)
