"""Lists of a monitoring centre: tables, columns, times, what each line is, and what goes on record.

Codes are Contact ID events of ANSI/SIA DC-05-1999.09 as public listings restate them: 130
burglary, 132 interior, 134 entry/exit, 301 AC loss, 144 sensor tamper, 401 open and close.
"""

import json
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.assess import assess
from pathproof.instruments import (
    MAX_LOG,
    Columns,
    DateOrder,
    MatchedLine,
    MatchedList,
    SeenSignal,
    event_drafts,
    guess_columns,
    match_signals,
    read_signals,
    site_signals,
    table_of,
    with_delays,
)
from pathproof.job import Job, embed, shipped
from pathproof.job.adding import add_entries
from pathproof.terms import InvalidInputError, PathproofError, Word

VIENNA = ZoneInfo("Europe/Vienna")
NOW = datetime(2026, 11, 25, 18, tzinfo=UTC)
ALL = Columns(time=1, code=2, zone=3, partition=4, date_order=DateOrder.DAY_FIRST)
LIST = (
    "Time\tEvent code\tZone\tArea\tText\n"
    "25.11.2026 10:15:04\tE134\t001\t01\tEntry, front door\n"
    "25.11.2026 10:16:30\tE132\t002\t01\tInterior\n"
    "25.11.2026 10:17:00\tR132\t002\t01\tInterior restored\n"
    "25.11.2026 10:20:00\tE301\t000\t00\tAC loss\n"
)


def make_job(**site: object) -> Job:
    near = {"distance_m": 5.0}
    return embed(
        Job.model_validate(
            {
                "site": {
                    "name": "Dairy",
                    "time_zone": "Europe/Vienna",
                    "panel": {"part": "lark_panel"},
                    "partitions": [{"id": "p1", "name": "Dairy", "number": 1}],
                    "zones": [
                        zone(1, "Front door", "134"),
                        zone(2, "Churn room", "132"),
                        zone(3, "Office", None),
                    ],
                    "devices": [
                        device("front_door", "lark_contact", 1, between=near),
                        device("churn_room", "lark_motion", 2, between=near),
                        device("office", "lark_motion", 3, between=near),
                    ],
                    "signal_codes": {"mains_fail": "301", "tamper": "144", "set": "R401"},
                    **site,
                }
            }
        ),
        shipped(),
    )


def zone(number: int, name: str, event: str | None) -> dict[str, object]:
    kind = {"kind": "immediate", "partition": "p1", "event": event}
    return {"id": f"z{number}", "number": number, "name": name, **kind}


def device(device_id: str, part: str, number: int, **more: object) -> dict[str, object]:
    name = device_id.replace("_", " ").capitalize()
    return {"id": device_id, "name": name, "part": part, "zone": f"z{number}", **more}


def matched(text: str, job: Job | None = None, columns: Columns = ALL) -> MatchedList:
    job = job or make_job()
    return match_signals(seen(text, job, columns), job)


def seen(
    text: str, job: Job | None = None, columns: Columns = ALL, day: date | None = None
) -> tuple[SeenSignal, ...]:
    found = read_signals(table_of(text), columns, (job or make_job()).site, now=NOW, day=day)
    assert not found.unread
    return found.signals


def unread(text: str, columns: Columns = ALL, day: date | None = None) -> list[str]:
    found = read_signals(table_of(text), columns, make_job().site, now=NOW, day=day)
    return [x.why for x in found.unread]


# Tables


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("a\tb, c\n1\t2,5\n", "tab"),
        ("a;b\r\n1;2,5\r\n", "semicolon"),
        ("a,b\r1,2\r", "comma"),
        ('\ufeff"a","b; c"\r\n"1","2"\r\n', "comma"),
        ("\n\na;b\n\n;\n1;2", "semicolon"),
    ],
)
def test_a_table_however_it_is_written(text: str, delimiter: str) -> None:
    table = table_of(text)

    assert table.delimiter == delimiter
    assert [len(row.cells) for row in table.rows] == [2, 2]
    assert table.has_header


