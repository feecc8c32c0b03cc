"""What somebody pasted, as one look, several looks or a whole watch, and drafts for the record."""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import Any

from pathproof.instruments._entries import by_technology, entry_values
from pathproof.instruments._log import Log, NoTimeError, read_paced_log, read_stamped_log
from pathproof.instruments._read import read, read_many
from pathproof.instruments._reading import Reading
from pathproof.instruments._scales import read_scale_step
from pathproof.job import Scale
from pathproof.job.adding import Draft
from pathproof.protocol.modem import Level, shown
from pathproof.terms import (
    InvalidInputError,
    OutOfRangeError,
    PathproofError,
    Quantity,
    RecordKind,
    Technology,
)


def read_pasted(
    text: str,
    *,
    now: datetime,
    zone: tzinfo,
    told: datetime | None = None,
    every: timedelta | None = None,
    quantity: Quantity | None = None,
    scale: Scale | None = None,
) -> tuple[Log, ...]:
    """What a text holds: one log a watch, or one of a single moment for each look.

    A text whose lines tell their times is a watch, and so is one with a pace. Any other is one look
    where it can be, else one look a line.

    Parameters
    ----------
    text : str
        As module, phone or panel shows it.
    now : datetime
        Present moment, with offset; a watch without times ended then.
    zone : tzinfo
        Time zone of times without an offset.
    told : datetime, optional
        When the first look was, where somebody said.
    every : timedelta, optional
        From one line to the next, above 0, where the text tells no times.
    quantity : Quantity, optional
        What a number without a name is.
    scale : Scale, optional
        The scale whose steps the text shows, in place of levels.

    Raises
    ------
    InvalidInputError
        No reading, or one that is still to come.
    RemoteProtocolError, OutOfRangeError
        As of `read`.
    """

    def reader(one: str) -> Reading:
        return read(one, quantity=quantity) if scale is None else read_scale_step(scale, one)

    def first_day(nights: int) -> date:
        present = (told or now).astimezone(zone).date()
        return present if told else present - timedelta(days=nights)

    logs: tuple[Log, ...]
    if every is not None:
        ends = now.astimezone(UTC)  # within a zone it would be clock faces that are subtracted
        paced = read_paced_log(
            text, every, lambda lasts: told or (ends - lasts).astimezone(zone), reader
        )
        logs = (paced,)
    else:
        try:
            logs = (read_stamped_log(text, zone, first_day, reader),)
        except NoTimeError:
            looks = _looks(text, quantity) if scale is None else _steps(text, scale)
            logs = tuple(
                Log(readings=((told or now, look),), passed_over=0, raw=look.raw) for look in looks
            )
    last = max(log.readings[-1][0] for log in logs)
    if last > now:
        raise InvalidInputError(
            f"The last reading would be of {last.isoformat(timespec='seconds')}, which is still to "
            "come. Give the day or moment of the first one."
        )
    return logs


def reading_drafts(
    logs: Sequence[Log],
    told: Mapping[str, Any],
    *,
    about: Sequence[str],
    by: str,
    conditions: Mapping[str, Any],
    instrument: str = "",
    replaces: str | None = None,
) -> list[Draft]:
    """Drafts of record entries of kind `reading`, one for each technology of a watch.

    Parameters
    ----------
    logs : sequence of Log
        What was read.
    told : mapping
        What somebody says of it: network, technology, band, bandwidth_hz.
    about, by, conditions, instrument, replaces
        As of `Draft`; without an instrument it is the kind of thing that spoke.
    """
    return [
        Draft(
            kind=RecordKind.READING,
            values=entry_values(readings, told_of(technology, told)),
            about=about,
            at=readings[0][0],
            by=by,
            instrument=instrument or readings[0][1].instrument,
            conditions=conditions,
            raw=log.raw,
            replaces=replaces,
        )
        for log in logs
        for technology, readings in by_technology(log.readings, told.get("technology")).items()
    ]


def told_of(technology: Technology | None, told: Mapping[str, Any]) -> dict[str, Any]:
    """What was told of readings of a technology; band and bandwidth are those of the one told."""
    wanted = told.get("technology")
    if wanted is None or technology is wanted:
        return dict(told)
    of_any = {"network": told.get("network"), "technology": technology}
    return {name: value for name, value in of_any.items() if value is not None}


def heard_values(text: str, scale: Scale | None) -> dict[str, Any]:
    """Values of a device heard: steps of the panel's scale where they are all that, else levels.

    Parameters
    ----------
    text : str
        Steps or levels in dBm with line ends, semicolons or commas between them.
    scale : Scale or None
        The scale by which the panel shows what it hears.

    Raises
    ------
    InvalidInputError
        Nothing in it, or something that is neither.
    """
    given = [x.strip() for x in text.replace(";", "\n").replace(",", "\n").splitlines()]
    given = [x for x in given if x]
    if not given:
        raise InvalidInputError("Nothing was given; write each level in dBm, or each step shown.")
    if scale is not None:
        steps = {"".join(s.name.split()).casefold() for s in scale.steps}
        if all("".join(x.split()).casefold() in steps for x in given):
            return {"steps": given}
    return {"levels": [_heard(x, scale).as_dict() for x in given]}


def _heard(text: str, scale: Scale | None) -> Level:
    number = text.casefold().removesuffix("dbm").strip().translate({0x2212: "-", 0x2013: "-"})
    try:
        float(number)
        return read(f"rssi {number} dBm").levels[0]
    except OutOfRangeError:
        raise
    except (ValueError, PathproofError) as error:
        names = "" if scale is None else ", ".join(repr(s.name) for s in scale.steps)
        or_step = f", or a step of the panel's scale ({names})" if names else ""
        raise InvalidInputError(
            f"{shown(text)} is not how strongly a device is heard; write a level in dBm, as "
            f"-87{or_step}."
        ) from error


def _looks(text: str, quantity: Quantity | None) -> Sequence[Reading]:
    try:
        return [read(text, quantity=quantity)]
    except PathproofError:
        if len(text.splitlines()) < 2:
            raise
        return read_many(text, quantity=quantity)


def _steps(text: str, scale: Scale) -> Sequence[Reading]:
    return [read_scale_step(scale, line) for line in text.splitlines() if line.strip()]
