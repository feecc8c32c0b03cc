"""The centre's list: read, matched, and put on record."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from pathproof.web.jobs import store
from pathproof.web.jobs.models import SignalColumns
from pathproof.web.signals.centre import MOST_SHOWN

from ._signals import followed, post, record
from .conftest import DEMO

DOOR = next(z for z in DEMO.site.zones if z.id == "z_shop_door")
LIST = (
    "Time\tEvent\tPoint\tArea\n"
    f"02.11.2026 10:15:04\t{DOOR.event}\t{DOOR.number:03}\t01\n"
    "02.11.2026 10:20:00\t999\t063\t01\n"
)


@pytest.fixture
def client(technician, as_):
    return as_(technician)


def send(client, stored, **fields):
    return post(client, stored, "signals:centre", **fields)


def columns(**more):
    return {
        "column-time": "1",
        "column-code": "2",
        "column-zone": "3",
        "column-partition": "4",
        "date_order": "day_first",
        **more,
    }


def test_a_list_is_shown_as_it_was_read_before_it_goes_on_record(client, stored):
    got = send(client, stored, text=LIST, do="read")
    assert got.status_code == 200
    assert "1 signal of this site" in got.text
    assert 'value="signal:keypad:tamper"' in got.text  # what a person may say the other one is
    assert "Shop door: alarm" in got.text
    assert "Line 3" in got.text
    assert record(stored) == DEMO.record


def test_the_moment_of_tripping_gives_the_time_it_took(client, stored):
    fields = {"tripped-signal:shop_door:alarm": "10:15:00", "ticks": "1", "take-2": "on"}
    again = send(client, stored, text=LIST, do="read", **columns(), **fields)
    assert "after 4 s" in again.text
    got = send(client, stored, text=LIST, do="save", **columns(), **fields)
    entry = record(stored)[-1]
    assert (entry.values.delay_s, entry.values.means, entry.values.zone) == (4.0, "list", 1)
    assert entry.raw == LIST.splitlines()[1]
    assert "Shop door: alarm: at the centre after 4 s" in followed(client, got).text


def test_trips_are_noted_before_the_list_is_there(client, stored):
    shown = client.get(reverse("signals:centre", args=[stored.pk])).context["others"]
    alarms = [s.kind == "alarm" for s, _ in shown]
    assert alarms == sorted(alarms, reverse=True)  # what is tripped most comes first
    assert set(alarms) == {True, False}
    noted = {
        "tripped-signal:shop_door:alarm": "10:15:00",
        "tripped-signal:office_motion:alarm": "10:17:00",
    }
    refused = send(client, stored, text="", do="read", **noted)
    assert sorted(x for _, x in refused.context["others"] if x) == ["10:15:00", "10:17:00"]
    read = send(client, stored, text=LIST, do="read", **columns(), **noted)
    assert "after 4 s" in read.text
    assert [(s.id, x) for s, x in read.context["others"] if x] == [
        ("signal:office_motion:alarm", "10:17:00")
    ]


def test_a_line_that_is_still_to_come_does_not_go_on_record(client, stored):
    text = LIST + f"31.12.2099 21:05:00\t{DOOR.event}\t{DOOR.number:03}\t01\n"
    got = send(client, stored, text=text, do="read", **columns())
    assert [x.line.seen.line for x in got.context["listed"].rows] == [2]
    assert "2099-12-31 21:05 is still to come" in " ".join(
        x.why for x in got.context["listed"].unread
    )
    send(client, stored, text=text, do="save", **columns(), **{"take-2": "on", "take-4": "on"})
    assert len(record(stored)) == len(DEMO.record) + 1


def test_a_list_that_is_on_record_says_so(client, stored):
    text = "".join(LIST.splitlines(keepends=True)[:2])
    send(client, stored, text=text, do="save", **columns(), **{"take-2": "on"})
    got = send(client, stored, text=text, do="read", **columns())
    assert "1 on record already, and nothing new." in got.text
    assert "No line is a signal that is due here" not in got.text


def test_why_nothing_was_read_is_in_sight(client, stored):
    text = "Time;Event;Point\nyesterday;130;1\n"
    got = send(client, stored, text=text, do="read", **columns(**{"column-partition": ""}))
    assert "<details open><summary>1 line not read" in got.text


def test_columns_are_remembered_once_told(client, stored, technician):
    odd = f"{DOOR.number:03};2026-11-02 10:15:04;{DOOR.event}\n"
    told = {"column-zone": "1", "column-time": "2", "column-code": "3", "date_order": "iso"}
    send(client, stored, text=odd, do="save", **told)
    kept = SignalColumns.objects.get()
    assert (kept.columns["zone"], kept.columns["code"], kept.by) == (1, 3, technician.name)
    later = odd.replace("10:15:04", "11:15:04")
    assert "Shop door: alarm" in send(client, stored, text=later, do="read").text


def test_a_column_of_endless_digits_is_no_column(client, stored):
    told = {"column-time": "9" * 4301, "date_order": "iso"}
    assert send(client, stored, text=LIST, do="read", **told).status_code == 422


def test_what_is_on_record_is_not_added_again(client, stored):
    fields = {**columns(), "ticks": "1", "take-2": "on"}
    send(client, stored, text=LIST, do="save", **fields)
    got = send(client, stored, text=LIST, do="read", **fields)
    assert "1 on record already" in got.text
    assert len(record(stored)) == len(DEMO.record) + 1


def test_a_person_may_say_what_a_line_is(client, stored):
    line = f"02.11.2026 10:20:00\t{DOOR.event}\t063\t01\n"
    text = LIST.splitlines()[0] + "\n" + line
    assert "Not matched" in send(client, stored, text=text, do="read", **columns()).text
    chosen = {"is-2": "signal:shop_door:alarm", "ticks": "1", "take-2": "on"}
    got = send(client, stored, text=text, do="save", **columns(), **chosen)
    assert record(stored)[-1].values.zone == 63
    assert "zone 63 where 1 was due" in followed(client, got).text


def test_tripped_and_not_in_the_list(client, stored):
    fields = {"tripped-signal:counter_button:alarm": "10:16:00"}
    got = send(client, stored, text=LIST, do="read", **columns(), **fields)
    assert "Tripped, and not in this list" in got.text
    assert record(stored) == DEMO.record


def test_a_csv_file(client, stored):
    file = SimpleUploadedFile("list.csv", LIST.replace("\t", ";").encode("utf-8-sig"))
    got = send(client, stored, text="", do="read", file=file)
    assert "Shop door: alarm" in got.text


def test_a_long_list_comes_in_parts(client, stored):
    lines = [
        f"02.11.2026 {10 + i // 60}:{i % 60:02}:04\t{DOOR.event}\t{DOOR.number:03}\t01"
        for i in range(MOST_SHOWN + 5)
    ]
    text = "\n".join([LIST.splitlines()[0], *lines])
    got = send(client, stored, text=text, do="read", **columns())
    assert "5 more lines are too many for one page" in got.text
    assert len(got.content) < 300_000


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"text": ""}, "Nothing was given"),
        ({"text": "one line without columns"}, "The list has no columns"),
        ({"text": LIST, "column-time": "1"}, "Say which column of the list holds the code"),
        ({"text": LIST, "column-time": "1", "column-code": "1"}, "is already that of"),
        ({"text": LIST, **columns(), "ticks": "1", "do": "save"}, "No line is ticked"),
        ({"text": LIST, **columns(), "day": "monday"}, "is no date"),
        ({"text": LIST, **columns(), "tripped-signal:shop_door:alarm": "soon"}, "is no time"),
    ],
)
def test_what_is_wrong_is_said_and_the_list_stays(fields, sentence, client, stored):
    got = send(client, stored, **{"do": "read", **fields})
    assert got.status_code == 422
    assert sentence in got.text
    assert fields["text"].splitlines()[-1:] == [] or fields["text"].splitlines()[0] in got.text
    assert record(stored) == DEMO.record


def test_a_file_that_is_no_text_is_refused(client, stored):
    file = SimpleUploadedFile("list.csv", b"\xff\xfe\x00binary")
    got = send(client, stored, text="", do="read", file=file)
    assert got.status_code == 422
    assert "is no text in UTF-8" in got.text


def test_a_job_with_nothing_in_it_opens(client, plain_job, technician):

    stored = store.add_job(plain_job, by=technician, what="made")
    assert client.get(reverse("signals:centre", args=[stored.pk])).status_code == 200
    assert "No line is a signal" in send(client, stored, text=LIST, do="read", **columns()).text
