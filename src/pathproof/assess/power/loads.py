"""Load schedule: what takes current from the panel's supply, idle, in alarm and in a burst."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from pathproof.assess.context import cite
from pathproof.assess.mobile_levels import allowed_networks
from pathproof.assess.sheet import Sheet
from pathproof.assess.wording import technology_text
from pathproof.calc.sources import Source
from pathproof.job import PANEL_ID, Communicator, CommunicatorPart, DetectorPart, Job, PanelPart
from pathproof.job.catalogue import Draw, Part
from pathproof.terms import Technology

__all__ = [
    "Draws",
    "LoadSchedule",
    "Reporting",
    "draws_of",
    "load_schedule",
    "write_averages",
    "write_loads",
]

_MOST_NAMED: Final = 3


@dataclass(frozen=True, kw_only=True)
class Reporting:
    """Average current of a module that reports now and then, and what it is made of."""

    technology: Technology
    """Of those that its networks offer, the one that takes most."""
    idle_a: float
    report_a: float
    report_s: float
    interval_s: float

    @property
    def average_a(self) -> float:
        """Idle, and the report on top of it for its share of the time. [A]"""
        return self.idle_a + self.report_a * min(1.0, self.report_s / self.interval_s)


@dataclass(frozen=True, kw_only=True)
class Draws:
    """What things of one part take from the panel's supply, each of them."""

    part: str
    """Id of the part."""
    name: str
    things: tuple[str, ...]
    standby_a: float | None
    """Average current while idle; none where nobody says. [A]"""
    alarm_a: float | None
    """Average current in alarm; none where nobody says. [A]"""
    peak_a: float | None = None
    """Of a module, current in a burst; none where nobody says. [A]"""
    minimum_v: float | None = None
    """Volts that it needs; none where nobody says. [V]"""
    reporting: Reporting | None = None
    """Of a module whose average depends on how often it reports."""
    is_module: bool = False
    """Whether it sends in bursts."""
    alarm_by: Technology | None = None
    """Of a module with several, the technology whose current counts in alarm; else none."""
    burst_by: Technology | None = None
    """The same of its bursts."""
    sources: tuple[Source, ...] = ()

    @property
    def label(self) -> str:
        """Name and things, such as "3 x Siren (S1, S2, S3)"."""
        shown = ", ".join(self.things[:_MOST_NAMED])
        more = len(self.things) - _MOST_NAMED
        count = f"{len(self.things)} x " if len(self.things) > 1 else ""
        return f"{count}{self.name} ({shown}{f' and {more} more' if more > 0 else ''})"

    @property
    def unknown(self) -> str:
        """What nobody says of it, in words; empty where both currents are known."""
        lacks = [
            what
            for what, current_a in (("standby", self.standby_a), ("alarm", self.alarm_a))
            if current_a is None
        ]
        return f"{' and '.join(lacks)} current of {self.label}" if lacks else ""


@dataclass(frozen=True, kw_only=True)
class LoadSchedule:
    """Everything that takes current from the panel's supply."""

    draws: tuple[Draws, ...]
    unknown: tuple[str, ...]
    """What nobody says, in words; the sums are then too low."""

    @property
    def standby_a(self) -> float:
        """What all take while idle, as far as known. [A]"""
        return math.fsum(len(d.things) * (d.standby_a or 0.0) for d in self.draws)

    @property
    def alarm_a(self) -> float:
        """What all take in alarm, as far as known. [A]"""
        return math.fsum(len(d.things) * (d.alarm_a or 0.0) for d in self.draws)

    @property
    def burst_a(self) -> float | None:
        """Most that one module takes in a burst beyond its average; none where nobody says. [A]"""
        bursts = [
            None if d.peak_a is None else max(0.0, d.peak_a - (d.standby_a or 0.0))
            for d in self.draws
            if d.is_module
        ]
        known = [b for b in bursts if b is not None]
        return max(known, default=0.0) if len(known) == len(bursts) else None


