"""New record entries into a job file, and when things happened."""

from collections.abc import Sequence
from datetime import datetime, time
from pathlib import Path
from typing import Final

from pathproof.cli._jobs import as_day, moment
from pathproof.cli._options import wrong_use
from pathproof.job import Entry, Job, Site, write_job
from pathproof.job.adding import Draft, add_entries
from pathproof.job.home import user_library
from pathproof.terms import InvalidInputError

_NOON: Final = time(12)


def save_entries(path: Path, job: Job, drafts: Sequence[Draft]) -> list[Entry]:
    """The entries as saved in the job file, all of them or none.

    Raises
    ------
    JobError
        One is about something the site does not have, or makes no sense; nothing is saved.
    """
    grown, entries = add_entries(job, drafts)
    write_job(path, grown, user_library())
    return entries


def when(text: str | None, site: Site, option: str = "--at") -> datetime:
    """When something happened: now, a moment, or a day (at noon; today counts as now).

    Raises
    ------
    typer.BadParameter
        Not a date or a moment, or still to come.
    """
    now = moment(None, site, time_of_day=_NOON)
    try:
        given = moment(text, site, time_of_day=_NOON)
    except InvalidInputError as error:
        raise wrong_use(error, option) from error
    if text is not None and as_day(text) == now.date():
        return now
    if given > now:
        raise wrong_use(
            f"{given.isoformat()} is still to come, and the record holds what happened. Give the "
            "day or moment when it happened, or nothing for now.",
            option,
        )
    return given
