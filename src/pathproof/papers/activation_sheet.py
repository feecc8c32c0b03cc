"""The activation sheet: what card, module and account are, and what the centre has to programme.

It holds no place of anything and no secret: no passwords, no codes of users or installers.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from pathproof.assess.account_states import states_reached
from pathproof.assess.blocking import Block, blocks
from pathproof.assess.context import Context
from pathproof.assess.types import Assessment
from pathproof.job import Communicator, Job, Sim
from pathproof.job.record import StepEntry
from pathproof.papers._text import counted, day, shorten
from pathproof.papers.communicator_rows import Fact
from pathproof.papers.names import NAME_CHARACTERS, Names
from pathproof.papers.title_block import TitleBlock, title_block
from pathproof.papers.zone_rows import DueSignal, ZoneRows
from pathproof.terms import AccountState

TITLE: Final = "Activation sheet"
_STATES: Final = list(AccountState)
_GROUP: Final = 4
"""Digits read aloud in one go. House choice."""


@dataclass(frozen=True, kw_only=True)
class StateMark:
    """A state of card and account, with the day on which it was reached."""

    state: str
    on: str
    """Empty where it is not on record, or was not reached."""
    by: str
    current: bool
    """Whether it is the state of now; ordered only where that is on record, as all begin there."""
    note: str
    """In place of a day that is not there."""


@dataclass(frozen=True, kw_only=True)
class Activation:
    """One communicator: numbers to read aloud, and how far card and account have come."""

    communicator: str
    """Its id."""
    heading: str
    numbers: tuple[Fact, ...]
    """IMEI, ICCID and account in groups; the text is empty where one is not known."""
    facts: tuple[Fact, ...]
    states: tuple[StateMark, ...]
    missing: tuple[str, ...]
    """Numbers that are missing, and what moves card and account on."""


@dataclass(frozen=True, kw_only=True)
class DueCode:
    """A code that the centre is to know."""

    signal: str
    code: str
    """Empty where nobody said."""


@dataclass(frozen=True, kw_only=True)
class ZoneCodes:
    """What the centre programmes for a zone."""

    number: str
    """Empty of what is in no zone."""
    name: str
    kind: str
    partition: str
    codes: tuple[DueCode, ...]


@dataclass(frozen=True, kw_only=True)
class ActivationSheet:
    """The paper."""

    template: str = "activation_sheet.typ"
    title: str
    site: str
    time_stamp_s: int
    """As-of moment, seconds since 1970. [s]"""
    block: TitleBlock
    communicators: tuple[Activation, ...]
    zones: tuple[ZoneCodes, ...]
    """By number, then what is in no zone, then the panel's own signals."""
    partitions: tuple[Fact, ...]
    """Number and name of each."""
    reporting: tuple[Fact, ...]
    """How the centre watches the path; empty where nobody said."""


def activation_sheet(job: Job, assessment: Assessment, *, who: str = "") -> ActivationSheet:
    """The activation sheet of a job as data.

    Parameters
    ----------
    job : Job
        The job that was assessed.
    assessment : Assessment
        What `assess` says of it.
    who : str
        Who made the paper.
    """
    names = Names(job, assessment)
    ctx = Context(job, assessment.as_of, None, leave_out_later=True)
    to_do = {b.id: b for b in blocks(job, assessment)}
    return ActivationSheet(
        title=TITLE,
        site=job.site.name,
        time_stamp_s=int(assessment.as_of.timestamp()),
        block=title_block(job, assessment, TITLE, who),
        communicators=tuple(
            _activation(ctx, names, c, _of_account(to_do, c.id)) for c in job.site.communicators
        ),
        zones=tuple(_zones(ZoneRows(job, assessment, names))),
        partitions=tuple(
            Fact(heading=str(p.number), text=p.name)
            for p in sorted(job.site.partitions, key=lambda p: p.number)
        ),
        reporting=tuple(_reporting(job)),
    )


