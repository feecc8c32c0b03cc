"""Answers: today's at the site, of the present revision, worked out once, never put back."""

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from threading import Event

import pytest
from django.db import connections
from django.urls import reverse
from django.utils import timezone

from pathproof.assess import assess
from pathproof.assess.blocking import blocks
from pathproof.assess.next_date import next_date
from pathproof.job import Job
from pathproof.job.adding import Draft, add_entries
from pathproof.terms import JobError, RecordKind
from pathproof.web.jobs import answers, store
from pathproof.web.jobs.answers import answer
from pathproof.web.jobs.models import Standing
from pathproof.web.works import StillWorkingError

from .test_store import FIRST, noting, renaming


@pytest.fixture
def clock(monkeypatch):
    """Sets what time it is."""

    def at(moment: str) -> datetime:
        now = datetime.fromisoformat(moment)
        monkeypatch.setattr(timezone, "now", lambda: now)
        return now

    at("2026-12-01T10:00:00+00:00")
    return at


@pytest.fixture
def counted(monkeypatch):
    """The moments at which a job was assessed."""
    moments = []

    def counting(job, now, **options):
        moments.append(now)
        return assess(job, now, **options)

    monkeypatch.setattr(answers, "assess", counting)
    return moments


def in_zone(job: Job, name: str) -> Job:
    return job.model_copy(update={"site": job.site.model_copy(update={"time_zone": name})})


def test_it_is_worked_out_once_a_day(stored, clock, counted):
    for moment in ("2026-12-01T10:00:00+00:00", "2026-12-01T11:00:00+00:00"):
        clock(moment)
        assert answer(stored.pk, wait=True).assessment.as_of.hour == 11  # of the first, in Vienna
    clock("2026-12-02T10:00:00+00:00")
    assert answer(stored.pk, wait=True).assessment.as_of.day == 2
    assert len(counted) == 2


@pytest.mark.parametrize(
    ("zone", "before", "after"),
    [("Pacific/Kiritimati", 2, 2), ("UTC", 1, 1), ("Pacific/Pago_Pago", 30, 1)],
)
def test_the_day_is_the_site_s_own(technician, plain_job, clock, counted, zone, before, after):
    """At 11:00 UTC midnight has long been at UTC+14, and comes at UTC-11 just then."""
    stored = store.add_job(in_zone(plain_job, zone), by=technician, what="x")
    for moment, day in (("10:59", before), ("11:00", after)):
        clock(f"2026-12-01T{moment}:00+00:00")
        assert answer(stored.pk, wait=True).assessment.as_of.day == day
        assert Standing.objects.get(job=stored).day.day == day
    assert len(counted) == len({before, after})


def test_an_entry_that_lay_ahead_counts_as_soon_as_its_moment_comes(stored, technician, clock):
    """As when a phone's clock is a minute fast."""
    draft = Draft(
        kind=RecordKind.NOTE,
        values={"text": "x"},
        at=datetime.fromisoformat("2026-12-01T10:01:00+00:00"),
        by="Somebody",
    )
    store.save(stored.pk, lambda j: add_entries(j, [draft])[0], based_on=1, by=technician, what="x")
    early = answer(stored.pk, wait=True)
    assert early.later == 1
    now = clock("2026-12-01T10:02:00+00:00")
    late = answer(stored.pk, wait=True)
    assert (late.later, late.assessment.as_of) == (0, now)


def test_a_save_is_answered_with_what_was_saved(stored, technician, clock):
    before = answer(stored.pk, wait=True)
    store.save(stored.pk, renaming(FIRST, "New"), based_on=1, by=technician, what="x")
    after = answer(stored.pk, wait=True)
    assert (before.assessment.revision, after.assessment.revision) == (1, 2)
    assert Standing.objects.get(job=stored).revision == 2


def test_an_older_answer_that_comes_late_does_not_replace_a_newer_one(stored, technician, clock):
    older = answer(stored.pk, wait=True)
    store.save(stored.pk, renaming(FIRST, "New"), based_on=1, by=technician, what="x")
    newer = answer(stored.pk, wait=True)
    answers.note_standing(older.stored, older.assessment)
    assert Standing.objects.get(job=stored).revision == newer.stored.revision == 2