def test_a_cell_in_quotation_marks_may_hold_delimiters_and_line_ends() -> None:
    table = table_of('x,y\n10:15,"one\n ""two"", three"\n10:16,z\n')

    assert [(row.line, row.cells) for row in table.body] == [
        (2, ("10:15", 'one "two", three')),
        (4, ("10:16", "z")),
    ]
    assert table.body[0].raw == '10:15,"one\n ""two"", three"'


def test_a_list_without_a_heading() -> None:
    table = table_of("10:15:00;130;1\n10:16:00;132;2\n")

    assert not table.has_header
    assert table.heading is None
    assert len(table.body) == 2


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "paste the list"),
        ("\ufeff \n\t\n", "paste the list"),
        ("10:15 130 zone 1\n", "no columns"),
        ('10:15,"130,1\n', "close every quotation mark"),
        ("a,b\n" * 5001, "5002 lines"),
        ("a," * 60, "more than 60 columns"),
        ("a,b" + " " * MAX_LOG, f"{MAX_LOG} are read at most"),
    ],
)
def test_what_is_no_table(text: str, said: str) -> None:
    with pytest.raises(InvalidInputError, match=said):
        table_of(text)


# Columns


def test_columns_by_their_headings() -> None:
    table = table_of(
        "Date;Time;Account no.;Event code;Event description;Zone/point;Area;Ref.\n"
        "11/25/2026;10:15:00;04A7;E134;Entry;1;1;77\n"
    )

    assert guess_columns(table, make_job().site) == Columns(
        date=1,
        time=2,
        account=3,
        code=4,
        text=5,
        zone=6,
        partition=7,
        reference=8,
        date_order=DateOrder.MONTH_FIRST,
    )


def test_columns_by_their_content() -> None:
    table = table_of("2026-11-25 10:15:00,1,E134,1\n2026-11-25 10:16:00,1,E132,2\n")

    assert guess_columns(table, make_job().site) == Columns(
        time=1, partition=2, code=3, zone=4, date_order=DateOrder.ISO
    )


def test_a_heading_of_a_time_counts_less_than_what_stands_below() -> None:
    table = table_of("Time zone,Received,Day\nCET,10:15:00,25.11.2026\n")

    found = guess_columns(table, make_job().site)

    assert (found.time, found.date) == (2, 3)


@pytest.mark.parametrize(
    ("day", "country", "order"),
    [
        ("2026-11-05", "US", DateOrder.ISO),
        ("25/11/2026", "US", DateOrder.DAY_FIRST),
        ("11/25/2026", "XA", DateOrder.MONTH_FIRST),
        ("05/11/2026", "XA", DateOrder.DAY_FIRST),
        ("05/11/2026", "US", DateOrder.MONTH_FIRST),
    ],
)
def test_the_order_of_dates(day: str, country: str, order: DateOrder) -> None:
    site = make_job(country=country).site

    assert guess_columns(table_of(f"{day} 10:15,134"), site).date_order is order


def test_nothing_to_guess_from() -> None:
    assert guess_columns(table_of("x,y\n"), make_job().site) == Columns()


def test_columns_are_remembered_as_plain_values() -> None:
    plain = json.loads(json.dumps(ALL.as_dict()))

    assert Columns.from_dict(plain) == ALL
    assert plain["date_order"] == "day_first"


@pytest.mark.parametrize(
    ("remembered", "said"),
    [
        ({"time": 0}, "time: given '0'; allowed: a column from 1 to 60"),
        ({"time": True}, "allowed: a column"),
        ({"code": "2"}, "allowed: a column"),
        ({"time": 1, "code": 1}, "column 1 is already that of time"),
        ({"date_order": "backwards"}, "allowed: iso, day_first, month_first"),
        ({"colour": 1}, "no column 'colour'"),
    ],
)
def test_columns_that_make_no_sense(remembered: dict[str, object], said: str) -> None:
    with pytest.raises(InvalidInputError, match=said):
        Columns.from_dict(remembered)


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        (Columns(code=2), "holds the time"),
        (Columns(time=1), "holds the code"),
        (Columns(time=1, code=9), "the list has 5"),
    ],
)
def test_a_list_needs_time_and_code(columns: Columns, said: str) -> None:
    with pytest.raises(InvalidInputError, match=said):
        read_signals(table_of(LIST), columns, make_job().site, now=NOW)


