"""Findings on antennas: feeders that eat what they bring, wrong antennas, distance to people."""

from collections.abc import Iterator

from pathproof.assess.antenna import (
    AntennaRun,
    BreakEven,
    bands_in_use,
    break_even,
    fitted_run,
    made_for,
)
from pathproof.assess.antenna_care import CARE_IN_BRIEF
from pathproof.assess.context import Context
from pathproof.assess.radio_distance import radio_distance
from pathproof.job import Communicator
from pathproof.terms import AccountState, AntennaPlace, Severity

_Draft = tuple[Severity, str, str, str]


def antenna_findings(ctx: Context) -> Iterator[_Draft]:
    """Severity, communicator, text and what to do, of each finding."""
    for communicator in ctx.site.communicators:
        if communicator.state is AccountState.ENDED:
            continue
        run = fitted_run(ctx.job, communicator)
        yield from _bands(ctx, communicator, run)
        yield from _feeder(ctx, communicator, run)
        yield from _place(ctx, communicator, run)
        yield (
            Severity.ADVICE,
            communicator.id,
            radio_distance(ctx.job, communicator).text,
            "Hang it so that nobody stays nearer. The maker's papers come first: look up the "
            "distance and the greatest antenna gain that they allow.",
        )


def _bands(ctx: Context, communicator: Communicator, run: AntennaRun) -> Iterator[_Draft]:
    if run.antenna is None:
        return
    in_use = bands_in_use(run, ctx.site)
    out = [b.number for b in in_use.bands if not made_for(run.antenna, b)]
    if not out:
        return
    span = f"{run.antenna.low_hz / 1e6:g} to {run.antenna.high_hz / 1e6:g} MHz"
    if len(out) == len(in_use.bands):
        yield (
            Severity.FAULT,
            communicator.id,
            f"{run.name} is made for {span}, and all bands of {in_use.whose} reach beyond: "
            f"{', '.join(out)}.",
            "Choose an antenna for these bands.",
        )
    else:
        yield (
            Severity.ADVICE,
            communicator.id,
            f"{run.name} is made for {span}, and of the bands of {in_use.whose} these reach "
            f"beyond: {', '.join(out)}.",
            "Choose an antenna for all bands in use, or make sure that the network to be used "
            "needs none of these.",
        )


def _feeder(ctx: Context, communicator: Communicator, run: AntennaRun) -> Iterator[_Draft]:
    losing = {
        band: found
        for band, found in _break_evens(ctx, run)
        if found is not None and found.left_db < 0.0
    }
    if not losing or run.feeder is None:
        return
    worst_first = sorted(losing.items(), key=lambda item: item[1].left_db)
    yield (
        Severity.ADVICE,
        communicator.id,
        f"With {run.length_m:g} m of {run.feeder.name}, {run.name} gives less than the module's "
        "own antenna would at the same place: "
        f"{'; '.join(_too_long(band, found) for band, found in worst_first)}.",
        "Shorten the feeder or take one that loses less. It may still be right where readings "
        f"show that its spot has that much more level. {CARE_IN_BRIEF}",
    )


def _break_evens(ctx: Context, run: AntennaRun) -> Iterator[tuple[str, BreakEven | None]]:
    """For every band in use, or for the highest of all where nobody tells any."""
    bands = bands_in_use(run, ctx.site).bands
    for band in bands:
        yield f"band {band.number}", break_even(run, band.number, ctx)
    if not bands:
        yield "the highest band", break_even(run, None, ctx)


def _too_long(band: str, found: BreakEven) -> str:
    spent = (
        f"its gain is spent by {found.length_m:.1f} m" if found.length_m > 0.0 else "at any length"
    )
    return f"{-found.left_db:.1f} dB less in {band} ({spent})"


def _place(ctx: Context, communicator: Communicator, run: AntennaRun) -> Iterator[_Draft]:
    if run.antenna is None:
        return
    if not run.module.antenna_socket:
        yield (
            Severity.ADVICE,
            communicator.id,
            f"{run.name} is to be connected to {run.module.name}, which has no socket for an "
            "antenna by its catalogue entry.",
            "See whether it has one and correct the entry, or choose another communicator.",
        )
    outside = any(
        s.id == communicator.spot and s.place is AntennaPlace.OUTSIDE for s in ctx.site.spots
    )
    if outside and not run.antenna.outdoor:
        yield (
            Severity.ADVICE,
            communicator.id,
            f"{run.name} is to hang outside and is not made for it by its catalogue entry.",
            "Choose an antenna for outside, or hang it inside.",
        )
