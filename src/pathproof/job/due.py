"""What the centre is to receive for each signal, and whether what it received is that."""

import re
from dataclasses import dataclass
from typing import Final, Protocol

from pathproof.job.site import Site
from pathproof.terms import SignalKind

_CONTACT_ID: Final = re.compile(r"(?P<qualifier>[er136])?(?P<event>[0-9]{3})")
# ANSI/SIA DC-05-1999.09 as restated in public: qualifier 1 new event or opening, 3 restore or
# closing, 6 still present. The letters E and R that lists show: common practice, no source.
_QUALIFIERS: Final = {None: "1", "e": "1", "r": "3"}


@dataclass(frozen=True, kw_only=True)
class Due:
    """What the centre is to receive; none where the site does not say, or has nothing to say."""

    code: str | None
    zone: int | None
    partition: int | None


class Received(Protocol):
    """What the centre did receive; none where nobody said."""

    @property
    def code(self) -> str | None: ...
    @property
    def zone(self) -> int | None: ...
    @property
    def partition(self) -> int | None: ...


def due_at_centre(site: Site, about: str, kind: SignalKind) -> Due:
    """Code, zone and partition due at the centre: an alarm's code from its zone."""
    device = next((d for d in site.devices if d.id == about), None)
    code = site.signal_codes.get(kind)
    if device is None or device.zone is None:
        return Due(code=code, zone=None, partition=None)
    zone = next(z for z in site.zones if z.id == device.zone)
    partition = next(p for p in site.partitions if p.id == zone.partition)
    if kind is SignalKind.ALARM:
        code = zone.event
    return Due(code=code, zone=zone.number, partition=partition.number)


def wrong_at_centre(received: Received, due: Due) -> list[str]:
    """What is not as due, each as `zone 7 where 3 was due`; what is not known is not wrong."""
    figures = (("zone", received.zone, due.zone), ("partition", received.partition, due.partition))
    wrong = [
        f"{what} {got} where {want} was due"
        for what, got, want in figures
        if got is not None and want is not None and got != want
    ]
    if received.code is None or due.code is None or code_key(received.code) == code_key(due.code):
        return wrong
    return [f"code {received.code} where {due.code} was due", *wrong]


def code_key(code: str) -> str:
    """The code in one way of writing: codes that mean the same have the same.

    Notes
    -----
    A three-digit Contact ID event may be written alone, with its qualifier as a digit or with a
    letter: 130, 1130 and E130 are one, and so are 3130 and R130. Alone it is the new event.
    """
    plain = code.strip().casefold()
    match = _CONTACT_ID.fullmatch(plain)
    if match is None:
        return plain
    return _QUALIFIERS.get(match["qualifier"], match["qualifier"]) + match["event"]
