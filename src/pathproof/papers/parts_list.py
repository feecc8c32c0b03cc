"""The parts list: everything to order or take along, counted by part."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from pathproof.assess.power.cells import cell_name, lives_on_cells
from pathproof.assess.types import Assessment
from pathproof.job import CommunicatorPart, DetectorPart, Job, ServicePart
from pathproof.papers._csv import Cell, csv_text
from pathproof.papers._text import counted, listed, shorten
from pathproof.papers.names import NAME_CHARACTERS, Names, at_most
from pathproof.papers.title_block import TitleBlock, title_block
from pathproof.terms import AccountState

TITLE: Final = "Parts list"
PIECES: Final = "pieces"
METRES: Final = "m"
_MOST_RUNS: Final = 8
"""Lengths named in one line; then their number. House choice."""
_HEADER: Final = (
    *("kind", "part", "name", "quantity", "unit", "note"),
    *("price each", "price", "currency"),
)


class PartKind(StrEnum):
    """What a line of the list is, in the order in which they stand."""

    PANEL = "panel"
    DEVICE = "device"
    REPEATER = "repeater"
    COMMUNICATOR = "communicator"
    SERVICE = "service"
    ANTENNA = "antenna"
    FEEDER = "feeder"
    SUPPLY = "supply"
    BATTERY = "battery"
    CABLE = "cable"
    CELLS = "cells"


@dataclass(frozen=True, kw_only=True)
class PartLine:
    """One part with how much of it."""

    kind: PartKind
    part: str
    """Its id in the catalogue; of cells their designation."""
    name: str
    quantity: float
    """Pieces, or length of what is sold by length. [unit]"""
    unit: str
    note: str
    price_each: float | None
    """Of a piece or a metre. [currency]"""

    @property
    def price(self) -> float | None:
        """Of all of it. [currency]"""
        return None if self.price_each is None else self.price_each * self.quantity


@dataclass(frozen=True, kw_only=True)
class PartRow:
    """A line of the list as it is printed."""

    kind: str
    """Of the first line of a kind only."""
    quantity: str
    name: str
    note: str
    price_each: str
    price: str


@dataclass(frozen=True, kw_only=True)
class PartsList:
    """The paper."""

    template: str = "parts_list.typ"
    title: str
    site: str
    time_stamp_s: int
    """As-of moment, seconds since 1970. [s]"""
    block: TitleBlock
    headline: str
    currency: str
    """Of the prices; empty where the catalogue has none."""
    lines: tuple[PartLine, ...]
    rows: tuple[PartRow, ...]
    total: str
    """Of what has a price; empty without prices."""
    remarks: tuple[str, ...]
    """What is not chosen yet, and what has no price."""

    def csv(self) -> str:
        """The list as CSV text, one line a part."""
        return csv_text(_HEADER, map(self._line, self.lines))

    def _line(self, line: PartLine) -> tuple[Cell, ...]:
        priced = line.price is not None
        return (
            *(str(line.kind), line.part, line.name),
            *(f"{line.quantity:g}", line.unit, line.note),
            f"{line.price_each:.2f}" if priced else None,
            f"{line.price:.2f}" if priced else None,
            self.currency if priced else None,
        )


def parts_list(job: Job, assessment: Assessment, *, who: str = "") -> PartsList:
    """The parts list of a job as data.

    Parameters
    ----------
    job : Job
        The job that was assessed.
    assessment : Assessment
        What `assess` says of it; the title block names its date and revision.
    who : str
        Who made the paper.
    """
    lines = tuple(_Counting(job, Names(job, assessment)).lines())
    priced = [x.price for x in lines if x.price is not None]
    return PartsList(
        title=TITLE,
        site=job.site.name,
        time_stamp_s=int(assessment.as_of.timestamp()),
        block=title_block(job, assessment, TITLE, who),
        headline=_headline(lines),
        currency=job.site.currency if priced else "",
        lines=lines,
        rows=tuple(_rows(lines)),
        total=f"{sum(priced):,.2f} {job.site.currency}" if priced else "",
        remarks=tuple(_remarks(job, lines)),
    )


class _Counting:
    """Counts the parts of a site."""

    def __init__(self, job: Job, names: Names) -> None:
        self._job, self._site, self._names = job, job.site, names

    def lines(self) -> Iterator[PartLine]:
        site = self._site
        if site.panel is not None:
            yield self._pieces(PartKind.PANEL, site.panel.part, 1)
        yield from self._hung(PartKind.DEVICE, [(d.part, d.id) for d in site.devices])
        yield from self._hung(PartKind.REPEATER, [(r.part, r.id) for r in site.repeaters])
        yield from self._ways()
        if site.supply is not None:
            yield self._pieces(PartKind.SUPPLY, site.supply.part, 1)
        if site.battery is not None:
            yield self._pieces(PartKind.BATTERY, site.battery.part, site.battery.count)
        yield from self._runs(PartKind.CABLE, [(c.part, c.length_m, 0) for c in site.cables])
        yield from self._cells()

    def _ways(self) -> Iterator[PartLine]:
        """Modules with cards, antennas and feeders of those whose account has not ended."""
        fitted = [c for c in self._site.communicators if c.state is not AccountState.ENDED]
        parts = Counter(c.part for c in fitted)
        services = Counter(c.service for c in fitted if c.service is not None)
        antennas = Counter(c.antenna for c in fitted if c.antenna is not None)
        for part, n in parts.items():
            yield self._pieces(PartKind.COMMUNICATOR, part, n)
        for part, n in services.items():
            yield self._pieces(PartKind.SERVICE, part, n)
        for part, n in antennas.items():
            yield self._pieces(PartKind.ANTENNA, part, n)
        feeders = [c.feeder for c in fitted if c.feeder is not None]
        yield from self._runs(
            PartKind.FEEDER, [(f.part, f.length_m, f.connectors) for f in feeders]
        )

    def _hung(self, kind: PartKind, things: Sequence[tuple[str, str]]) -> Iterator[PartLine]:
        """Parts with the numbers of what they are for."""
        together: dict[str, list[str]] = defaultdict(list)
        for part, thing in things:
            together[part].append(thing)
        for part, of_it in together.items():
            yield self._pieces(kind, part, len(of_it), self._names.places(of_it))

    def _runs(self, kind: PartKind, runs: Sequence[tuple[str, float, int]]) -> Iterator[PartLine]:
        """What is sold by length: part, length [m] and connector pairs of each run."""
        together: dict[str, list[tuple[float, int]]] = defaultdict(list)
        for part, length_m, pairs in runs:
            together[part].append((length_m, pairs))
        for part, of_it in together.items():
            each = [f"{m:g} m" for m, _ in of_it]
            named = f"runs of {listed(at_most(each, _MOST_RUNS))}" if len(each) > 1 else "one run"
            all_pairs = sum(pairs for _, pairs in of_it)
            ends = f", {counted(all_pairs, 'connector pair')}" if all_pairs else ""
            entry = self._job.part(part)
            yield PartLine(
                kind=kind,
                part=part,
                name=entry.name,
                quantity=round(sum(m for m, _ in of_it), 3),
                unit=METRES,
                note=named + ends,
                price_each=entry.price,
            )

    def _pieces(self, kind: PartKind, part: str, count: int, note: str = "") -> PartLine:
        entry = self._job.part(part)
        yearly = entry.yearly_cost if isinstance(entry, CommunicatorPart | ServicePart) else None
        cost = "" if yearly is None else f"{yearly:.2f} {self._site.currency} a year each"
        return PartLine(
            kind=kind,
            part=part,
            name=entry.name,
            quantity=count,
            unit=PIECES,
            note=", ".join(x for x in (note, cost) if x),
            price_each=entry.price,
        )

    def _cells(self) -> Iterator[PartLine]:
        """Cells of all devices by their designation, where the catalogue tells."""
        count: Counter[str] = Counter()
        names: dict[str, str] = {}
        for device in self._site.devices:
            part = self._job.part(device.part)
            if isinstance(part, DetectorPart) and part.cell is not None:
                count[part.cell.designation] += part.cell.count
                names[part.cell.designation] = cell_name(part.cell)
        for designation, n in count.items():
            yield PartLine(
                kind=PartKind.CELLS,
                part=designation,
                name=names[designation],
                quantity=n,
                unit=PIECES,
                note="if not with the devices",
                price_each=None,
            )


def _headline(lines: Sequence[PartLine]) -> str:
    if not lines:
        return "There are no parts in this job yet."
    bought = [x for x in lines if x.kind is not PartKind.CELLS]
    return f"{counted(len(bought), 'different part')} to order or take along."


def _rows(lines: Sequence[PartLine]) -> Iterator[PartRow]:
    before: PartKind | None = None
    for x in lines:
        yield PartRow(
            kind="" if x.kind is before else str(x.kind),
            quantity=f"{x.quantity:g}" + (" m" if x.unit == METRES else ""),
            name=shorten(x.name, NAME_CHARACTERS)
            + ("" if x.kind is PartKind.CELLS else f" ({x.part})"),
            note=x.note,
            price_each="" if x.price_each is None else f"{x.price_each:,.2f}",
            price="" if x.price is None else f"{x.price:,.2f}",
        )
        before = x.kind


def _remarks(job: Job, lines: Sequence[PartLine]) -> Iterator[str]:
    site = job.site
    communicators = [c for c in site.communicators if c.state is not AccountState.ENDED]
    open_ = [
        what
        for what, chosen in (
            ("panel", site.panel),
            ("communicator", communicators),
            ("supply", site.supply),
            ("battery", site.battery),
        )
        if not chosen
    ]
    if open_:
        yield f"Not chosen yet: {listed(open_)}."
    without = [c.id for c in communicators if c.service is None]
    if without:
        yield f"No service (card with account) is chosen for communicator {listed(without)}."
    yield from _untold_cells(job)
    priced = any(x.price is not None for x in lines)
    lack = [x.name for x in lines if x.price is None and x.kind is not PartKind.SERVICE]
    if priced and lack:
        yield f"Without a price, so not in the sum: {listed(at_most(lack))}."


def _untold_cells(job: Job) -> Iterator[str]:
    parts = {d.part: job.part(d.part) for d in job.site.devices}
    untold = [
        p.name
        for p in parts.values()
        if isinstance(p, DetectorPart) and lives_on_cells(p) and p.cell is None
    ]
    if untold:
        yield f"The catalogue does not tell the cells of {listed(at_most(untold))}."
