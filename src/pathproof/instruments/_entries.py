"""Record entries from readings."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from pydantic import ValidationError

from pathproof.instruments._reading import Reading
from pathproof.job import Conditions
from pathproof.job.record import ReadingEntry
from pathproof.terms import JobError, Technology


def entry(
    reading: Reading,
    *,
    entry_id: str,
    about: Sequence[str],
    at: datetime,
    by: str,
    instrument: str | None = None,
    conditions: Conditions | None = None,
    network: str | None = None,
    technology: Technology | None = None,
    band: str | None = None,
    replaces: str | None = None,
    fits: Mapping[str, str] | None = None,
) -> ReadingEntry:
    """Record entry of a reading, of kind `reading`, with the raw text kept.

    Parameters
    ----------
    reading : Reading
        What was read. One without levels is recorded too: it says that nothing was known.
    entry_id : str
        Stable name of the entry.
    about : sequence of str
        Spots or communicators it is about.
    at : datetime
        When, with offset.
    by : str
        Who.
    instrument : str, optional
        With what; otherwise the kind of thing that spoke.
    conditions : Conditions, optional
        Under which conditions.
    network : str, optional
        Network that was read, as 001-01.
    technology : Technology, optional
        Its technology; otherwise what the reading itself says.
    band : str, optional
        3GPP band number.
    replaces : str, optional
        Entry that this one corrects.
    fits : mapping, optional
        Links it speaks for and the fingerprints of what it was true for.

    Raises
    ------
    JobError
        A value that a record entry cannot hold.
    """
    values = {
        "levels": [level.as_dict() for level in reading.levels],
        "network": network,
        "technology": technology or reading.technology,
        "band": band,
    }
    try:
        return ReadingEntry.model_validate(
            {
                "kind": "reading",
                "id": entry_id,
                "about": list(about),
                "at": at,
                "by": by,
                "instrument": instrument or reading.instrument,
                "conditions": conditions or Conditions(),
                "raw": reading.raw,
                "replaces": replaces,
                "fits": dict(fits or {}),
                "values": values,
            }
        )
    except ValidationError as error:
        problems = "; ".join(_problem(detail["loc"], detail["msg"]) for detail in error.errors())
        raise JobError(f"The reading cannot go on record. {problems}.") from error


def _problem(place: tuple[str | int, ...], message: str) -> str:
    return f"{'.'.join(map(str, place))}: {message}"
