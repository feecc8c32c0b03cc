"""Each communicator on paper: what it is, how its way to the centre fares, and what shows it."""

from collections.abc import Iterator
from dataclasses import dataclass

from pathproof.assess.strip import StripLink, communicator_layout
from pathproof.assess.types import Assessment
from pathproof.job import Communicator, Job, Sim
from pathproof.job.links import mobile
from pathproof.papers._text import counted, day, listed
from pathproof.papers.drawing import Drawing
from pathproof.papers.names import Names, at_most
from pathproof.papers.strips import draw_strip
from pathproof.terms import LinkKind, Word

STRIP_WIDTH_MM = 92.0


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One thing to know of something, under its heading."""

    heading: str
    text: str


@dataclass(frozen=True, kw_only=True)
class CommunicatorRow:
    """A communicator with the strip of its way to the centre."""

    heading: str
    facts: tuple[Fact, ...]
    strip: Drawing
    word: Word
    """Of its mobile link."""
    why: str
    shown_by: str
    """What proves it, or the next step that would."""


def communicator_rows(
    job: Job, assessment: Assessment, names: Names
) -> tuple[CommunicatorRow, ...]:
    """One row a communicator, in the order of the site."""
    return tuple(_row(job, assessment, names, c) for c in job.site.communicators)


def antenna_text(
    names: Names,
    antenna: str | None,
    feeder: str | None,
    length_m: float,
    connectors: int | None = None,
) -> str:
    """An antenna with its cable as people speak of them; no antenna is the module's own."""
    text = "the module's own antenna" if antenna is None else names.part(antenna)
    if feeder is None:
        return text
    pairs = "" if connectors is None else f", {counted(connectors, 'connector pair')}"
    return f"{text} on {length_m:.3g} m of {names.part(feeder)}{pairs}"


def shown_by(job: Job, assessment: Assessment, names: Names, link_id: str) -> str:
    """What proves a link, or the next step that would."""
    link = assessment.link(link_id)
    if link.word is Word.PROVEN:
        read = [e for e in job.record if e.id in link.evidence]
        days = list(dict.fromkeys(day(e.at, job.site.time_zone) for e in read))
        span = days[0] if len(days) == 1 else f"{days[0]} to {days[-1]}"
        return f"Proven by {listed(at_most([e.id for e in read]))} of the record ({span})."
    told = link.missing if link.kind is LinkKind.STANDBY and link.word is Word.UNDECIDED else ""
    step = next((a.text for a in assessment.next if a.link == link_id), told)
    return f"Next: {names.plain(step)}" if step else ""


def _row(
    job: Job, assessment: Assessment, names: Names, communicator: Communicator
) -> CommunicatorRow:
    link = assessment.link(mobile(communicator.id))
    return CommunicatorRow(
        heading=f"{communicator.role.capitalize()} path, communicator {communicator.id}",
        facts=tuple(_facts(job, names, communicator)),
        strip=draw_strip(
            communicator_layout(communicator.id, assessment), STRIP_WIDTH_MM, _caption
        ),
        word=link.word,
        why=names.plain(link.why),
        shown_by=shown_by(job, assessment, names, link.id),
    )


def _caption(link: StripLink) -> str:
    """What is missing of the mobile link stands below the strip anyway."""
    said_below = link.kind is LinkKind.MOBILE and link.caption == link.why
    return "something is missing" if said_below else link.caption


def _facts(job: Job, names: Names, communicator: Communicator) -> Iterator[Fact]:
    c, feeder = communicator, communicator.feeder
    yield Fact(heading="part", text=names.part(c.part))
    yield Fact(heading="card", text=_card(names, c.sim))
    if c.service is not None:
        yield Fact(heading="service", text=names.part(c.service))
    hung = antenna_text(
        names,
        c.antenna,
        None if feeder is None else feeder.part,
        0.0 if feeder is None else feeder.length_m,
        None if feeder is None else feeder.connectors,
    )
    crossed = ["hangs across its direction"] if c.antenna_crossed else []
    metal = ["has metal near it"] if c.antenna_near_metal else []
    yield Fact(heading="antenna", text="; ".join([hung, *crossed, *metal]))
    yield Fact(heading="spot", text=_spot(job, names, c.spot))
    centre = f", {c.centre}" if c.centre else ""
    yield Fact(heading="account", text=f"{c.state.replace('_', ' ')}{centre}")


def _card(names: Names, sim: Sim | None) -> str:
    if sim is None:
        return "not chosen yet"
    uses = names.networks(sim.networks) if sim.networks else "any network of the site"
    return f"{sim.kind}, may use {uses}"


def _spot(job: Job, names: Names, spot: str | None) -> str:
    if spot is None:
        return "not chosen yet"
    place = next((s.place for s in job.site.spots if s.id == spot), None)
    return names.named(spot) + ("" if place is None else f", {place.replace('_', ' ')}")
