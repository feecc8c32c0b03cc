"""Record entries from readings."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from pathproof.instruments._log import TimedReading
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
    later: Sequence[TimedReading] = (),
    raw: str | None = None,
    instrument: str | None = None,
    conditions: Conditions | None = None,
    network: str | None = None,
    technology: Technology | None = None,
    band: str | None = None,
    bandwidth_hz: float | None = None,
    replaces: str | None = None,
    fits: Mapping[str, str] | None = None,
) -> ReadingEntry:
    """Record entry of a reading or of a whole watch, of kind `reading`, with the raw text kept.

    Parameters
    ----------
    reading : Reading
        What was read, of a watch first. One without levels is recorded too: it says that nothing
        was known.
    entry_id : str
        Stable name of the entry.
    about : sequence of str
        Spots or communicators it is about.
    at : datetime
        When, with offset.
    by : str
        Who.
    later : sequence of (moment, Reading), optional
        What was read later in the same watch, the earliest first.
    raw : str, optional
        What the instrument said, to the letter, where it said more than the readings hold.
    instrument : str, optional
        With what; otherwise the kind of thing that spoke.
    conditions : Conditions, optional
        Under which conditions.
    network : str, optional
        Network that was read, as 001-01.
    technology : Technology, optional
        Its technology; otherwise what the readings themselves say.
    band : str, optional
        3GPP band number.
    bandwidth_hz : float, optional
        Bandwidth of its channel. [Hz]
    replaces : str, optional
        Entry that this one corrects.
    fits : mapping, optional
        Links it speaks for and the fingerprints of what it was true for.

    Raises
    ------
    JobError
        A value that a record entry cannot hold.
    """
    readings = [(at, reading), *later]
    told = {
        "network": network,
        "technology": technology,
        "band": band,
        "bandwidth_hz": bandwidth_hz,
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
                "raw": "\n".join(r.raw for _, r in readings) if raw is None else raw,
                "replaces": replaces,
                "fits": dict(fits or {}),
                "values": entry_values(readings, {n: x for n, x in told.items() if x is not None}),
            }
        )
    except ValidationError as error:
        problems = "; ".join(_problem(detail["loc"], detail["msg"]) for detail in error.errors())
        raise JobError(f"The reading cannot go on record. {problems}.") from error


def entry_values(readings: Sequence[TimedReading], told: Mapping[str, Any]) -> dict[str, Any]:
    """Values of a record entry of kind `reading`, as plain JSON values.

    Parameters
    ----------
    readings : sequence of (moment, Reading)
        One, or all of a watch, the earliest first.
    told : mapping
        What somebody says of them: network, technology, band, bandwidth_hz.
    """
    first_at, first = readings[0]
    series = [
        {"after_s": (at - first_at).total_seconds(), "levels": _levels(reading)}
        for at, reading in readings[1:]
    ]
    spoken = next((r.technology for _, r in readings if r.technology is not None), None)
    return {
        "levels": _levels(first),
        **({"series": series} if series else {}),
        **({} if first.step is None else {"step": first.step}),
        **({} if spoken is None else {"technology": str(spoken)}),
        **told,
    }


def by_technology(
    readings: Sequence[TimedReading], told: Technology | None
) -> dict[Technology | None, list[TimedReading]]:
    """The readings of a watch apart by technology, as a module may change it meanwhile.

    Parameters
    ----------
    readings : sequence of (moment, Reading)
        The earliest first.
    told : Technology, optional
        That of readings which leave a choice.

    Returns
    -------
    apart : dict
        At least one reading each. One that knew nothing stays with those before it.
    """
    spoken = [r.technology or told for _, r in readings if r.levels]
    now = spoken[0] if spoken else told
    apart: dict[Technology | None, list[TimedReading]] = {}
    for at, reading in readings:
        if reading.levels:
            now = reading.technology or told
        apart.setdefault(now, []).append((at, reading))
    return apart


def _levels(reading: Reading) -> list[dict[str, str | float | None]]:
    return [level.as_dict() for level in reading.levels]


def _problem(place: tuple[str | int, ...], message: str) -> str:
    return f"{'.'.join(map(str, place))}: {message}"
