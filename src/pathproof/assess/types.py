"""The one answer: what `assess` says, and what everything else shows.

Frozen dataclasses; `as_dict` gives the JSON shape that scripts depend on.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from pathproof.assess.choice import Choice
from pathproof.assess.spot_report import NetworkReport, SpotReport, network_dict, spot_dict
from pathproof.calc.sources import Source
from pathproof.terms import LinkKind, Reason, Severity, SignalKind, Word


@dataclass(frozen=True, kw_only=True)
class Margin:
    """How far a link is above (or, negative, below) its requirement, in its own unit."""

    value: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of a calculation sheet.

    `formula` is the arithmetic with names; `inputs` holds these names with value and unit; `needs`
    are the ids of the lines whose values go in.
    """

    id: str
    label: str
    formula: str = ""
    inputs: Mapping[str, tuple[float | str, str]] = field(default_factory=dict)
    value: float | str
    unit: str = ""
    sources: tuple[Source, ...] = ()
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Link:
    """One link with its word, margin and working.

    `scale` is the link's own measure of margin (spread in dB, required hours): margin over scale
    ranks links within a word. `note` is a short caption that says more than the margin would.
    """

    id: str
    kind: LinkKind
    start: str
    end: str
    word: Word
    why: str
    reason: Reason | None = None
    margin: Margin | None = None
    scale: float | None = None
    probability: float | None = None
    note: str | None = None
    missing: str = ""
    """What is missing to prove it, where somebody began to; of standby that is undecided or lacking
    what to do about it, of such a mobile one where that is not the usual. The next action says
    so."""
    network: str | None = None
    """The network that decides, of a mobile one that was read."""
    band: str | None = None
    """The band in which it was read; none where that was not said."""
    evidence: tuple[str, ...] = ()
    working: tuple[Line, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Leaf:
    """A link in a signal's tree, by its id."""

    link: str


@dataclass(frozen=True, kw_only=True)
class Series:
    """All of these, one after the other."""

    parts: "tuple[Path, ...]"


@dataclass(frozen=True, kw_only=True)
class Alternatives:
    """Any of these is enough, or all of them where the profile asks for it."""

    parts: "tuple[Path, ...]"
    all_needed: bool = False


Path = Leaf | Series | Alternatives


@dataclass(frozen=True, kw_only=True)
class Signal:
    """One signal from where it starts to the monitoring centre.

    `arrival` is what record entries of kind `event` say of it: proven, lacking, or none when
    nothing valid is on record.
    """

    id: str
    about: str
    kind: SignalKind
    name: str
    zone: int | None
    partition: int | None
    word: Word
    why: str
    weakest: str | None
    path: Path
    arrival: Word | None = None
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Finding:
    """Something a person should know, with what to do about it."""

    id: str
    severity: Severity
    about: str
    text: str
    do: str


@dataclass(frozen=True, kw_only=True)
class Action:
    """The one next action for a signal or a group of them, or for a fault of the power."""

    about: str
    signals: tuple[str, ...]
    link: str | None
    text: str


class Consumable(StrEnum):
    """What is replaced in the course of years."""

    CELLS = "cells"  # of wireless devices
    BATTERY = "battery"  # the standby battery


@dataclass(frozen=True, kw_only=True)
class Replacement:
    """Cells of one part and date, or the standby battery, and until when they are counted on."""

    id: str
    what: Consumable
    name: str
    """What to bring, and what for."""
    things: tuple[str, ...]
    """Ids of what it is in."""
    years: float | None
    """How long it is counted on; none where nobody tells. [years]"""
    due: date | None
    """The day until which it is counted on; none without its date, or without years."""
    overdue: bool
    """Whether that day is over."""
    why: str
    """How long and from when, or what is not known."""
    working: tuple[Line, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Summary:
    """The site in a few figures.

    `odds_all` is the joint probability that every radio device works, from those that have odds.
    """

    devices: int
    devices_heard: int
    devices_lacking: int
    signals: int
    signals_by_word: Mapping[Word, int]
    odds_all: float | None
    odds_target: float


@dataclass(frozen=True, kw_only=True)
class Assessment:
    """What `assess` says of a site."""

    site: str
    as_of: datetime
    revision: int
    hash: str
    profile: str
    word: Word
    why: str
    links: tuple[Link, ...]
    signals: tuple[Signal, ...]
    findings: tuple[Finding, ...]
    next: tuple[Action, ...]
    summary: Summary
    choice: Choice | None = None
    """Which communicator, where the site says what it is chosen from."""
    spots: tuple[SpotReport, ...] = ()
    """What was read at each spot of the site, and which network wins there."""
    networks: tuple[NetworkReport, ...] = ()
    """Which spot is best for each network of the site, and what explains the differences."""
    replacements: tuple[Replacement, ...] = ()
    """What is to be replaced and by when, the soonest first."""

    def link(self, link_id: str) -> Link:
        """The link of that id."""
        return next(x for x in self.links if x.id == link_id)

    def as_dict(self) -> dict[str, Any]:
        """The JSON shape of `pathproof assess --json`."""
        return {
            "site": self.site,
            "as_of": self.as_of.isoformat(),
            "revision": self.revision,
            "hash": self.hash,
            "profile": self.profile,
            "word": str(self.word),
            "why": self.why,
            "summary": _summary_dict(self.summary),
            "links": [_link_dict(x) for x in self.links],
            "signals": [_signal_dict(x) for x in self.signals],
            "findings": [
                {
                    "id": f.id,
                    "severity": str(f.severity),
                    "about": f.about,
                    "text": f.text,
                    "do": f.do,
                }
                for f in self.findings
            ],
            "next": [
                {"about": a.about, "signals": list(a.signals), "link": a.link, "text": a.text}
                for a in self.next
            ],
            "spots": [spot_dict(x) for x in self.spots],
            "networks": [network_dict(x) for x in self.networks],
            "replacements": [_replacement_dict(x) for x in self.replacements],
            "choice": None if self.choice is None else self.choice.as_dict(),
        }


def leaves(path: Path) -> Iterator[str]:
    """The ids of all links in a tree, from the start to the centre."""
    if isinstance(path, Leaf):
        yield path.link
    else:
        for part in path.parts:
            yield from leaves(part)


def _summary_dict(summary: Summary) -> dict[str, Any]:
    return {
        "devices": summary.devices,
        "devices_heard": summary.devices_heard,
        "devices_lacking": summary.devices_lacking,
        "signals": summary.signals,
        "signals_by_word": {str(w): n for w, n in summary.signals_by_word.items()},
        "odds_all": summary.odds_all,
        "odds_target": summary.odds_target,
    }


def _replacement_dict(item: Replacement) -> dict[str, Any]:
    return {
        "id": item.id,
        "what": str(item.what),
        "name": item.name,
        "things": list(item.things),
        "years": item.years,
        "due": None if item.due is None else item.due.isoformat(),
        "overdue": item.overdue,
        "why": item.why,
        "working": [_line_dict(line) for line in item.working],
    }


def _link_dict(link: Link) -> dict[str, Any]:
    return {
        "id": link.id,
        "kind": str(link.kind),
        "from": link.start,
        "to": link.end,
        "word": str(link.word),
        "why": link.why,
        "reason": None if link.reason is None else str(link.reason),
        "margin": None
        if link.margin is None
        else {"value": link.margin.value, "unit": link.margin.unit},
        "probability": link.probability,
        "note": link.note,
        "evidence": list(link.evidence),
        "working": [_line_dict(line) for line in link.working],
    }


def _line_dict(line: Line) -> dict[str, Any]:
    return {
        "id": line.id,
        "label": line.label,
        "formula": line.formula,
        "inputs": {n: {"value": v, "unit": u} for n, (v, u) in line.inputs.items()},
        "value": line.value,
        "unit": line.unit,
        "sources": [
            {
                "ref": s.ref,
                "edition": s.edition,
                "clause": s.clause,
                "evidence": str(s.evidence),
            }
            for s in line.sources
        ],
        "needs": list(line.needs),
    }


def _signal_dict(signal: Signal) -> dict[str, Any]:
    return {
        "id": signal.id,
        "about": signal.about,
        "kind": str(signal.kind),
        "name": signal.name,
        "zone": signal.zone,
        "partition": signal.partition,
        "word": str(signal.word),
        "why": signal.why,
        "weakest": signal.weakest,
        "path": _path_dict(signal.path),
        "arrival": None if signal.arrival is None else str(signal.arrival),
        "evidence": list(signal.evidence),
    }


def _path_dict(path: Path) -> Any:
    if isinstance(path, Leaf):
        return path.link
    parts = [_path_dict(p) for p in path.parts]
    if isinstance(path, Series):
        return {"series": parts}
    return {"all_of" if path.all_needed else "any_of": parts}