def test_an_answer_of_yesterday_that_comes_late_does_not_replace_today_s(stored, clock):
    yesterday = answer(stored.pk, wait=True)
    clock("2026-12-02T10:00:00+00:00")
    answer(stored.pk, wait=True)
    answers.note_standing(yesterday.stored, yesterday.assessment)
    assert Standing.objects.get(job=stored).day.day == 2


def test_the_answer_of_a_job_erased_meanwhile_is_not_kept(stored, clock):
    known = answer(stored.pk, wait=True)
    store.erase(stored.pk)
    answers.note_standing(known.stored, known.assessment)
    assert not Standing.objects.exists()


def test_a_page_that_waited_and_asks_again_gets_the_answer_and_the_list_too(
    stored, clock, monkeypatch, counted
):
    go = Event()
    at_once = answers.assess

    def slowly(*given, **options):
        assert go.wait(30)
        return at_once(*given, **options)

    monkeypatch.setattr(answers, "assess", slowly)
    monkeypatch.setattr(answers, "WAIT_S", 0.0)
    for _ in range(3):
        with pytest.raises(StillWorkingError):
            answer(stored.pk)
    assert not Standing.objects.exists()
    go.set()
    assert answer(stored.pk, wait=True).assessment.revision == 1
    assert Standing.objects.get(job=stored).revision == 1
    assert len(counted) == 1


class TestOneThatCannotBeAssessed:
    @pytest.fixture
    def tried(self, monkeypatch) -> list[Job]:
        tried = []

        def refuses(job, now, **options):
            tried.append(job)
            raise JobError("The profile gives no such limit; add it.")

        monkeypatch.setattr(answers, "assess", refuses)
        return tried

    def test_it_says_so_each_time_and_is_not_tried_again(self, stored, clock, tried):
        for _ in range(4):
            with pytest.raises(JobError, match="no such limit; add it"):
                answer(stored.pk, wait=True)
        assert len(tried) == 1

    def test_it_is_tried_again_once_it_was_changed(self, stored, technician, clock, tried):
        for revision in (1, 2):
            with pytest.raises(JobError):
                answer(stored.pk, wait=True)
            store.save(stored.pk, noting("x"), based_on=revision, by=technician, what="x")
        assert [j.revision for j in tried] == [1, 2]

    def test_it_is_tried_again_the_next_day(self, stored, clock, tried):
        for day in (1, 2):
            clock(f"2026-12-0{day}T10:00:00+00:00")
            with pytest.raises(JobError):
                answer(stored.pk, wait=True)
        assert len(tried) == 2


@pytest.mark.django_db(transaction=True)
def test_those_who_ask_at_once_share_one_working(stored, counted):
    def ask(_: int):
        try:
            return answer(stored.pk, wait=True).assessment
        finally:
            connections.close_all()

    with ThreadPoolExecutor(8) as askers:
        given = list(askers.map(ask, range(8)))
    assert all(g is given[0] for g in given)
    assert len(counted) == 1


def test_the_hour_of_an_answer_is_told_with_the_site_s_offset(stored, clock):
    assert answer(stored.pk, wait=True).assessment.as_of.utcoffset() == timedelta(hours=1)


def test_the_list_gets_the_next_date_of_the_job(stored, clock):
    known = answer(stored.pk, wait=True)
    due = next_date(known.job, known.assessment)
    standing = Standing.objects.get(job=stored)
    assert due is not None
    assert (standing.due_on, standing.due_what) == (due.on, due.what)


def test_a_job_with_nothing_in_it_has_no_next_date(plain_job, technician, clock):
    stored = store.add_job(plain_job, by=technician, what="made")
    answer(stored.pk, wait=True)
    standing = Standing.objects.get(job=stored)
    assert (standing.due_on, standing.due_what) == (None, "")


def test_an_answer_holds_what_blocks_the_visit(plain_job, technician, as_, clock):
    stored = store.add_job(plain_job, by=technician, what="made")
    known = answer(stored.pk, wait=True)
    assert known.blocks == blocks(known.job, known.assessment)
    said = f"{len(known.blocks)} things block the visit"
    assert said in as_(technician).get(reverse("prepare:page", args=[stored.pk])).text
