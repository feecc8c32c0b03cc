"""Jobs, the user's own library and moments, as the commands take them."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime, time
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from pathproof.cli._messages import complain
from pathproof.cli._options import wrong_use
from pathproof.job import Floor, Job, Site, read_job, read_underlay
from pathproof.job.home import user_library
from pathproof.terms import InvalidInputError, JobError, LaterEntriesError

END_OF_DAY: Final = time(23, 59, 59)


def open_job(path: Path) -> Job:
    """The job in a file, with everything embedded that it refers to."""
    return read_job(path, user_library())


def stored_underlays(job_path: Path, floors: Sequence[Floor]) -> dict[str, bytes]:
    """Pictures under storeys by their ids; a warning for each that is not there."""
    found = {}
    for floor in floors:
        if floor.underlay is not None:
            try:
                found[floor.id] = read_underlay(job_path, floor.underlay.sha256)
            except JobError as error:
                complain(f"Warning: {error}")
    return found


def now(zone: ZoneInfo) -> datetime:
    """The present moment, to the second."""
    return datetime.now(zone).replace(microsecond=0)


def moment(text: str | None, site: Site, *, time_of_day: time) -> datetime:
    """A moment in the site's time zone, or that time of a day; now where nothing was given.

    Raises
    ------
    InvalidInputError
        Not a date or a moment.
    """
    zone = ZoneInfo(site.time_zone)
    if text is None:
        return now(zone)
    day = as_day(text)
    if day is not None:
        return datetime.combine(day, time_of_day, zone)
    try:
        given = datetime.fromisoformat(text)
    except ValueError as error:
        raise InvalidInputError(
            f"{text!r} is not a date or a moment; write it as 2026-11-25, 2026-11-25T18:00 or "
            "2026-11-25T18:00+01:00."
        ) from error
    return given.replace(tzinfo=zone) if given.tzinfo is None else given


def as_day(text: str) -> date | None:
    """The date that a text is; none where it is something else, such as a moment."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def chosen_floor(site: Site, wanted: str | None, *, otherwise: str = "") -> Floor:
    """The storey that --floor names by id or name.

    Parameters
    ----------
    site : Site
        Its storeys.
    wanted : str or None
        What the option was given.
    otherwise : str
        What else somebody can do, as a sentence.

    Raises
    ------
    typer.BadParameter
        No such storey, several of that name, or none was named.
    """
    named = [f for f in site.floors if f.id == wanted] or [
        f for f in site.floors if f.name.casefold() == (wanted or "").casefold()
    ]
    if wanted is not None and len(named) == 1:
        return named[0]
    known = ", ".join(f.id if f.id == f.name else f"{f.id} ({f.name})" for f in site.floors)
    if wanted is None:
        why = "say which storey"
    else:
        why = f"there {'are several storeys called' if named else 'is no storey'} {wanted!r}"
    raise wrong_use(f"{why}; there are: {known or 'none yet'}. {otherwise}".rstrip(), "--floor")


@contextmanager
def naming_the_option() -> Iterator[None]:
    """A refusal of entries dated later names the option that leaves them out.

    Raises
    ------
    JobError
        The record holds entries dated after the as-of date.
    """
    try:
        yield
    except LaterEntriesError as error:
        raise JobError(f"{error} The option for that is --leave-out-later.") from error


def as_of_moment(text: str | None, site: Site) -> datetime:
    """The moment of --as-of; a day counts to its end.

    Raises
    ------
    typer.BadParameter
        Not a date or a moment.
    """
    try:
        return moment(text, site, time_of_day=END_OF_DAY)
    except InvalidInputError as error:
        raise wrong_use(error, "--as-of") from error
