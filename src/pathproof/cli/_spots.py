"""What was read at the spots of a site, as a person reads it."""

import math
from collections.abc import Iterator

from pathproof.assess.mobile_expected import not_there_text
from pathproof.assess.spot_report import Contest, LevelRead, NetworkReport, SpotReport
from pathproof.assess.types import Assessment
from pathproof.assess.wording import level_text, technology_text
from pathproof.cli._screen import Screen

_WIDEST_NAME = 28
_LEAST_TEXT = 36
"""Narrower beside a name, text goes under it. [columns]"""


def show_spots(screen: Screen, assessment: Assessment) -> None:
    """Which network wins at each spot, the best spot of each network, and what explains it."""
    if not assessment.spots:
        return
    screen.heading("Spots and networks")
    read = {_called(n): n for n in assessment.networks if n.contests}
    names = [*(s.name for s in assessment.spots), *read]
    width = min(_WIDEST_NAME, max(map(len, names)))
    for spot in assessment.spots:
        _rows(screen, spot.name, width, _spot_lines(spot))
    if read:
        screen.line()
    for name, network in read.items():
        _rows(screen, name, width, _network_lines(network))
    unusual = [d for n in assessment.networks for d in n.differences if d.unusual and d.usual]
    for text in dict.fromkeys(d.usual for d in unusual):
        screen.paragraph(text)


def _rows(screen: Screen, name: str, width: int, lines: Iterator[str]) -> None:
    """Lines beside a name, or under it on a narrow screen."""
    first = f"{name:<{width}}  "
    if screen.width - len(first) < _LEAST_TEXT:
        screen.paragraph((name, "bold"))
        first = "  "
    for line in lines:
        screen.paragraph(line, first=first)
        first = " " * len(first)


def _called(network: NetworkReport) -> str:
    code = network.network
    return code if network.label == code else f"{network.label} ({code})"


def _spot_lines(spot: SpotReport) -> Iterator[str]:
    for contest in spot.contests:
        yield f"{technology_text(contest.technology)}: {contest.text}{_level_of(spot, contest)}"
    if not spot.contests:
        yield "nothing that counts was read"
    yield from spot.notes
    if spot.ask:
        yield spot.ask


def _level_of(spot: SpotReport, contest: Contest) -> str:
    """Median and margin of the first of a contest."""
    level = next(
        x
        for x in spot.levels
        if (x.network, x.technology, x.quantity)
        == (contest.order[0], contest.technology, contest.quantity)
    )
    if level.median_dbm is None:  # not that of a contest
        return ""
    return f"; {level_text(level.median_dbm)}{_margin_of(level)}"


def _margin_of(level: LevelRead) -> str:
    """Margin in the middle of its bins; none where these have an open end."""
    if level.tenth_dbm is None:
        return f", {not_there_text(level.technology, level.lost, level.readings)}"
    margin = level.margin_db
    if margin is None or math.isinf(margin.low) or math.isinf(margin.high):
        return ""
    middle_db = (margin.low + margin.high) / 2.0
    if middle_db < 0:
        return f", lacks {-middle_db:.1f} dB of need and fade margin"
    return f", {middle_db:.1f} dB over need and fade margin"


def _network_lines(network: NetworkReport) -> Iterator[str]:
    for contest in network.contests:
        yield f"{technology_text(contest.technology)}: {contest.text}"
    yield from (d.says for d in network.differences if d.unusual)
    yield from network.notes
