"""States of a communicator's card and account, and the day on which each was reached.

The site holds the state of now (`Communicator.state`); the record holds who reached which state and
when, as entries of kind `step` with the procedure `activation` and the state as step.
"""

from datetime import datetime
from typing import Final

from pathproof.job.adding import Draft, add_entries
from pathproof.job.file import Job
from pathproof.terms import AccountState, JobError, RecordKind

ACTIVATION: Final = "activation"
"""Procedure of the steps that tell when a state was reached."""


def with_account_state(
    job: Job, communicator: str, state: AccountState, *, at: datetime, by: str, text: str = ""
) -> Job:
    """The job with a communicator's account in that state, and the day of it on record.

    Parameters
    ----------
    job : Job
        Nothing is saved.
    communicator : str
        Its id.
    state : AccountState
        The state that was reached.
    at : datetime
        When it was reached, with offset.
    by : str
        Who reached it, or was told of it.
    text : str
        How that is known, such as the name of who said so.

    Raises
    ------
    JobError
        The site has no such communicator, or the entry makes no sense.
    """
    known = [c.id for c in job.site.communicators]
    if communicator not in known:
        raise JobError(
            f"There is no communicator {communicator!r}; this site has: "
            f"{', '.join(known) or 'none'}."
        )
    step = Draft(
        kind=RecordKind.STEP,
        about=[communicator],
        at=at,
        by=by,
        values={"procedure": ACTIVATION, "step": str(state), "done": True, "text": text},
    )
    recorded, _ = add_entries(job, [step])
    communicators = [
        c.model_copy(update={"state": state}) if c.id == communicator else c
        for c in job.site.communicators
    ]
    site = job.site.model_copy(update={"communicators": communicators})
    return recorded.model_copy(update={"site": site})
