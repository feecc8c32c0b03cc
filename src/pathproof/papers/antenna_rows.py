"""Antenna and feeder on paper: the sum that a pencil can follow, and the distance to people."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pathproof.assess.antenna import (
    AntennaRun,
    bands_in_use,
    break_even,
    fitted_run,
    gain_db,
    known_bands,
    unfit,
    write_gain,
)
from pathproof.assess.antenna_care import CARE_IN_BRIEF
from pathproof.assess.context import Context
from pathproof.assess.radio_distance import radio_distance
from pathproof.assess.sheet import Sheet
from pathproof.assess.strip import margin_text
from pathproof.assess.types import Assessment, Margin
from pathproof.job import Communicator, Job
from pathproof.job.links import mobile
from pathproof.papers._text import listed
from pathproof.papers.working import SourceBook, WorkRow, work_rows
from pathproof.terms import AccountState


@dataclass(frozen=True, kw_only=True)
class AntennaRow:
    """What hangs between the air and one module, as a calculation."""

    heading: str
    sum: tuple[WorkRow, ...]
    """Empty where the antenna is made for no band in use."""
    further: tuple[str, ...]
    """Other bands, and those that the antenna is not made for."""
    distance: str
    distance_sum: tuple[WorkRow, ...]


@dataclass(frozen=True, kw_only=True)
class AntennaRows:
    """All antennas, and how to treat plugs and cables where there are any."""

    rows: tuple[AntennaRow, ...]
    care: str


def antenna_rows(job: Job, assessment: Assessment, book: SourceBook) -> AntennaRows:
    """One row for each communicator whose account has not ended.

    Allowances are those of the job's own profile.
    """
    ctx = Context(job, assessment.as_of, None, leave_out_later=True)
    here = [c for c in job.site.communicators if c.state is not AccountState.ENDED]
    plugged = any(c.antenna is not None or c.feeder is not None for c in here)
    return AntennaRows(
        rows=tuple(_row(ctx, c, assessment, book) for c in here),
        care=CARE_IN_BRIEF if plugged else "",
    )


def _row(
    ctx: Context, communicator: Communicator, assessment: Assessment, book: SourceBook
) -> AntennaRow:
    run = fitted_run(ctx.job, communicator)
    distance = radio_distance(ctx.job, communicator)
    read = tuple(_bands_read(communicator, run, assessment))
    shown = _shown_band(run, ctx, read)
    sheet = Sheet()
    if unfit(run, shown, ctx) is None:
        write_gain(sheet, run, shown, ctx)
    return AntennaRow(
        heading=f"Communicator {communicator.id}: {run.name}",
        sum=work_rows(sheet.lines, book)[0],
        further=tuple(_further(run, ctx, shown, decides=shown in read)),
        distance=distance.text,
        distance_sum=work_rows(distance.lines, book)[0],
    )


def _bands_read(
    communicator: Communicator, run: AntennaRun, assessment: Assessment
) -> Iterator[str]:
    """The band in which the network that decides was read, or those read at the spot."""
    link = assessment.link(mobile(communicator.id))
    if link.band is not None:
        yield from (b.number for b in known_bands([link.band]))
        return
    network = link.network
    levels = [
        level
        for report in assessment.spots
        for level in report.levels
        if (report.spot, level.network) == (communicator.spot, network)
    ]
    own = [level for level in levels if level.technology in run.module.technologies]
    for level in own or levels:  # of another technology where that stands in for its own
        yield from (b.number for b in known_bands(level.bands))


def _shown_band(run: AntennaRun, ctx: Context, read: Sequence[str]) -> str | None:
    """A band that was read and decides; where none was, the highest in use.

    Of several, the highest that the antenna is made for: there the cable loses most.
    """
    if run.antenna is None and run.feeder is None:
        return None
    in_use = [b.number for b in bands_in_use(run, ctx.site).bands]
    for numbers in (read, in_use):
        fit = [b for b in known_bands(numbers) if unfit(run, b.number, ctx) is None]
        if fit:
            return max(fit, key=lambda b: b.high_hz).number
    return None


def _further(run: AntennaRun, ctx: Context, shown: str | None, *, decides: bool) -> Iterator[str]:
    """Which band the sum is of, the same in other bands, and bands for which there is none."""
    nowhere = unfit(run, shown, ctx)
    if nowhere is not None:
        yield f"Nothing can be counted on: {nowhere}."
        return
    if shown is None:
        return
    yield (
        f"Band {shown} was read of the network that decides."
        if decides
        else f"Band {shown} is the highest in use that the antenna is made for."
    )
    others = [b.number for b in bands_in_use(run, ctx.site).bands if b.number != shown]
    sums = [said for number in others if (said := _in_band(run, number, ctx))]
    if sums:
        yield f"The same sum in other bands: {'; '.join(sums)}."
    unmade = [number for number in others if gain_db(run, number, ctx) is None]
    if unmade:
        yield f"Nothing counts in band {listed(unmade)}: the antenna is not made for all of it."


def _in_band(run: AntennaRun, number: str, ctx: Context) -> str:
    total_db = gain_db(run, number, ctx)
    if total_db is None:
        return ""
    limit = break_even(run, number, ctx)
    of_use = "" if limit is None else f", of use up to {limit.length_m:.1f} m of cable"
    return f"{margin_text(Margin(value=total_db, unit='dB'))} in band {number}{of_use}"
