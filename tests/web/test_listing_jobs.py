"""The list of jobs: search, order, pages, and standings of another day."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from pathproof.job import Job
from pathproof.web.jobs import answers, store
from pathproof.web.jobs.models import Content, Revision, Standing, StoredJob
from pathproof.web.listing.rows import rows_of

JOBS = reverse("listing:jobs")


def many(count: int) -> None:
    """So many jobs as rows, with standings of today; their sites hold nothing but a name."""
    now = timezone.now()
    jobs = [
        StoredJob(id=uuid4(), revision=1, name=f"Site {i}", reference=f"R{i}", search=f"site {i}")
        for i in range(count)
    ]
    StoredJob.objects.bulk_create(jobs)
    contents = Content.objects.bulk_create(
        Content(job=job, sha256=f"{i:064}", site=f'{{"name": "{job.name}"}}', embedded="{}")
        for i, job in enumerate(jobs)
    )
    Revision.objects.bulk_create(
        Revision(job=c.job, number=1, content=c, hash="", by="x", what="x") for c in contents
    )
    words = ("proven", "predicted", "undecided", "lacking")
    Standing.objects.bulk_create(
        Standing(
            job=job, revision=1, as_of=now, day=now.date(), word=words[i % 4], why="", lacking=2
        )
        for i, job in enumerate(jobs)
    )


def standing(stored: StoredJob, **given: object) -> None:
    now = timezone.now()
    usual = {"revision": stored.revision, "as_of": now, "day": now.date(), "why": ""}
    Standing.objects.update_or_create(job=stored, defaults={**usual, **given})


def named(name: str, technician, **site: str) -> StoredJob:
    job = Job.model_validate({"site": {"name": name, **site}})
    return store.add_job(job, by=technician, what="made")


def test_no_job_yet_says_what_goes_there(technician, as_):
    got = as_(technician).get(JOBS)
    assert "Make the first job" in got.text
    assert reverse("listing:new") in got.text


def test_a_job_has_its_word_and_counts_in_words(stored, technician, as_):
    assessment = answers.answer(stored.pk, wait=True).assessment
    text = as_(technician).get(JOBS).text
    worst = assessment.word
    assert f"{assessment.summary.signals_by_word[worst]} {worst}" in text
    assert "being worked out anew" not in text


@pytest.mark.parametrize("stale", [{"day": date(2020, 1, 1)}, {"revision": 0}])
def test_a_standing_of_another_day_or_revision_is_not_todays(stale, technician, as_):
    stored = named("Some site", technician)
    standing(stored, word="proven", proven=3, **stale)
    got = as_(technician).get(JOBS)
    assert "being worked out anew" in got.text
    assert "every 10s" in got.text


def test_a_job_that_cannot_be_worked_out_says_why(technician, as_):
    standing(named("Some site", technician), word="", why="It could not be worked out. Why.")
    got = as_(technician).get(JOBS)
    assert "It could not be worked out. Why." in got.text


def test_a_list_that_is_all_of_today_does_not_ask_again(technician, as_):
    standing(named("Some site", technician), word="proven")
    assert "every 10s" not in as_(technician).get(JOBS).text


def test_the_day_is_the_one_at_the_site(technician, monkeypatch):
    """In Kiritimati (UTC+14 in the IANA time zone data) a day is over 14 hours before London's."""
    now = timezone.now().replace(hour=12)
    monkeypatch.setattr(timezone, "now", lambda: now)
    far = named("Far", technician, time_zone="Pacific/Kiritimati")
    near = named("Near", technician, time_zone="Europe/London")
    for stored in (far, near):
        standing(stored, word="proven", day=now.date())
    jobs = StoredJob.objects.select_related("standing").order_by("name")
    assert [row.of_today for row in rows_of(list(jobs))] == [False, True]


def test_search_folds_case_and_looks_at_name_and_number(technician, as_):
    named("Straßenbahn depot", technician, reference="J-17")
    named("Mill", technician, reference="J-18")
    for search, hit in (("STRASSENBAHN", "depot"), ("j-18", "Mill"), ("depot 17", "depot")):
        got = as_(technician).get(JOBS, {"q": search})
        assert [row.job.name.split()[-1] for row in got.context["rows"]] == [hit]


def test_a_search_with_no_hit_says_so(technician, as_):
    got = as_(technician).get(JOBS, {"q": "<b>nothing</b>"})
    assert "No job has" in got.text
    assert "<b>" not in got.text


def test_what_lacks_comes_first(technician, as_):
    for word in ("proven", "lacking", "predicted", "undecided"):
        standing(named(word, technician), word=word)
    named("unknown", technician)
    got = as_(technician).get(JOBS)
    assert [row.job.name for row in got.context["rows"]] == [
        "lacking", "unknown", "undecided", "predicted", "proven",
    ]  # fmt: skip


def test_next_date_first_and_jobs_without_one_last(technician, as_):
    today = timezone.now().date()
    standing(named("later", technician), word="proven", due_on=today + timedelta(days=9))
    named("none", technician)
    standing(
        named("over", technician),
        word="proven",
        due_on=today - timedelta(days=1),
        due_what="battery of the panel",
    )
    got = as_(technician).get(JOBS, {"order": "next"})
    assert [row.job.name for row in got.context["rows"]] == ["over", "later", "none"]
    assert "overdue" in got.text
    assert "battery of the panel" in got.text


def test_a_list_of_many_jobs_takes_no_more_queries(technician, as_, django_assert_num_queries):
    many(120)
    browser = as_(technician)
    browser.get(JOBS)
    with django_assert_num_queries(5):  # session, person, count, jobs, time zones
        got = browser.get(JOBS)
    assert len(got.context["rows"]) == 50
    assert len(got.content) < 300_000
    with django_assert_num_queries(5):
        last = browser.get(JOBS, {"page": "3", "order": "saved"})
    assert len(last.context["rows"]) == 20


def test_pages_keep_search_and_order(technician, as_):
    many(60)
    got = as_(technician).get(JOBS, {"q": "site", "order": "saved"})
    assert "?q=site&amp;order=saved&amp;page=2" in got.text


def test_what_is_no_page_is_the_first_or_last(technician, as_):
    named("One", technician)
    for page in ("0", "x", "99"):
        assert as_(technician).get(JOBS, {"page": page}).status_code == 200