def load_schedule(job: Job) -> LoadSchedule:
    """What takes current from the panel's supply.

    The panel, wired devices, communicators, repeaters whose part states a standby current, and
    whatever else a cable leads to; other wireless devices live on their cells.
    """
    draws = _together(_fed(job))
    nothing = () if job.site.panel is not None else ("what the panel takes, as none is chosen",)
    return LoadSchedule(draws=draws, unknown=(*nothing, *(d.unknown for d in draws if d.unknown)))


def draws_of(job: Job, thing_id: str) -> Draws:
    """What one panel, device, repeater or communicator takes from the panel's supply.

    Parameters
    ----------
    job : Job
        With its parts embedded.
    thing_id : str
        Its id, "panel" for the panel.
    """
    site = job.site
    if thing_id == PANEL_ID and site.panel is not None:
        return _of_part(job, site.panel.part, thing_id)
    communicator = next((c for c in site.communicators if c.id == thing_id), None)
    if communicator is not None:
        return _of_module(job, communicator)
    parts = {d.id: d.part for d in site.devices} | {r.id: r.part for r in site.repeaters}
    return _of_part(job, parts[thing_id], thing_id)


def write_loads(sheet: Sheet, schedule: LoadSchedule) -> tuple[str, str]:
    """Write the schedule to a sheet; returns the ids of the lines of standby and alarm current."""
    averages = write_averages(sheet, schedule)
    in_alarm = [line for d in schedule.draws for line in _write_worst(sheet, d)]
    standby = _write_sum(
        sheet,
        "Standby current: what all take while idle",
        schedule.standby_a,
        [(d, d.standby_a) for d in schedule.draws],
        averages,
    )
    alarm = _write_sum(
        sheet,
        "Alarm current: what all take in alarm",
        schedule.alarm_a,
        [(d, d.alarm_a) for d in schedule.draws],
        in_alarm,
    )
    return standby, alarm


def write_averages(sheet: Sheet, schedule: LoadSchedule) -> list[str]:
    """Write how the averages of reporting modules come about; returns the ids of the lines."""
    return [_write_average(sheet, d) for d in schedule.draws if d.reporting is not None]


def _write_average(sheet: Sheet, draws: Draws) -> str:
    reporting = draws.reporting
    assert reporting is not None
    return sheet.add(
        f"{draws.label}: average current by {technology_text(reporting.technology)}",
        reporting.average_a,
        "A",
        formula="idle + in a report * min(1, length of a report / reporting interval)",
        inputs={
            "idle": (reporting.idle_a, "A"),
            "in a report": (reporting.report_a, "A"),
            "length of a report": (reporting.report_s, "s"),
            "reporting interval": (reporting.interval_s, "s"),
        },
        sources=draws.sources,
    )


def _write_worst(sheet: Sheet, draws: Draws) -> list[str]:
    """Which technology a module's currents in alarm and in a burst are of."""
    why = "of the technologies that may be used here the one that takes most, the safe case"
    worst = [
        ("current in alarm", draws.alarm_by, draws.alarm_a),
        ("current in a burst", draws.burst_by, draws.peak_a),
    ]
    return [
        sheet.add(
            f"{draws.label}: {what} by {technology_text(by)}",
            current_a,
            "A",
            formula=why,
            sources=draws.sources,
        )
        for what, by, current_a in worst
        if by is not None and current_a is not None
    ]


def _write_sum(
    sheet: Sheet,
    label: str,
    sum_a: float,
    takes: Sequence[tuple[Draws, float | None]],
    needs: Sequence[str],
) -> str:
    return sheet.add(
        label,
        sum_a,
        "A",
        formula="sum",
        inputs={
            d.label: ("not known", "") if each_a is None else (len(d.things) * each_a, "A")
            for d, each_a in takes
        },
        sources=tuple(dict.fromkeys(s for d, _ in takes for s in d.sources)),
        needs=needs,
    )


