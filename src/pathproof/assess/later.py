"""Link kinds whose arithmetic is not there yet: they stand in every signal's path, undecided."""

from pathproof.assess.context import Context
from pathproof.assess.types import Link
from pathproof.job import Communicator
from pathproof.job import links as names
from pathproof.terms import LinkKind, Reason, Word


def reporting_link(ctx: Context, communicator: Communicator) -> Link:
    """Mobile network to centre, over one communicator."""
    missing = (
        "it is not said how the path is watched (interval, misses, time-out)"
        if ctx.site.reporting is None
        else None
    )
    name = names.reporting(communicator.id)
    what = "reporting time"
    centre = communicator.centre or "monitoring centre"
    return _undecided(ctx, name, LinkKind.REPORTING, "mobile network", centre, what, missing)


def supply_link(ctx: Context) -> Link:
    """Volts at the panel while the mains is there."""
    missing = "no supply is given" if ctx.site.supply is None else None
    return _undecided(
        ctx, names.SUPPLY, LinkKind.SUPPLY, "mains", "panel", "supply and cable volts", missing
    )


def _undecided(
    ctx: Context, name: str, kind: LinkKind, start: str, end: str, what: str, missing: str | None
) -> Link:
    return Link(
        id=name,
        kind=kind,
        start=start,
        end=end,
        word=Word.UNDECIDED,
        why=missing or f"{what}: this version of Pathproof does not work it out yet",
        reason=Reason.CALCULATION if missing is None else Reason.INPUT,
        evidence=tuple(e.id for e in ctx.fitting(ctx.entries, name)),
    )
