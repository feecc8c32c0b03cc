"""What is said beside a choice that was taken: power, the proof that comes next, what was first."""

from dataclasses import dataclass
from datetime import datetime

from pathproof.assess.choice import Choice, Ranked
from pathproof.assess.choosing import Proof, next_proof
from pathproof.assess.context import Context
from pathproof.assess.power.changes import power_changes
from pathproof.assess.taking import Taken, as_communicator
from pathproof.job import Job


@dataclass(frozen=True, kw_only=True)
class Told:
    """What else is said of a choice that was taken."""

    power: tuple[str, ...]
    """What it does to standby, supply and cables."""
    proof: Proof
    """What to read and watch next."""
    before: Ranked | None
    """The first of all that is considered, at any spot; none where that is what was taken."""


def tell(
    before: Job,
    taken: Taken,
    ranked: Ranked,
    of_all: Choice,
    as_of: datetime,
    *,
    leave_out_later: bool,
) -> Told:
    """What to say of an offer that was taken.

    Parameters
    ----------
    before : Job
        The job as it was.
    taken : Taken
        What came of taking the offer.
    ranked : Ranked
        The offer.
    of_all : Choice
        The choice from everything considered, at any spot.
    as_of : datetime
        The moment to judge at, with offset.
    leave_out_later : bool
        Leave out entries dated after `as_of` instead of refusing them.

    Raises
    ------
    JobError
        Entries are dated after `as_of`, or the profile lacks a limit.
    """
    ctx = Context(taken.job, as_of, None, leave_out_later=leave_out_later)
    return Told(
        power=power_changes(before, taken.job, as_of),
        proof=next_proof(ctx, as_communicator(before.site, ranked)),
        before=_before(of_all, ranked),
    )


def _before(choice: Choice, nth: Ranked) -> Ranked | None:
    """The first of all that is considered, where that is not what was taken."""
    first = next(iter(choice.ranked), nth)
    same = (first.offer, first.spot, first.antenna) == (nth.offer, nth.spot, nth.antenna)
    return None if same else first
