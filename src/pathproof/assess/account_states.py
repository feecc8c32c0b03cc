"""When a communicator's card and account reached each state, by the record."""

from collections.abc import Mapping

from pathproof.assess.context import Context
from pathproof.job.accounts import ACTIVATION
from pathproof.job.record import StepEntry
from pathproof.terms import AccountState


def states_reached(ctx: Context, communicator: str) -> Mapping[AccountState, StepEntry]:
    """The newest entry in force for each state that a communicator's account has reached.

    What came before the account was last ordered, or ended, is of another one and left out.
    """
    reached: dict[AccountState, StepEntry] = {}
    for entry in ctx.entries:  # oldest first
        if (
            isinstance(entry, StepEntry)
            and communicator in entry.about
            and entry.values.procedure == ACTIVATION
            and entry.values.done
            and entry.values.step in set(AccountState)
        ):
            state = AccountState(entry.values.step)
            if state is AccountState.ORDERED or AccountState.ENDED in reached:
                reached.clear()
            reached[state] = entry
    return reached
