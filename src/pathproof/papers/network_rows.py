"""Networks and spots on paper: what was read where, which wins, and what explains differences."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from pathproof.assess.mobile_expected import not_there_text
from pathproof.assess.spot_report import Contest, LevelRead, NetworkReport, SpotReport
from pathproof.assess.strip import margin_text
from pathproof.assess.types import Assessment, Margin
from pathproof.assess.wording import technology_text
from pathproof.calc.mobile import Interval
from pathproof.job import Job
from pathproof.papers._text import MINUS, NO_BREAK, day, listed, shorten
from pathproof.papers.names import Names, at_most
from pathproof.papers.working import SourceBook

NETWORKS_ACROSS = 6
"""Networks side by side; further ones stand in a table of their own."""
LABEL_CHARACTERS = 16
"""A longer label of a network is cut above its column; the list below has the whole."""

HOW_TO_READ = (
    "Each cell: the level in dBm that half of the n readings reach and, in brackets, that 9 of 10 "
    "reach; then what the latter has over need and fade margin, as an antenna of 0 dBi has it "
    "there, without feeder. Networks are compared within one technology only."
)


@dataclass(frozen=True, kw_only=True)
class SpotRow:
    """One spot: a cell for each network of the table, a line for each technology."""

    key: str
    name: str
    cells: tuple[tuple[str, ...], ...]
    winner: str
    """Which network wins here, in words; only in the first table."""


@dataclass(frozen=True, kw_only=True)
class SpotTable:
    """Spots down, some networks across."""

    networks: tuple[tuple[str, ...], ...]
    """Code and, where it has another one, label of each."""
    rows: tuple[SpotRow, ...]


@dataclass(frozen=True, kw_only=True)
class NetworkRow:
    """Which spot is best for a network, and what explains the differences."""

    network: str
    best: str
    explained: str
    """With the numbers of the sources."""


@dataclass(frozen=True, kw_only=True)
class NetworkRows:
    """All that was read of networks at the spots of a site."""

    how_to_read: str
    tables: tuple[SpotTable, ...]
    read: str
    """When and with what."""
    nothing: str
    """Spots and networks of which nothing was read."""
    networks: tuple[NetworkRow, ...]
    usual: str
    """What places inside commonly differ by, and how many differences are no more than that."""


def network_rows(
    job: Job, assessment: Assessment, names: Names, book: SourceBook
) -> NetworkRows | None:
    """What was read at the spots; none where the site has no spot and no network."""
    if not assessment.spots and not assessment.networks:
        return None
    levels = [level for report in assessment.spots for level in report.levels]
    return NetworkRows(
        how_to_read=HOW_TO_READ if levels else "",
        tables=tuple(_tables(assessment, names)),
        read=_read(job, levels),
        nothing=" ".join(_nothing(assessment, names)),
        networks=tuple(
            _network_row(report, names, book) for report in assessment.networks if report.contests
        ),
        usual=" ".join(_usual(assessment)),
    )


def _tables(assessment: Assessment, names: Names) -> Iterator[SpotTable]:
    told = [r for r in assessment.spots if r.levels or r.silent or r.notes]
    seen = {x.network for r in told for x in r.levels} | {n for r in told for n in r.silent}
    codes = [n.network for n in assessment.networks if n.network in seen]
    for start in range(0, len(codes), NETWORKS_ACROSS):
        across = codes[start : start + NETWORKS_ACROSS]
        yield SpotTable(
            networks=tuple(_head(n) for n in assessment.networks if n.network in across),
            rows=tuple(_spot_row(r, across, names, tells_winner=start == 0) for r in told),
        )


def _head(network: NetworkReport) -> tuple[str, ...]:
    label = [] if network.label == network.network else [network.label]
    return (network.network, *(shorten(text, LABEL_CHARACTERS) for text in label))


def _spot_row(
    report: SpotReport, across: Sequence[str], names: Names, *, tells_winner: bool
) -> SpotRow:
    return SpotRow(
        key=names.keys.get(report.spot, ""),
        name=names.short.get(report.spot, report.name),
        cells=tuple(tuple(_cell(report, code)) for code in across),
        winner=" ".join(_winner(report, names)) if tells_winner else "",
    )


def _cell(report: SpotReport, code: str) -> Iterator[str]:
    found = [level for level in report.levels if level.network == code]
    if not found:
        yield "no level" if code in report.silent else "not read"
    for level in found:
        if level.tenth_dbm is None or level.median_dbm is None:
            said = not_there_text(level.technology, level.lost, level.readings)
            yield f"{technology_text(level.technology)}: {said}"
            continue
        median, tenth = _level(level.median_dbm), _level(level.tenth_dbm)
        bracket = "" if tenth == median else f" ({tenth})"
        level_said = f"{technology_text(level.technology)} {median}{bracket}"
        parts = (level_said, _margin(level), f"n = {level.readings}")
        yield ", ".join(part.replace(" ", NO_BREAK) for part in parts)


def _margin(level: LevelRead) -> str:
    if level.margin_db is None or not level.confirmed:
        return "need not known" if level.margin_db is None else "need not confirmed"
    return _bounded(level.margin_db, lambda db: margin_text(Margin(value=db, unit="dB")))


def _level(level_dbm: Interval) -> str:
    return _bounded(level_dbm, lambda dbm: f"{round(dbm, 1):g}".replace("-", MINUS))


def _bounded(interval: Interval, say: Callable[[float], str]) -> str:
    """The middle of an interval, or its one end where the other is open."""
    if math.isinf(interval.low):
        return f"{say(interval.high)} or less"
    if math.isinf(interval.high):
        return f"{say(interval.low)} or more"
    return say((interval.low + interval.high) / 2.0)


def _winner(report: SpotReport, names: Names) -> Iterator[str]:
    yield from map(names.by_code, _contests(report.contests))
    yield from map(names.by_code, report.notes)
    if report.ask:
        yield names.by_code(report.ask)


def _contests(contests: Sequence[Contest]) -> Iterator[str]:
    for contest in contests:
        which = f"{technology_text(contest.technology)}: " if len(contests) > 1 else ""
        yield f"{which}{contest.text}."


def _read(job: Job, levels: Sequence[LevelRead]) -> str:
    if not levels:
        return ""
    zone = job.site.time_zone
    first = day(min(x.first_at for x in levels), zone)
    last = day(max(x.last_at for x in levels), zone)
    instruments = sorted({name for x in levels for name in x.instruments})
    by = f" with {listed(at_most(instruments))}" if instruments else ""
    return f"Read {'on ' + first if first == last else f'from {first} to {last}'}{by}."


def _nothing(assessment: Assessment, names: Names) -> Iterator[str]:
    spots = [r for r in assessment.spots if not (r.levels or r.silent or r.notes)]
    if spots:
        listed_spots = listed(at_most([names.named(r.spot) for r in spots]))
        yield f"Nothing that counts was read at {listed_spots}."
        first = next((r.ask for r in spots if r.ask), "")
        if len(spots) == len(assessment.spots) and first:
            yield f"{names.named(spots[0].spot)}: {first}"
    networks = [n.network for n in assessment.networks if not n.contests]
    if networks:
        yield f"Nothing that counts was read of {names.networks(networks)}."
    if not assessment.spots:
        yield "There are no spots yet: add the places where an antenna could hang, and read there."


def _network_row(report: NetworkReport, names: Names, book: SourceBook) -> NetworkRow:
    unusual = [d for d in report.differences if d.unusual]
    sources = [s for d in unusual for s in d.sources]
    numbers = [str(n) for n in sorted({book.note(s).number for s in sources})]
    cited = f"(Sources {', '.join(numbers)}.)" if numbers else ""
    texts = [*(names.plain(t) for t in (*(d.says for d in unusual), *report.notes)), cited]
    return NetworkRow(
        network=names.network(report.network),
        best=names.plain(" ".join(_contests(report.contests))),
        explained=" ".join(texts).strip(),
    )


def _usual(assessment: Assessment) -> Iterator[str]:
    differences = [d for report in assessment.networks for d in report.differences]
    yield from dict.fromkeys(d.usual for d in differences if d.unusual and d.usual)
    usual = sum(not d.unusual for d in differences)
    if usual:
        what = "One more difference is" if usual == 1 else f"{usual} more differences are"
        yield f"{what} not unusual by Rec. ITU-R P.2109-2."
