"""What reading a list of devices hands over."""

from dataclasses import dataclass

from pathproof.job import Device, Partition, Zone
from pathproof.plans.report import GuessedLine, LeftOutLine


@dataclass(frozen=True, slots=True)
class NamedLine:
    """Words of the list, and the part or construction that they name."""

    name: str
    as_: str
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ListedDevices:
    """Devices with their zones, ready for a site, and what became of the list."""

    devices: tuple[Device, ...]
    """Of every line, or only of those that are fine where there are problems."""
    zones: tuple[Zone, ...]
    """Proposed, one a device that tells the centre anything."""
    partition: Partition | None
    """Proposed for the zones where the site has none."""
    problems: tuple[str, ...]
    """A sentence for each fault, with the numbers of its lines."""
    mapped: tuple[NamedLine, ...]
    guessed: tuple[GuessedLine, ...]
    left_out: tuple[LeftOutLine, ...]
