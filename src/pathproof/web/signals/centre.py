"""The centre's list of signals: pasted or as CSV, matched to the site's signals, put on record."""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final
from uuid import UUID
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from pathproof.instruments import (
    MAX_LOG,
    Columns,
    KnownLine,
    MatchedLine,
    MatchedList,
    SignalList,
    SignalTable,
    SiteSignal,
    UnmatchedLine,
    UnreadLine,
    event_drafts,
    guess_columns,
    match_signals,
    read_signals,
    site_signals,
    table_of,
    with_delays,
)
from pathproof.job import Job
from pathproof.terms import InvalidInputError, JobError, PathproofError, SignalKind
from pathproof.web.folder import open_folder, show
from pathproof.web.saving import member, save
from pathproof.web.signals.columns import remember, remembered
from pathproof.web.signals.event_form import ON_TEST
from pathproof.web.signals.moments import time_of
from pathproof.web.signals.places import back_to, job_seen, opened_for
from pathproof.web.signals.views import adding, refused

_COLUMNS: Final = ("time", "date", "code", "zone", "partition", "account", "reference", "text")
_SHOWN_ROWS: Final = 4
_MOST_TRIPPED: Final = 400
MOST_SHOWN: Final = 150
"""Lines of each sort on one page."""
_FEW_LINES: Final = 10
"""With more lines open than these, none offers all signals of the site."""


@dataclass(frozen=True, kw_only=True)
class TakenLine:
    """A line that goes on record, with the moment its signal was tripped as typed."""

    line: MatchedLine
    day: str
    time: str
    """When the list has it, by the site's clocks."""
    taken: bool
    tripped: str


class CentreList:
    """A list as far as it was read, with what was said of it."""

    def __init__(self, request: HttpRequest, job: Job) -> None:
        self._typed = request.POST
        self._job = job
        self.text = _text(request)
        self.table: SignalTable = table_of(self.text)
        self.told = any(f"column-{name}" in self._typed for name in _COLUMNS)
        self.columns = self._columns()
        self.day = self._typed.get("day", "")

    def read(self) -> None:
        """Read and match the lines.

        Raises
        ------
        InvalidInputError
            A column that is needed is not said, or a time is none.
        """
        self.signals: SignalList = read_signals(
            self.table, self.columns, self._job.site, now=timezone.now(), day=self._day()
        )
        self._by_id = {s.id: s for s in site_signals(self._job)}
        found = match_signals(self.signals.signals, self._job)
        self.by_hand = [x for x in map(self._chosen, found.unmatched) if x is not None]
        lines = sorted((*found.matched, *self.by_hand), key=lambda x: x.seen.at)
        tripped = self._tripped([x.signal for x in lines], lines)
        self.matched: MatchedList = match_signals(self.signals.signals, self._job, tripped)
        self.lines = with_delays(lines, tripped)

    @property
    def rows(self) -> list[TakenLine]:
        """The lines that are signals of the site."""
        return [
            TakenLine(
                line=x,
                day=f"{x.seen.at:%Y-%m-%d}",
                time=f"{x.seen.at:%H:%M:%S}" if x.seen.to_the_second else f"{x.seen.at:%H:%M}",
                taken=self._taken(x),
                tripped=self._typed.get(f"tripped-{x.signal.id}", ""),
            )
            for x in self.lines[:MOST_SHOWN]
        ]

    @property
    def unmatched(self) -> list[UnmatchedLine]:
        """Lines that nobody has said anything of yet."""
        chosen = {x.seen.line for x in self.by_hand}
        return [x for x in self.matched.unmatched if x.seen.line not in chosen]

    @property
    def open_lines(self) -> list[tuple[UnmatchedLine, tuple[SiteSignal, ...]]]:
        """Those lines with what a person may say they are: what is near, or else anything."""
        lines = self.unmatched
        anything = tuple(self._by_id.values()) if len(lines) <= _FEW_LINES else ()
        return [(line, line.near or anything) for line in lines[:MOST_SHOWN]]

    @property
    def left_out(self) -> int:
        """Lines too many for one page."""
        counts = (len(self.lines), len(self.unmatched))
        return sum(max(0, n - MOST_SHOWN) for n in counts)

    @property
    def unread(self) -> tuple[UnreadLine, ...]:
        """Lines that hold no signal of this site, the first of them."""
        return self.signals.unread[:MOST_SHOWN]

    @property
    def known(self) -> tuple[KnownLine, ...]:
        """Lines that are on record, the first of them."""
        return self.matched.known[:MOST_SHOWN]

    @property
    def others(self) -> list[tuple[SiteSignal, str]]:
        """Signals that are not in the list, with the moments they were tripped as typed."""
        return _tripped_rows(self._job, self._typed, but={x.signal.id for x in self.lines})

    @property
    def column_rows(self) -> list[tuple[str, int | None]]:
        """What each column may hold, with the number of the column that does."""
        kept = self.columns.as_dict()
        return [(n, x if isinstance(x := kept[n], int) else None) for n in _COLUMNS]

    @property
    def headings(self) -> list[tuple[int, str]]:
        """Number and heading of each column."""
        heading = self.table.heading
        return [
            (n, heading.cell(n) if heading is not None else "")
            for n in range(1, self.table.width + 1)
        ]

    @property
    def first_rows(self) -> list[list[str]]:
        """The first lines, cell by cell."""
        return [
            [row.cell(n) for n in range(1, self.table.width + 1)]
            for row in self.table.body[:_SHOWN_ROWS]
        ]

    def to_record(self) -> list[MatchedLine]:
        """The lines that were left ticked.

        Raises
        ------
        JobError
            None was.
        """
        taken = [x for x in self.lines if self._taken(x)]
        if not taken:
            raise JobError("No line is ticked; tick those that go on record.")
        return taken

    def _columns(self) -> Columns:
        if not self.told:
            return remembered(self.table) or guess_columns(self.table, self._job.site)
        said = {n: self._typed.get(f"column-{n}", "") for n in _COLUMNS}
        numbers = {n: int(x) for n, x in said.items() if re.fullmatch("[0-9]{1,5}", x)}
        return Columns.from_dict({**numbers, "date_order": self._typed.get("date_order", "iso")})

    def _day(self) -> date | None:
        if not self.day:
            return None
        try:
            return date.fromisoformat(self.day)
        except ValueError as error:
            raise InvalidInputError(
                f"{self.day!r} is no date; give the day of the list as 2026-11-25."
            ) from error

    def _chosen(self, line: UnmatchedLine) -> MatchedLine | None:
        """What a person says a line is."""
        signal = self._by_id.get(self._typed.get(f"is-{line.seen.line}", ""))
        return None if signal is None else MatchedLine(seen=line.seen, signal=signal)

    def _tripped(self, seen: list[SiteSignal], lines: list[MatchedLine]) -> dict[str, datetime]:
        """The moments told at which signals were tripped, on the day of their lines."""
        last = {x.signal.id: x.seen.at for x in lines}
        newest = max(last.values(), default=timezone.now())
        zone = ZoneInfo(self._job.site.time_zone)
        found = {}
        for name in (*(s.id for s in seen), *self._by_id):
            typed = self._typed.get(f"tripped-{name}", "")
            if typed:
                day = last.get(name, newest).astimezone(zone) + timedelta(seconds=1)
                found[name] = time_of(typed, day)
        return found

    def _taken(self, line: MatchedLine) -> bool:
        """Whether a line is to go on record: all are until the page has been sent with ticks."""
        return "ticks" not in self._typed or f"take-{line.seen.line}" in self._typed


