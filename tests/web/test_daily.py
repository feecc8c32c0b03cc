"""What lists show of a job is worked out anew every day, whatever happens to one of them."""

from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings

from pathproof.job import Job
from pathproof.simulate import build_demo
from pathproof.terms import JobError, Word
from pathproof.web import daily
from pathproof.web.jobs import store
from pathproof.web.jobs.models import Standing, StoredJob

EVENING = datetime(2026, 11, 25, 22, 50, tzinfo=UTC)
"""10 to midnight in Vienna, after midnight in Auckland, the afternoon before in Denver."""
MORNING = EVENING + timedelta(hours=7)


def job(name="House", zone="Europe/Vienna"):
    return Job.model_validate({"site": {"name": name, "time_zone": zone}})


@pytest.fixture
def add(technician):
    """Puts a job into the store, saved a while before the evening."""

    def added(job, minutes_before=5):
        stored = store.add_job(job, by=technician, what="made")
        saved_at = EVENING - timedelta(minutes=minutes_before)
        StoredJob.objects.filter(pk=stored.pk).update(saved_at=saved_at)
        return stored

    return added


def run(now):
    return daily.reassess(lambda: now)


def standing(stored):
    return Standing.objects.get(job=stored)


def test_a_job_is_due_once_a_day_by_the_clock_of_its_site(add):
    vienna, auckland = add(job()), add(job("Far", "Pacific/Auckland"))
    assert run(EVENING) == 2
    assert standing(vienna).day.isoformat() == "2026-11-25"
    assert standing(auckland).day.isoformat() == "2026-11-26"
    assert run(EVENING + timedelta(minutes=9)) == 0
    assert daily.due(EVENING + timedelta(minutes=11)) == [vienna.pk]
    assert run(EVENING + timedelta(minutes=11)) == 1
    assert standing(vienna).day.isoformat() == "2026-11-26"


def test_a_job_that_was_saved_is_left_to_pages_for_a_minute(add, technician):
    stored = add(job(), minutes_before=0)
    assert daily.due(EVENING + timedelta(seconds=59)) == []
    assert daily.due(EVENING + timedelta(seconds=60)) == [stored.pk]
    run(EVENING + timedelta(seconds=60))
    store.save(stored.pk, lambda j: j.model_copy(
        update={"site": j.site.model_copy(update={"name": "Renamed"})}
    ), based_on=1, by=technician, what="renamed")  # fmt: skip
    StoredJob.objects.update(saved_at=EVENING + timedelta(minutes=2))
    assert daily.due(EVENING + timedelta(minutes=2)) == []
    assert run(EVENING + timedelta(minutes=3)) == 1
    assert standing(stored).revision == 2


def test_the_oldest_comes_first(add):
    second, first = add(job("B")), add(job("A"))
    run(EVENING)
    Standing.objects.filter(job=first).update(as_of=EVENING - timedelta(days=3))
    third = add(job("C"))
    assert daily.due(MORNING) == [third.pk, first.pk, second.pk]


def test_what_ends_in_the_night_is_lacking_in_the_morning(add):
    """A network that is switched off at the turn of the day takes every signal over it along."""
    demo = build_demo()
    gone = [
        {"network": n.mcc_mnc, "technology": str(t), "ends_on": "2026-11-26", "done": True,
         "source": {"ref": "Invented for the tests", "evidence": "practice"}}
        for n in demo.site.networks for t in n.technologies
    ]  # fmt: skip
    data = demo.model_dump(mode="json")
    data["embedded"]["retirements"] = gone
    stored = add(Job.model_validate(data))
    run(EVENING)
    before = standing(stored)
    run(MORNING)
    after = standing(stored)
    assert after.lacking > before.lacking
    assert after.day > before.day
    assert after.word == Word.LACKING


def test_one_that_cannot_be_worked_out_says_why_and_stops_no_other(add, monkeypatch):
    broken, sound = add(job("Broken"), minutes_before=9), add(job("Sound"))

    really_load = store.load

    def load(job_id, revision):
        if job_id == broken.pk:
            raise JobError("The catalogue entry is gone. Put it back.")
        return really_load(job_id, revision)

    monkeypatch.setattr(store, "load", load)
    assert run(EVENING) == 2
    assert standing(broken).word == ""
    assert "The catalogue entry is gone. Put it back." in standing(broken).why
    assert standing(sound).word == Word.UNDECIDED
    assert run(EVENING) == 0  # again tomorrow, or when it is saved


def test_one_at_which_the_program_died_is_passed_by_the_next(add, monkeypatch):
    deadly, sound = add(job("Deadly"), minutes_before=9), add(job("Sound"))

    def load(job_id, revision):
        raise ZeroDivisionError  # any fault of the program

    with monkeypatch.context() as patched:
        patched.setattr(store, "load", load)
        with pytest.raises(ZeroDivisionError):
            run(EVENING)
    assert run(EVENING) == 1
    assert "The program failed at it" in standing(deadly).why
    assert standing(sound).word == Word.UNDECIDED
    assert not (settings.DATA / "working_on").exists()


@pytest.mark.parametrize("end", [KeyboardInterrupt, SystemExit])
def test_being_told_to_stop_is_no_fault_of_the_job(end, add, monkeypatch):
    stored = add(job())

    def load(job_id, revision):
        raise end

    with monkeypatch.context() as patched:
        patched.setattr(store, "load", load)
        with pytest.raises(end):
            run(EVENING)
    assert not Standing.objects.exists()
    assert daily.due(EVENING) == [stored.pk]


def test_a_job_erased_meanwhile_is_passed_by(add, monkeypatch):
    stored = add(job())
    monkeypatch.setattr(daily, "due", lambda now: [stored.pk])
    store.erase(stored.pk)
    run(EVENING)
    assert not Standing.objects.exists()


def test_looking_for_what_is_due_takes_no_more_queries_with_more_jobs(
    add, django_assert_max_num_queries
):
    for number in range(12):
        add(job(f"House {number}", "Pacific/Auckland"))
    with django_assert_max_num_queries(2):
        assert len(daily.due(EVENING)) == 12
    run(EVENING)
    with django_assert_max_num_queries(1):
        assert daily.due(EVENING) == []
