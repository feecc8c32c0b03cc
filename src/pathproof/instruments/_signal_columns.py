"""Which column of a centre's list holds what: told once by a person, or guessed."""

import re
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any, Final, Self

from pathproof.instruments._signal_table import MAX_COLUMNS, SignalTable
from pathproof.instruments._signal_times import DateOrder, date_parts
from pathproof.instruments._signal_words import TIME_SHOWN, role_of
from pathproof.job import Site
from pathproof.job.due import code_key
from pathproof.protocol.modem import shown
from pathproof.terms import InvalidInputError

_MOST_OF: Final = 0.5
"""Share of the cells of a column that must look like a thing for the column to be it."""
_NUMBER: Final = re.compile(r"[^\W\d]{0,12}[ .#:]{0,2}(?P<number>[0-9]{1,9})(?:[ (].*)?")
_MONTH_FIRST_COUNTRIES: Final = ("US",)


@dataclass(frozen=True, kw_only=True)
class Columns:
    """Which column of a list holds what, the first being 1, or none where no column does.

    Raises
    ------
    InvalidInputError
        No number of a column, a column that holds two things, or no order of dates.
    """

    time: int | None = None
    """Time, with the date or without."""
    date: int | None = None
    """Date, where it stands apart from the time."""
    code: int | None = None
    zone: int | None = None
    partition: int | None = None
    account: int | None = None
    reference: int | None = None
    text: int | None = None
    """What the centre's list says in words; it is kept and decides nothing."""
    date_order: DateOrder = DateOrder.ISO

    def __post_init__(self) -> None:
        used: dict[int, str] = {}
        for name, column in self._numbers().items():
            if column is None:
                continue
            if type(column) is not int or not 1 <= column <= MAX_COLUMNS:
                raise InvalidInputError(
                    f"{name}: given {shown(str(column))}; allowed: a column from 1 to "
                    f"{MAX_COLUMNS}, or none."
                )
            if used.setdefault(column, name) != name:
                raise InvalidInputError(
                    f"{name}: column {column} is already that of {used[column]}; choose another, "
                    "or none."
                )
        if self.date_order not in list(DateOrder):
            raise InvalidInputError(
                f"date_order: given {shown(str(self.date_order))}; allowed: {', '.join(DateOrder)}."
            )
        object.__setattr__(self, "date_order", DateOrder(self.date_order))

    def as_dict(self) -> dict[str, int | str | None]:
        """The columns as plain JSON values, to be remembered."""
        return {**self._numbers(), "date_order": str(self.date_order)}

    @classmethod
    def from_dict(cls, remembered: Mapping[str, Any]) -> Self:
        """The columns that `as_dict` gave.

        Raises
        ------
        InvalidInputError
            A name that is no field, or as for the class.
        """
        known = {field.name for field in fields(cls)}
        other = sorted(set(remembered) - known)
        if other:
            raise InvalidInputError(
                f"There is no column {shown(other[0])}; allowed: {', '.join(sorted(known))}."
            )
        return cls(**remembered)

    def _numbers(self) -> dict[str, int | None]:
        return {name: column for name, column in asdict(self).items() if name != "date_order"}


def guess_columns(table: SignalTable, site: Site) -> Columns:
    """The columns as far as headings and content tell, to be looked over by a person.

    Parameters
    ----------
    table : SignalTable
        The list.
    site : Site
        Whose codes, zones, partitions and accounts tell columns by their content.

    Notes
    -----
    Dates are taken in the order in which most of them are dates; where both are as good, as day
    first, in the United States as month first.
    """
    columns = [[row.cell(n) for row in table.body] for n in range(1, table.width + 1)]
    found = _by_content_of_times(columns)
    for number in range(1, table.width + 1):
        role = None if table.heading is None else role_of(table.heading.cell(number))
        timed = role in ("time", "date")  # whose content is sure
        if role is not None and not timed and number not in found.values():
            found.setdefault(role, number)
    for role, fits in _site_tests(site).items():
        if role not in found:
            likely = _likeliest(columns, fits, without=set(found.values()))
            found |= {} if likely is None else {role: likely}
    dates = columns[found.get("date", found["time"]) - 1] if "time" in found else []
    return Columns(**found, date_order=_order_of(dates, site))


def whole_number(cell: str) -> int | None:
    """The number in a cell such as `003`, `Zone 3` or `3 - Back door`; none without one."""
    match = _NUMBER.fullmatch(cell)
    return None if match is None else int(match["number"])


def same_account(one: str, other: str) -> bool:
    """Whether two account numbers are one; a spreadsheet drops zeros in front."""
    return one.strip().casefold().lstrip("0") == other.strip().casefold().lstrip("0")


def _by_content_of_times(columns: list[list[str]]) -> dict[str, int]:
    """The first column of times, and of dates where that one has none."""
    time = _likeliest(columns, lambda cell: TIME_SHOWN.search(cell) is not None, leftmost=True)
    if time is None:
        return {}
    if _share(columns[time - 1], _has_date) >= _MOST_OF:
        return {"time": time}
    date = _likeliest(columns, _has_date, without={time}, leftmost=True)
    return {"time": time} if date is None else {"time": time, "date": date}


def _site_tests(site: Site) -> dict[str, Callable[[str], bool]]:
    """What a cell of each kind is in this site, the most telling kind first."""
    events = [z.event for z in site.zones if z.event is not None]
    codes = {code_key(code) for code in (*site.signal_codes.values(), *events)}
    zones, partitions = {z.number for z in site.zones}, {p.number for p in site.partitions}
    accounts = [c.account for c in site.communicators if c.account]
    return {
        "account": lambda cell: any(same_account(cell, account) for account in accounts),
        "code": lambda cell: code_key(cell) in codes,
        "zone": lambda cell: whole_number(cell) in zones,
        "partition": lambda cell: whole_number(cell) in partitions,
    }


def _likeliest(
    columns: list[list[str]],
    fits: Callable[[str], bool],
    *,
    without: set[int] | None = None,
    leftmost: bool = False,
) -> int | None:
    """The column most of whose cells fit; of equal ones that with more different cells."""
    likely = [
        (1.0 if leftmost else _share(cells, fits), 0 if leftmost else len(set(cells)), -number)
        for number, cells in enumerate(columns, start=1)
        if number not in (without or ()) and _share(cells, fits) >= _MOST_OF
    ]
    return -max(likely)[2] if likely else None


def _share(cells: list[str], fits: Callable[[str], bool]) -> float:
    told = [cell for cell in cells if cell]
    return sum(fits(cell) for cell in told) / len(told) if told else 0.0


def _has_date(cell: str) -> bool:
    return date_parts(cell) is not None


def _order_of(cells: list[str], site: Site) -> DateOrder:
    dates = [parts for parts in map(date_parts, cells) if parts is not None]
    if all(first > 31 for first, _, _ in dates):
        return DateOrder.ISO
    day_first = sum(first <= 31 and second <= 12 for first, second, _ in dates)
    month_first = sum(first <= 12 and second <= 31 for first, second, _ in dates)
    if day_first == month_first:
        by_country = site.country in _MONTH_FIRST_COUNTRIES
        return DateOrder.MONTH_FIRST if by_country else DateOrder.DAY_FIRST
    return DateOrder.DAY_FIRST if day_first > month_first else DateOrder.MONTH_FIRST