# Lines


@pytest.mark.parametrize(
    ("written", "order"),
    [
        ("2026-11-25T10:15:04+01:00", DateOrder.MONTH_FIRST),
        ("2026-11-25T09:15:04Z", DateOrder.ISO),
        ("2026/11/25 10:15:04.250", DateOrder.DAY_FIRST),
        ("25.11.2026 10:15:04", DateOrder.DAY_FIRST),
        ("25/11/26, 10:15:04", DateOrder.DAY_FIRST),
        ("11/25/2026 10:15:04 AM", DateOrder.MONTH_FIRST),
        ("11-25-2026 10:15:04", DateOrder.MONTH_FIRST),
        ("10:15:04 a.m.", DateOrder.ISO),
    ],
)
def test_one_moment_in_every_way_of_writing(written: str, order: DateOrder) -> None:
    columns = Columns(time=1, code=2, date_order=order)
    (signal,) = seen(f"{written};134", columns=columns, day=date(2026, 11, 25))

    assert signal.at == datetime(2026, 11, 25, 10, 15, 4, tzinfo=VIENNA)
    assert signal.at.utcoffset() == timedelta(hours=1)
    assert signal.to_the_second


def test_twelve_at_noon_and_at_midnight() -> None:
    columns = Columns(date=1, time=2, code=3)
    text = "2026-11-25,12:05 am,134\n2026-11-25,12:05 pm,134\n"

    assert [(s.at.hour, s.to_the_second) for s in seen(text, columns=columns)] == [
        (0, False),
        (12, False),
    ]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("yesterday;134", "Line 1: 'yesterday' is no time"),
        ("10:15:00;134", "has no date"),
        ("31.02.2026 10:15;134", "is no date: month 2, day 31"),
        ("25.11.1999 10:15;134", "allowed: 2000 to 2099"),
        ("25.11.2026 25:15;134", "is no time"),
        ("25.11.2026 13:15 pm;134", "hours are 1 to 12"),
        ("2026-11-25 10:15:00+20:00;134", "an offset"),
        ("25.10.2026 02:30;134", "clocks change"),
        ("29.03.2026 02:30;134", "clocks change"),
        (";134", "is no time"),
        ("25.11.2026 10:15;1234567890123", "the code"),
        ("25.11.2026 10:15;134;99999", "the zone was '99999'"),
        ("25.11.2026 10:15;134;1;100", "the partition was '100'"),
        ("25.11.2026 10:15;134;1.5;1", "the zone was '1.5'"),
    ],
)
def test_a_line_that_cannot_be_read_is_said(line: str, said: str) -> None:
    full = line + ";" * (3 - line.count(";"))

    (why,) = unread(full)
    assert said in why


def test_what_is_still_to_come_is_not_read() -> None:
    columns = Columns(time=1, code=2, date_order=DateOrder.DAY_FIRST)
    text = "25.11.2026 10:15;134\n31.12.2027 21:05;301\n"
    now = datetime(2026, 11, 25, 9, 15, tzinfo=UTC)  # 10:15 in Vienna

    found = read_signals(table_of(text), columns, make_job().site, now=now)
    assert [s.line for s in found.signals] == [1]
    assert "2027-12-31 21:05 is still to come" in found.unread[0].why


