"""Zones with their devices, and the code due at the centre for each signal."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from pathproof.assess.types import Assessment
from pathproof.job import PANEL_ID, Device, Job
from pathproof.job.due import due_at_centre
from pathproof.papers.names import Names
from pathproof.terms import Word, ZoneKind

ZONE_KINDS: Final[Mapping[ZoneKind, str]] = {
    ZoneKind.ENTRY_EXIT: "entry/exit",
    ZoneKind.IMMEDIATE: "immediate",
    ZoneKind.FOLLOWER: "follower",
    ZoneKind.ALWAYS: "24 h",
    ZoneKind.HOLD_UP: "hold-up",
    ZoneKind.FIRE: "fire",
    ZoneKind.TAMPER: "tamper",
    ZoneKind.TECHNICAL: "technical",
}
"""Kinds of zone as people write them."""


@dataclass(frozen=True, kw_only=True)
class DueSignal:
    """A signal with the code that the centre is to receive for it."""

    signal: str
    code: str
    """Empty where nobody said."""
    word: Word


@dataclass(frozen=True, kw_only=True)
class ZoneDevice:
    """A device with what it tells the centre."""

    key: str
    """Its number on plans and in lists."""
    name: str
    part: str
    signals: tuple[DueSignal, ...]


@dataclass(frozen=True, kw_only=True)
class ZoneRow:
    """A zone as panel and centre know it, with its devices."""

    number: int
    name: str
    kind: str
    partition: str
    """Number and name."""
    devices: tuple[ZoneDevice, ...]


class ZoneRows:
    """The zones of a job by their numbers, devices without one, and the panel's own signals."""

    def __init__(self, job: Job, assessment: Assessment, names: Names) -> None:
        self._job, self._names = job, names
        signals: dict[str, list[DueSignal]] = defaultdict(list)
        for s in assessment.signals:
            code = due_at_centre(job.site, s.about, s.kind).code
            said = s.kind.replace("_", " ")
            signals[s.about].append(DueSignal(signal=said, code=code or "", word=s.word))
        self._signals = {about: tuple(found) for about, found in signals.items()}
        site = job.site
        self._partitions = {p.id: f"{p.number} {p.name}" for p in site.partitions}
        members: dict[str | None, list[Device]] = defaultdict(list)
        for device in site.devices:
            members[device.zone].append(device)
        self.zones = tuple(
            ZoneRow(
                number=zone.number,
                name=zone.name,
                kind=ZONE_KINDS[zone.kind],
                partition=self._partitions[zone.partition],
                devices=tuple(map(self._device, members[zone.id])),
            )
            for zone in sorted(site.zones, key=lambda z: z.number)
        )
        self.without_zone = tuple(map(self._device, members[None]))
        self.panel = self._signals.get(PANEL_ID, ())
        """What the panel itself tells, of no zone."""

    def _device(self, device: Device) -> ZoneDevice:
        return ZoneDevice(
            key=self._names.keys[device.id],
            name=device.name,
            part=self._job.part(device.part).name,
            signals=self._signals.get(device.id, ()),
        )


def without_code(signals: Iterable[DueSignal]) -> Iterator[str]:
    """Kinds of signal that have no code yet, each once."""
    yield from dict.fromkeys(s.signal for s in signals if not s.code)