def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The box for the list; then what it was read as; then on record."""
    if request.method != "POST":
        opened = open_folder(job_id)
        others = _tripped_rows(opened.job, {})
        return show(
            request, "signals/centre.html", opened, here="prove", caution=ON_TEST, others=others
        )
    job = job_seen(request, job_id)
    given: dict[str, Any] = {
        "caution": ON_TEST,
        "text": request.POST.get("text", ""),
        "others": _tripped_rows(job, request.POST),
    }
    try:
        listed = CentreList(request, job)
        given |= {"listed": listed, "text": listed.text}
        listed.read()
        given |= {"was_read": True, "others": listed.others}
        if request.POST.get("do") == "save":
            remember(listed.table, listed.columns, member(request))
            return _put_on_record(request, job_id, listed)
    except PathproofError as error:
        return refused(request, job_id, "signals/centre.html", problem=str(error), **given)
    opened = opened_for(request, job_id)
    return show(request, "signals/centre.html", opened, here="prove", **given)


def _put_on_record(request: HttpRequest, job_id: UUID, listed: CentreList) -> HttpResponse:
    lines = listed.to_record()
    drafts = event_drafts(lines, by=member(request).name)
    what = f"{len(drafts)} signals from the centre's list"
    return save(request, job_id, adding(drafts), what=what, then=back_to(request, job_id, ""))


def _tripped_rows(
    job: Job, typed: Mapping[str, str], but: Collection[str] = ()
) -> list[tuple[SiteSignal, str]]:
    """Signals of the site, alarms first, with the moments they were tripped as typed."""
    signals = sorted(site_signals(job), key=lambda s: s.kind is not SignalKind.ALARM)
    rows = [(s, typed.get(f"tripped-{s.id}", "")) for s in signals if s.id not in but]
    return rows[:_MOST_TRIPPED]


def _text(request: HttpRequest) -> str:
    """The list as pasted, or out of the file.

    Raises
    ------
    InvalidInputError
        The file is too large, or no text.
    """
    file = request.FILES.get("file")
    if file is None:
        return request.POST.get("text", "")
    if file.size is None or file.size > 4 * MAX_LOG:
        raise InvalidInputError(
            f"The file has {file.size} bytes; {4 * MAX_LOG} are read at most. Split it."
        )
    try:
        return str(file.read(), "utf-8-sig")
    except UnicodeDecodeError as error:
        raise InvalidInputError(
            "The file is no text in UTF-8. Save it as CSV in UTF-8, or paste the list."
        ) from error
