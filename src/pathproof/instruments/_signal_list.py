"""Signals as the lines of a monitoring centre's list show them."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from pathproof.instruments._signal_columns import Columns, same_account, whole_number
from pathproof.instruments._signal_table import SignalTable, TableRow
from pathproof.instruments._signal_times import moment_in
from pathproof.job import Site
from pathproof.protocol.modem import shown
from pathproof.terms import InvalidInputError

_LARGEST: Final = {"zone": 9999, "partition": 99}
_CLOCKS_DIFFER: Final = timedelta(minutes=10)
"""A centre's clock that is this much ahead is taken for right."""
_LONGEST: Final = {"code": 12, "reference": 2000}


@dataclass(frozen=True, kw_only=True)
class SeenSignal:
    """A signal as a line of the list shows it; none where the line does not say."""

    line: int
    at: datetime
    """When, with the offset of the site's time zone."""
    to_the_second: bool
    """Whether the list shows seconds."""
    code: str | None
    zone: int | None
    partition: int | None
    account: str
    reference: str
    text: str
    raw: str
    """The line to the letter."""


@dataclass(frozen=True, kw_only=True)
class UnreadLine:
    """A line of the list that holds no signal of this site."""

    line: int
    raw: str
    why: str
    """In a sentence."""


@dataclass(frozen=True, kw_only=True)
class SignalList:
    """What a centre's list holds."""

    signals: tuple[SeenSignal, ...]
    """In the order of the list."""
    unread: tuple[UnreadLine, ...]


def read_signals(
    table: SignalTable, columns: Columns, site: Site, *, now: datetime, day: date | None = None
) -> SignalList:
    """The signals in a centre's list, and the lines that could not be read.

    Parameters
    ----------
    table : SignalTable
        The list.
    columns : Columns
        Which column holds what; time and code have to be there.
    site : Site
        Whose time zone the list keeps, and whose account. Lines of other accounts are not read.
    now : datetime
        With offset; lines that are later than clocks differ are not read.
    day : date, optional
        Of which day the list is, where its lines tell a time only.

    Raises
    ------
    InvalidInputError
        No column for the time or the code, or one that the list does not have.
    """
    _check_columns(columns, table)
    signals, unread = [], []
    for row in table.body:
        try:
            seen = _seen(row, columns, site, day)
            _check_past(seen.at, now)
            signals.append(seen)
        except InvalidInputError as error:
            unread.append(UnreadLine(line=row.line, raw=row.raw, why=f"Line {row.line}: {error}."))
    return SignalList(signals=tuple(signals), unread=tuple(unread))


def _check_columns(columns: Columns, table: SignalTable) -> None:
    for needed in ("time", "code"):
        if getattr(columns, needed) is None:
            raise InvalidInputError(f"Say which column of the list holds the {needed}.")
    for name, number in columns.as_dict().items():
        if isinstance(number, int) and number > table.width:
            raise InvalidInputError(
                f"{name}: given column {number}; the list has {table.width}. Say anew which column "
                "holds what."
            )


def _seen(row: TableRow, columns: Columns, site: Site, day: date | None) -> SeenSignal:
    account = row.cell(columns.account)
    _check_account(account, site)
    stamp = f"{row.cell(columns.date)} {row.cell(columns.time)}".strip()
    at, to_the_second = moment_in(stamp, columns.date_order, ZoneInfo(site.time_zone), day)
    return SeenSignal(
        line=row.line,
        at=at,
        to_the_second=to_the_second,
        code=_short(row, columns, "code") or None,
        zone=_number(row, columns, "zone"),
        partition=_number(row, columns, "partition"),
        account=account,
        reference=_short(row, columns, "reference"),
        text=row.cell(columns.text),
        raw=row.raw,
    )


def _check_past(at: datetime, now: datetime) -> None:
    if at > now + _CLOCKS_DIFFER:
        raise InvalidInputError(
            f"{at:%Y-%m-%d %H:%M} is still to come, and the record holds what happened. Check in "
            "which order dates are written, and the clock of the list"
        )


def _check_account(account: str, site: Site) -> None:
    own = [c.account for c in site.communicators if c.account]
    if account and own and not any(same_account(account, known) for known in own):
        allowed = " or ".join(dict.fromkeys(own))
        raise InvalidInputError(f"account {shown(account)} is not this site's, which is {allowed}")


def _short(row: TableRow, columns: Columns, what: str) -> str:
    cell = row.cell(getattr(columns, what))
    if len(cell) > _LONGEST[what]:
        raise InvalidInputError(
            f"the {what} {shown(cell)} has {len(cell)} characters; allowed: {_LONGEST[what]}. Is "
            "it another column?"
        )
    return cell


def _number(row: TableRow, columns: Columns, what: str) -> int | None:
    """The number in a cell; one without digits says nothing."""
    cell = row.cell(getattr(columns, what))
    if not any(c.isdigit() for c in cell):
        return None
    number = whole_number(cell)
    if number is None or number > _LARGEST[what]:
        raise InvalidInputError(
            f"the {what} was {shown(cell)}; allowed: a whole number from 0 to {_LARGEST[what]}. Is "
            "it another column?"
        )
    return number