def _fed(job: Job) -> Iterator[Draws]:
    """What each thing takes that the supply feeds."""
    site = job.site
    cabled = {c.to for c in site.cables} | {t.to for c in site.cables for t in c.on_the_way}
    if site.panel is not None:
        yield _of_part(job, site.panel.part, PANEL_ID)
    for device in site.devices:
        part = job.part(device.part)
        wired = isinstance(part, DetectorPart) and part.radio is None
        if wired or device.id in cabled:
            yield _of_part(job, device.part, device.id)
    for repeater in site.repeaters:
        if job.part(repeater.part).standby_current_a is not None or repeater.id in cabled:
            yield _of_part(job, repeater.part, repeater.id)
    for communicator in site.communicators:
        yield _of_module(job, communicator)


def _together(each: Iterable[Draws]) -> tuple[Draws, ...]:
    """Those that take the same as one row, in the order of the first of them."""
    rows: dict[Draws, list[str]] = {}
    for draws in each:
        rows.setdefault(replace(draws, things=()), []).extend(draws.things)
    return tuple(replace(draws, things=tuple(things)) for draws, things in rows.items())


def _of_part(job: Job, part_id: str, thing_id: str) -> Draws:
    part = job.part(part_id)
    volts = part.minimum_v if isinstance(part, PanelPart | DetectorPart) else None
    return replace(_as_stated(part, thing_id), minimum_v=volts)


def _as_stated(part: Part, thing_id: str) -> Draws:
    return Draws(
        part=part.id,
        name=part.name,
        things=(thing_id,),
        standby_a=part.standby_current_a,
        alarm_a=part.alarm_current_a,
        sources=_sources(part, "standby_current_a", "alarm_current_a"),
    )


def _of_module(job: Job, communicator: Communicator) -> Draws:
    part = job.part(communicator.part)
    assert isinstance(part, CommunicatorPart)
    stated = replace(
        _as_stated(part, communicator.id),
        standby_a=_first(part.average_current_a, part.standby_current_a),
        peak_a=part.peak_current_a,
        minimum_v=part.minimum_v,
        is_module=True,
        sources=_sources(
            part, "draws", "average_current_a", "alarm_current_a", "peak_current_a", "minimum_v"
        ),
    )
    if not part.draws:
        return stated
    used = _draws_used(job, communicator, part)
    most = max(used, key=lambda d: d.report_a)
    alarm_a = max(most.report_a, part.alarm_current_a or 0.0)
    peaks = [(d.peak_a, d.technology) for d in used if d.peak_a is not None]
    peak_a, burst_by = max(peaks) if len(peaks) == len(used) else (part.peak_current_a, None)
    by_draws = replace(
        stated,
        alarm_a=alarm_a,
        alarm_by=most.technology if len(used) > 1 and alarm_a == most.report_a else None,
        peak_a=peak_a,
        burst_by=burst_by if len(used) > 1 else None,
    )
    if job.site.reporting is None:
        least_a = max(d.idle_a for d in used)
        known_a = None if stated.standby_a is None else max(least_a, stated.standby_a)
        return replace(by_draws, standby_a=known_a)
    reporting = max(
        (_reporting(d, job.site.reporting.interval_s) for d in used), key=lambda r: r.average_a
    )
    return replace(by_draws, standby_a=reporting.average_a, reporting=reporting)


def _draws_used(job: Job, communicator: Communicator, part: CommunicatorPart) -> list[Draw]:
    """By the technologies that its networks offer here; by all of them where that is not said."""
    offered = {n.mcc_mnc: n.technologies for n in job.site.networks}
    allowed = allowed_networks(job.site, communicator)
    if not allowed or not all(offered.get(network) for network in allowed):
        return part.draws
    here = {technology for network in allowed for technology in offered[network]}
    return [d for d in part.draws if d.technology in here] or part.draws


def _reporting(draw: Draw, interval_s: float) -> Reporting:
    return Reporting(
        technology=draw.technology,
        idle_a=draw.idle_a,
        report_a=draw.report_a,
        report_s=draw.report_s,
        interval_s=interval_s,
    )


def _first(*values: float | None) -> float | None:
    return next((v for v in values if v is not None), None)


def _sources(part: Part, *figures: str) -> tuple[Source, ...]:
    """Those of the part and of some of its figures."""
    own = (part.sources[f] for f in figures if f in part.sources)
    return tuple(dict.fromkeys(cite(s) for s in (part.source, *own)))
