"""The zone schedule: what panel and centre call each device, and the code due for each signal."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from pathproof.assess.types import Assessment
from pathproof.job import Job
from pathproof.papers._csv import Cell, csv_text
from pathproof.papers._text import NO_BREAK, counted, listed, ranges, shorten
from pathproof.papers.names import NAME_CHARACTERS, Names, at_most
from pathproof.papers.title_block import TitleBlock, title_block
from pathproof.papers.zone_rows import DueSignal, ZoneDevice, ZoneRow, ZoneRows, without_code
from pathproof.terms import Word

TITLE: Final = "Zone schedule"
NO_CODE: Final = "no code"

_HEADER: Final = (
    *("zone", "zone name", "zone kind", "partition", "device", "device name", "part"),
    *("signal", "code due", "word"),
)


@dataclass(frozen=True, kw_only=True)
class SignalGroup:
    """Signals of one device that share a word."""

    signals: str
    """Each with its code, such as "alarm 130, tamper 144"."""
    word: Word


@dataclass(frozen=True, kw_only=True)
class ScheduleRow:
    """One line of the sheet: a device in its zone, or a zone with nothing in it."""

    number: str
    """Empty of what is in no zone."""
    zone: str
    """Name, kind and partition, of a zone's first line only."""
    first: bool
    """Whether it is a zone's first line."""
    device: str
    part: str
    groups: tuple[SignalGroup, ...]


@dataclass(frozen=True, kw_only=True)
class ZoneSchedule:
    """The paper."""

    template: str = "zone_schedule.typ"
    title: str
    site: str
    time_stamp_s: int
    """As-of moment, seconds since 1970. [s]"""
    block: TitleBlock
    headline: str
    remarks: tuple[str, ...]
    """Zones without devices, devices without zone, signals without code."""
    rows: tuple[ScheduleRow, ...]
    zones: tuple[ZoneRow, ...]
    without_zone: tuple[ZoneDevice, ...]
    panel: tuple[DueSignal, ...]

    def csv(self) -> str:
        """The schedule as CSV text, one line a signal; names stand as they were typed."""
        return csv_text(_HEADER, self._lines())

    def _lines(self) -> Iterator[tuple[Cell, ...]]:
        for zone in self.zones:
            head = (zone.number, zone.name, zone.kind, zone.partition)
            if not zone.devices:
                yield (*head, *[None] * 6)
            for device in zone.devices:
                yield from _device_lines(head, device)
        for device in self.without_zone:
            yield from _device_lines((None,) * 4, device)
        for s in self.panel:
            yield (*[None] * 5, "Panel", None, s.signal, s.code, str(s.word))


def zone_schedule(job: Job, assessment: Assessment, *, who: str = "") -> ZoneSchedule:
    """The zone schedule of a job as data.

    Parameters
    ----------
    job : Job
        The job that was assessed.
    assessment : Assessment
        What `assess` says of it.
    who : str
        Who made the paper.
    """
    found = ZoneRows(job, assessment, Names(job, assessment))
    return ZoneSchedule(
        title=TITLE,
        site=job.site.name,
        time_stamp_s=int(assessment.as_of.timestamp()),
        block=title_block(job, assessment, TITLE, who),
        headline=_headline(job),
        remarks=tuple(_remarks(found)),
        rows=tuple(_rows(found)),
        zones=found.zones,
        without_zone=found.without_zone,
        panel=found.panel,
    )


def _device_lines(head: tuple[Cell, ...], device: ZoneDevice) -> Iterator[tuple[Cell, ...]]:
    named = (*head, int(device.key), device.name, device.part)
    for s in device.signals:
        yield (*named, s.signal, s.code, str(s.word))
    if not device.signals:
        yield (*named, None, None, None)


def _headline(job: Job) -> str:
    site = job.site
    if not site.zones and not site.devices:
        return "There are no zones and no devices in this job yet."
    counts = (counted(len(site.zones), "zone"), counted(len(site.devices), "device"))
    return f"{', '.join(counts)}, {counted(len(site.partitions), 'partition')}."


def _remarks(found: ZoneRows) -> Iterator[str]:
    empty = [z.number for z in found.zones if not z.devices]
    if empty:
        yield f"{'Zones' if len(empty) > 1 else 'Zone'} without a device: {ranges(empty)}."
    loose = [f"{d.key} {shorten(d.name, NAME_CHARACTERS)}" for d in found.without_zone]
    if loose:
        yield f"{'Devices' if len(loose) > 1 else 'Device'} without a zone: {_some(loose)}."
    everything = [d for z in found.zones for d in z.devices] + [*found.without_zone]
    signals = [s for d in everything for s in d.signals]
    missing = list(without_code([*signals, *found.panel]))
    if missing:
        yield f"Without a code for the centre: {listed(missing)}."


def _some(names: list[str]) -> str:
    return listed(at_most(names))


def _rows(found: ZoneRows) -> Iterator[ScheduleRow]:
    for zone in found.zones:
        name = f"{shorten(zone.name, NAME_CHARACTERS)}: {zone.kind}, partition {zone.partition}"
        for i, device in enumerate(zone.devices):
            yield _row(device, number=str(zone.number), zone="" if i else name)
        if not zone.devices:
            yield _row(None, number=str(zone.number), zone=name)
    for i, device in enumerate(found.without_zone):
        yield _row(device, number="", zone="" if i else "In no zone")
    if found.panel:
        yield ScheduleRow(
            number="",
            zone="In no zone: the panel's own" if found.without_zone else "In no zone",
            first=True,
            device="Panel",
            part="",
            groups=_groups(found.panel),
        )


def _row(device: ZoneDevice | None, *, number: str, zone: str) -> ScheduleRow:
    return ScheduleRow(
        number=number,
        zone=zone,
        first=bool(zone),
        device="no device"
        if device is None
        else f"{device.key} {shorten(device.name, NAME_CHARACTERS)}",
        part="" if device is None else shorten(device.part, NAME_CHARACTERS),
        groups=() if device is None else _groups(device.signals),
    )


def _groups(signals: tuple[DueSignal, ...]) -> tuple[SignalGroup, ...]:
    together: dict[Word, list[str]] = {}
    for s in signals:
        said = f"{s.signal} {s.code or f'({NO_CODE})'}"
        together.setdefault(s.word, []).append(said.replace(" ", NO_BREAK))
    return tuple(SignalGroup(signals=", ".join(said), word=word) for word, said in together.items())
