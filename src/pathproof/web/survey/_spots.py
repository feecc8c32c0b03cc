"""What was read at the spots, as sentences of a page."""

from collections.abc import Iterator
from dataclasses import dataclass

from pathproof.assess.spot_report import NetworkReport, SpotReport
from pathproof.assess.types import Assessment
from pathproof.assess.wording import technology_text
from pathproof.job import Network, Site, Spot


@dataclass(frozen=True, kw_only=True)
class SpotRow:
    """One spot."""

    spot: Spot
    place: str
    """Kind of place and length of cable, as far as they are said."""
    said: tuple[str, ...]
    ask: str
    """What to read there."""


@dataclass(frozen=True, kw_only=True)
class NetworkRow:
    """One network of the site."""

    network: Network
    name: str
    offers: str
    """Technologies and bands."""
    said: tuple[str, ...]


def spot_rows(site: Site, assessment: Assessment) -> list[SpotRow]:
    """Every spot of a site, with which network wins there."""
    reports = {r.spot: r for r in assessment.spots}
    return [
        SpotRow(
            spot=s,
            place=_place(s),
            said=tuple(_said(reports.get(s.id))),
            ask=_ask(reports.get(s.id)),
        )
        for s in site.spots
    ]


def network_rows(site: Site, assessment: Assessment) -> list[NetworkRow]:
    """Every network of a site, with its best spot."""
    reports = {r.network: r for r in assessment.networks}
    return [
        NetworkRow(
            network=n,
            name=n.label if n.label == n.mcc_mnc else f"{n.label} {n.mcc_mnc}",
            offers=_offers(n),
            said=tuple(_said_of_network(reports.get(n.mcc_mnc))),
        )
        for n in site.networks
    ]


def _place(spot: Spot) -> str:
    kind = "not said" if spot.place is None else spot.place.replace("_", " ")
    return kind if spot.cable_m is None else f"{kind}, {spot.cable_m:g} m of cable"


def _offers(network: Network) -> str:
    technologies = ", ".join(technology_text(t) for t in network.technologies)
    bands = f"bands {', '.join(network.bands)}" if network.bands else "bands not said"
    return f"{technologies}; {bands}"


def _said(report: SpotReport | None) -> Iterator[str]:
    if report is None:
        return
    for contest in report.contests:
        yield f"{technology_text(contest.technology)}: {contest.text}"
    if not report.contests:
        yield "Nothing that counts was read here."
    yield from report.notes


def _ask(report: SpotReport | None) -> str:
    return "" if report is None else report.ask


def _said_of_network(report: NetworkReport | None) -> Iterator[str]:
    if report is None:
        return
    for contest in report.contests:
        yield f"{technology_text(contest.technology)}: {contest.text}"
    yield from (d.says for d in report.differences if d.unusual)
    yield from report.notes
