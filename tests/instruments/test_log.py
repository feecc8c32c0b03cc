"""Logs of a watch: times, pace, what is passed over, and what is refused by its line."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.instruments import (
    MAX_LOG,
    MAX_READINGS,
    Log,
    read,
    read_paced_log,
    read_scale_step,
    read_stamped_log,
)
from pathproof.job import Scale, ScaleStep, Source
from pathproof.terms import Evidence, InvalidInputError, PathproofError, Quantity

VIENNA = ZoneInfo("Europe/Vienna")
DAY = date(2026, 10, 6)
AT = datetime(2026, 10, 6, 10, 15, tzinfo=VIENNA)
CESQ = "+CESQ: 99,99,255,255,20,40"


def stamped(text: str) -> Log:
    return read_stamped_log(text, VIENNA, lambda nights: DAY)


def paced(text: str) -> Log:
    return read_paced_log(text, timedelta(seconds=10), lambda lasts: AT)


def after_s(log: Log) -> list[float]:
    return [(at - log.readings[0][0]).total_seconds() for at, _ in log.readings]


@pytest.mark.parametrize(
    "start",
    [
        "2026-10-06T10:15:00+02:00 ",
        "2026-10-06 10:15:00 +0200 ",
        "2026-10-06T08:15:00Z ",
        "2026-10-06T10:15:00,",
        "2026-10-06 10:15:00.000;",
        "10:15:00 ",
        "10:15:00,",
        "10:15:00,000 ",
        "10:15 ",
        "[10:15:00] ",
        "  10:15:00\t",
        "10:15:00 > ",
        "10:15:00\n",
    ],
)
def test_a_time_in_front_of_an_answer_or_a_level(start: str) -> None:
    for text in (CESQ, "RSRP -100 dBm", "-100 dBm"):
        ((at, reading),) = stamped(start + text).readings
        assert at == AT
        assert reading.levels[-1].value in (-100.5, -100)
        assert reading.raw == text


def test_what_commonly_stands_around_answers_is_passed_over_and_counted() -> None:
    text = (
        f"\ufeff10:15:00 AT+CESQ\r\r\n{CESQ}\r\n\r\nOK\r\n"
        f"10:15:10 AT+CESQ\r\r\n{CESQ}\r\n\r\nOK\r\n+CEREG: 5\r\n"
    )
    log = stamped(text)
    assert after_s(log) == [0, 10]
    assert log.passed_over == 7  # two echoes, two OK, two empty lines, one report
    assert log.raw == text


def test_both_commands_of_one_time_are_one_reading() -> None:
    log = stamped(f"10:15:00 +CSQ: 16,99\n10:15:00 {CESQ}\n10:15:10 +CSQ: 17,99\n")
    assert after_s(log) == [0, 10]
    assert {x.quantity for x in log.readings[0][1].levels} == {
        Quantity.RSRQ_DB,
        Quantity.RSRP_DBM,
        Quantity.RSSI_DBM,
    }


def test_what_knew_nothing_is_a_reading_too() -> None:
    log = stamped(f"10:15:00 {CESQ}\n10:15:10 +CESQ: 99,99,255,255,255,255\n10:15:20 {CESQ}")
    assert [len(reading.levels) for _, reading in log.readings] == [2, 0, 2]


def test_times_run_on_over_midnight() -> None:
    nights = []

    def first_day(passed: int) -> date:
        nights.append(passed)
        return DAY

    text = "23:59:50 RSRP -97\n00:00:00 RSRP -98\n23:59:59 RSRP -97\n00:00:01 RSRP -97"
    log = read_stamped_log(text, VIENNA, first_day)
    assert nights == [2]
    assert after_s(log) == [0, 10, 86409, 86411]
    assert log.readings[0][0].date() == DAY


# The clocks of Central Europe went from 02:00 to 03:00 on 29 March 2026 and go from 03:00 back to
# 02:00 on 25 October 2026 (IANA time zone database, Europe/Vienna).
def test_the_night_in_which_clocks_change() -> None:
    spring = read_stamped_log(
        "01:59:50 RSRP -97\n03:00:00 RSRP -97", VIENNA, lambda n: date(2026, 3, 29)
    )
    assert after_s(spring) == [0, 10]
    both = stamped("2026-10-25 01:59:50 RSRP -97\n2026-10-25 03:00:00 RSRP -97")
    assert after_s(both) == [0, 7210]
    with pytest.raises(InvalidInputError, match=r"^Line 2: .* write times with their offset"):
        read_stamped_log(
            "02:59:50 RSRP -97\n02:00:00 RSRP -97", VIENNA, lambda n: date(2026, 10, 25)
        )
    autumn = stamped("2026-10-25T02:59:50+02:00 RSRP -97\n2026-10-25T02:00:00+01:00 RSRP -97")
    assert after_s(autumn) == [0, 10]
    start = datetime(2026, 3, 29, 1, 59, 55, tzinfo=VIENNA)
    by_pace = read_paced_log("RSRP -97\n" * 3, timedelta(seconds=10), lambda lasts: start)
    seen = [at.astimezone(VIENNA).time().isoformat() for at, _ in by_pace.readings]
    assert seen == ["01:59:55", "03:00:05", "03:00:15"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("10:15:00 RSRP -97\n10:14:59 RSRP -97", "^Line 2: 10:14:59 is before 10:15:00 in line 1"),
        (
            "2026-10-06T10:15:00 RSRP -97\n\n2026-10-05T10:15:10 RSRP -97",
            "^Line 3: 10:15:10 is before 10:15:00 in line 1",
        ),
        ("RSRP -97", "^Line 1 has no time: 'RSRP -97'. Begin it with one, as 10:15:00 or 2026"),
        ("OK\n1764066900 RSRP -97", "^Line 2 has no time: '1764066900 RSRP -97'"),
        ("10:15:00 RSRP -97\nRSRP -98", "^Line 2 has the same time as line 1, 10:15:00"),
        (f"10:15:00 {CESQ}\n10:15:00 {CESQ}", "^Line 2 has the same time as line 1"),
        (f"10:15:00 {CESQ}\n10:15:00 RSRP -98", "^Line 2 has the same time as line 1"),
        ("25:15:00 RSRP -97", "^Line 1: '25:15:00' is not a time; write it as"),
        ("2026-13-06T10:15:00 RSRP -97", "^Line 1: '2026-13-06T10:15:00' is not a time"),
        ("10:15:00 RSRP -97\n2026-10-06T10:16 RSRP -97", "^Line 2 has a date and line 1 has none"),
        ("2026-10-06T10:16 RSRP -97\n10:17 RSRP -97", "^Line 2 has no date and line 1 has one"),
        ("10:15:00 RSRP -97\n10:15:10 hello", "^Line 2: 'hello' cannot be read as a level"),
        ("10:15:00 RSRP -97\n10:14:00 hello", "^Line 2: 'hello' cannot be read as a level"),
        ("10:15:00 RSRP -97\n10:15:00 hello", "^Line 2: 'hello' cannot be read as a level"),
        ("Monday's log\n10:15:00 RSRP -97", "^Line 1 has no time: .* It is no reading either"),
        ("10:15:00 RSRP -20", "^Line 1: rsrp_dbm was -20 dBm"),
        (f"10:15:00 {CESQ}\n10:15:10 +CESQ: 1,2", r"^Line 2: [+]CESQ had 2 fields"),
        ("10:15:00 ERROR", "^Line 1: The module answered 'ERROR'"),
        ("10:15:00 AT+CSQ\nOK", "holds no reading; write one a line"),
        ("", "holds no reading"),
        ("x" * (MAX_LOG + 1), f"{MAX_LOG} are read at most"),
    ],
)
def test_what_is_refused_is_named_by_its_line(text: str, message: str) -> None:
    with pytest.raises(InvalidInputError, match=message):
        stamped(text)


def test_a_pace_stands_for_times() -> None:
    lasted = []

    def start(lasts: timedelta) -> datetime:
        lasted.append(lasts)
        return AT

    log = read_paced_log("RSRP -97\n\nRSRP -98\nRSRP -99\n", timedelta(seconds=10), start)
    assert after_s(log) == [0, 10, 20]
    assert lasted == [timedelta(seconds=20)]
    assert (log.readings[0][0], log.passed_over) == (AT, 1)


def test_at_a_pace_other_commands_belong_to_the_same_reading() -> None:
    log = paced(f"{CESQ}\n+CSQ: 16,99\n{CESQ}\n{CESQ}\n+CSQ: 16,99\n")
    assert [len(reading.levels) for _, reading in log.readings] == [3, 2, 3]
    assert after_s(log) == [0, 10, 20]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("RSRP -97\n10:15:00 RSRP -98", "^Line 2 tells its time, 10:15:00, so no pace"),
        ("RSRP -97\nhello", "^Line 2: 'hello' cannot be read"),
        ("OK", "holds no reading"),
        ("RSRP -97\n" * (MAX_READINGS + 1), f"a watch has {MAX_READINGS} at most"),
    ],
)
def test_what_is_refused_at_a_pace(text: str, message: str) -> None:
    with pytest.raises(InvalidInputError, match=message):
        paced(text)


def test_lines_may_be_read_by_another_reader() -> None:
    scale = Scale(  # ours: an invented scale
        quantity=Quantity.RSSI_DBM,
        tied=True,
        steps=[ScaleStep(name="1 bar", high=-95), ScaleStep(name="2 bars", low=-95)],
        source=Source(ref="Maker's sheet", evidence=Evidence.RESTATED),
    )
    log = read_stamped_log(
        "10:15 1 bar\n10:16 2 bars\n",
        VIENNA,
        lambda nights: DAY,
        lambda text: read_scale_step(scale, text),
    )
    assert [reading.raw for _, reading in log.readings] == ["1 bar", "2 bars"]


pieces = st.lists(
    st.sampled_from(
        ["10:15:00", "09:00", "2026-10-06T10:15", " ", ",", "\n", "+CSQ: 16,99", "RSRP -97", "OK"]
    )
).map("".join)


@given(st.text() | pieces)
def test_any_text_gives_a_watch_in_order_or_a_sentence(text: str) -> None:
    for reader in (stamped, paced):
        moments: list[datetime] = []
        message, raw = ".", text
        try:
            log = reader(text)
            moments, raw = [at.astimezone(UTC) for at, _ in log.readings], log.raw
        except PathproofError as error:
            message = str(error)
        assert message.endswith(".")
        assert all(a < b for a, b in pairwise(moments))
        assert raw == text


@given(st.lists(st.integers(1, 3 * 3600), min_size=1, max_size=30))
def test_times_are_read_back_as_they_were_written(gaps: list[int]) -> None:
    at = [AT]
    for gap in gaps:
        at.append(at[-1] + timedelta(seconds=gap))
    text = "\n".join(f"{moment:%H:%M:%S} RSRP -97" for moment in at)
    assert [moment for moment, _ in stamped(text).readings] == at
    assert read("RSRP -97").levels == stamped(text).readings[-1][1].levels