@pytest.mark.parametrize(
    ("dates", "order"),
    [
        (["25.11.2026", "25.13.2026", "24.11.2026"], DateOrder.DAY_FIRST),
        (["11/25/2026", "13/25/2026", "11/24/2026"], DateOrder.MONTH_FIRST),
    ],
)
def test_one_bad_line_does_not_turn_the_order_of_dates(dates: list[str], order: DateOrder) -> None:
    text = "Date;Time;Code\n" + "".join(f"{day};10:15:00;134\n" for day in dates)

    assert guess_columns(table_of(text), make_job().site).date_order is order


def test_a_date_in_the_other_order_is_asked_for() -> None:
    columns = Columns(time=1, code=2, date_order=DateOrder.ISO)

    (why,) = unread("25.11.2026 10:15;134", columns)
    assert "whether the day or the month is first" in why


@pytest.mark.parametrize(
    ("cell", "number"),
    [("003", 3), ("Zone 3", 3), ("Z03", 3), ("3 - Back door", 3), ("-", None), ("", None)],
)
def test_numbers_of_zones_as_lists_show_them(cell: str, number: int | None) -> None:
    (signal,) = seen(f"25.11.2026 10:15:00;134;{cell};1")

    assert signal.zone == number


def test_lines_of_other_accounts_are_not_this_sites() -> None:
    module = {"id": "main", "part": "x", "role": "main", "account": "004A"}
    job = make_job()
    site = job.site.model_validate({**job.site.model_dump(), "communicators": [module]})
    columns = Columns(time=1, code=2, account=3, date_order=DateOrder.DAY_FIRST)
    text = "25.11.2026 10:15;134;4a\n25.11.2026 10:16;134;04B0\n25.11.2026 10:17;134;\n"

    found = read_signals(table_of(text), columns, site, now=NOW)

    assert [s.line for s in found.signals] == [1, 3]
    assert "account '04B0' is not this site's, which is 004A" in found.unread[0].why


# Which signal each line is


def test_lines_are_the_signals_that_are_due_with_them() -> None:
    found = matched(LIST)

    assert [(x.signal.id, x.seen.line) for x in found.matched] == [
        ("signal:front_door:alarm", 2),
        ("signal:churn_room:alarm", 3),
        ("signal:panel:mains_fail", 5),
    ]
    (restore,) = found.unmatched
    assert restore.seen.code == "R132"
    assert {s.about for s in restore.near} == {"churn_room"}


@pytest.mark.parametrize(
    ("line", "said", "near"),
    [
        ("134;2;1", "zone 2 where 1 was due", {"front_door"}),
        ("134;1;2", "partition 2 where 1 was due", {"front_door"}),
        ("144;;1", "could be 'Front door: tamper', 'Churn room: tamper'", None),
        ("144;9;1", "zone 9 where 1 was due", None),
        ("130;3;1", "'Office: alarm'", {"office"}),
        ("130;1;1", "no signal in zone 1 is due with", {"front_door"}),
        ("130;9;1", "no signal is due with it and none in zone 9", set()),
        ("130;;", "no signal is due with it.", set()),
        (";2;1", "shows no code", {"churn_room"}),
        ("E401;;", "code E401; no signal is due with it", set()),
    ],
)
def test_what_is_no_signal_of_the_site_is_kept_apart(
    line: str, said: str, near: set[str] | None
) -> None:
    found = matched(f"25.11.2026 10:15:00;{line}")

    assert not found.matched
    (kept,) = found.unmatched
    assert kept.why.startswith("Line 1 ")
    assert said in kept.why
    assert near is None or {s.about for s in kept.near} == near


def test_a_zone_tells_whose_tamper_it_is() -> None:
    found = matched("25.11.2026 10:15:00;E144;2;1")

    assert [x.signal.id for x in found.matched] == ["signal:churn_room:tamper"]


def test_two_devices_in_one_zone_cannot_be_told_apart() -> None:
    job = make_job()
    twin = job.site.devices[0].model_copy(update={"id": "side_door", "name": "Side door"})
    job = job.model_copy(
        update={"site": job.site.model_copy(update={"devices": [*job.site.devices, twin]})}
    )

    (kept,) = matched("25.11.2026 10:15:00;134;1;1", job).unmatched
    assert {s.about for s in kept.near} == {"front_door", "side_door"}


