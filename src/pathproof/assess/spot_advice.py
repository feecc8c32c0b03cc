"""Advice where a communicator's antenna is at a spot that is clearly not the best one read."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pathproof.assess.context import Context
from pathproof.assess.mobile_levels import allowed_networks
from pathproof.assess.spot_contest import decibels_text, least_odds, middle_db
from pathproof.assess.spots import SpotSurvey
from pathproof.assess.types import Link
from pathproof.assess.wording import odds_text
from pathproof.calc.mobile import Comparison
from pathproof.job import Communicator, CommunicatorPart
from pathproof.job import links as names
from pathproof.terms import AccountState, LimitName, Severity, SimKind, Word

__all__ = ["better_spots"]


@dataclass(frozen=True, kw_only=True)
class _Better:
    """A spot that is clearly better for networks that a communicator uses."""

    spot: str
    gains: Mapping[str, Comparison]
    """By network, the spot against the communicator's own."""

    @property
    def least_db(self) -> float:
        return min(middle_db(c.difference_db) for c in self.gains.values())


def better_spots(
    ctx: Context, links: Mapping[str, Link], survey: SpotSurvey
) -> Iterator[tuple[Severity, str, str, str]]:
    """One finding for each communicator with a clearly better spot, unless its link is proven."""
    limit = ctx.limits.get(LimitName.MOBILE_CERTAINTY_RATIO)
    if limit is None:
        return
    called = {s.id: f"{s.name} ({s.id})" for s in ctx.site.spots}
    for c in ctx.site.communicators:
        link = links.get(names.mobile(c.id))
        settled = link is not None and link.word is Word.PROVEN
        if c.spot is None or settled or c.state is AccountState.ENDED:
            continue
        found = [
            b for s in called if s != c.spot and (b := _better(ctx, survey, c, s, limit.value))
        ]
        if not found:
            continue
        best = max(found, key=lambda b: (len(b.gains), b.least_db))
        gains = " and ".join(
            f"{network} is {decibels_text(x.difference_db)} stronger ({odds_text(least_odds(x))})"
            for network, x in best.gains.items()
        )
        yield (
            Severity.ADVICE,
            c.id,
            f"The antenna of communicator {c.id} is at {called[c.spot]}. At {called[best.spot]} "
            f"{gains}, antenna and cable left out on both sides.",
            "Move the antenna there if the cable to it loses less than that; then read again.",
        )


def _better(
    ctx: Context, survey: SpotSurvey, c: Communicator, spot: str, sure: float
) -> _Better | None:
    """The spot, if it is clearly better for as many networks as the card needs, worse for none.

    Clearly is with the certainty that the profile asks of readings, in every technology that the
    module speaks. Where fewer networks were read at both, it has to be better for all of these.
    """
    part = ctx.job.part(c.part)
    speaks = part.technologies if isinstance(part, CommunicatorPart) else []
    seen: dict[str, Comparison] = {}
    for network in allowed_networks(ctx.site, c):
        found = [x for t, x in survey.at_both(network, spot, c.spot or "") if t in speaks]
        if found:
            seen[network] = min(found, key=least_odds)
    gains = {network: x for network, x in seen.items() if least_odds(x) >= sure}
    worse = any(x.odds_bounds.high <= 1.0 - sure for x in seen.values())
    if worse or not gains or len(gains) < min(_networks_needed(ctx, c), len(seen)):
        return None
    return _Better(spot=spot, gains=gains)


def _networks_needed(ctx: Context, c: Communicator) -> int:
    if c.sim is None or c.sim.kind is SimKind.FIXED:
        return 1
    return int(ctx.value(LimitName.MOBILE_NETWORKS_ROAMING))
