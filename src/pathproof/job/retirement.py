"""Retirements: what stops being there, and when.

A row speaks for one technology of a network (or of all networks of a country code), for the service
behind a communicator part, or for a monitoring centre's platform. Rows come from the library; a job
embeds those that it is about.
"""

from calendar import monthrange
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Annotated, Self

from pydantic import Field, model_validator

from pathproof.job._model import (
    AFTER_LAST_DAY,
    FIRST_DAY,
    Id,
    Label,
    Model,
    Source,
    Text,
    like,
)
from pathproof.job._problems import Problems
from pathproof.terms import Technology

Networks = Annotated[
    str,
    like(
        r"^[0-9]{3}-([0-9]{2,3}|\*)$",
        "a country and network code, such as 001-01, or 001-* for all networks of that country "
        "code",
    ),
]
"""A mobile network, or all of a country code."""


def network_key(network: str, technology: Technology) -> str:
    """The name under which a network's row stands."""
    return f"network {network} {technology}"


def part_key(part: str) -> str:
    """The name under which a part's row stands."""
    return f"part {part}"


def centre_key(centre: str) -> str:
    """The name under which a centre's row stands; capitals do not count."""
    return f"centre {centre.strip().casefold()}"


class Retirement(Model):
    """When something that communicators need stops being there."""

    network: Networks | None = None
    """Network that retires a technology, as 001-01; 001-* for all of that country code."""
    technology: Technology | None = None
    """The technology that it retires."""
    part: Id | None = None
    """Or: communicator part whose service ends."""
    centre: Label | None = None
    """Or: monitoring centre whose platform ends, as communicators name it."""
    ends_on: Annotated[date, Field(ge=FIRST_DAY, lt=AFTER_LAST_DAY)] | None = None
    """First day without it."""
    ends_from: Annotated[date, Field(ge=FIRST_DAY, lt=AFTER_LAST_DAY)] | None = None
    """Or: earliest such day; alone it means "not before"."""
    ends_by: Annotated[date, Field(ge=FIRST_DAY, lt=AFTER_LAST_DAY)] | None = None
    """Or: latest such day; alone it means "at the latest"."""
    announced: bool = False
    """Or: its end is announced without a date."""
    done: bool = False
    """Whether its source says that it has ended; without it the days are no more than a plan."""
    source: Source
    """Who says so, and how sure we are."""
    seen: date | None = None
    """When that source was last looked at; none where nobody noted it or it is from memory."""
    note: Text = ""
    """What the source says of it: completed, planned, only begun."""

    @model_validator(mode="after")
    def _sound(self) -> Self:
        problems = [*self._subject_problems(), *self._date_problems()]
        if problems:
            raise Problems(problems)
        return self

    def _subject_problems(self) -> Iterator[tuple[str, str]]:
        given = [x for x in (self.network, self.part, self.centre) if x is not None]
        if len(given) != 1:
            yield "network", "give one of network, part and centre, not several and not none"
        if (self.network is None) != (self.technology is None):
            yield "technology", "goes with network: give both or neither"

    def _date_problems(self) -> Iterator[tuple[str, str]]:
        span = self.ends_from is not None or self.ends_by is not None
        if (self.ends_on is not None) + span + self.announced != 1:
            yield (
                "ends_on",
                "give either ends_on, or ends_from and ends_by (or one of them), or announced = "
                "true",
            )
        if self.done and self.gone_by is None:
            yield "done", "needs the day: give ends_on or ends_by, or leave done out"
        if self.ends_from and self.ends_by and self.ends_from >= self.ends_by:
            yield (
                "ends_from",
                f"given {self.ends_from}; allowed: a day before ends_by, which is "
                f"{self.ends_by}; for a single day give ends_on",
            )

    @property
    def key(self) -> str:
        """What it speaks for; a row replaces another with the same key."""
        if self.network is not None and self.technology is not None:
            return network_key(self.network, self.technology)
        return part_key(self.part) if self.part is not None else centre_key(self.centre or "")

    @property
    def counts_from(self) -> date | None:
        """The day from which it counts as gone: the earliest one said; none without a date."""
        return self.ends_on or self.ends_from or self.ends_by

    @property
    def gone_by(self) -> date | None:
        """The day from which it is gone for sure, if its source is right; none if not said."""
        return self.ends_on or self.ends_by

    @property
    def open_start(self) -> bool:
        """Whether it may end at any time before the day that is said."""
        return self.ends_on is None and self.ends_from is None

    @property
    def when(self) -> str:
        """Its dates as people say them: a day, month or year where it is one."""
        if self.announced:
            return "at a day not announced yet"
        if self.ends_on is not None:
            return f"on {self.ends_on}"
        if self.ends_from is None:
            return f"by {self.ends_by} at the latest"
        if self.ends_by is None:
            return f"not before {self.ends_from}"
        return _span(self.ends_from, self.ends_by)

    def covers(self, mcc_mnc: str) -> bool:
        """Whether it is about a network, by its own code or that of its country."""
        return self.network in (mcc_mnc, _country(mcc_mnc))


def network_row(rows: Mapping[str, Retirement], mcc_mnc: str, of: Technology) -> Retirement | None:
    """The row that speaks for a technology of a network: its own before that of its country."""
    return rows.get(network_key(mcc_mnc, of)) or rows.get(network_key(_country(mcc_mnc), of))


def given_twice(rows: Iterable[Retirement], name: str) -> list[tuple[str, str]]:
    """Rows that speak for what another one speaks for already, by their place in a list."""
    first: dict[str, int] = {}
    return [
        (f"{name}[{i}]", f"{row.key!r} is already that of {name}[{first[row.key]}]")
        for i, row in enumerate(rows)
        if first.setdefault(row.key, i) != i
    ]


def newer(own: Retirement, other: Retirement | None) -> Retirement:
    """Of two rows for the same thing the one looked at last; the other one where nobody can tell.

    Dates slip, so a job does not keep its own row against a library that knows better.
    """
    if other is None or (own.seen is not None and (other.seen is None or other.seen < own.seen)):
        return own
    return other


def _country(mcc_mnc: str) -> str:
    return f"{mcc_mnc.partition('-')[0]}-*"


def _span(first: date, last: date) -> str:
    if (first.month, first.day, last.month, last.day) == (1, 1, 12, 31):
        years = str(first.year) if first.year == last.year else f"{first.year} to {last.year}"
        return f"in {years}"
    month = (last.year, last.month, monthrange(last.year, last.month)[1])
    if first.day == 1 and month == (first.year, first.month, last.day):
        return f"in {first:%Y-%m}"
    return f"between {first} and {last}"