def _of_account(to_do: Mapping[str, Block], communicator: str) -> list[Block]:
    """What of the blocks is about a communicator's numbers, card and account."""
    ids = (f"identifiers:{communicator}", f"account:{communicator}")
    return [to_do[i] for i in ids if i in to_do]


def grouped(number: str) -> str:
    """A number in groups of four from the left, for reading aloud: "8999 9700 0120"."""
    return " ".join(number[i : i + _GROUP] for i in range(0, len(number), _GROUP))


def _activation(
    ctx: Context, names: Names, communicator: Communicator, to_do: Sequence[Block]
) -> Activation:
    c = communicator
    return Activation(
        communicator=c.id,
        heading=f"{c.role.capitalize()} path, communicator {c.id}",
        numbers=(
            Fact(heading="IMEI of the module", text=grouped(c.imei or "")),
            Fact(heading="card number (ICCID)", text=grouped((c.sim and c.sim.iccid) or "")),
            Fact(heading="account at the centre", text=grouped(c.account or "")),
        ),
        facts=tuple(_facts(names, c)),
        states=tuple(_states(ctx, c)),
        missing=tuple(f"{names.plain(b.text)} {names.plain(b.do)}" for b in to_do),
    )


def _facts(names: Names, communicator: Communicator) -> Iterator[Fact]:
    c = communicator
    yield Fact(heading="centre", text=c.centre or "not said yet")
    yield Fact(heading="part", text=names.part(c.part))
    service = "not chosen yet" if c.service is None else names.part(c.service)
    yield Fact(heading="service", text=service)
    yield Fact(heading="card", text="not chosen yet" if c.sim is None else _card(names, c.sim))


def _card(names: Names, sim: Sim) -> str:
    uses = names.networks(sim.networks) if sim.networks else "any network of the site"
    return f"{sim.kind}; networks, preferred first: {uses}"


def _states(ctx: Context, communicator: Communicator) -> Iterator[StateMark]:
    """Each state with its day, where it is not past the one of now; ended only where it has."""
    reached = states_reached(ctx, communicator.id)
    now = _STATES.index(communicator.state)
    for i, state in enumerate(_STATES):
        if state is AccountState.ENDED and communicator.state is not AccountState.ENDED:
            continue
        entry: StepEntry | None = reached.get(state) if i <= now else None
        begun = entry is not None or state is not AccountState.ORDERED
        yield StateMark(
            state=state.replace("_", " "),
            on="" if entry is None else day(entry.at, ctx.site.time_zone),
            by="" if entry is None else entry.by,
            current=i == now and begun,
            note="" if entry is not None else _no_day(i > now or not begun),
        )


def _no_day(to_come: bool) -> str:
    return "not yet" if to_come else "not on record"


def _zones(found: ZoneRows) -> Iterator[ZoneCodes]:
    for zone in found.zones:
        yield ZoneCodes(
            number=str(zone.number),
            name=shorten(zone.name, NAME_CHARACTERS),
            kind=zone.kind,
            partition=zone.partition,
            codes=_codes([s for d in zone.devices for s in d.signals]),
        )
    loose = [s for d in found.without_zone for s in d.signals]
    for name, signals in (("Devices in no zone", loose), ("Panel", found.panel)):
        if signals:
            codes = _codes(signals)
            yield ZoneCodes(number="", name=name, kind="", partition="", codes=codes)


def _codes(signals: Sequence[DueSignal]) -> tuple[DueCode, ...]:
    """Each kind of signal once: its code is the same for all devices of a zone."""
    return tuple(dict.fromkeys(DueCode(signal=s.signal, code=s.code) for s in signals))


def _reporting(job: Job) -> Iterator[Fact]:
    told = job.site.reporting
    if told is None:
        return
    yield Fact(heading="interval", text=f"a poll every {told.interval_s:g} s")
    yield Fact(heading="counts as lost", text=f"after {counted(told.misses, 'missed poll')}")
    yield Fact(heading="time-out", text=f"{told.timeout_s:g} s for an answer")
    if told.category:
        yield Fact(heading="category", text=told.category)
