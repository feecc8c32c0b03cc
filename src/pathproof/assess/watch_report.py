"""What a watch says: whether it was long enough, and what it still lacks."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from pathproof.assess.context import Context
from pathproof.assess.mobile import mobile_link, watch_of
from pathproof.assess.mobile_levels import NEEDS, technology_at, told_by
from pathproof.assess.mobile_proof import watch_alone
from pathproof.assess.mobile_watched import Watched as Found
from pathproof.assess.reading_words import duration_text, quantity_words, signed
from pathproof.assess.wording import technology_text
from pathproof.instruments import Reading, TimedReading, Watched, watched
from pathproof.job import Job, Site
from pathproof.job.record import ReadingEntry, ReadingValues
from pathproof.terms import LimitName, Quantity, Technology, Word


@dataclass(frozen=True, kw_only=True)
class Judged:
    """What a watch says of the level that a technology needs, by the rules of an assessment."""

    quantity: Quantity
    need: float
    """[unit of the quantity]"""
    fade_db: float
    readings_asked: int
    minutes_asked: float
    gap_s: float
    """Longest time in the log without a reading. [s]"""
    unconfirmed: LimitName | None
    """A limit that is from memory and that nobody has confirmed."""
    found: Found

    @property
    def required(self) -> float:
        """Need and fade margin. [unit of the quantity]"""
        return self.need + self.fade_db

    @property
    def certainty_ratio(self) -> float:
        """How sure it is that 9 of 10 levels reach what is required. [ratio]"""
        return 0.0 if self.found.seen is None else self.found.seen.certainty_ratio

    @property
    def enough(self) -> bool:
        """Whether it is sure enough, with as many readings over as long as is asked."""
        return self.found.word is Word.PROVEN

    def as_dict(self) -> dict[str, Any]:
        """As plain JSON values."""
        needed_s = self.found.needed_s
        return {
            "technology": str(self.found.technology),
            "quantity": str(self.quantity),
            "required": self.required,
            "instrument_db": self.found.instrument_db,
            "entries": list(self.found.entries),
            "readings": self.found.readings,
            "minutes": self.found.minutes,
            "asked_ratio": self.found.asked_ratio,
            "certainty_ratio": self.certainty_ratio,
            "enough": self.enough,
            "needed_min": None if needed_s is None else needed_s / 60.0,
        }


def judged(entry: ReadingEntry, job: Job, as_of: datetime) -> Judged | None:
    """What a watch says of need and fade margin; none where nothing read grades its technology.

    Parameters
    ----------
    entry : ReadingEntry
        The watch, on record in the job.
    job : Job
        The job with its limits, networks and earlier watches.
    as_of : datetime
        Moment, with offset, up to which the record counts.

    Notes
    -----
    About a communicator, with everything final, it is the watch that an assessment sees: with what
    was read just before, as the instrument reads it. Of k tries each is asked for the k-th part of
    the doubt, so that none shops for luck.
    """
    ctx = Context(job, as_of, None, leave_out_later=True)
    found = _of_links(ctx, entry) or _alone(ctx, entry)
    if found is None or not found.taken:
        return None
    need_name = NEEDS[found.technology][1]
    after_s = [0.0, *(x.after_s for x in entry.values.series)]
    return Judged(
        quantity=found.taken[0].level.quantity,
        need=ctx.value(need_name),
        fade_db=ctx.value(LimitName.MOBILE_FADE_MARGIN_DB),
        readings_asked=int(ctx.value(LimitName.MOBILE_READINGS)),
        minutes_asked=ctx.value(LimitName.MOBILE_MINUTES),
        gap_s=max((b - a for a, b in pairwise(after_s)), default=0.0),
        unconfirmed=None if ctx.limit(need_name).usable else need_name,
        found=found,
    )


def _of_links(ctx: Context, entry: ReadingEntry) -> Found | None:
    """The watch as the link of a communicator sees it that the entry is about."""
    about = (c for c in ctx.site.communicators if c.id in entry.about)
    return next((x for c in about if (x := watch_of(ctx, c, entry)) is not None), None)


def _alone(ctx: Context, entry: ReadingEntry) -> Found | None:
    technology = _technology(entry.values, watched(entry.values), ctx.site)
    return None if technology is None else watch_alone(ctx, entry, technology)


def _technology(values: ReadingValues, read: Sequence[Watched], site: Site) -> Technology | None:
    if values.technology is not None:
        return values.technology
    network = next((n for n in site.networks if n.mcc_mnc == values.network), None)
    told = (
        told_by(w.quantity, ()) if network is None else technology_at(network, w.quantity)
        for w in read
    )
    return next((t for t in told if t is not None), None)


def untold_for_proof(conditions: Mapping[str, Any], about: Sequence[str], job: Job) -> list[str]:
    """What a watch on record does not tell and a proof needs: `about` where it is about no
    communicator, else names of conditions."""
    own = any(c.id in about for c in job.site.communicators)
    lacking = [] if own else ["about"]
    lacking += [n for n in ("final_antenna", "lid_shut") if conditions.get(n) is not True]
    told = conditions.get("minutes_since_registration") is not None
    return lacking if told else [*lacking, "minutes_since_registration"]


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


def link_texts(
    about: Sequence[str], job: Job, verdicts: Sequence[Judged | None], as_of: datetime
) -> Iterator[str]:
    """What the record now says of the mobile links of those communicators, and by which watch."""
    before = "" if any(x.enough for x in verdicts if x) else " What was watched before proves it."
    ctx = Context(job, as_of, None, leave_out_later=True)
    for communicator in job.site.communicators:
        if communicator.id in about:
            link = mobile_link(ctx, communicator)
            said = before if link.word is Word.PROVEN else ""
            yield f"Mobile link of {communicator.id}: {link.word}; {link.why}.{said}"


def verdict_sentences(verdict: Judged) -> Iterator[str]:
    """What a watch says of its requirement, in sentences."""
    found = verdict.found
    _, unit = quantity_words(verdict.quantity)
    level = (
        f"{signed(verdict.required)} {unit}, the need of {technology_text(found.technology)} "
        f"({signed(verdict.need)}) and the fade margin ({verdict.fade_db:g} dB)"
    )
    if found.instrument_db:
        level += f", with {found.instrument_db:.1f} dB kept back for the instrument's spread"
    asked = (
        f"asked are {100.0 * found.asked_ratio:.3g} %, {verdict.readings_asked} readings and "
        f"{verdict.minutes_asked:g} min"
    )
    if len(found.entries) > 1:
        yield (
            f"One watch of {found.readings} readings over {duration_text(60.0 * found.minutes)} "
            f"with {', '.join(found.entries[:-1])}, read before."
        )
    sure = f"{math.floor(min(verdict.certainty_ratio, 0.999) * 1000 + 1e-6) / 10:g} % sure"
    if found.minutes == 0.0:
        yield f"One moment says nothing of 9 of 10 levels over time; {asked}."
    elif verdict.enough:
        yield f"Long enough: {sure} that 9 of 10 levels reach {level}; {asked}."
    elif found.word is Word.LACKING:
        yield f"It does not reach {level}: {_short(found)}; more time changes nothing."
    else:
        yield (
            f"Not long enough: {sure} that 9 of 10 levels reach {level}; {asked}. "
            f"{found.missing[:1].upper()}{found.missing[1:]}."
        )
    if verdict.gap_s > 60.0 * verdict.minutes_asked:
        gap = duration_text(verdict.gap_s)
        yield (
            f"Nothing was read for {gap}: before and after that count as two watches, each apart; "
            "this is said of the newest."
        )


def _short(found: Found) -> str:
    """By how much a watch misses what it should reach, for good."""
    if not found.open_below:
        return f"what 9 of 10 readings reach lacks {-found.margin_db:.1f} dB"
    if 10 * found.lost >= found.readings:
        return f"no network in {found.lost} of {found.readings} moments"
    return "its lowest readings are off the instrument's scale"
