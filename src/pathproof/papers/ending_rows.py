"""Networks and services that end, on paper: what is gone when, what is left then, who says so."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pathproof.assess.retirements import Fate, Outlook, Prospect
from pathproof.assess.wording import technology_text
from pathproof.papers._text import date_text, listed, with_dates
from pathproof.papers.names import Names, at_most


@dataclass(frozen=True, kw_only=True)
class EndingRow:
    """One thing that ends."""

    on: str
    """The day from which it counts as gone, or that there is none."""
    what: str
    said: str
    source: str
    left: str
    """What the communicator has left then; empty where no day is known."""


@dataclass(frozen=True, kw_only=True)
class Endings:
    """How long one communicator will have a network and what stands behind it."""

    heading: str
    why: str
    """What becomes of it; empty where `unknown` says as much."""
    warn: bool
    """Whether it loses its last network or service while it is to serve."""
    rows: tuple[EndingRow, ...]
    unknown: str
    """Of what nothing is known."""


def endings(of: Sequence[Outlook], names: Names) -> tuple[Endings, ...]:
    """What ends, a table for each communicator."""
    return tuple(_endings(outlook, names) for outlook in of)


def ending_name(prospect: Prospect, names: Names) -> str:
    """A network with its technology, or a service, as people speak of it."""
    if prospect.network is None or prospect.technology is None:
        return prospect.name
    return f"{names.network(prospect.network)} {technology_text(prospect.technology)}"


def _endings(outlook: Outlook, names: Names) -> Endings:
    everything = (*outlook.networks, *outlook.services)
    called = {p.name: ending_name(p, names) for p in everything}
    known = sorted(
        (p for p in everything if p.row is not None),
        key=lambda p: (p.counts_from is None, p.counts_from, p.name),
    )
    unknown = [called[p.name] for p in everything if p.row is None]
    why = outlook.why
    for name in sorted(called, key=len, reverse=True):  # "001-01 LTE-M" before "001-01 LTE"
        why = why.replace(name, called[name])
    return Endings(
        heading=f"What ends when: communicator {outlook.communicator}, to serve until "
        f"{date_text(outlook.serves_until)}",
        why=""
        if outlook.fate is Fate.UNKNOWN and outlook.networks
        else with_dates(f"{why[0].upper()}{why[1:]}."),
        warn=outlook.fate in (Fate.GONE, Fate.ENDING, Fate.ENDS),
        rows=tuple(_row(p, outlook, called) for p in known),
        unknown=f"Nothing is known of the end of {listed(at_most(unknown))}, which does not say "
        "that it lasts: ask before you rely on it."
        if unknown
        else "",
    )


def _row(prospect: Prospect, outlook: Outlook, called: dict[str, str]) -> EndingRow:
    on = prospect.counts_from
    step = next((s for s in outlook.steps if s.on == on), None)
    left = "" if step is None else listed(at_most([called[n] for n in step.left])) or "nothing"
    return EndingRow(
        on="no day known" if on is None else date_text(on),
        what=called[prospect.name],
        said=with_dates(prospect.why),
        source=", ".join(_source(prospect)),
        left=left,
    )


def _source(prospect: Prospect) -> Iterator[str]:
    row = prospect.row
    if row is None:
        return
    yield from (x for x in (row.source.ref, row.source.edition, row.source.clause) if x)
    yield str(row.source.evidence)
    if row.seen is not None:
        yield f"looked at {date_text(row.seen)}"