def test_a_device_without_a_zone_is_not_that_of_a_line_with_one() -> None:
    job = make_job(zones=[], devices=[{"id": "hall", "name": "Hall", "part": "lark_motion"}])

    (kept,) = matched("25.11.2026 10:15:00;144;7;1", job).unmatched
    assert "no zone at this site yet" in kept.why


@pytest.mark.parametrize(
    "line", ["134;1;1", "134;2;1", "134;1;2", "130;1;1", "R134;1;1", "E134;001;01", "134;;"]
)
def test_what_is_matched_is_what_the_assessment_takes_for_right(line: str) -> None:
    job = make_job()
    (signal,) = seen(f"25.11.2026 10:15:00;{line}", job)
    line = by_hand(signal, "signal:front_door:alarm", job)
    grown, _ = add_entries(job, event_drafts([line], by="A. Person"))

    judged = next(s for s in assess(grown, as_of=NOW).signals if s.id == line.signal.id)

    assert (judged.arrival is Word.LACKING) == (not match_signals([signal], job).matched)


def by_hand(signal: SeenSignal, name: str, job: Job) -> MatchedLine:
    """What a person says a line is."""
    return MatchedLine(seen=signal, signal=next(s for s in site_signals(job) if s.id == name))


# The time it took


def at(text: str) -> datetime:
    return datetime.fromisoformat(f"2026-11-25T{text}+01:00")


def test_the_first_line_after_the_trip_tells_how_long_it_took() -> None:
    text = "".join(
        f"25.11.2026 {t};134;1;1\n" for t in ("10:14:00", "10:15:00", "10:15:30", "10:16:00")
    )
    job = make_job()
    trips = {"signal:front_door:alarm": datetime(2026, 11, 25, 10, 15, 12, 500, tzinfo=VIENNA)}

    found = match_signals(seen(text, job), job, trips)

    assert [x.delay_s for x in found.matched] == [None, None, 18.0, None]
    assert found.not_in_list == ()


def test_no_time_where_the_list_shows_no_seconds_or_it_is_another_event() -> None:
    job = make_job()
    trips = {"signal:front_door:alarm": at("10:15:12")}

    (minute,) = match_signals(seen("25.11.2026 10:15;134;1;1", job), job, trips).matched
    (late,) = match_signals(seen("25.11.2026 11:15:13;134;1;1", job), job, trips).matched

    assert minute.delay_s is None
    assert "no seconds" in minute.note
    assert late.delay_s is None
    assert "another event" in late.note


def test_what_was_tripped_and_is_not_in_the_list_is_said_and_is_no_entry() -> None:
    job = make_job()
    trips = {name: at("10:15:12") for name in ("signal:front_door:alarm", "signal:office:alarm")}

    found = match_signals(seen("25.11.2026 10:15:14;134;1;1", job), job, trips)

    assert found.not_in_list == (
        "Office: alarm, tripped at 2026-11-25 10:15:12: not in this list.",
    )
    assert len(event_drafts(found.matched, by="A. Person")) == 1


def test_a_trip_needs_an_offset() -> None:
    job = make_job()
    naive = datetime(2026, 11, 25, 10, 15)  # noqa: DTZ001
    trips = {"signal:front_door:alarm": naive}

    with pytest.raises(InvalidInputError, match="without an offset"):
        match_signals([], job, trips)
    with pytest.raises(InvalidInputError, match="without an offset"):
        with_delays([], trips)


# On record


