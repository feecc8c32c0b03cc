"""What a watch says: its levels, whether it was long enough, and what it still lacks."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter
from typing import Any

from pathproof.assess.context import Context
from pathproof.assess.mobile import mobile_link
from pathproof.assess.mobile_levels import NEEDS, grading, technology_at, told_by
from pathproof.assess.wording import technology_text
from pathproof.calc.mobile import BinnedLevels, Interval, Watch, binned_levels, watch
from pathproof.cli._jobs import as_of_moment
from pathproof.cli._readings import (
    count_text,
    duration_text,
    quantity_words,
    read_of,
    signed,
    watched_s,
    watched_text,
    without_level,
)
from pathproof.cli._screen import Screen
from pathproof.instruments import Reading, TimedReading, Watched, watched
from pathproof.job import Job, Site
from pathproof.job.record import ReadingEntry, ReadingValues
from pathproof.terms import LimitName, Quantity, Technology


@dataclass(frozen=True, kw_only=True)
class Judged:
    """What a watch says of the level that a technology needs."""

    technology: Technology
    quantity: Quantity
    readings: int
    """How many count, those without any level too."""
    need: float
    """[unit of the quantity]"""
    fade_db: float
    asked_ratio: float
    """Certainty asked for, of this try. [ratio]"""
    readings_asked: int
    minutes_asked: float
    longest_gap_s: float
    """From one reading to the next, at the most. [s]"""
    unconfirmed: LimitName | None
    """A limit that is from memory and that nobody has confirmed."""
    found: Watch

    @property
    def required(self) -> float:
        """Need and fade margin. [unit of the quantity]"""
        return self.need + self.fade_db

    @property
    def minutes(self) -> float:
        """From the first to the last level that counts. [min]"""
        return self.found.correlation.watched_s / 60.0

    @property
    def pace_s(self) -> float:
        """From one reading to the next, on average. [s]"""
        return self.found.correlation.watched_s / max(self.readings - 1, 1)

    @property
    def enough(self) -> bool:
        """Whether it is sure enough, with as many readings over as long as is asked."""
        return (
            self.found.enough
            and self.readings >= self.readings_asked
            and self.minutes >= self.minutes_asked
        )

    @property
    def needed_min(self) -> float | None:
        """How long it takes in all if it goes on like this; none where no watch will do. [min]"""
        if self.found.needed_s is None:
            return None
        by_count_s = (self.readings_asked - 1) * self.pace_s
        return max(self.found.needed_s / 60.0, self.minutes_asked, by_count_s / 60.0)

    def as_dict(self) -> dict[str, Any]:
        """As plain JSON values."""
        return {
            "technology": str(self.technology),
            "quantity": str(self.quantity),
            "required": self.required,
            "asked_ratio": self.asked_ratio,
            "certainty_ratio": self.found.certainty_ratio,
            "enough": self.enough,
            "needed_min": self.needed_min,
        }


def judged(entry: ReadingEntry, job: Job) -> Judged | None:
    """What a watch says of need and fade margin; none where nothing read grades its technology.

    Parameters
    ----------
    entry : ReadingEntry
        The watch, on record in the job.
    job : Job
        The job with its limits, networks and earlier watches.

    Notes
    -----
    Each of k tries is asked for the k-th part of the doubt, so that none shops for luck.
    """
    values = entry.values
    read = watched(values)
    technology = _technology(values, read, job.site)
    if technology is None:
        return None
    graded = next((w for q in grading(technology) for w in read if w.quantity is q), None)
    if graded is None:
        return None
    ctx = Context(job, as_of_moment(None, job.site), None, leave_out_later=True)
    need_name = NEEDS[technology][1]
    need, fade_db = ctx.value(need_name), ctx.value(LimitName.MOBILE_FADE_MARGIN_DB)
    asked = 1.0 - (1.0 - ctx.value(LimitName.MOBILE_CERTAINTY_RATIO)) / _tries(ctx, entry)
    levels, at_s = _with_losses(values, graded)
    return Judged(
        technology=technology,
        quantity=graded.quantity,
        readings=levels.count,
        need=need,
        fade_db=fade_db,
        asked_ratio=asked,
        readings_asked=int(ctx.value(LimitName.MOBILE_READINGS)),
        minutes_asked=ctx.value(LimitName.MOBILE_MINUTES),
        longest_gap_s=max((b - a for a, b in pairwise(at_s)), default=0.0),
        unconfirmed=None if ctx.limit(need_name).usable else need_name,
        found=watch(levels, at_s, need + fade_db, asked),
    )


def _tries(ctx: Context, entry: ReadingEntry) -> int:
    """Which try a watch is: as told, or by those on record of the same network, place and kit."""
    same = [
        e
        for e in ctx.entries
        if isinstance(e, ReadingEntry)
        and e.values.series
        and (e.values.network, e.fits) == (entry.values.network, entry.fits)
        and (e.conditions.final_antenna, e.conditions.lid_shut) == (True, True)
        and e.at <= entry.at
    ]
    return max(entry.conditions.attempt or 1, len(same), 1)


def _with_losses(values: ReadingValues, graded: Watched) -> tuple[BinnedLevels, list[float]]:
    """The levels that count and when; without any level counts as the lowest read, or below."""
    low, high = graded.levels.low.tolist(), graded.levels.high.tolist()
    lowest = min(x for x in (*low, *high) if math.isfinite(x))
    lost = [s.after_s for s in values.series if not s.levels]
    lost += [] if values.levels else [0.0]
    moments = [*zip(graded.at_s, low, high, strict=True), *((x, None, lowest) for x in lost)]
    moments.sort(key=itemgetter(0))
    return binned_levels((a, b) for _, a, b in moments), [at_s for at_s, _, _ in moments]


def _technology(values: ReadingValues, read: Sequence[Watched], site: Site) -> Technology | None:
    if values.technology is not None:
        return values.technology
    network = next((n for n in site.networks if n.mcc_mnc == values.network), None)
    told = (
        told_by(w.quantity, ()) if network is None else technology_at(network, w.quantity)
        for w in read
    )
    return next((t for t in told if t is not None), None)


def untold_for_proof(
    conditions: Mapping[str, Any], about: Sequence[str], job: Job
) -> Iterator[str]:
    """What a watch on record lacks before it can prove a link; nothing where it lacks nothing."""
    lacking = [
        text
        for holds, text in (
            (
                any(c.id in about for c in job.site.communicators),
                "--about the communicator, read by its own module",
            ),
            (conditions.get("final_antenna") is True, "--final-antenna"),
            (conditions.get("lid_shut") is True, "--lid-shut"),
            ("minutes_since_registration" in conditions, "--minutes-since-registration"),
        )
        if not holds
    ]
    if lacking:
        yield f"To prove a link a watch also needs: {', '.join(lacking)}."


def show_watch(screen: Screen, values: ReadingValues, verdict: Judged | None) -> None:
    """What a watch says, as people read it."""
    of = read_of(values)
    screen.paragraph((f"{of}: {count_text(values)}" if of else count_text(values), "bold"))
    for one in watched(values):
        screen.paragraph(watched_text(one), first="  ")
    if verdict is not None:
        for text in _verdict(verdict):
            screen.paragraph(text, first="  ")


def watch_as_dict(values: ReadingValues, verdict: Judged | None) -> dict[str, Any]:
    """What a watch says, as plain JSON values."""
    return {
        "network": values.network,
        "technology": None if values.technology is None else str(values.technology),
        "band": values.band,
        "readings": 1 + len(values.series),
        "without_level": without_level(values),
        "minutes": watched_s(values) / 60.0,
        "quantities": [
            {
                "quantity": str(w.quantity),
                "readings": w.levels.count,
                "least": min(w.shown),
                "most": max(w.shown),
                "median": _ends(w.median),
                "tenth_percentile": _ends(w.tenth_percentile),
            }
            for w in watched(values)
        ],
        "requirement": None if verdict is None else verdict.as_dict(),
    }


def watch_notes(readings: Sequence[TimedReading], passed_over: int) -> Iterator[str]:
    """What readings do not say by themselves, each sentence once, and what was passed over."""
    if passed_over:
        lines = "1 line" if passed_over == 1 else f"{passed_over} lines"
        yield f"{lines} passed over that hold no level: echo, OK, other reports, empty ones."
    knew_nothing = [at for at, reading in readings if not reading.levels]
    if knew_nothing:
        count = f"{len(knew_nothing)} of {len(readings)} readings"
        yield (
            f"{count} knew nothing, the first at {knew_nothing[0]:%H:%M:%S}: no network, or the "
            "module was searching for one."
        )
    said: dict[str, list[Reading]] = {}
    for _, reading in readings:
        for note in reading.notes if reading.levels else ():
            said.setdefault(note, []).append(reading)
    for note, of in said.items():
        yield note if len(of) == len(readings) else f"In {len(of)} of {len(readings)}: {note}"


def link_texts(about: Sequence[str], job: Job) -> Iterator[str]:
    """What the record now says of the mobile links of those communicators."""
    ctx = Context(job, as_of_moment(None, job.site), None, leave_out_later=True)
    for communicator in job.site.communicators:
        if communicator.id in about:
            link = mobile_link(ctx, communicator)
            yield f"Mobile link of {communicator.id}: {link.word}; {link.why}."


def _verdict(verdict: Judged) -> Iterator[str]:
    found, (_, unit) = verdict.found, quantity_words(verdict.quantity)
    level = (
        f"{signed(verdict.required)} {unit}, the need of {technology_text(verdict.technology)} "
        f"({signed(verdict.need)}) and the fade margin ({verdict.fade_db:g} dB)"
    )
    asked = (
        f"asked are {verdict.asked_ratio * 100:.3g} %, {verdict.readings_asked} readings and "
        f"{verdict.minutes_asked:g} min"
    )
    longer = verdict.needed_min is not None and verdict.needed_min > verdict.minutes_asked
    sooner = ", less with a reading every 10 s" if longer and verdict.pace_s > 20.0 else ""
    sure = f"{math.floor(min(found.certainty_ratio, 0.999) * 1000 + 1e-6) / 10:g} % sure"
    if found.correlation.watched_s == 0.0:
        yield f"One moment says nothing of 9 of 10 levels over time; {asked}."
    elif verdict.enough:
        yield f"Long enough: {sure} that 9 of 10 levels reach {level}; {asked}."
    elif verdict.needed_min is None:
        short = _short(found.margin_db.low)
        yield f"It does not reach {level}: {short}; more time changes nothing."
    else:
        yield (
            f"Not long enough: {sure} that 9 of 10 levels reach {level}; {asked}. If it goes on "
            f"like this it takes about {duration_text(60.0 * verdict.needed_min)} in all{sooner}."
        )
    if verdict.longest_gap_s > 60.0 * verdict.minutes_asked:
        gap = duration_text(verdict.longest_gap_s)
        yield f"Nothing was read for {gap}: before and after that count as two watches, each apart."
    if verdict.unconfirmed is not None:
        yield f"The limit {verdict.unconfirmed} is from memory: see pathproof profile confirm."


def _short(margin_db: float) -> str:
    """By how much a watch misses what it should reach, for good."""
    if math.isinf(margin_db):
        return "its lowest readings are off the instrument's scale"
    if margin_db >= 0.0:
        return "nearly 1 in 10 readings is below"
    return f"what 9 of 10 readings reach lacks {-margin_db:.1f} dB"


def _ends(interval: Interval) -> dict[str, float | None]:
    return {
        name: None if math.isinf(end) else end
        for name, end in (("low", interval.low), ("high", interval.high))
    }
