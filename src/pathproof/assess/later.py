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
    return Link(
        id=name,
        kind=LinkKind.REPORTING,
        start="mobile network",
        end=communicator.centre or "monitoring centre",
        word=Word.UNDECIDED,
        why=missing or "reporting time: this version of Pathproof does not work it out yet",
        reason=Reason.CALCULATION if missing is None else Reason.INPUT,
        evidence=tuple(e.id for e in ctx.fitting(ctx.entries, name)),
    )