def test_a_list_goes_on_record_once() -> None:
    job = make_job()
    text = LIST + "25.11.2026 10:15:04\tE134\t1\t1\tagain\n"
    trips = {"signal:front_door:alarm": at("10:15:00")}

    first = match_signals(seen(text, job), job, trips)
    grown, entries = add_entries(job, event_drafts(first.matched, by="A. Person"))
    again = match_signals(seen(text, grown), grown, trips)

    assert [k.why for k in first.known] == ["Line 6 is the same signal as line 2."]
    assert [e.values.model_dump(exclude_none=True, mode="json") for e in entries[:1]] == [
        {
            "signal": "alarm",
            "arrived": True,
            "code": "E134",
            "zone": 1,
            "partition": 1,
            "delay_s": 4.0,
            "means": "list",
            "reference": "",
        }
    ]
    assert entries[0].raw == "25.11.2026 10:15:04\tE134\t001\t01\tEntry, front door"
    assert entries[0].at.isoformat() == "2026-11-25T10:15:04+01:00"
    assert again.matched == ()
    assert again.not_in_list == ()
    assert "Line 2 is on record already, as r0001." in {k.why for k in again.known}


def test_that_the_centre_had_nothing_is_no_line_of_its_list() -> None:
    job = make_job()
    name = "signal:front_door:alarm"
    found = match_signals(seen("25.11.2026 10:15:00;134;1;1", job), job)
    (draft,) = event_drafts(found.matched, by="A. Person")
    nothing = replace(draft, values={**draft.values, "arrived": False})
    grown, _ = add_entries(job, [nothing])

    again = match_signals(seen("25.11.2026 10:15:00;134;1;1", grown), grown, {name: at("10:14:58")})
    empty = match_signals([], grown, {name: at("10:14:58")})

    assert [x.delay_s for x in again.matched] == [2.0]
    assert len(empty.not_in_list) == 1


def test_the_references_of_the_centre_are_kept() -> None:
    columns = Columns(time=1, code=2, zone=3, reference=4, date_order=DateOrder.DAY_FIRST)
    (draft,) = event_drafts(
        matched("25.11.2026 10:15:00;134;1;op 7", columns=columns).matched, by="A. Person"
    )

    assert draft.values["reference"] == "op 7"
    assert "partition" not in draft.values


def test_a_list_proves_a_signals_arrival() -> None:
    job = make_job()
    trips = {"signal:front_door:alarm": at("10:15:00")}
    found = match_signals(seen(LIST, job), job, trips)
    grown, _ = add_entries(job, event_drafts(found.matched, by="A. Person"))

    arrivals = {s.id: s.arrival for s in assess(grown, as_of=NOW).signals}

    assert arrivals["signal:front_door:alarm"] is Word.PROVEN
    assert arrivals["signal:churn_room:alarm"] is None  # nobody told when it was tripped


def test_the_list_in_the_docs_is_read() -> None:
    page = Path(__file__).parents[2].joinpath("docs", "lists.md").read_text("utf-8")
    table = table_of(re.sub(" {2,}", "\t", page.split("```")[1]))  # the page shows tabs as spaces

    job = make_job()
    columns = guess_columns(table, job.site)
    found = match_signals(read_signals(table, columns, job.site, now=NOW).signals, job)

    assert [x.signal.about for x in found.matched] == ["front_door", "churn_room"]


# Anything at all

LINES = st.lists(
    st.lists(
        st.sampled_from(
            [
                "10:15",
                "25.11.2026 10:15:00",
                "2026-11-25",
                "E134",
                "134",
                "1",
                "144",
                '"',
                "²",
                "\x85",
            ]
        )
        | st.text(max_size=8),
        max_size=6,
    ).flatmap(lambda cells: st.sampled_from(["\t", ";", ","]).map(lambda d: d.join(cells))),
    max_size=8,
).map("\n".join)


@given(LINES | st.text())
def test_random_text_raises_only_our_errors(text: str) -> None:
    job = make_job()
    try:
        table = table_of(text)
        columns = guess_columns(table, job.site)
        found = read_signals(table, columns, job.site, now=NOW, day=date(2026, 11, 25))
    except PathproofError:
        return
    lines = match_signals(found.signals, job)
    kept = [*lines.matched, *lines.unmatched, *lines.known]
    assert len(kept) + len(found.unread) == len(table.body)
    add_entries(job, event_drafts(lines.matched, by="A. Person"))
