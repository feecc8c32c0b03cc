"""Ids, zones and partition that are proposed for the devices of a list."""

import re
from collections.abc import Iterable, Iterator
from typing import Final

from pathproof.job import PANEL_ID, DetectorPart, Partition, Site, Zone
from pathproof.plans.materials import normalised
from pathproof.terms import DeviceKind, PlanError, ZoneKind

_LONGEST_ID: Final = 48
_LAST_ZONE: Final = 9999
# How a panel commonly treats each kind; common practice, no source.
_ZONE_KINDS: Final = {
    DeviceKind.SMOKE: ZoneKind.FIRE,
    DeviceKind.HEAT: ZoneKind.FIRE,
    DeviceKind.CARBON_MONOXIDE: ZoneKind.ALWAYS,
    DeviceKind.FLOOD: ZoneKind.TECHNICAL,
    DeviceKind.HOLD_UP: ZoneKind.HOLD_UP,
    DeviceKind.REMOTE_CONTROL: ZoneKind.HOLD_UP,
    DeviceKind.KEYPAD: ZoneKind.TAMPER,
    DeviceKind.SOUNDER: ZoneKind.TAMPER,
    DeviceKind.OTHER: ZoneKind.TECHNICAL,
}


class Ids:
    """Ids made of names, each once."""

    def __init__(self, taken: Iterable[str]) -> None:
        self._taken = set(taken)

    def of(self, name: str) -> str:
        """An id for a thing of that name; the second of a name ends in _2."""
        stem = re.sub(r"[^a-z0-9]+", "_", normalised(name))[:_LONGEST_ID].strip("_") or "device"
        again = (f"{stem}_{n}" for n in range(2, len(self._taken) + 3))
        found = next(i for i in (stem, *again) if i not in self._taken)
        self._taken.add(found)
        return found


class Zones:
    """Zones with running numbers after those of a site, in its first partition."""

    def __init__(self, site: Site) -> None:
        self.made: list[Zone] = []
        self.partition: Partition | None = None
        if not site.partitions:
            self.partition = Partition(id="partition_1", name="Partition 1", number=1)
        self._in = self.partition or site.partitions[0]
        self._ids = Ids(z.id for z in site.zones)
        self._last = max((z.number for z in site.zones), default=0)

    def next_for(self, name: str, part: DetectorPart) -> Zone:
        """The next zone, for a device of that name and part.

        Raises
        ------
        PlanError
            No number is left.
        """
        number = self._last + len(self.made) + 1
        if number > _LAST_ZONE:
            raise PlanError(
                f"no zone number is left after {self._last}; allowed: up to {_LAST_ZONE}. Give the "
                "site's zones lower numbers"
            )
        zone = Zone(
            id=self._ids.of(f"z{number}"),
            number=number,
            name=name,
            kind=_ZONE_KINDS.get(part.what, ZoneKind.IMMEDIATE),
            partition=self._in.id,
        )
        self.made.append(zone)
        return zone


def things_of(site: Site) -> Iterator[str]:
    """Ids that no new device may have."""
    yield PANEL_ID
    for group in (site.devices, site.repeaters, site.communicators, site.spots):
        yield from (thing.id for thing in group)
